"""What can be told of a piece of gear: its fields by kind, read from text into SI."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import Dimension, parse_quantity
from ropewright.store.crew_words import read_line
from ropewright.store.gear_days import read_life, read_made, read_span
from ropewright.store.gear_words import TABLES, GearKind

__all__ = ["Field", "fields_of", "future_days", "gear_fields", "out_of_order", "read_field", "read_told"]

#: Largest value that anything told can have, SI; beyond it something was mistyped.
_MOST = {"length": 5000.0, "force": 1e6, "mass": 1000.0, "count": 100_000.0, "hours": 100_000.0}


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that can be told of gear.

    Attributes
    ----------
    key : str
        Its name in the record, the SI unit as suffix.
    kinds : tuple of str
        Kinds of gear that have it; empty for all.
    type : str
        ``line``, ``length``, ``force``, ``day``, ...
    option, help : str
        How the command line names it, and what it is.
    """

    key: str
    kinds: tuple[str, ...]
    type: str
    option: str
    help: str


@cache
def gear_fields() -> Mapping[str, Field]:
    """Every field, by key."""
    found = {}
    for row in TABLES.rows("gear_fields"):
        kinds = () if row["kinds"] == "all" else tuple(row["kinds"].split(";"))
        found[row["key"]] = Field(row["key"], kinds, row["type"], row["option"], row["help"])
    return found


def fields_of(kind: GearKind) -> tuple[Field, ...]:
    """Fields of a kind of gear; a kit has but its note, since its parts have all the rest.

    Examples
    --------
    >>> from ropewright.store.gear_words import gear_kinds
    >>> [field.key for field in fields_of(gear_kinds()["kit"])]
    ['note']
    """
    if kind.name == "kit":
        return (gear_fields()["note"],)
    return tuple(field for field in gear_fields().values() if not field.kinds or kind.name in field.kinds)


def read_field(field: Field, text: str, name: str) -> Any:
    """Value of a field as the record keeps it: SI numbers, days as ISO 8601, the trade's canonical names.

    Parameters
    ----------
    field : Field
    text : str
    name : str
        Where it stood, for the error.

    Raises
    ------
    InputError
        If it can't be so.

    Examples
    --------
    >>> read_field(gear_fields()["length_m"], "60 m", "--length")
    60.0
    >>> read_field(gear_fields()["fibre"], "PES", "--fibre")
    'polyester'
    """
    return _READERS[field.type](text, name)


def read_told(kind: GearKind, texts: Mapping[str, str], names: Mapping[str, str] | None = None) -> dict[str, Any]:
    """All that is told of a piece, as the record keeps it; blank texts are left out.

    Parameters
    ----------
    kind : GearKind
    texts : mapping of str to str
        Field to its text.
    names : mapping of str to str, optional
        Field to the place it stood, for errors; the field itself if left out.

    Raises
    ------
    InputError, InputErrors
        For every field that the kind doesn't have or that can't be read.
    """
    named = names or {}
    known = {field.key: field for field in fields_of(kind)}
    told: dict[str, Any] = {}
    faults: list[InputError] = []
    for key, text in texts.items():
        name = named.get(key, key)
        if not text.strip():
            continue
        if key not in known:
            faults.append(InputError(name, text, f"a {kind.name} has no such field; it has {', '.join(known)}"))
            continue
        try:
            told[key] = read_field(known[key], text, name)
        except InputError as fault:
            faults.append(fault)
    faults += out_of_order(told, named)
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{kind.name}: {len(faults)} faults", faults)
    return told


def out_of_order(told: Mapping[str, Any], named: Mapping[str, str]) -> list[InputError]:
    """Faults of days that can't follow each other, and of ends of a range; `named` is as in `read_told`."""
    found = []
    for earlier, later in (("made", "bought"), ("made", "first_use"), ("bought", "first_use")):
        # a month told for a day is its first, so that what was bought in the month it was made stands
        if earlier in told and later in told and told[later] < told[earlier]:
            name = named.get(later, later)
            found.append(InputError(name, told[later], f"it lies before {earlier.replace('_', ' ')}, {told[earlier]}"))
    if {"rope_least_m", "rope_most_m"} <= told.keys() and told["rope_most_m"] < told["rope_least_m"]:
        found.append(InputError(named.get("rope_most_m", "rope_most_m"), told["rope_most_m"], "give the thicker rope"))
    return found


def _quantity(dimension: Dimension) -> Callable[[str, str], float]:
    def read(text: str, name: str) -> float:
        value = parse_quantity(text, dimension, name)
        if not 0 < value <= _MOST[dimension.value]:
            raise InputError(
                name, text, f"give more than 0, and at most {_MOST[dimension.value]:g} {dimension.si_unit}"
            )
        return value

    return read


def _count(text: str, name: str) -> int:
    plain = text.strip()
    if not (plain.isdecimal() and plain.isascii() and len(plain) <= 9 and int(plain) <= _MOST["count"]):
        raise InputError(name, text[:40], "give a whole number, 0 or more")
    return int(plain)


def _hours(text: str, name: str) -> float:
    """Seconds of a time, or of a number of hours without a unit."""
    is_bare = not any(letter.isalpha() for letter in text)
    value = parse_quantity(text, Dimension.RATIO if is_bare else Dimension.TIME, name) * (3600.0 if is_bare else 1.0)
    if not 0 <= value <= _MOST["hours"] * 3600.0:
        raise InputError(name, text[:40], f"give 0 to {_MOST['hours']:,.0f} hours, such as '6 h'")
    return value


def _yes_no(text: str, name: str) -> bool:
    plain = text.strip().lower()
    if plain not in ("yes", "no"):
        raise InputError(name, text, "give yes or no")
    return plain == "yes"


def _wear(text: str, name: str) -> str:
    plain = text.strip().lower()
    if plain not in ("new", "good", "worn"):
        raise InputError(name, text, "give new, good or worn")
    return plain


def _day(text: str, name: str) -> str:
    return read_made(text, name).isoformat()


def _trade(function: str) -> Callable[[str, str], str]:
    def read(text: str, name: str) -> str:
        from ropewright.rope import names  # what reads no rope stays light

        found: str = getattr(names, function)(text, name)
        return found

    return read


_READERS: Mapping[str, Callable[[str, str], Any]] = {
    "line": read_line,
    "length": _quantity(Dimension.LENGTH),
    "force": _quantity(Dimension.FORCE),
    "mass": _quantity(Dimension.MASS),
    "count": _count,
    "hours": _hours,
    "day": _day,
    "life": read_life,
    "span": lambda text, name: str(read_span(text, name)),
    "wear": _wear,
    "yes/no": _yes_no,
    "fibre": _trade("canonical_fibre"),
    "construction": _trade("canonical_construction"),
    "stretch": _trade("canonical_stretch"),
    "basis": _trade("canonical_basis"),
    "end": _trade("canonical_termination"),
}


def future_days(told: Mapping[str, Any], today: date, names: Mapping[str, str]) -> list[InputError]:
    """Faults of days told that are yet to come."""
    return [
        InputError(names.get(key, key), told[key], f"this day is yet to come; give one up to {today}")
        for key in ("made", "bought", "first_use")
        if key in told and told[key] > today.isoformat()
    ]
