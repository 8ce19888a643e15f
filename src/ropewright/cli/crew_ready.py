"""`ropewright crew missing`: what is missing before a person may be on a job."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ropewright.cli.crew_people import code_argument, read_person
from ropewright.cli.crew_text import as_json_text, head_json
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import json_option, units_option
from ropewright.cli.store_options import open_store
from ropewright.quantity import UnitSystem
from ropewright.store.crew_words import ROLES

if TYPE_CHECKING:
    from ropewright.job.crew_missing import Missing

__all__ = ["missing"]


@click.command(epilog="Example: ropewright crew missing P-07 --job examples/gable-house.toml")
@code_argument
@click.option("--job", "job_file", metavar="JOB.toml", type=click.Path(path_type=Path), help="The job it is asked for.")
@click.option("--rules", help="Rules pack; that of the job, or us-construction without one.")
@click.option(
    "--role", "roles", multiple=True, type=click.Choice(list(ROLES)), help="As what; as the job says, or authorised."
)
@units_option
@json_option
@click.pass_context
@shows_input_errors
def missing(
    ctx: click.Context,
    /,
    *,
    code: str,
    job_file: Path | None,
    rules: str | None,
    roles: tuple[str, ...],
    units: str,
    as_json: bool,
) -> None:
    """Say what is missing before a person may be on a job.

    Asks for training, certificate, skills, role, mass and harness size, each with its clause. Exit status: 0 nothing
    is missing, 1 something is.
    """
    from dataclasses import replace

    from ropewright.job import read_job
    from ropewright.job.crew_gear import with_gear
    from ropewright.job.crew_missing import Task, missing_of, task_of
    from ropewright.rules import load_pack
    from ropewright.store.crew_actions import known_person
    from ropewright.store.day import today
    from ropewright.store.gear_out import held_by

    job = read_job(job_file) if job_file else None
    pack = job.pack if job and not rules else load_pack(rules or "us-construction")
    with open_store(ctx, create=False).read() as view:
        state, head = known_person(view, read_person(code)), view.head()
        own = state.subject.partition("/")[2]
        task = task_of(job, own, str(state.body["name"])) if job else Task()
        task = with_gear(task, held_by(view, own))
    task = replace(task, roles=roles) if roles else task
    day = max(today(), job.date) if job and job.date else today()
    found = missing_of(state, pack, task, today=day, units=UnitSystem(units))
    if as_json:
        document = {
            "person": own,
            "name": state.body["name"],
            "rules": pack.id,
            "roles": list(task.roles),
            "job": job.name if job else None,
            "day": day.isoformat(),
            "ready": not found,
            "missing": [
                {"what": one.what, "text": one.text, "mend": one.mend, "source": str(one.source)} for one in found
            ],
            "head": head_json(head),
            "caution": CAUTION,
        }
        click.echo(as_json_text(document))
    else:
        title = f"{own} {state.body['name']}, as {' and '.join(task.roles)}, on {day} ({pack.title})"
        click.echo("\n".join(_lines(title, found)))
    sys.exit(1 if found else 0)


def _lines(title: str, found: tuple[Missing, ...]) -> Iterator[str]:
    from textwrap import wrap

    yield from wrap(title, 80)
    if not found:
        yield "nothing that this record and these rules ask for is missing"
    for number, one in enumerate(found, 1):
        yield from wrap(f"{number:>3}. {one.text}", 80, subsequent_indent="     ")
        yield from wrap(f"     mend: {one.mend}", 80, subsequent_indent="       ")
        yield from wrap(f"     {one.source}", 80, subsequent_indent="       ")
    yield from wrap(CAUTION, 80)
