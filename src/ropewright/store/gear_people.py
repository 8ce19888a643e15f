"""Who is competent, as the crew's record says or as somebody says so."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.store.crew_state import LEFT
from ropewright.store.crew_words import read_line
from ropewright.store.entry import JsonValue, State
from ropewright.store.gear_words import tag_of
from ropewright.store.reading import View

__all__ = ["competence", "names_of"]


def competence(view: View, name: str, grounds: str) -> dict[str, JsonValue] | None:
    """What makes a person a competent one; None if nothing does.

    Parameters
    ----------
    view : View
    name : str
        Name or code of the person.
    grounds : str
        Said so explicitly; the crew's record goes before it, unless it has the role without grounds, which counts as
        lacking it.

    Returns
    -------
    dict or None
        ``how`` is ``crew record`` (with the ``person``'s code) or ``said so``, with the ``grounds``.
    """
    for state in _known_as(view, name):
        roles = state.body.get("roles")
        on_record = _grounds(roles.get("competent")) if isinstance(roles, dict) else ""
        if state.standing != LEFT and on_record:
            return {"how": "crew record", "person": tag_of(state.subject), "grounds": on_record}
    said = read_line(grounds, "competent")
    return {"how": "said so", "grounds": said} if said else None


def names_of(view: View, person: str) -> frozenset[str]:
    """All that a person goes by, in small letters: as given, and code and name of the crew's record.

    Gear may have been issued to the one and a fall be told of the other.
    """
    found = {person.strip().casefold()}
    for state in _known_as(view, person):
        found |= {tag_of(state.subject).casefold(), str(state.body.get("name", "")).casefold()}
    return frozenset(found - {""})


def _known_as(view: View, person: str) -> Iterator[State]:
    """People of the crew's record with this code or name."""
    wanted = person.strip().casefold()
    for state in view.states("crew", search=wanted):
        if wanted in (tag_of(state.subject).casefold(), str(state.body.get("name", "")).casefold()):
            yield state


def _grounds(grant: JsonValue | None) -> str:
    return str(grant.get("grounds", "")) if isinstance(grant, dict) else ""
