"""`ropewright crew import` and `crew export`: people from and to a spreadsheet's CSV file."""

from __future__ import annotations

from pathlib import Path

import click

from ropewright.cli.csv_doing import read_file, tell_fates, write_file
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import json_option
from ropewright.cli.store_options import by_option, open_store, who

__all__ = ["export_crew", "import_crew"]


@click.command(name="import", epilog='Example: ropewright crew import crew.csv --dry-run --by "B. Example"')
@click.argument("file", metavar="FILE.csv", type=click.Path(path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say what becomes of each row, and write nothing.")
@by_option
@json_option
@click.pass_context
@shows_input_errors
def import_crew(ctx: click.Context, /, *, file: Path, dry_run: bool, by: str | None, as_json: bool) -> None:
    """Read people from a spreadsheet's CSV file: all rows in one write, or none if one is wrong.

    docs/crew.md lists the columns. Exit status 2 if a row is wrong, in a dry run too.
    """
    from ropewright.store.crew_csv import crew_fates
    from ropewright.store.csv_fate import all_or_none
    from ropewright.store.day import today

    author, content, record = who(by), read_file(file), open_store(ctx)
    fates, written = all_or_none(record, lambda view: crew_fates(content, view, by=author, today=today()), dry=dry_run)
    with record.read() as view:
        tell_fates(fates, written, view.head(), dry=dry_run, as_json=as_json)


@click.command(name="export", epilog="Example: ropewright crew export crew.csv")
@click.argument("file", metavar="FILE.csv", type=click.Path(path_type=Path))
@json_option
@click.pass_context
@shows_input_errors
def export_crew(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Write people to a CSV file: all that counts of each, not its history; `crew import` reads it back."""
    from ropewright.store.crew_csv import crew_csv

    with open_store(ctx, create=False).read() as view:
        head, states = view.head(), view.states("crew")
    content = crew_csv(states, head)
    people = f"{len(states)} people"
    write_file(file, content, rows=content.count(b"\r\n") - 1, head=head, note=people, as_json=as_json)
