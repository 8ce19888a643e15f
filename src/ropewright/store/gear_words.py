"""Words of the gear record: kinds of gear, standings, and the codes on the tags."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.findings.figures import Tables
from ropewright.store.reading import View

__all__ = [
    "CUT_UP",
    "DESTROYED",
    "ENDED",
    "FAMILY",
    "IN_SERVICE",
    "ISSUED",
    "QUARANTINED",
    "RECEIVED",
    "RETIRED",
    "STANDINGS",
    "TABLES",
    "GearKind",
    "gear_kinds",
    "next_tag",
    "read_kind",
    "read_tag",
    "subject_of",
    "tag_of",
]

TABLES = Tables("ropewright.store")
FAMILY = "gear"

RECEIVED, IN_SERVICE, ISSUED = "received", "in service", "issued"
QUARANTINED, RETIRED, DESTROYED, CUT_UP = "quarantined", "retired", "destroyed", "cut up"
#: Every standing that a piece can have.
STANDINGS = (RECEIVED, IN_SERVICE, ISSUED, QUARANTINED, RETIRED, DESTROYED, CUT_UP)
#: Those from which a piece never comes back.
ENDED = frozenset({RETIRED, DESTROYED, CUT_UP})

_TAG = re.compile(r"[^\W_](?:[\w.-]{0,22}[^\W_])?")
_TAG_ADVICE = "give a code of up to 24 letters, digits, '-', '.' and '_' that begins and ends with a letter or a digit"


@dataclass(frozen=True, slots=True)
class GearKind:
    """A kind of gear.

    Attributes
    ----------
    name, prefix, noun : str
        `prefix` begins the codes that are offered for it.
    textile : bool
        True if its strength lies in fibres.
    in_chain : bool
        True if it can hold a person.
    """

    name: str
    prefix: str
    noun: str
    textile: bool
    in_chain: bool


@cache
def gear_kinds() -> Mapping[str, GearKind]:
    """Every kind of gear, by name.

    Examples
    --------
    >>> [kind.name for kind in gear_kinds().values() if not kind.in_chain]
    ['bag', 'kit']
    """
    return MappingProxyType(
        {
            row["kind"]: GearKind(
                row["kind"], row["prefix"], row["noun"], row["textile"] == "yes", row["in_chain"] == "yes"
            )
            for row in TABLES.rows("gear_kinds")
        }
    )


def read_kind(text: object, field: str) -> GearKind:
    """Kind of gear of a name.

    Raises
    ------
    InputError
        For an unknown kind; offers the nearest.
    """
    plain = text.strip().lower() if isinstance(text, str) else ""
    if plain in gear_kinds():
        return gear_kinds()[plain]
    near = difflib.get_close_matches(plain[:40], gear_kinds(), n=1)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise InputError(field, text, f"{hint}give one of {', '.join(gear_kinds())}")


def read_tag(text: object, field: str) -> str:
    """Code of a tag as it is kept: in capitals, blanks inside as hyphens.

    Raises
    ------
    InputError
        If it can't stand on a label or in an address.

    Examples
    --------
    >>> read_tag(" r 001 ", "--tag"), read_tag("r-001", "--tag")
    ('R-001', 'R-001')
    """
    plain = unicodedata.normalize("NFKC", text) if isinstance(text, str) else ""
    tag = re.sub(r"\s+", "-", plain.strip()).upper()
    if not _TAG.fullmatch(tag):
        raise InputError(field, text, _TAG_ADVICE)
    return tag


def subject_of(tag: str) -> str:
    """What the ledger calls the piece of a tag."""
    return f"{FAMILY}/{tag}"


def tag_of(subject: str) -> str:
    """Tag of what the ledger calls a piece."""
    return subject.partition("/")[2]


def next_tag(view: View, kind: GearKind, taken: frozenset[str] = frozenset()) -> str:
    """Free code for a piece of a kind: its letter and the next number.

    Parameters
    ----------
    view : View
    kind : GearKind
    taken : frozenset of str
        Codes that are given out in the same write.
    """

    def is_free(number: int) -> bool:
        tag = f"{kind.prefix}-{number:03d}"
        return tag not in taken and view.state(subject_of(tag)) is None

    if is_free(1):
        return f"{kind.prefix}-001"
    low, high = 1, 2
    while not is_free(high):
        low, high = high, 2 * high
    while high - low > 1:  # low is taken and high is free all along, so that few codes are looked up among many
        middle = (low + high) // 2
        low, high = (low, middle) if is_free(middle) else (middle, high)
    return f"{kind.prefix}-{high:03d}"
