"""Ends of a rope: what each knot, hitch, splice or sewn eye leaves of its strength."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from ropewright.rope.tables import Figure, figures, rows

__all__ = ["EndKind", "EndUse", "Termination", "knot_observations", "terminations"]


class EndKind(StrEnum):
    """How a rope is ended."""

    KNOT = "knot"
    HITCH = "hitch"
    SPLICE = "splice"
    SEWN = "sewn"
    FITTING = "fitting"
    UNKNOWN = "unknown"

    @property
    def may_be_knot(self) -> bool:
        """True if what the rules say of knots counts here."""
        return self in (EndKind.KNOT, EndKind.HITCH, EndKind.UNKNOWN)


class EndUse(StrEnum):
    """What an end may be used for."""

    NORMAL = "normal"
    JOINS_ROPES = "joins ropes"
    EMERGENCY_ONLY = "emergency only"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Termination:
    """One way to end a rope.

    Parameters
    ----------
    name : str
        Canonical name.
    kind : EndKind
    use : EndUse
    retention : Figure
        Share of the strength that is left. [-]
    """

    name: str
    kind: EndKind
    use: EndUse
    retention: Figure


@cache
def terminations() -> Mapping[str, Termination]:
    """Every way to end a rope, by canonical name.

    Examples
    --------
    >>> eight = terminations()["figure-eight loop"]
    >>> eight.retention.value.likely, eight.kind.may_be_knot
    (0.6, True)
    """
    found = figures("terminations")
    return MappingProxyType(
        {
            row["key"]: Termination(row["key"], EndKind(row["kind"]), EndUse(row["use"]), found[row["key"]])
            for row in rows("terminations")
        }
    )


@cache
def knot_observations() -> Mapping[str, tuple[Figure, ...]]:
    """Shares that single tests found left, by knot; never averaged, since sources disagree more than tests.

    Examples
    --------
    >>> [figure.value.likely for figure in knot_observations()["overhand loop"]]  # three sources, three answers
    [0.63, 0.45, 0.35]
    """
    by_knot: dict[str, list[Figure]] = {}
    for key, figure in figures("knot_observations").items():
        by_knot.setdefault(key.split("/")[0], []).append(figure)
    return MappingProxyType({knot: tuple(found) for knot, found in by_knot.items()})
