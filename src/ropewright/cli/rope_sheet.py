"""`ropewright rope sheet`: one line's sheet to hang beside it: what it is, how to end it, stow it, when to bin it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import OptionReader, json_option, positive, quantity_option
from ropewright.errors import FileError
from ropewright.findings import Verdict
from ropewright.quantity import Dimension, show

if TYPE_CHECKING:
    from ropewright.job.rope_sheet import RopeSheet

__all__ = ["sheet"]

_WAYS = ["straight-in", "back-and-forth"]


@click.command(epilog="Example: ropewright rope sheet examples/gable-house.toml --line white --pdf white.pdf")
@click.argument("file", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.option("--line", metavar="NAME", required=True, help="Of the line.")
@click.option("--pdf", type=click.Path(path_type=Path), help="File for the sheet.")
@quantity_option("--end", "Rope that its end takes, from its maker, where it is no drawn knot.")
@click.option("--way", type=click.Choice(_WAYS), help="How it is put away; as the job tells, if left out.")
@quantity_option("--container-volume", "Of the bag or bucket, inside.")
@json_option
@shows_input_errors
def sheet(file: Path, line: str, *, pdf: Path | None, way: str | None, as_json: bool, **texts: Any) -> None:
    """Write the sheet of one line of a job: what it is, how to end it and put it away, when to bin it.

    Units and paper are those of the job. Exit status: 0 it may be a lifeline, 1 not as it stands, 2 the input can't be
    used.
    """
    from ropewright.job.file import read_job
    from ropewright.job.rope_sheet import rope_sheet
    from ropewright.rope.stow import Way

    reader = OptionReader(texts)
    end = reader.one("end", positive(Dimension.LENGTH), None)
    container = reader.one("container_volume", positive(Dimension.VOLUME), None)
    reader.done("the sheet can't be made")
    told = rope_sheet(read_job(file), line, way=Way(way) if way else None, end=end, container=container)
    if pdf is not None:
        _write(told, pdf)
    click.echo(json.dumps(_answer(told), indent=2) if as_json else "\n".join(_lines(told)))
    raise SystemExit(0 if told.allowed.verdict is Verdict.HOLDS else 1)


def _write(told: RopeSheet, path: Path) -> None:
    from ropewright.sheets.rope_sheet import sheet_pdf
    from ropewright.sheets.writing import write_bytes_atomic

    made = sheet_pdf(told)
    try:
        write_bytes_atomic(path, made)
    except OSError as error:
        raise FileError("--pdf", str(path), f"give a file that can be written ({error.strerror})") from error


def _answer(told: RopeSheet) -> dict[str, Any]:
    rope, stowed = told.line.rope, told.stowed
    return {
        "line": told.line.name,
        "anchor": told.line.anchor,
        "workers": list(told.workers),
        "verdict": told.allowed.verdict.value,
        "reason": told.allowed.reason,
        "reason_source": str(told.allowed.source),
        "rope": {
            "fibre": rope.fibre,
            "construction": rope.construction,
            "stretch": rope.stretch,
            "diameter_m": rope.diameter,
            "condition": rope.condition,
            "length_m": rope.length,
        },
        "strength_low_n": told.chain.low,
        "strength_likely_n": told.chain.likely,
        "strength_high_n": told.chain.high,
        "asked_n": None if told.asked is None else told.asked.force,
        "working_load_low_n": told.work.low,
        "working_load_high_n": told.work.high,
        "termination": told.line.termination,
        "knot": None if told.tied is None else told.tied.knot.name,
        "ending": [{"text": words, "source": str(source)} for words, source in _rules(told)],
        "stop_m": told.line.length,
        "parts": [{"name": part.name, "length_m": part.length} for part in told.parts],
        "length_m": told.length,
        "not_counted": told.not_counted or None,
        "stow": {
            "way": told.way.value,
            "length_m": told.stowed_length,
            "mass_kg": stowed.mass.high,
            "room_high_m3": stowed.room.high,
            "fits": stowed.fits,
            "fits_verdict": None if stowed.verdict is None else stowed.verdict.value,
        },
        "look_for": [{"what": what, "looks": looks, "source": str(source)} for what, looks, source in told.look_for],
        "retire": [{"when": words, "source": str(source)} for words, source in told.retire],
        "caution": CAUTION,
    }


def _rules(told: RopeSheet) -> list[tuple[str, Any]]:
    return list(told.ending) if told.tied is None else [(rule.text, rule.source) for rule in told.tied.rules]


def _lines(told: RopeSheet) -> Iterator[str]:
    units = told.job.units

    def length(metres: float) -> str:
        return show(metres, Dimension.LENGTH, units, toward="high", style="feet-inches")

    yield f"{told.allowed.verdict.value.upper()} as a lifeline: {told.allowed.reason} [{told.allowed.source}]"
    yield "Its age, days of use, weather and catches are not told here: look it over before each use."
    yield ""
    yield f"line {told.line.name}, {told.line.termination}, on {told.line.anchor}"
    yield from (f"  {length(part.length):>12}  {part.name}" for part in told.parts)
    more = f", and {told.not_counted}: ask its maker" if told.not_counted else ""
    yield f"  {length(told.length):>12}  in all{more}"
    left = [show(force, Dimension.FORCE, units, toward="low") for force in (told.chain.low, told.chain.likely)]
    yield f"strength left with its end: {left[0]} at the low end, {left[1]} likely"
    room = show(told.stowed.room.high, Dimension.VOLUME, units, toward="high")
    yield f"put away {told.way.value}: a bag or bucket of {room} or more"
    yield ""
    yield CAUTION
