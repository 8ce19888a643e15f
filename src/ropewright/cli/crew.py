"""`ropewright crew`: who may be on rope; each command's module is imported when it is called."""

from __future__ import annotations

import click

from ropewright.cli.lazy import LazyGroup

__all__ = ["crew"]

#: Command -> module in `ropewright.cli`, function, line in the list.
_TABLE = {
    "add": ("crew_people", "add", "Take a person into the record."),
    "change": ("crew_people", "change", "Bring mass, harness size or name up to date."),
    "role": ("crew_people", "role", "Say on what grounds a person holds a role."),
    "train": ("crew_training", "train", "Record a training with its certificate."),
    "sign-off": ("crew_training", "sign_off", "Record that a skill was seen, or not yet."),
    "trigger": ("crew_training", "trigger", "Record why a person must be trained anew."),
    "withdraw": ("crew_training", "withdraw", "Say that an entry was wrong; it stays and counts no more."),
    "show": ("crew_show", "show", "Show one person: roles, training, skills, what is open."),
    "list": ("crew_show", "list_crew", "List people."),
    "missing": ("crew_ready", "missing", "Say what is missing before a person may be on a job."),
    "leave": ("crew_people", "leave", "Record that a person left."),
    "return": ("crew_people", "return_person", "Record that a person came back."),
    "words": ("crew_show", "words", "List topics, systems, skills, triggers and roles."),
    "import": ("crew_csv", "import_crew", "Read people from a spreadsheet's CSV file, all rows or none."),
    "export": ("crew_csv", "export_crew", "Write people to a CSV file."),
}


@click.group(
    cls=LazyGroup,
    table={name: (f"ropewright.cli.{module}", function, line) for name, (module, function, line) in _TABLE.items()},
    epilog='Example: ropewright crew add P-07 --name "A. Example" --with-tools "95 kg" --by "B. Example"',
)
def crew() -> None:
    """Keep the record of people: mass, training, skills, and what is missing before a job."""
