"""`ropewright crew show`, `list` and `words`: what is known of people, and the words that are used."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import click

from ropewright.cli.crew_people import code_argument, read_person
from ropewright.cli.crew_text import as_json_text, head_json, head_line, people_lines, person_json, person_lines
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import json_option, units_option
from ropewright.cli.store_options import open_store
from ropewright.quantity import UnitSystem

__all__ = ["list_crew", "show", "words"]


@click.command(epilog="Example: ropewright crew show P-07")
@code_argument
@units_option
@json_option
@click.pass_context
@shows_input_errors
def show(ctx: click.Context, /, *, code: str, units: str, as_json: bool) -> None:
    """Show one person: roles, training, skills, what is open, and who said so."""
    from ropewright.store.crew_actions import known_person

    with open_store(ctx, create=False).read() as view:
        state, head = known_person(view, read_person(code)), view.head()
        history = list(view.entries(subject=state.subject))
    if as_json:
        told = [
            {"number": one.number, "at": one.at, "kind": one.kind, "by": one.by, "hash": one.hash} for one in history
        ]
        click.echo(as_json_text({"person": person_json(state), "history": told, "head": head_json(head)}))
        return
    click.echo("\n".join(person_lines(state, UnitSystem(units))))
    click.echo(f"{len(history)} entries, the last {history[-1].number} by {history[-1].by}")
    click.echo(head_line(head))


@click.command(name="list", epilog="Example: ropewright crew list --standing 'to train anew'")
@click.option("--standing", help="Only those of one standing: 'on the crew', 'to train anew' or 'left'.")
@click.option("--search", metavar="TEXT", help="Only those with this text in code, name or role.")
@units_option
@json_option
@click.pass_context
@shows_input_errors
def list_crew(ctx: click.Context, /, *, standing: str | None, search: str | None, units: str, as_json: bool) -> None:
    """List people with their standing; those who left too."""
    from ropewright.store.crew_state import LEFT, ON_CREW, TO_TRAIN
    from ropewright.store.crew_words import read_word

    wanted = None if standing is None else read_word(standing, (ON_CREW, TO_TRAIN, LEFT), "--standing")
    with open_store(ctx, create=False).read() as view:
        states = view.states("crew", standing=wanted, search=search.lower() if search else None)
        head = view.head()
    if as_json:
        click.echo(as_json_text({"people": [person_json(state) for state in states], "head": head_json(head)}))
        return
    click.echo("\n".join(people_lines(states, UnitSystem(units))) if states else "nobody")
    click.echo(head_line(head))


@click.command(epilog="Example: ropewright crew words")
@json_option
def words(*, as_json: bool) -> None:
    """List the topics, systems, skills, triggers and roles that can be named, with what they mean."""
    from ropewright.store.crew_words import ROLES, skills, systems, topics, triggers

    lists: dict[str, dict[str, str]] = {
        "topics": {key: word.text for key, word in topics().items()},
        "systems": {key: word.text for key, word in systems().items()},
        "skills": {key: word.text for key, word in skills().items()},
        "triggers": {key: word.text for key, word in triggers().items()},
        "roles": dict(ROLES),
    }
    click.echo(as_json_text(lists) if as_json else "\n".join(_word_lines(lists)))


def _word_lines(lists: dict[str, dict[str, Any]]) -> Iterator[str]:
    from textwrap import wrap

    for title, rows in lists.items():
        yield title
        for key, text in rows.items():
            first, *rest = wrap(text, 58)
            yield f"  {key:<18}{first}"
            yield from (" " * 20 + line for line in rest)
