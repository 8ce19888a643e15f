"""`ropewright cut`: a cutting list off the spools in stock, with the least waste."""

from __future__ import annotations

import json
import math
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import json_option
from ropewright.errors import FileError
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.job.cut_file import CutFile
    from ropewright.job.cut_lines import LineToCut
    from ropewright.rope.cutting import Cut, CuttingPlan

__all__ = ["cut"]


@click.command(epilog="Example: ropewright cut examples/cutting-list.toml --svg cuts.svg")
@click.argument("file", metavar="FILE.toml", type=click.Path(path_type=Path))
@drawing_options("a drawing of the cuts on each spool")
@click.option("--labels", type=click.Path(path_type=Path), help="File for a PDF of labels, one for each piece.")
@json_option
@shows_input_errors
def cut(file: Path, svg: Path | None, pdf: Path | None, labels: Path | None, *, as_json: bool) -> None:
    """Cut pieces off the spools in stock with the least waste.

    The file lists pieces, or names a job whose lines are cut, and spools; docs/cut-file.md describes it. Exit status 1
    where the stock does not give them all.
    """
    from ropewright.job.cut_file import cut_all, read_cut_file

    asked = read_cut_file(file)
    plans = cut_all(asked)

    def draw() -> str:
        from ropewright.sheets.cut_drawing import cuts_svg

        return cuts_svg(asked, plans)

    def pages() -> tuple[str, ...]:
        from ropewright.sheets.cut_drawing import cuts_pages

        return cuts_pages(asked, plans)

    write_drawing(draw, "Cutting list", asked.units, svg=svg, pdf=pdf, pages=pages)
    if labels is not None:
        _label(asked, plans, labels)
    click.echo(json.dumps(_answer(asked, plans), indent=2) if as_json else "\n".join(_lines(asked, plans)))
    sys.exit(1 if any(plan.uncut for plan in plans.values()) else 0)


def _label(asked: CutFile, plans: Mapping[str, CuttingPlan], path: Path) -> None:
    from ropewright.sheets.cut_labels import labels_pdf
    from ropewright.sheets.writing import write_bytes_atomic

    made = labels_pdf(asked, plans)
    try:
        write_bytes_atomic(path, made)
    except OSError as error:
        raise FileError("--labels", str(path), f"give a file that can be written ({error.strerror})") from error


def _answer(asked: CutFile, plans: Mapping[str, CuttingPlan]) -> dict[str, Any]:
    cuts = [(rope, one) for rope, plan in plans.items() for one in plan.cuts]
    bounds = [plan.bound for plan in plans.values()]
    return {
        "pieces": [
            {"name": name, "length_m": length, "rope": rope, "spool": one.spool, "spool_number": one.number}
            for rope, one in cuts
            for name, length in one.pieces
        ],
        "spools": [
            {
                "name": one.spool,
                "number": one.number,
                "rope": rope,
                "pieces": [name for name, _ in one.pieces],
                "rest_m": one.rest,
            }
            for rope, one in cuts
        ],
        "lines": [
            {
                "name": line.name,
                "rope": line.rope,
                "length_m": line.length,
                "parts": [{"name": part.name, "length_m": part.length} for part in line.parts],
                "termination": line.termination,
                "differs_from_job": line.differs,
                "standing": line.strength.standing.value,
                "strength_low_n": line.strength.low,
                "strength_likely_n": line.strength.likely,
                "strength_high_n": line.strength.high,
                "settles": line.strength.settles,
            }
            for line in asked.lines
        ],
        "uncut": [
            {"name": name, "length_m": length, "rope": rope}
            for rope, plan in plans.items()
            for name, length in plan.uncut
        ],
        "waste_m": sum(plan.waste for plan in plans.values()),
        "kept_m": sum(plan.kept for plan in plans.values()),
        "bound": None if any(map(math.isnan, bounds)) else sum(bounds),
        "proven": all(plan.proven for plan in plans.values()),
        "caution": CAUTION,
    }


def _lines(asked: CutFile, plans: Mapping[str, CuttingPlan]) -> Iterator[str]:
    for line in asked.lines:
        yield f"line {line.name} ({line.rope}): {_tape(line.length, asked.units, 'high')}"
        yield from (f"  {_tape(part.length, asked.units, 'high'):>12}  {part.name}" for part in line.parts)
        yield from (f"  {words}" for words in _strength(line, asked.units))
        yield ""
    for rope, plan in plans.items():
        yield rope
        for one in plan.cuts:
            yield f"  {_named(one, plan)}: {_pieces(one, asked.units)}"
            yield f"      left: {_rest(one, asked)}"
        for name, length in plan.uncut:
            yield f"  NOT CUT: {name}, {_tape(length, asked.units, 'high')}; the stock does not give it"
        yield f"  {_claim(plan, asked.units)}"
        yield ""
    yield "Measure each piece twice before it is cut, mark both ends, and label it with its spool: a piece keeps the"
    yield "history of the rope it was cut from."
    yield CAUTION


def _strength(line: LineToCut, units: UnitSystem) -> Iterator[str]:
    """What the rope keeps with its end, and what is to be seen to before it is counted on."""
    chain = line.strength
    left = [show(force, Dimension.FORCE, units, toward="low") for force in (chain.low, chain.likely, chain.high)]
    yield f"strength left with its {line.termination}: {left[0]} low, {left[1]} likely, {left[2]} high"
    if not chain.settles:
        yield "not to be counted on as it is: 'ropewright rope judge' shows each step and its source"
    if line.differs:
        yield "! the job has this line ended otherwise: enter the new termination there and plan again"


def _named(one: Cut, plan: CuttingPlan) -> str:
    alike = sum(other.spool == one.spool for other in plan.cuts)
    return f"spool {one.spool}" + (f" no. {one.number}" if alike > 1 else "")


def _tape(length: float, units: UnitSystem, toward: str) -> str:
    return show(length, Dimension.LENGTH, units, toward="high" if toward == "high" else "low", style="feet-inches")


def _pieces(one: Cut, units: UnitSystem) -> str:
    counted = Counter(one.pieces)
    # a piece may be cut longer than it need be, never shorter
    told = (
        f"{count} x {name} {_tape(length, units, 'high')}" if count > 1 else f"{name} {_tape(length, units, 'high')}"
        for (name, length), count in counted.items()
    )
    return " | ".join(told)


def _rest(one: Cut, asked: CutFile) -> str:
    rest = _tape(one.rest, asked.units, "low")
    return f"{rest}, back into stock" if one.rest >= asked.keep else rest


def _claim(plan: CuttingPlan, units: UnitSystem) -> str:
    waste = show(plan.waste, Dimension.LENGTH, units, toward="high")
    if plan.uncut:
        return f"waste {waste}; nothing is claimed of the least, since pieces are missing"
    if plan.proven:
        return f"waste {waste}; no cutting of these pieces off these spools wastes less (proven)"
    bound = show(plan.bound, Dimension.LENGTH, units, toward="low")
    return f"waste {waste}; not proven least: no cutting can waste less than {bound}"
