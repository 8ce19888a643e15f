"""`ropewright gear import` and `gear export`: gear from and to a spreadsheet's CSV file."""

from __future__ import annotations

from pathlib import Path

import click

from ropewright.cli.csv_doing import read_file, tell_fates, write_file
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.gear_add import in_force, rules_options
from ropewright.cli.options import json_option
from ropewright.cli.store_options import by_option, open_store, who

__all__ = ["export_gear", "import_gear"]


@click.command(name="import", epilog='Example: ropewright gear import gear.csv --dry-run --by "A. Example"')
@click.argument("file", metavar="FILE.csv", type=click.Path(path_type=Path))
@click.option("--dry-run", is_flag=True, help="Say what becomes of each row, and write nothing.")
@rules_options
@by_option
@json_option
@click.pass_context
@shows_input_errors
def import_gear(
    ctx: click.Context,
    /,
    *,
    file: Path,
    dry_run: bool,
    rules: str,
    facts: tuple[str, ...],
    by: str | None,
    as_json: bool,
) -> None:
    """Read gear from a spreadsheet's CSV file: all rows in one write, or none if one is wrong.

    docs/crew.md lists the columns. Exit status 2 if a row is wrong, in a dry run too.
    """
    from ropewright.store.csv_fate import all_or_none
    from ropewright.store.day import today
    from ropewright.store.gear_csv import gear_fates

    author, content, intervals = who(by), read_file(file), in_force(rules, facts)
    record = open_store(ctx)
    fates, written = all_or_none(
        record, lambda view: gear_fates(content, view, by=author, today=today(), intervals=intervals), dry=dry_run
    )
    with record.read() as view:
        tell_fates(fates, written, view.head(), dry=dry_run, as_json=as_json)


@click.command(name="export", epilog="Example: ropewright gear export gear.csv")
@click.argument("file", metavar="FILE.csv", type=click.Path(path_type=Path))
@json_option
@click.pass_context
@shows_input_errors
def export_gear(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Write gear to a CSV file: how each piece stands, not its history; `gear import` reads it back."""
    from ropewright.store.gear_csv_out import gear_csv

    with open_store(ctx, create=False).read() as view:
        head, states = view.head(), view.states("gear")
    content, left_out = gear_csv(states, head)
    note = f"{left_out} cut up left out: their parts are there" if left_out else ""
    write_file(file, content, rows=len(states) - left_out, head=head, note=note, as_json=as_json)
