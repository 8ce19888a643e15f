"""The options --svg and --pdf of commands that draw, and writing what they ask for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from ropewright.errors import FileError
from ropewright.quantity import UnitSystem

__all__ = ["drawing_options", "write_drawing"]


def drawing_options(what: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Add --svg and --pdf to a command.

    Parameters
    ----------
    what : str
        What is drawn, to follow ``File for``.
    """

    def added(command: Callable[..., Any]) -> Callable[..., Any]:
        pdf = click.option("--pdf", type=click.Path(path_type=Path), help=f"File for {what}, on paper.")
        svg = click.option("--svg", type=click.Path(path_type=Path), help=f"File for {what}.")
        return svg(pdf(command))

    return added


def write_drawing(
    draw: Callable[[], str],
    title: str,
    units: UnitSystem,
    *,
    svg: Path | None,
    pdf: Path | None,
    pages: Callable[[], Sequence[str]] | None = None,
) -> None:
    """Draw and write what was asked for; nothing is drawn where nothing was.

    Parameters
    ----------
    draw : callable
        Gives the SVG document.
    title : str
        Of the paper.
    units : UnitSystem
        Of the paper's size.
    svg, pdf : Path, optional
        Files to write.
    pages : callable, optional
        Gives the drawings for paper, one a page, where they are not the one drawing.

    Raises
    ------
    FileError
        If a file can't be written.
    """
    if svg is None and pdf is None:
        return
    from ropewright.sheets.writing import write_bytes_atomic

    made: dict[str, tuple[Path, bytes]] = {}
    if svg is not None:
        made["--svg"] = svg, draw().encode("utf-8")
    if pdf is not None:
        from ropewright.sheets.drawing_pdf import drawing_pdf

        made["--pdf"] = pdf, drawing_pdf(pages() if pages else [draw()], title, units)
    for option, (path, content) in made.items():
        try:
            write_bytes_atomic(path, content)
        except OSError as error:
            raise FileError(option, str(path), f"give a file that can be written ({error.strerror})") from error
