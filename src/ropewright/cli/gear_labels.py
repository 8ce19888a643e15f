"""`ropewright gear labels`: labels to scan, on a grid of plain paper."""

from __future__ import annotations

from pathlib import Path

import click

from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import WholeNumber, json_option, units_option
from ropewright.cli.store_options import open_store
from ropewright.errors import FileError, InputError
from ropewright.quantity import UnitSystem

__all__ = ["labels"]


@click.command(epilog="Example: ropewright gear labels labels.pdf R-001 H-003 --grid 8x3")
@click.argument("file", metavar="FILE.pdf", type=click.Path(path_type=Path))
@click.argument("tags", metavar="TAG...", nargs=-1)
@click.option("--all", "take_all", is_flag=True, help="Every piece that is not out of service for good.")
@click.option(
    "--grid", default="8x3", show_default=True, metavar="ROWSxCOLUMNS", help="Labels down and across a sheet."
)
@click.option("--paper", type=click.Choice(["a4", "us-letter"]), default="a4", show_default=True, help="Sheet size.")
@click.option(
    "--address",
    metavar="URL",
    help="Where the pages are served: a code then opens its piece's page; else it is the tag.",
)
@click.option("--skip", type=WholeNumber(0, 10_000), default=0, help="Places of the first sheet that were used before.")
@units_option
@json_option
@click.pass_context
@shows_input_errors
def labels(
    ctx: click.Context,
    /,
    *,
    file: Path,
    tags: tuple[str, ...],
    take_all: bool,
    grid: str,
    paper: str,
    address: str | None,
    skip: int,
    units: str,
    as_json: bool,
) -> None:
    """Print labels with a code to scan, the tag in large letters, and what the piece is."""
    from ropewright.sheets.tag_labels import code_text, read_base, read_grid, tag_labels_pdf
    from ropewright.sheets.writing import write_bytes_atomic
    from ropewright.store.gear_piece import Piece, known_pieces
    from ropewright.store.gear_words import ENDED

    if take_all == bool(tags):
        raise InputError("TAG", None, "name the pieces to label, or --all of them")
    sheet = read_grid(grid, paper, "--grid")
    base = None if address is None else read_base(address, "--address")
    with open_store(ctx, create=False).read() as view:
        head = view.head()
        kept = [Piece(state) for state in view.states("gear") if state.standing not in ENDED] if take_all else []
        pieces = kept if take_all else known_pieces(view, tags, "TAG")
    made = tag_labels_pdf(pieces, sheet, head, base=base, units=UnitSystem(units), skip=skip)
    try:
        write_bytes_atomic(file, made)
    except OSError as error:
        raise FileError("FILE.pdf", str(file), f"give a file that can be written ({error.strerror})") from error
    if as_json:
        told = [{"tag": piece.tag, "code": code_text(piece.tag, base)} for piece in pieces]
        click.echo(as_json_text({"file": str(file), "labels": told, "head": head_json(head)}))
    else:
        click.echo(f"{len(pieces)} labels in {file}, from {head.count} entries, {head.hash}")
