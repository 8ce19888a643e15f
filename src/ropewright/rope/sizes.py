"""Strength and mass of generic ropes by size; each table stays by itself, since two of them never agree."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from ropewright.quantity import Range
from ropewright.rope.names import canonical_construction, canonical_fibre
from ropewright.rope.tables import Figure, figures

__all__ = [
    "RopeSize",
    "breaking_length",
    "circumference_strength",
    "double_braid_nylon",
    "sheathed_core_figures",
    "table_mass",
    "table_strength",
    "three_strand",
]

_INCH = 0.0254

#: Standard gravity, exact by definition. [m/s2]
_GRAVITY = 9.80665

ThreeStrandTable = Literal["reference_pages", "distributor"]


@dataclass(frozen=True, slots=True)
class RopeSize:
    """One size of a rope table.

    Parameters
    ----------
    fibre : str
    diameter : float
        True diameter: inch sizes are what is made, millimetre labels are roundings of them. [m]
    strength : Figure
        [N]
    mass : Figure, optional
        [kg/m]
    stiffness : Figure, optional
        Force per unit strain. [N]
    """

    fibre: str
    diameter: float
    strength: Figure
    mass: Figure | None = None
    stiffness: Figure | None = None


@cache
def three_strand(table: ThreeStrandTable) -> Mapping[str, tuple[RopeSize, ...]]:
    """Three-strand rope by fibre, thinnest first: minimum breaking strength as new.

    Parameters
    ----------
    table : ``reference_pages`` or ``distributor``
        The two differ by up to 5 %; a calculation keeps to one.

    Examples
    --------
    >>> nylon = three_strand("reference_pages")["nylon"]
    >>> [round(size.diameter * 1000, 2) for size in nylon[:3]]
    [6.35, 7.94, 9.52]
    """
    found = figures(f"three_strand_{table}")
    by_fibre: dict[str, list[RopeSize]] = {}
    for key, figure in found.items():
        fibre, size, what = key.split("/")
        if what == "strength":
            diameter = float(size.removesuffix(" in")) * _INCH
            entry = RopeSize(fibre, diameter, figure, found.get(f"{fibre}/{size}/mass"))
            by_fibre.setdefault(fibre, []).append(entry)
    return MappingProxyType(
        {fibre: tuple(sorted(sizes, key=lambda size: size.diameter)) for fibre, sizes in by_fibre.items()}
    )


@cache
def double_braid_nylon() -> tuple[RopeSize, ...]:
    """Double-braided nylon line: *average* strength and stiffness of worked-in, dry line.

    Examples
    --------
    >>> line = double_braid_nylon()[0]
    >>> round(line.stiffness.value.likely / line.strength.value.likely, 2)
    3.54
    """
    found = figures("double_braid_nylon")
    sizes = [key.removesuffix("/stiffness") for key in found if key.endswith("/stiffness")]
    return tuple(
        RopeSize(
            "nylon",
            float(size.removesuffix(" in")) * _INCH,
            found[f"{size}/average break"],
            stiffness=found[f"{size}/stiffness"],
        )
        for size in sizes
    )


def sheathed_core_figures() -> Mapping[str, Figure]:
    """Strength, mass and fill of sheathed-core rope and of accessory cord, by row.

    Examples
    --------
    >>> sheathed_core_figures()["dynamic/fill"].value.likely
    0.719
    """
    return figures("sheathed_core")


#: Sheathed-core rope outside these diameters was not in the tables read. [m]
_SHEATHED_RANGE = (0.0085, 0.0131)


def table_strength(
    fibre: str, construction: str, diameter: float, *, table: ThreeStrandTable = "reference_pages"
) -> Figure | None:
    """Minimum breaking strength as new of a generic rope; None where no table was found.

    Parameters
    ----------
    fibre, construction : str
    diameter : float
        Above 0. [m]
    table : ``reference_pages`` or ``distributor``
        For laid rope.

    Returns
    -------
    Figure or None
        Laid: the next size at or below the diameter, never the one above. Sheathed core of nylon or polyester,
        8.5 mm to 13 mm: a band over diameter squared. [N]

    Raises
    ------
    InputError
        If a name is unknown.

    Examples
    --------
    >>> figure = table_strength("nylon", "laid", 0.016)  # a 16 mm label is 5/8 in, 15.88 mm
    >>> round(figure.value.likely), str(figure.source)
    (39634, 'an engineering reference site, pages on rope strength (nylon, 5/8 in) [read second hand]')
    >>> table_strength("aramid", "braided", 0.011) is None
    True
    """
    name, made = canonical_fibre(fibre, "fibre"), canonical_construction(construction, "construction")
    if made == "laid":
        fitting = [size for size in three_strand(table).get(name, ()) if size.diameter <= diameter]
        return fitting[-1].strength if fitting else None
    if made == "sheathed core" and name in ("nylon", "nylon core with polyester sheath", "polyester"):
        return _over_square("low-stretch/strength over diameter squared", diameter, "N")
    return None


def table_mass(
    fibre: str, construction: str, stretch: str, diameter: float, *, table: ThreeStrandTable = "reference_pages"
) -> Figure | None:
    """Mass per length of a generic rope; None where no table was found.

    Parameters
    ----------
    fibre, construction, stretch : str
        Canonical names.
    diameter : float
        Above 0. [m]
    table : ``reference_pages`` or ``distributor``
        For laid rope: the next size at or above the diameter.

    Returns
    -------
    Figure or None
        [kg/m]

    Examples
    --------
    >>> round(table_mass("nylon", "sheathed core", "dynamic", 0.010).value.likely, 4)
    0.0644
    """
    if construction == "laid":
        fitting = [size for size in three_strand(table).get(fibre, ()) if size.diameter >= diameter]
        return fitting[0].mass if fitting else None
    if construction == "sheathed core" and fibre == "nylon":
        kind = "dynamic" if stretch == "dynamic" else "low-stretch"
        return _over_square(f"{kind}/mass over diameter squared", diameter, "kg/m")
    return None


def _over_square(key: str, diameter: float, unit: str) -> Figure | None:
    """Figure that goes with diameter squared, inside the diameters that were in its table."""
    least, greatest = _SHEATHED_RANGE
    if not least <= diameter <= greatest:
        return None
    row, square = sheathed_core_figures()[key], diameter**2
    value = Range(row.value.low * square, row.value.likely * square, row.value.high * square)
    return Figure(key, value, unit, row.source, row.grade, row.samples, row.note)


def breaking_length(strength: float, mass_per_length: float) -> float:
    """Length of rope that breaks under its own weight; the same fibre gives much the same in any size.

    Parameters
    ----------
    strength : float
        [N]
    mass_per_length : float
        Above 0. [kg/m]

    Returns
    -------
    float
        [m]

    Examples
    --------
    >>> round(breaking_length(25221.0, 0.09375) / 1000, 1)
    27.4
    """
    return strength / (mass_per_length * _GRAVITY)


def circumference_strength(fibre: str, diameter: float) -> Figure | None:
    """Strength of new three-strand rope by the seamanship rule: so many pounds per square inch of circumference.

    Parameters
    ----------
    fibre : str
    diameter : float
        Above 0. [m]

    Returns
    -------
    Figure or None
        [N] None for a fibre that the rule does not name.

    Notes
    -----
    S = 900 lbf/in2 * C^2 for manila, times 2.5 for nylon, 2.0 for polyester, 1.4 for polypropylene; a check on
    other tables, never a rated strength.

    Examples
    --------
    >>> round(circumference_strength("manila", 0.0127).value.likely / 4.4482216)  # 1/2 in, lbf
    2221
    """
    name = canonical_fibre(fibre, "fibre")
    known = figures("strength_figures")
    coefficient = known["manila rule/coefficient"]
    ratio = 1.0 if name == "manila" else _ratio(known.get(f"manila rule/{name} over manila"))
    if ratio is None:
        return None
    value = coefficient.value.likely * ratio * (math.pi * diameter) ** 2
    return Figure(f"manila rule/{name}", Range.exact(value), "N", coefficient.source, coefficient.grade)


def _ratio(figure: Figure | None) -> float | None:
    return None if figure is None else figure.value.likely
