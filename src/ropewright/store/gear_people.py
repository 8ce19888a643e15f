"""Who is competent, as the crew's record says or as somebody says so."""

from __future__ import annotations

from ropewright.store.crew_words import read_line
from ropewright.store.entry import JsonValue
from ropewright.store.reading import View

__all__ = ["competence"]


def competence(view: View, name: str, grounds: str) -> dict[str, JsonValue] | None:
    """What makes a person a competent one; None if nothing does.

    Parameters
    ----------
    view : View
    name : str
        Name or code of the person.
    grounds : str
        Said so explicitly; the crew's record goes before it.

    Returns
    -------
    dict or None
        ``how`` is ``crew record`` (with the ``person``'s code) or ``said so``, with the ``grounds``.
    """
    wanted = name.strip().casefold()
    for state in view.states("crew", search=wanted):
        code = state.subject.partition("/")[2]
        roles = state.body.get("roles")
        is_them = wanted in (code.casefold(), str(state.body.get("name", "")).casefold())
        if is_them and state.standing != "left" and isinstance(roles, dict) and "competent" in roles:
            return {"how": "crew record", "person": code, "grounds": _grounds(roles["competent"])}
    said = read_line(grounds, "competent")
    return {"how": "said so", "grounds": said} if said else None


def _grounds(grant: JsonValue) -> str:
    return str(grant.get("grounds", "")) if isinstance(grant, dict) else ""
