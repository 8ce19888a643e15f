"""`ropewright gear`: what happened to ropes and other gear; each command's module is imported when it is called."""

from __future__ import annotations

import click

from ropewright.cli.lazy import LazyGroup

__all__ = ["gear"]

#: Command -> module in `ropewright.cli`, function, line in the list.
_TABLE = {
    "add": ("gear_add", "add", "Take a piece of gear into the record."),
    "show": ("gear_show", "show", "Show one piece: standing, why, strength as it is, what is due, history."),
    "list": ("gear_list", "list_gear", "List gear, by kind, standing or words."),
    "due": ("gear_list", "due", "List what must be done soon, overdue first."),
    "points": ("gear_inspect", "points", "Print what an inspection looks at."),
    "inspect": ("gear_inspect", "inspect", "Record an inspection, point by point."),
    "check": ("gear_inspect", "check", "Record the user's look before use."),
    "start": ("gear_use", "start", "Put a piece into use."),
    "issue": ("gear_use", "issue", "Hand gear to a person for a job."),
    "return": ("gear_use", "return_gear", "Take gear back, with its use."),
    "wash": ("gear_work", "wash", "Record that a piece was washed."),
    "cut": ("gear_work", "cut", "Cut a rope in pieces, each with the history of the whole."),
    "re-end": ("gear_work", "re_end", "Record a new end on a rope."),
    "fall": ("gear_out", "fall", "Record a fall: all that was in the chain is quarantined at once."),
    "quarantine": ("gear_out", "quarantine", "Take a piece out of service till somebody decides."),
    "release": ("gear_out", "release", "Let a piece back out of quarantine, by a competent person."),
    "retire": ("gear_out", "retire", "Take a piece out of service for good."),
    "destroy": ("gear_out", "destroy", "Record that a piece was destroyed."),
    "correct": ("gear_work", "correct", "Correct what the record says of a piece, by a new entry."),
    "intervals": ("gear_work", "intervals", "Put the intervals of inspection of a rules pack in force."),
    "kit": ("gear_kit", "kit", "Keep a bag with its line, grab and lanyard as one thing to take."),
    "import": ("gear_csv", "import_gear", "Read gear from a spreadsheet's CSV file, all rows or none."),
    "export": ("gear_csv", "export_gear", "Write gear to a CSV file."),
    "calendar": ("gear_calendar", "calendar", "Write what is due as a calendar file."),
    "labels": ("gear_labels", "labels", "Print labels to scan."),
    "verify": ("gear_record", "verify", "Prove that no entry was altered, dropped or moved."),
    "head": ("gear_record", "head", "Say how many entries there are and the hash of the last."),
    "backup": ("gear_record", "backup", "Write a copy of the whole record."),
    "restore": ("gear_record", "restore", "Make the record anew from a backup."),
    "bundle": ("gear_record", "bundle", "Write a signed bundle that verifies on its own."),
    "open-bundle": ("gear_record", "open_bundle", "Verify a signed bundle and read it in."),
    "rebuild": ("gear_record", "rebuild", "Work out all states anew from the entries."),
}


@click.group(
    cls=LazyGroup,
    table={name: (f"ropewright.cli.{module}", function, line) for name, (module, function, line) in _TABLE.items()},
    epilog='Example: ropewright gear add rope --tag R-001 --fibre polyester --length "60 m" --by "A. Example"',
)
def gear() -> None:
    """Keep the record of ropes and other gear, from purchase to the bin."""
