"""What may happen to a piece of gear as it stands, and how it stands afterwards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ropewright.errors import InputError
from ropewright.store.gear_words import (
    CUT_UP,
    DESTROYED,
    ENDED,
    FAMILY,
    IN_SERVICE,
    ISSUED,
    QUARANTINED,
    RECEIVED,
    RETIRED,
    STANDINGS,
    TABLES,
)

__all__ = ["NotAllowedError", "Step", "gear_steps", "may", "standing_after"]

#: What would be right, by how a piece stands.
_RIGHT: Mapping[str, str] = {
    RECEIVED: "it has not been put into use",
    IN_SERVICE: "it is in the store and in use; it is not out with anybody",
    ISSUED: "it is out: take it back first ('gear return')",
    QUARANTINED: "a competent person releases it ('gear release') or it is retired; no override gets round that",
    RETIRED: "retired gear never comes back; it can only be destroyed ('gear destroy')",
    DESTROYED: "what is destroyed never comes back; only what the record says of it can be corrected ('gear correct')",
    CUT_UP: "it is no more: its pieces have tags of their own ('gear show')",
}

#: What would be right where the kind of entry says more than how the piece stands.
_RIGHT_OF: Mapping[str, str] = {
    "released": "it is not quarantined, and only what is can be released",
    "returned": "it is not out with anybody",
}


class NotAllowedError(InputError):
    """What can't happen to a piece as it stands: the answer is no.

    Parameters
    ----------
    field, value, expected : str
        Its tag, its standing, and why not, with what would be right.
    """

    def __str__(self) -> str:
        return f"{self.field} is {self.value}: {self.expected}"


@dataclass(frozen=True, slots=True)
class Step:
    """What one kind of entry does to the standing.

    Attributes
    ----------
    kind, verb : str
        Without the family; what happens, as in "can't be issued".
    after : mapping of str to str
        Standing before to standing after; the empty text is before the first entry. What is missing can't happen.
    """

    kind: str
    verb: str
    after: Mapping[str, str]


@cache
def gear_steps() -> Mapping[str, Step]:
    """Every kind of entry about gear, by its name without the family.

    Examples
    --------
    >>> dict(gear_steps()["released"].after)
    {'quarantined': 'in service'}
    """
    return MappingProxyType({row["kind"]: _step(row) for row in TABLES.rows("gear_steps")})


def _step(row: Mapping[str, str]) -> Step:
    cells = {"": row["none"], **{standing: row[standing] for standing in STANDINGS}}
    after = {before: before if cell == "same" else cell for before, cell in cells.items() if cell != "no"}
    return Step(row["kind"], row["verb"], MappingProxyType(after))


def standing_after(kind: str, standing: str) -> str | None:
    """Standing after an entry; None if it can't be.

    Parameters
    ----------
    kind : str
        With its family: ``gear.issued``.
    standing : str
        Before it; empty before the first entry.

    Examples
    --------
    >>> standing_after("gear.fell", "issued"), standing_after("gear.issued", "quarantined")
    ('quarantined', None)
    """
    step = gear_steps().get(kind.removeprefix(f"{FAMILY}."))
    return step.after.get(standing) if step else None


def may(kind: str, tag: str, standing: str) -> None:
    """Refuse what can't happen.

    Raises
    ------
    NotAllowedError
        Says how the piece stands and what would be right.

    Examples
    --------
    >>> may("gear.issued", "R-001", "retired")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    ropewright.store.gear_steps.NotAllowedError: R-001 is retired: it can't be issued; retired gear never comes back...
    """
    step = gear_steps()[kind.removeprefix(f"{FAMILY}.")]
    if standing not in step.after:
        right = _RIGHT[standing] if standing in ENDED else _RIGHT_OF.get(step.kind, _RIGHT[standing])
        raise NotAllowedError(tag, standing, f"it can't {step.verb}; {right}")
