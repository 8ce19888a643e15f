"""Figures as the law writes them: a number in the law's own unit, compared in that unit."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal
from fractions import Fraction
from types import MappingProxyType

from ropewright.errors import RulesError
from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show
from ropewright.quantity.units import KINDS, find_unit

__all__ = ["NEGATED", "OPERATORS", "Figure", "both_units", "meets", "read_figure"]

#: How a value may be held against a figure.
OPERATORS = ("<=", "<", ">=", ">")
NEGATED: Mapping[str, str] = MappingProxyType({"<=": ">", "<": ">=", ">=": "<", ">": "<="})

#: Two numbers in the unit of the law that differ by less than this share are the same number: 1.8288 m is 6 ft.
_SAME = 1e-9

#: Calendar spans that laws use, taken no longer than they can be (six months have at least 181 days), so that nothing
#: counts as fresh too long. [s]
_SPANS: Mapping[str, Fraction] = MappingProxyType({"months": Fraction(30 * 86400), "years": Fraction(365 * 86400)})
_PITCH = re.compile(r"([0-9.]+):12")
_WRITTEN = re.compile(r"(-?[0-9][0-9,]*(?:\.[0-9]+)?) ?(.*)")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of a rule.

    Parameters
    ----------
    text : str
        As the law writes it: ``1,800 lbf``, ``4:12``, ``10 years``.
    number : float
        Its number, in `unit`.
    unit : str
        Unit of the law; ``:12`` for a pitch, empty for a plain number.
    dimension : Dimension
    value : float
        The same in the SI unit of its dimension (angles: degrees).
    """

    text: str
    number: float
    unit: str
    dimension: Dimension
    value: float

    def in_law_unit(self, value: float) -> float:
        """SI value -> number in the law's unit.

        Examples
        --------
        >>> read_figure("6 ft", Dimension.LENGTH, "value").in_law_unit(1.8288)
        6.0
        """
        if self.unit == ":12":
            return 12 * math.tan(math.radians(value)) if value < 90 else math.inf
        return value / float(_size(self.unit, self.dimension))

    def is_met(self, operator: str, value: float) -> bool:
        """Return whether an SI value stands to this figure as the operator says, both in the law's unit.

        Examples
        --------
        >>> limit = read_figure("310 lb", Dimension.MASS, "value")
        >>> limit.is_met("<", 310 * 0.45359237), limit.is_met("<=", 310 * 0.45359237)
        (False, True)
        """
        return meets(self.in_law_unit(value), operator, self.number)

    def show(self, value: float, operator: str) -> str:
        """Text of an SI value in the law's unit, rounded to the unsafe side but never past the figure.

        Parameters
        ----------
        value : float
            SI; finite or infinite.
        operator : str
            What the value must meet; decides which side is unsafe.

        Examples
        --------
        >>> limit = read_figure("310 lb", Dimension.MASS, "value")
        >>> limit.show(140.6, "<"), limit.show(140.613, "<")
        ('309.97 lb', '309.999 lb')
        """
        if not math.isfinite(value):
            return "without end"
        number = self.in_law_unit(value)
        rounding = ROUND_CEILING if operator in ("<=", "<") else ROUND_FLOOR
        for digits in range(4, 13):
            rounded = _rounded(number, digits, rounding)
            if meets(float(rounded), operator, self.number) == meets(number, operator, self.number):
                break
        shown = f"{rounded.normalize():,f}"
        return f"{shown}{self.unit}" if self.unit == ":12" else f"{shown} {self.unit}".strip()


def meets(number: float, operator: str, limit: float) -> bool:
    """Return whether a number stands to a limit as the operator says; within 1e-9 of it they are the same.

    Examples
    --------
    >>> meets(6.000000000001, "<=", 6.0), meets(5.999999999999, "<", 6.0), meets(6.000001, "<=", 6.0)
    (True, False, False)
    """
    same = math.isclose(number, limit, rel_tol=_SAME, abs_tol=_SAME)
    if operator in ("<=", ">="):
        return same or (number < limit if operator == "<=" else number > limit)
    return not same and (number < limit if operator == "<" else number > limit)


def read_figure(text: object, dimension: Dimension, field: str) -> Figure:
    """Figure from its text, or from a bare number where the dimension has no unit.

    Parameters
    ----------
    text : str, int or float
    dimension : Dimension
    field : str
        Where it stands, for the error.

    Returns
    -------
    Figure

    Raises
    ------
    QuantityError
        As `parse_quantity`.
    RulesError
        If it is no plain number with one unit, so that it could not be compared in the unit of the law.

    Examples
    --------
    >>> read_figure("1,800 lbf", Dimension.FORCE, "value")
    Figure(text='1,800 lbf', number=1800.0, unit='lbf', dimension=<Dimension.FORCE: 'force'>, value=8006.7989074689)
    >>> read_figure("4:12", Dimension.ANGLE, "value").number
    4.0
    """
    shown = str(text)
    pitch = _PITCH.fullmatch(shown)
    if pitch and dimension is Dimension.ANGLE:
        return Figure(shown, float(pitch[1]), ":12", dimension, parse_quantity(shown, dimension, field))
    written = _WRITTEN.fullmatch(shown)
    if written and dimension is Dimension.TIME and written[2] in _SPANS:
        number = float(written[1].replace(",", ""))
        return Figure(shown, number, written[2], dimension, number * float(_SPANS[written[2]]))
    value = parse_quantity(text, dimension, field)
    unit = find_unit(written[2], dimension) if written and written[2] else "-"
    if not written or unit is None:
        raise RulesError(field, text, "give one number with one unit, as the law writes it, such as '6 ft'")
    unit = "" if unit == "-" else unit
    return Figure(shown, float(written[1].replace(",", "")), unit, dimension, value)


def both_units(figure: Figure, value: float, operator: str) -> str:
    """Text of a value in the unit of the law, and in brackets in the other system where there is one.

    Examples
    --------
    >>> both_units(read_figure("6 ft", Dimension.LENGTH, "value"), 2.1336, "<=")
    '7 ft (2.14 m)'
    """
    first = figure.show(value, operator)
    other = _other_system(figure)
    if other is None or not math.isfinite(value):
        return first
    return f"{first} ({show(value, figure.dimension, other, toward='high' if operator in ('<=', '<') else 'low')})"


def _other_system(figure: Figure) -> UnitSystem | None:
    """Return the system that the law does not use; None for what both write alike."""
    if figure.dimension not in (Dimension.LENGTH, Dimension.FORCE, Dimension.MASS, Dimension.AREA, Dimension.SPEED):
        return None
    customary = figure.unit in ("ft", "in", "yd", "lbf", "lb", "oz", "ft2", "in2", "mph", "ft/s", "ft/min")
    return UnitSystem.METRIC if customary else UnitSystem.US


def _size(unit: str, dimension: Dimension) -> Fraction:
    return _SPANS[unit] if unit in _SPANS else KINDS[dimension].units[unit or "-"]


def _rounded(number: float, digits: int, rounding: str) -> Decimal:
    """Round to so many digits, the noise of floats left out."""
    plain = Context(prec=13).create_decimal_from_float(number)
    return Context(prec=digits, rounding=rounding).plus(plain)
