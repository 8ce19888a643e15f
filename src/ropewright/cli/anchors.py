"""`ropewright anchors`: where anchors must go, as few as hold everybody, with the proof."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import OptionReader, WholeNumber, json_option, positive, quantity_option
from ropewright.cli.plan import shows_progress
from ropewright.errors import FileError, InputError
from ropewright.quantity import Dimension, parse_quantity

if TYPE_CHECKING:
    from ropewright.job.layout_model import Layout, Wanted

__all__ = ["anchors"]


@click.command(epilog="Example: ropewright anchors examples/gable-house.toml --svg anchors.svg")
@click.argument("job_file", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.option("--keep/--from-none", default=True, show_default=True, help="Keep the job's anchors at no cost, or not.")
@click.option("--max", "most", type=WholeNumber(0, 1000), metavar="N", help="Best cover with N new anchors.")
@quantity_option("--spacing", "Between places for anchors along a line, instead of the job's.", metavar="LENGTH")
@quantity_option("--places", "Between the places to cover, instead of the job's.", metavar="LENGTH")
@quantity_option("--share", "Least share of draws in which all must hold, such as 0.99 or '99 %'.", metavar="SHARE")
@click.option("--draws", type=WholeNumber(16, 65536), default=1024, show_default=True, help="Draws for --share.")
@click.option(
    "--seconds", type=click.FloatRange(0.1, 3600), default=60, show_default=True, help="Time for each program solved."
)
@click.option("--svg", "svg_file", type=click.Path(path_type=Path), help="Draw the layout into this file.")
@click.option("--pdf", "pdf_file", type=click.Path(path_type=Path), help="The same on paper, into this file.")
@click.option("--write", "job_out", type=click.Path(path_type=Path), help="Write a job file with these anchors.")
@click.option("--force", is_flag=True, help="Write over files that are there.")
@json_option
@shows_input_errors
def anchors(
    job_file: Path,
    svg_file: Path | None,
    pdf_file: Path | None,
    job_out: Path | None,
    *,
    force: bool,
    as_json: bool,
    **told: Any,
) -> None:
    """Say where anchors must go: as few as hold everybody in every place of their work, with the proof.

    Exit status: 0 every place is covered and holds, 1 not, or something must be asked, 2 the input can't be used.
    """
    from ropewright.job.file import read_job_to_anchor
    from ropewright.job.layout import plan_anchors

    wanted = _wanted(told)
    for path, option in ((svg_file, "--svg"), (pdf_file, "--pdf"), (job_out, "--write")):
        _may_write(path, option, force=force)
    job = read_job_to_anchor(job_file)
    with shows_progress() as report:
        layout = plan_anchors(job, wanted, progress=report)
        written = _write(layout, svg_file, pdf_file, job_out)
        report("done", 1.0)
    click.echo(_json(layout) if as_json else _text(layout, written))
    sys.exit(0 if layout.holds else 1)


def _wanted(told: dict[str, Any]) -> Wanted:
    from ropewright.job.layout_model import Wanted

    read = OptionReader(told)
    wanted = Wanted(
        keep=told["keep"],
        most=told["most"],
        spacing=read.one("spacing", positive(Dimension.LENGTH), None),
        places=read.one("places", positive(Dimension.LENGTH), None),
        share=read.one("share", _share, None),
        draws=told["draws"],
        seconds=told["seconds"],
    )
    for name, least, most in (("spacing", 0.05, 50.0), ("places", 0.05, 50.0)):
        value = getattr(wanted, name)
        if value is not None and not least <= value <= most:
            read.refuse(name, f"give {least:g} m to {most:g} m", value=told[name])
    read.done("options")
    return wanted


def _share(text: str, field: str) -> float:
    value = parse_quantity(text, Dimension.RATIO, field)
    if not 0 < value <= 1:
        raise InputError(field, text, "give a share above 0 and up to 1, such as 0.99 or '99 %'")
    return value


def _may_write(path: Path | None, option: str, *, force: bool) -> None:
    if path is not None and path.exists() and not force:
        raise FileError(option, str(path), "this file is there; give another name, or --force to write over it")


def _write(layout: Layout, svg_file: Path | None, pdf_file: Path | None, job_out: Path | None) -> list[Path]:
    written: list[Path] = []
    if svg_file is not None:
        from ropewright.sheets.layout_map import write_layout_map

        written.append(_written("--svg", svg_file, lambda: write_layout_map(layout, svg_file)))
    if pdf_file is not None:
        from ropewright.sheets.layout_map import write_layout_pdf

        written.append(_written("--pdf", pdf_file, lambda: write_layout_pdf(layout, pdf_file)))
    if job_out is not None:
        from ropewright.sheets.layout_job import write_job_with

        written.append(_written("--write", job_out, lambda: write_job_with(layout, job_out)))
    return written


def _written(option: str, path: Path, write: Callable[[], Path]) -> Path:
    try:
        return write()
    except OSError as error:
        raise FileError(option, str(path), f"give a file that can be written ({error.strerror})") from error


def _json(layout: Layout) -> str:
    from ropewright.sheets.document import findings_text
    from ropewright.sheets.layout_document import layout_document

    return findings_text(layout_document(layout))


def _text(layout: Layout, written: list[Path]) -> str:
    from ropewright.sheets.layout_text import layout_text

    return layout_text(layout, written)
