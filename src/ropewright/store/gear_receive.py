"""Taking gear into the record, and correcting what the record says of it: decisions, no writing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_words import read_line
from ropewright.store.entry import Draft
from ropewright.store.gear_fields import fields_of, future_days, out_of_order
from ropewright.store.gear_piece import Act, Piece
from ropewright.store.gear_words import ENDED, GearKind, next_tag, read_tag, subject_of
from ropewright.store.reading import View

__all__ = ["correction", "intervals_set", "new_piece"]

#: Particulars without which a piece can be kept; nothing told of these is worse, and is asked for.
_COUNTS = ("uses", "sun_s", "catches", "wear")
#: Why a piece that caught a fall unknown to the record is not in service (29 CFR 1926.502(d)(19)).
_CAUGHT = "it is told to have caught a fall"


def new_piece(
    view: View,
    kind: GearKind,
    tag: str | None,
    told: Mapping[str, Any],
    act: Act,
    *,
    intervals: Mapping[str, Any] | None = None,
    taken: frozenset[str] = frozenset(),
) -> list[Draft]:
    """Entries that take a piece in.

    Parameters
    ----------
    view : View
    kind : GearKind
    tag : str or None
        None: the next free code of its kind.
    told : mapping
        As `gear_fields.read_told` gives it.
    act : Act
    intervals : mapping, optional
        Intervals of inspection in force, as `gear_actions.receive` takes them.
    taken : frozenset of str
        Codes given out in the same write.

    Raises
    ------
    InputError, InputErrors
        If the code is taken or something told can't be.
    """
    code = next_tag(view, kind, taken) if tag is None else read_tag(tag, "tag")
    faults = future_days({key: told[key] for key in told if key != "made"}, act.today, {})
    if code in taken or view.state(subject_of(code)) is not None:
        free = next_tag(view, kind, taken)
        faults.append(InputError("tag", tag, f"this code is taken, and no code is used twice; {free} is free"))
    if told.get("made", "") > act.day.isoformat():
        faults.append(InputError("made", told["made"], f"nothing comes in before it was made; it came on {act.day}"))
    faults += _contradictions(told)
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{code}: {len(faults)} faults", faults)
    drafts = [act.draft("received", code, kind=kind.name, told=dict(told))]
    if intervals is not None and kind.in_chain:
        drafts.append(intervals_set(code, intervals, act))
    if told.get("catches"):
        drafts.append(act.draft("quarantined", code, why=_CAUGHT))
    return drafts


def _contradictions(told: Mapping[str, Any]) -> list[InputError]:
    """What can't be true of something new."""
    if told.get("wear") != "new":
        return []
    used = [key for key in ("uses", "sun_s", "catches", "first_use") if told.get(key)]
    return [InputError("wear", "new", f"it was used: {', '.join(used)} told; give good or worn")] if used else []


def intervals_set(tag: str, intervals: Mapping[str, Any], act: Act) -> Draft:
    """Entry that says which intervals of inspection are in force for a piece from now on."""
    return act.draft("intervals-set", tag, intervals=dict(intervals))


def correction(piece: Piece, changes: Mapping[str, Any], reason: str, act: Act) -> list[Draft]:
    """Entry that sets what was told of a piece anew; what was written stays in the ledger.

    Parameters
    ----------
    piece : Piece
    changes : mapping
        Field to its new value as the record keeps it; None takes back what was told.
    reason : str
    act : Act

    Raises
    ------
    InputError
        If nothing is changed, no reason is given, or it can't be so.
    """
    piece.may("corrected")
    if not changes:
        raise InputError("set", None, "say what to correct, such as --set made=2024-05")
    why = read_line(reason, "reason", needed="say how the mistake was seen, or what was wrong")
    known = {field.key for field in fields_of(piece.kind)}
    for key in changes:
        if key not in known:
            raise InputError("set", key, f"a {piece.kind.name} has no such field; it has {', '.join(sorted(known))}")
    after = {key: value for key, value in {**piece.told, **changes}.items() if value is not None}
    for fault in (*future_days(after, act.today, {}), *out_of_order(after, {})):
        raise fault
    was = {key: piece.body[key] if key in _COUNTS else piece.told.get(key) for key in changes}
    drafts = [act.draft("corrected", piece.tag, set=dict(changes), was=was, why=why)]
    if (changes.get("catches") or 0) > (was.get("catches") or 0) and piece.standing not in ENDED:
        drafts.append(act.draft("quarantined", piece.tag, why=_CAUGHT))
    return drafts
