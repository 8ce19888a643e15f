"""A piece of gear and its entries in words, for the pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.store.entry import Entry
    from ropewright.store.gear_piece import Piece

__all__ = ["Told", "entry_words", "told_words"]

_SHOWN: Mapping[str, Dimension] = {"length": Dimension.LENGTH, "force": Dimension.FORCE, "mass": Dimension.MASS}
#: By these a piece is known at a glance.
_BRIEF = ("fibre", "construction", "diameter_m", "length_m", "model", "size", "place", "note")


@dataclass(frozen=True, slots=True)
class Told:
    """Something that was told: what it is about, and what was said."""

    label: str
    value: str
    who: str = ""
    day: str = ""
    number: int = 0
    photos: tuple[str, ...] = ()


def told_words(piece: Piece, units: UnitSystem, *, brief: bool = False) -> tuple[Told, ...]:
    """Fields of a piece, in the units of whoever looks.

    Parameters
    ----------
    piece : Piece
    units : UnitSystem
    brief : bool
        Only those by which it is known at a glance.
    """
    from ropewright.store.gear_fields import gear_fields

    if brief and piece.kind.name == "kit":
        return (Told("parts", ", ".join(piece.body["parts"])),)
    found = []
    for key, field in gear_fields().items():
        value = piece.told.get(key)
        if value is None or (brief and key not in _BRIEF):
            continue
        label = field.option.removeprefix("--").replace("-", " ")
        if field.type in _SHOWN:
            text = show(value, _SHOWN[field.type], units, toward="low")
        elif isinstance(value, bool):
            text = "yes" if value else "no"
        elif field.type == "hours":
            text = f"{value / 3600:.0f} h"
        else:
            text = str(value)
        found.append(Told(label, text))
    return tuple(found)


def entry_words(entry: Entry, tag: str) -> Told:
    """One entry of a history in a line: what happened, and what was said of it."""
    body: Mapping[str, Any] = entry.body
    whose = entry.subject.partition("/")[2]
    parts = [] if whose == tag else [whose]
    if "to" in body:
        parts.append(f"to {body['to']} for {body['job']}")
    for key, word in (("kit", "kit"), ("part", "part"), ("who", "by"), ("termination", "end")):
        if body.get(key):
            parts.append(f"{word} {body[key]}")
    answers = body.get("answers") or ()
    faults = [_with_note(row) for row in answers if row["answer"] == "fault"]
    if faults:
        parts.append("fault at " + ", ".join(faults))
    if body.get("missing"):
        parts.append("not answered: " + ", ".join(body["missing"]))
    if "set" in body:
        parts.append(
            ", ".join(
                f"{key} {'not told' if body['was'].get(key) is None else body['was'][key]} -> {value}"
                for key, value in body["set"].items()
            )
        )
    parts += [str(body[key]) for key in ("why", "finding", "note", "wear") if body.get(key)]
    photos = tuple(row["photo"] for row in answers if row.get("photo"))
    return Told(
        entry.kind.partition(".")[2],
        "; ".join(parts),
        entry.by,
        str(body.get("day", entry.at[:10])),
        entry.number,
        photos,
    )


def _with_note(row: Mapping[str, Any]) -> str:
    return f"{row['point']} ({row['note']})" if row.get("note") else str(row["point"])
