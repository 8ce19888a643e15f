"""What the ledger holds: entries, the drafts they are made of, and the head that names them all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

__all__ = ["Draft", "Entry", "Fold", "Head", "JsonValue", "State"]

JsonValue: TypeAlias = "bool | int | float | str | list[JsonValue] | Mapping[str, JsonValue] | None"


@dataclass(frozen=True, slots=True)
class Draft:
    """One thing that happened, before the ledger takes it.

    Attributes
    ----------
    kind : str
        What happened, family first: ``gear.inspected``.
    subject : str
        What it happened to, family first: ``gear/R-001``, ``crew/P-07``.
    by : str
        Who did it or says so; never blank.
    body : mapping
        The particulars, as JSON; SI units, the unit in the key (``length_m``).
    at : datetime or None
        When it happened, with its zone; None for the moment it is written.
    """

    kind: str
    subject: str
    by: str
    body: Mapping[str, JsonValue]
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened, as the ledger keeps it for good.

    Attributes
    ----------
    number : int
        Place in the ledger, from 1, without gaps.
    at, written : str
        When it happened and when it was written, RFC 3339 in UTC.
    kind, subject, by, body
        As in `Draft`.
    previous, hash : str
        SHA-256 of the entry before and of this one, 64 lower-case hexadecimal digits.
    """

    number: int
    at: str
    written: str
    kind: str
    subject: str
    by: str
    body: Mapping[str, JsonValue]
    previous: str
    hash: str


@dataclass(frozen=True, slots=True)
class Head:
    """How many entries there are, and the hash of the last: what every print and export carries."""

    count: int
    hash: str


@dataclass(frozen=True, slots=True)
class State:
    """What follows for one subject from all its entries.

    Attributes
    ----------
    subject : str
        As in `Draft`.
    standing : str
        One word a list can be cut by, such as ``in service``.
    due : str or None
        Day by which something must be done, ISO 8601; None for nothing.
    words : str
        Lower-case text that a search looks in.
    body : mapping
        All the rest, as JSON.
    number : int
        The last entry counted; 0 before the ledger sets it.
    """

    subject: str
    standing: str
    due: str | None
    words: str
    body: Mapping[str, JsonValue]
    number: int = 0


#: What one entry makes of a subject's state; pure, one for each family. The state is None before the first entry.
Fold: TypeAlias = Callable[[State | None, Entry], State]
