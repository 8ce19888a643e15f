"""What follows for a person from all entries about them.

Kinds of entries: ``crew.added``, ``crew.changed``, ``crew.role``, ``crew.trained``, ``crew.signed-off``,
``crew.triggered`` (must be trained anew), ``crew.left``, ``crew.returned`` and ``crew.withdrawn`` (an entry was wrong).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ropewright.store.entry import Entry, State

__all__ = ["LEFT", "ON_CREW", "TO_TRAIN", "crew_dues", "fold", "open_needs", "rows"]

#: Standings of a person.
ON_CREW, TO_TRAIN, LEFT = "on the crew", "to train anew", "left"

_Body = dict[str, Any]


def rows(body: Mapping[str, Any], key: str) -> list[dict[str, Any]]:
    """Rows of a list in a person's state, such as ``trainings``; each holds the number of its entry."""
    return [dict(row) for row in body.get(key, ())]


def fold(state: State | None, entry: Entry) -> State:
    """State of a person after one more entry.

    Parameters
    ----------
    state : State or None
        Before it; None for the first.
    entry : Entry
        Of the family ``crew``. What it says was checked before it was written.

    Returns
    -------
    State
        `due` is the first day by which something is to be done: an open need to train anew, or a training that ends.
    """
    body: _Body = dict(state.body) if state else _empty()
    step = _STEPS.get(entry.kind)
    if step is not None:
        step(body, entry)
    return _state(entry.subject, body, entry.number)


def _empty() -> _Body:
    return {
        "name": "",
        "mass_kg": None,
        "mass_with_tools_kg": None,
        "harness_size": "",
        "roles": {},
        "trainings": [],
        "sign_offs": [],
        "needs": [],
        "left": None,
    }


def _state(subject: str, body: _Body, number: int) -> State:
    standing = LEFT if body["left"] else TO_TRAIN if open_needs(body) else ON_CREW
    due = crew_dues(body)
    code = subject.partition("/")[2]
    words = " ".join((code, body["name"], body["harness_size"], *body["roles"])).lower()
    return State(subject, standing, due[0]["day"] if due else None, words, body, number)


def crew_dues(body: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Days by which something must be done about a person, the first first.

    Parameters
    ----------
    body : mapping
        Of their state.

    Returns
    -------
    list of dict
        ``what`` (``train``), ``day``, ``why`` and ``source``, as those of gear have it; none of those who left.
    """
    if body["left"]:
        return []
    anew = [
        _due(one["on"], f"to be trained anew: {one['trigger']}, entry {one['number']}", "") for one in open_needs(body)
    ]
    ends = [_due(one["expires"], f"training of {one['on']} ends", one["expires_by"]) for one in _ending(body)]
    return sorted((*anew, *ends), key=lambda row: (row["day"], row["why"]))


def _due(day: str, why: str, setter: str) -> dict[str, Any]:
    source = {"document": setter, "clause": "", "status": "user"} if setter else {}
    return {"what": "train", "day": day, "why": why, "source": source}


def open_needs(body: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Needs to train anew that no training has met."""
    return [need for need in rows(body, "needs") if need["answered_by"] is None]


def _ending(body: Mapping[str, Any]) -> list[_Body]:
    """Trainings that end, where no later one goes over the same ground."""
    found = []
    for one in rows(body, "trainings"):
        later = [other for other in body["trainings"] if (other["on"], other["number"]) > (one["on"], one["number"])]
        if one.get("expires") and not any(_covers(other, one) for other in later):
            found.append(one)
    return found


def _covers(later: Mapping[str, Any], earlier: Mapping[str, Any]) -> bool:
    return all(set(earlier[key]) <= set(later[key]) for key in ("topics", "systems"))


def _particulars(body: _Body, entry: Entry) -> None:
    told = {key: value for key, value in entry.body.items() if key in body}
    roles = told.pop("roles", None)
    body.update(told)
    if isinstance(roles, list):
        body["roles"] = {**body["roles"], **{str(role): _grant(entry, "") for role in roles}}


def _role(body: _Body, entry: Entry) -> None:
    role = str(entry.body["role"])
    if entry.body.get("held", True):
        body["roles"] = {**body["roles"], role: _grant(entry, str(entry.body.get("grounds", "")))}
    else:
        body["roles"] = {name: grant for name, grant in body["roles"].items() if name != role}


def _grant(entry: Entry, grounds: str) -> _Body:
    return {"by": entry.by, "grounds": grounds, "number": entry.number}


def _trained(body: _Body, entry: Entry) -> None:
    body["trainings"] = [*body["trainings"], {"number": entry.number, **entry.body}]
    answered = entry.body.get("answers", [])
    body["needs"] = [
        {**need, "answered_by": entry.number}
        if isinstance(answered, list) and need["number"] in answered and need["answered_by"] is None
        else need
        for need in rows(body, "needs")
    ]


def _signed_off(body: _Body, entry: Entry) -> None:
    body["sign_offs"] = [*body["sign_offs"], {"number": entry.number, **entry.body}]


def _triggered(body: _Body, entry: Entry) -> None:
    body["needs"] = [*body["needs"], {"number": entry.number, **entry.body, "answered_by": None}]


def _left(body: _Body, entry: Entry) -> None:
    body["left"] = entry.body["on"]


def _returned(body: _Body, entry: Entry) -> None:
    body["left"] = None
    if not entry.body.get("judged_by"):
        need = {"on": entry.body["on"], "trigger": "return", "note": "", "topics": [], "systems": []}
        body["needs"] = [*body["needs"], {"number": entry.number, **need, "answered_by": None}]


def _withdrawn(body: _Body, entry: Entry) -> None:
    """Take an entry that was wrong out of account; a need that it met is open again."""
    wrong = entry.body["entry"]
    for key in ("trainings", "sign_offs", "needs"):
        body[key] = [row for row in body[key] if row["number"] != wrong]
    body["needs"] = [
        {**need, "answered_by": None} if need["answered_by"] == wrong else need for need in rows(body, "needs")
    ]


_STEPS: Mapping[str, Callable[[_Body, Entry], None]] = {
    "crew.added": _particulars,
    "crew.changed": _particulars,
    "crew.role": _role,
    "crew.trained": _trained,
    "crew.signed-off": _signed_off,
    "crew.triggered": _triggered,
    "crew.left": _left,
    "crew.returned": _returned,
    "crew.withdrawn": _withdrawn,
}
