"""What follows for a piece of gear from all entries about it.

Kinds of entries are the rows of ``data/gear_steps.csv``; each holds the ``day`` on which it happened where it happened.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ropewright.store.entry import Entry, State
from ropewright.store.gear_due import asks, dues
from ropewright.store.gear_steps import standing_after
from ropewright.store.gear_words import FAMILY, QUARANTINED, gear_kinds, tag_of

__all__ = ["finish", "fold", "whole_body"]

_Body = dict[str, Any]
_Effect = Callable[[_Body, Entry], None]

#: What of its fields a search looks in.
_SEARCHED = ("maker", "model", "serial", "standard", "size", "fibre", "construction", "place", "batch", "note")


def fold(state: State | None, entry: Entry) -> State:
    """State of a piece of gear after one more entry.

    Parameters
    ----------
    state : State or None
        Before it; None for the first.
    entry : Entry
        Of the family ``gear``.

    Returns
    -------
    State
        `due` is the first day by which something must be done.

    Raises
    ------
    ValueError
        If such an entry can't follow; whoever wrote it should have looked.
    """
    return finish(step(state, entry))


def step(state: State | None, entry: Entry) -> State:
    """State as `fold`, without what follows from the rest of it: that is worked out once, after many entries."""
    before = state.standing if state else ""
    kind = entry.kind.removeprefix(f"{FAMILY}.")
    after = standing_after(entry.kind, before)
    if kind == "cut-from":  # a piece stands as the rope stood that it was cut from
        after = str(entry.body["standing"]) if state is None else None
    if after is None:
        raise ValueError(f"{entry.kind} can't follow for {entry.subject}, which is {before or 'not known'}")
    body = whole_body(state.body if state else {})
    if kind in _EFFECTS:
        _EFFECTS[kind](body, entry)
    if after != QUARANTINED:
        body["quarantine"] = None
    return State(entry.subject, after, None, "", body, entry.number)


def finish(state: State) -> State:
    """State with what is due, what is asked and what a search looks in."""
    return _state(state.subject, state.standing, dict(state.body), state.number)


def whole_body(body: Mapping[str, Any]) -> _Body:
    """Body of a state with what it leaves out: what never happened and nobody told is not kept, so that it is short."""
    return {**_empty(), **body}


def _empty() -> _Body:
    return {
        "kind": "",
        "told": {},
        "received": "",
        "first_use": None,
        "holder": None,
        "job": None,
        "out_since": None,
        "kit": None,
        "parts": [],
        "uses": None,
        "sun_s": None,
        "days_out": 0,
        "catches": None,
        "wear": None,
        "found": [],
        "inspected": None,
        "passed": None,
        "examined": None,
        "checked": None,
        "washed": None,
        "intervals": None,
        "quarantine": None,
        "fallen": False,
        "reuse": None,
        "override": None,
        "ended": None,
        "cut_from": None,
        "pieces": [],
    }


def _state(subject: str, standing: str, body: _Body, number: int) -> State:
    kind = gear_kinds()[body["kind"]]
    due = dues(kind, body, standing)
    asked = asks(kind, body, standing)
    told = [str(body["told"][key]) for key in _SEARCHED if body["told"].get(key)]
    place = [f"with:{body['holder']}" if body["holder"] else "", f"kit:{body['kit']}" if body["kit"] else ""]
    questions = ["to-ask"] if asked else []
    words = " ".join(filter(None, (tag_of(subject), kind.name, *told, *place, body["job"], *questions))).lower()
    empty = _empty()
    kept = {key: value for key, value in body.items() if key == "told" or value != empty.get(key)}
    return State(subject, standing, due[0]["day"] if due else None, words, kept | {"due": due, "asks": asked}, number)


def _note(entry: Entry, **more: Any) -> _Body:
    """When, who and which entry, as a state remembers what happened."""
    return {"day": entry.body["day"], "by": entry.by, "number": entry.number, **more}


def _received(body: _Body, entry: Entry) -> None:
    told = dict(entry.body["told"])  # type: ignore[arg-type]
    is_new = told.get("wear") == "new"
    history = {key: told.pop(key, 0 if is_new else None) for key in ("uses", "sun_s", "catches")}
    body |= {"kind": entry.body["kind"], "received": entry.body["day"], "wear": told.pop("wear", None), **history}
    body |= {"told": told, "first_use": told.get("first_use"), "fallen": bool(history["catches"])}


def _cut_from(body: _Body, entry: Entry) -> None:
    """Take over all that the rope had been through; its ends and its length are its own."""
    body.update(entry.body["inherits"])  # type: ignore[arg-type]
    told = {key: value for key, value in body["told"].items() if key not in ("end_1", "end_2", "length_m")}
    body |= {"told": told | {"length_m": entry.body["length_m"]}, "cut_from": entry.body["parent"], "pieces": []}
    body |= {"kit": None, "holder": None, "job": None, "out_since": None}


def _intervals_set(body: _Body, entry: Entry) -> None:
    told: Mapping[str, Any] = entry.body["intervals"]  # type: ignore[assignment]
    rows = {key: told[key] for key in ("inspect", "before_use")}
    short = {key: [{name: row[name] for name in row if name != "note"} for row in found] for key, found in rows.items()}
    body["intervals"] = {"pack": told["pack"], **short}  # the edition and the words stay in the entry


def _started(body: _Body, entry: Entry) -> None:
    body["first_use"] = body["first_use"] or entry.body["day"]


def _overridden(body: _Body, entry: Entry) -> None:
    body["override"] = _note(entry, who=entry.body["who"], why=entry.body["why"])


def _issued(body: _Body, entry: Entry) -> None:
    _started(body, entry)
    body |= {"holder": entry.body["to"], "job": entry.body["job"], "out_since": entry.body["day"]}


def _returned(body: _Body, entry: Entry) -> None:
    uses, sun = entry.body["uses"], entry.body["sun_s"]
    body["uses"] = None if body["uses"] is None else body["uses"] + uses
    if sun is None:  # nobody told: all the time it was out counts as outdoors
        body["days_out"] += entry.body["days_out"]
    else:
        body["sun_s"] = None if body["sun_s"] is None else body["sun_s"] + sun
    if body["wear"] == "new" and (uses or sun != 0):  # what lay outdoors is new no more, though nobody used it
        body["wear"] = "good"
    body |= {"holder": None, "job": None, "out_since": None, "override": None}


def _checked(body: _Body, entry: Entry) -> None:
    body["checked"] = _note(entry, ok=entry.body["ok"])


def _inspected(body: _Body, entry: Entry) -> None:
    passed, wear = entry.body["passed"], entry.body["wear"]
    body["inspected"] = _note(entry, passed=passed)
    body["found"] = [*dict.fromkeys([*body["found"], *entry.body["found"]])]  # type: ignore[misc]
    if not passed:
        body["wear"] = "worn" if wear == "worn" else body["wear"]
        return
    body["passed"] = _later(body["passed"], _note(entry))
    if entry.body["competent"]:  # what the rules ask for: a competent person examined it
        body["examined"] = _later(body["examined"], _note(entry))
    # without a grade from the inspector a worn rope stays worn, and one of unknown history becomes one in use
    body["wear"] = wear or body["wear"] or "good"


def _later(last: _Body | None, new: _Body) -> _Body:
    """Return the later of two looks; one told late does not undo a later one."""
    return new if last is None or last["day"] <= new["day"] else last


def _washed(body: _Body, entry: Entry) -> None:
    body["washed"] = _note(entry)


def _re_ended(body: _Body, entry: Entry) -> None:
    end = f"end_{entry.body['end']}"
    length = {} if entry.body["length_m"] is None else {"length_m": entry.body["length_m"]}
    body["told"] = body["told"] | {end: entry.body["termination"], **length}


def _cut(body: _Body, entry: Entry) -> None:
    body["pieces"] = [*body["pieces"], *entry.body["pieces"]]  # type: ignore[misc]
    tags = ", ".join(str(piece["tag"]) for piece in body["pieces"])
    body |= {"ended": _note(entry, why=f"its pieces are {tags}"), "holder": None, "job": None}


def _cut_off(body: _Body, entry: Entry) -> None:
    """What keeps the tag has new ends, as far as anybody knows."""
    body["pieces"] = [*body["pieces"], *entry.body["pieces"]]  # type: ignore[misc]
    told = {key: value for key, value in body["told"].items() if key not in ("end_1", "end_2")}
    body["told"] = told | {"length_m": entry.body["kept_m"]}


def _fell(body: _Body, entry: Entry) -> None:
    body["catches"] = (body["catches"] or 0) + 1
    body["fallen"] = True
    _hold(body, entry, f"took a fall on {entry.body['day']}")


def _quarantined(body: _Body, entry: Entry) -> None:
    _hold(body, entry, str(entry.body["why"]))


def _hold(body: _Body, entry: Entry, why: str) -> None:
    held = body["quarantine"]
    if held is None:
        body["quarantine"] = {"since": entry.body["day"], "why": why, "number": entry.number}
    else:
        body["quarantine"] = held | {"why": f"{held['why']}; {why}"}


def _released(body: _Body, entry: Entry) -> None:
    if body["fallen"]:
        body["reuse"] = _note(entry, signed=entry.body["signed"], finding=entry.body["finding"])
    body |= {"fallen": False, "found": [], "holder": None, "job": None, "out_since": None, "override": None}


def _retired(body: _Body, entry: Entry) -> None:
    body["ended"] = _note(entry, why=entry.body["why"])


def _put_in(body: _Body, entry: Entry) -> None:
    if "part" in entry.body:
        body["parts"] = [*body["parts"], entry.body["part"]]
    else:
        body["kit"] = entry.body["kit"]


def _taken_out(body: _Body, entry: Entry) -> None:
    if "part" in entry.body:
        body["parts"] = [part for part in body["parts"] if part != entry.body["part"]]
    else:
        body["kit"] = None


def _corrected(body: _Body, entry: Entry) -> None:
    """Set what was told anew; an empty value takes it back."""
    changes: Mapping[str, Any] = entry.body["set"]  # type: ignore[assignment]
    was = body["catches"]
    counts = {key: value for key, value in changes.items() if key in ("uses", "sun_s", "catches", "wear")}
    told = body["told"] | {key: value for key, value in changes.items() if key not in counts}
    body |= {"told": {key: value for key, value in told.items() if value is not None}, **counts}
    if (changes.get("catches") or 0) > (was or 0):
        body["fallen"] = True
    if "first_use" in changes:
        body["first_use"] = changes["first_use"]


_EFFECTS: Mapping[str, _Effect] = {
    "received": _received,
    "cut-from": _cut_from,
    "intervals-set": _intervals_set,
    "started": _started,
    "overridden": _overridden,
    "issued": _issued,
    "returned": _returned,
    "checked": _checked,
    "inspected": _inspected,
    "washed": _washed,
    "re-ended": _re_ended,
    "cut": _cut,
    "cut-off": _cut_off,
    "fell": _fell,
    "quarantined": _quarantined,
    "released": _released,
    "retired": _retired,
    "destroyed": _retired,
    "put-in": _put_in,
    "taken-out": _taken_out,
    "corrected": _corrected,
}
