"""Checks on rows of rope tables before they are believed: dropped digits, slipped columns, impossible sizes."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from ropewright.rope.fibre import fibre_properties
from ropewright.rope.modulus import FIBRE_MODULUS_LIMIT
from ropewright.rope.sizes import sheathed_core_figures

__all__ = [
    "RopeRow",
    "RowFault",
    "check_rope_row",
    "check_rope_table",
    "columns_agree",
    "fill_factor",
    "printed_number",
]

#: How far strength over diameter squared may lie from a neighbour's. [-]
NEIGHBOUR_TOLERANCE = 0.25
#: How far two columns of one quantity may differ. [-]
COLUMN_TOLERANCE = 0.03

_THOUSANDS = re.compile(r"[0-9]{1,3}(,[0-9]{3})+(\.[0-9]+)?|[0-9]+(\.[0-9]+)?")


@dataclass(frozen=True, slots=True)
class RopeRow:
    """A row of a rope table as it came, turned to SI; what it lacks is None.

    Parameters
    ----------
    label : str
        As people would find it: ``nylon 1/2 in``.
    diameter : float
        Above 0. [m]
    strength : float, optional
        [N]
    mass, mass_again : float, optional
        Mass per length from two columns in two units. [kg/m]
    fibre, construction : str
        Canonical names.
    stiffness : float, optional
        Force per unit strain. [N]
    strength_printed : str
        Strength as it was printed, to catch a thousands comma that lost a digit.
    """

    label: str
    diameter: float
    strength: float | None = None
    mass: float | None = None
    mass_again: float | None = None
    fibre: str = "unknown"
    construction: str = "unknown"
    stiffness: float | None = None
    strength_printed: str = ""


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong with a row, and the value it may have been meant to have."""

    label: str
    field: str
    text: str
    likely: float | None = None


def printed_number(text: str) -> tuple[float, bool]:
    """Value of a printed number, and whether it is well formed.

    Parameters
    ----------
    text : str
        Digits, with commas between thousands.

    Raises
    ------
    ValueError
        If it holds no number at all.

    Examples
    --------
    >>> printed_number("29,800"), printed_number("29,80")
    ((29800.0, True), (2980.0, False))
    """
    return float(text.replace(",", "")), _THOUSANDS.fullmatch(text) is not None


def columns_agree(first: float, second: float, tolerance: float = COLUMN_TOLERANCE) -> bool:
    """Whether two printings of one quantity, in the same unit, differ by no more than the tolerance.

    Examples
    --------
    >>> columns_agree(0.692, 0.692), columns_agree(0.692, 0.759)
    (True, False)
    """
    return abs(first - second) <= tolerance * max(abs(first), abs(second))


def fill_factor(mass: float, diameter: float, density: float) -> float:
    """Share of a rope's circle that is solid fibre.

    Parameters
    ----------
    mass : float
        [kg/m]
    diameter : float
        Above 0. [m]
    density : float
        Of the fibre, above 0. [kg/m3]

    Returns
    -------
    float
        [-]

    Examples
    --------
    >>> round(fill_factor(0.071, 0.0105, 1140.0), 4)
    0.7193
    """
    return mass / (density * math.pi * diameter**2 / 4)


def check_rope_row(row: RopeRow, *, neighbours: Sequence[RopeRow] = ()) -> tuple[RowFault, ...]:
    """Everything that is wrong with a row of a rope table.

    Parameters
    ----------
    row : RopeRow
    neighbours : sequence of RopeRow
        Sizes next to it in the same table and fibre, up to two each side.

    Returns
    -------
    tuple of RowFault
        Empty if nothing was found, which does not prove the row.

    Notes
    -----
    Strength over diameter squared within 25 % of at least half of the neighbours; two mass columns within 3 %; fill of
    sheathed core 0.60 to 0.80; modulus of a fibre at most 150 GPa.

    Examples
    --------
    >>> bad = RopeRow("11 mm", 0.011, mass=0.058, fibre="nylon", construction="sheathed core")
    >>> [fault.field for fault in check_rope_row(bad)]
    ['fill']
    """
    checks = (_strength_faults(row, neighbours), _mass_faults(row), _fill_faults(row), _modulus_faults(row))
    return tuple(fault for faults in checks for fault in faults)


def check_rope_table(table: Sequence[RopeRow]) -> tuple[RowFault, ...]:
    """Faults of all rows of one fibre's table, each held against the two sizes before and after it.

    Parameters
    ----------
    table : sequence of RopeRow
        One fibre, thinnest first.
    """
    return tuple(
        fault
        for at, row in enumerate(table)
        for fault in check_rope_row(row, neighbours=[*table[max(at - 2, 0) : at], *table[at + 1 : at + 3]])
    )


def _strength_faults(row: RopeRow, neighbours: Sequence[RopeRow]) -> list[RowFault]:
    if row.strength is None:
        return []
    ratios = [other.strength / other.diameter**2 for other in neighbours if other.strength]
    ratio = row.strength / row.diameter**2
    agreeing = sum(abs(ratio - other) <= NEIGHBOUR_TOLERANCE * other for other in ratios)
    malformed = bool(row.strength_printed) and not printed_number(row.strength_printed)[1]
    if not malformed and 2 * agreeing >= len(ratios):
        return []
    why = "thousands comma is malformed" if malformed else "strength over diameter squared is far from its neighbours"
    return [RowFault(row.label, "strength", why, _digits_restored(row.strength, ratio, ratios))]


def _digits_restored(strength: float, ratio: float, ratios: Sequence[float]) -> float | None:
    """Strength times the power of ten that brings it nearest to its neighbours."""
    if not ratios or ratio <= 0:
        return None
    middle = sorted(ratios)[len(ratios) // 2]
    return strength * 10.0 ** round(math.log10(middle / ratio))


def _mass_faults(row: RopeRow) -> list[RowFault]:
    if row.mass is None or row.mass_again is None or columns_agree(row.mass, row.mass_again):
        return []
    return [RowFault(row.label, "mass", "the two mass columns differ by more than 3 %: one may have slipped a row")]


def _fill_faults(row: RopeRow) -> list[RowFault]:
    density = fibre_properties().get(row.fibre, {}).get("density")
    if row.construction != "sheathed core" or row.mass is None or density is None:
        return []
    allowed = sheathed_core_figures()["import/fill"].value
    # a rope of two fibres lies between their densities: the heavier one gives its least fill
    least = fill_factor(row.mass, row.diameter, density.value.high)
    most = fill_factor(row.mass, row.diameter, density.value.low)
    if allowed.low <= most and least <= allowed.high:
        return []
    text = f"fill {most:.2f} is outside {allowed.low:.2f} to {allowed.high:.2f}: wrong diameter, mass or fibre"
    return [RowFault(row.label, "fill", text)]


def _modulus_faults(row: RopeRow) -> list[RowFault]:
    if row.stiffness is None:
        return []
    modulus = row.stiffness / (math.pi * row.diameter**2 / 4)
    if 0 < modulus <= FIBRE_MODULUS_LIMIT:
        return []
    return [RowFault(row.label, "stiffness", f"modulus {modulus / 1e9:.0f} GPa: no fibre is stiffer than 150 GPa")]
