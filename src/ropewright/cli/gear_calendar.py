"""`ropewright gear calendar`: what is due, for the calendar that people look at anyway."""

from __future__ import annotations

from pathlib import Path

import click

from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import json_option
from ropewright.cli.store_options import open_store
from ropewright.errors import FileError, InputError

__all__ = ["calendar"]


@click.command(epilog="Example: ropewright gear calendar due.ics")
@click.argument("file", metavar="FILE.ics", type=click.Path(path_type=Path))
@json_option
@click.pass_context
@shows_input_errors
def calendar(ctx: click.Context, /, *, file: Path, as_json: bool) -> None:
    """Write what is due of gear and people as a calendar file (iCalendar), one all-day event for each thing.

    Reading a newer file moves the events: each keeps its mark. People stand in it by their codes alone.
    """
    from ropewright.sheets.due_calendar import calendar_bytes
    from ropewright.sheets.writing import write_bytes_atomic

    with open_store(ctx, create=False).read() as view:
        head = view.head()
        first = next(view.entries(limit=1), None)
        if first is None:
            raise InputError("--store", 0, "the record is empty, so there is nothing to tell: add gear first")
        last = next(view.entries(after=head.count - 1))
        made = calendar_bytes(view.states("gear"), view.states("crew"), first, last)
    try:
        write_bytes_atomic(file, made)
    except OSError as error:
        raise FileError("FILE.ics", str(file), f"give a file that can be written ({error.strerror})") from error
    events = made.count(b"BEGIN:VEVENT")
    if as_json:
        click.echo(as_json_text({"file": str(file), "events": events, "head": head_json(head)}))
    else:
        click.echo(f"{events} events in {file}, from {head.count} entries, {head.hash}")
