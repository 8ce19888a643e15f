"""What people tell of a rope, read within the ends at which it can be meant at all."""

from __future__ import annotations

from ropewright.errors import InputError
from ropewright.quantity import Dimension, Range, parse_quantity
from ropewright.quantity.told import positive, range_of

__all__ = ["break_load", "rope_diameter", "rope_strength", "share", "span"]

_SPANS = {"day": 86400.0, "week": 7 * 86400.0, "month": 365.25 / 12 * 86400.0, "year": 365.25 * 86400.0}


def rope_diameter(text: str, field: str) -> float:
    """Diameter of a rope that a person works with. [m]

    Raises
    ------
    InputError
        If it is none.
    """
    value = positive(Dimension.LENGTH)(text, field)
    if not 0.003 <= value <= 0.06:
        raise InputError(field, text, "give a diameter from 3 mm to 60 mm (1/8 in to 2-3/8 in)")
    return value


def rope_strength(text: str, field: str) -> Range:
    """Strength of a rope, a value or a range. [N]

    Raises
    ------
    InputError
        If it is none.
    """
    value = range_of(Dimension.FORCE)(text, field)
    if not 10.0 <= value.low <= value.high <= 1e6:
        raise InputError(field, text, "give a strength from 10 N to 1,000 kN (2.3 lbf to 224,000 lbf)")
    return value


def break_load(text: str, field: str) -> float:
    """Load at which a piece broke; as of a rope's strength, kN for N is a slip of the pen. [N]

    Raises
    ------
    InputError
        If it is none.
    """
    value = positive(Dimension.FORCE)(text, field)
    rope_strength(text, field)
    return value


def share(text: str, field: str) -> float:
    """Share of a whole, above 0 and below 1. [-]

    Raises
    ------
    InputError
        If it is none.
    """
    value = parse_quantity(text, Dimension.RATIO, field)
    if not 0.0 < value < 1.0:
        raise InputError(field, text, "give a share between 0 and 1, such as 0.99 or '95 %'")
    return value


def span(text: str, field: str) -> float:
    """Time, also in weeks, months and years. [s]

    Raises
    ------
    InputError
        If it is none, or more than 100 years.

    Examples
    --------
    >>> span("2 days", "--age")
    172800.0
    """
    number, _, unit = text.strip().rpartition(" ")
    length = _SPANS.get(unit.lower().removesuffix("s"))
    if length is None or not number:
        raise InputError(field, text, "give a time with its unit, such as '3 years', '6 months' or '40 days'")
    value = parse_quantity(number, Dimension.RATIO, field)
    if not 0 <= value * length <= 100 * _SPANS["year"]:
        raise InputError(field, text, "give 0 or more, and at most 100 years")
    return value * length
