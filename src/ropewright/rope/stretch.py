"""Stretch of a rope over the length that is out: under a worker who hangs still, and in a catch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ropewright.quantity import Range
from ropewright.rope.stiffness import RopeStiffness, stiffness_of, stretch_under

__all__ = ["ARREST_LIMIT", "StretchRow", "StretchTable", "stretch_table"]

#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665
#: Most that a body harness may put on a person: 1,800 lbf. [N] 29 CFR 1926.502(d)(16)(ii), read.
ARREST_LIMIT = 1800 * 4.4482216152605
#: Strain past which one stiffness says little of any rope. [-] Judgement.
_LARGE = 0.25


@dataclass(frozen=True, slots=True)
class StretchRow:
    """One length of rope.

    Parameters
    ----------
    length : float
        Unstretched. [m]
    hang, catch : Range
        Stretch under the worker's weight, and at the force of the catch. [m]
    """

    length: float
    hang: Range
    catch: Range


@dataclass(frozen=True, slots=True)
class StretchTable:
    """Stretch against rope out.

    Parameters
    ----------
    rows : tuple of StretchRow
        From the shortest to the longest.
    mass : float
        [kg]
    force : float
        In the catch. [N]
    stiffness : RopeStiffness
    notes : tuple of str
        Where the figures end to be good.
    """

    rows: tuple[StretchRow, ...]
    mass: float
    force: float
    stiffness: RopeStiffness
    notes: tuple[str, ...]


def stretch_table(
    *,
    fibre: str,
    construction: str,
    gives: str,
    diameter: float,
    length: float,
    mass: float,
    force: float = ARREST_LIMIT,
    strength: Range | None = None,
    given: Range | None = None,
    condition: str = "unknown",
    steps: int = 5,
) -> StretchTable:
    """Stretch of a rope at even steps of the length that is out.

    Parameters
    ----------
    fibre, construction, gives : str
        What the rope is; ``gives`` is its stretch class.
    diameter : float
        [m]
    length : float
        Rope out at most, above 0. [m]
    mass : float
        Of the worker with tools, above 0. [kg]
    force : float
        In the catch, above 0. [N]
    strength, given : Range, optional
        Minimum breaking strength as new, and stiffness at arrest where the maker gives it. [N]
    condition : str
    steps : int
        Rows, 1 or more.

    Returns
    -------
    StretchTable

    Raises
    ------
    InputError
        If a name is unknown, or a given stiffness is above what any fibre can have.
    ValueError
        If length, mass or force is not above 0.

    Notes
    -----
    x = F L / EA, EA the stiffness of a hang or of a catch (see `stiffness_of`).

    Examples
    --------
    >>> table = stretch_table(
    ...     fibre="nylon", construction="sheathed core", gives="dynamic", diameter=0.01, length=10.0, mass=80.0,
    ...     condition="new, dry", force=6000.0,
    ... )
    >>> [round(end, 3) for end in (table.rows[-1].catch.low, table.rows[-1].catch.high)]
    [2.143, 3.974]
    """
    if not (length > 0 and mass > 0 and force > 0):
        raise ValueError(f"length, mass and force must be above 0, got {length} m, {mass} kg, {force} N")
    stiffness = stiffness_of(fibre, construction, gives, diameter, strength, given=given, condition=condition)
    rows = tuple(
        StretchRow(out, stretch_under(mass * _G, out, stiffness.static), stretch_under(force, out, stiffness.arrest))
        for out in (np.linspace(0.0, length, steps + 1)[1:]).tolist()
    )
    return StretchTable(rows, mass, force, stiffness, tuple(_notes(rows[-1], strength)))


def _notes(longest: StretchRow, strength: Range | None) -> list[str]:
    notes = []
    if longest.catch.high > _LARGE * longest.length:
        notes.append(
            f"At its high end the rope gives more than {_LARGE:.0%} of its length: rope stiffens before that, so the "
            "high end errs to more room."
        )
    if strength is None:
        notes.append("The strength of the rope was not told: laid and braided rope is taken by the table's.")
    return notes
