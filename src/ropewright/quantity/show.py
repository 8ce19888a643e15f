"""SI float -> text with a unit, rounded toward the side that the reader needs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from ropewright.quantity.units import KINDS, Dimension, UnitSystem

__all__ = ["Style", "Toward", "show", "unit_symbol"]

Toward = Literal["nearest", "high", "low"]
Style = Literal["short", "feet-inches", "pitch"]

_ROUNDING: Mapping[str, str] = MappingProxyType({"nearest": ROUND_HALF_EVEN, "high": ROUND_CEILING, "low": ROUND_FLOOR})

#: Digits kept before rounding: beyond the twelfth stands only the noise of floats and of unit conversion, which
#: must not push 0.1 + 0.2 up to the next step.
_NOISE = Context(prec=12, rounding=ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class _Scale:
    """A unit and step to show sizes below `below` in (given in the shown unit; the last has no end)."""

    unit: str
    step: Decimal
    below: Decimal = Decimal("Infinity")


def _scales(text: str) -> tuple[_Scale, ...]:
    """Read ``unit step below; unit step below; unit step``, a unit's blanks written as ``_``."""
    parts = (part.split() for part in text.split(";"))
    return tuple(_Scale(unit.replace("_", " "), *map(Decimal, rest)) for unit, *rest in parts)


#: Finest first. Feet go to a tenth (about an inch, what one can set a rope to), metres to the centimetre; forces,
#: masses and angles no finer than gear is marked or a site can measure.
_SCALES: Mapping[tuple[Dimension, UnitSystem], tuple[_Scale, ...]] = MappingProxyType(
    {
        (Dimension.LENGTH, UnitSystem.US): _scales("in 0.01 1; in 0.1 12; ft 0.1 1000; ft 1"),
        (Dimension.LENGTH, UnitSystem.METRIC): _scales("mm 0.1 20; mm 1 100; m 0.01"),
        (Dimension.FORCE, UnitSystem.US): _scales("lbf 0.1 10; lbf 1 1000; lbf 10"),
        (Dimension.FORCE, UnitSystem.METRIC): _scales("N 0.1 10; N 1 100; kN 0.01 10; kN 0.1"),
        (Dimension.MASS, UnitSystem.US): _scales("lb 0.1 10; lb 1"),
        (Dimension.MASS, UnitSystem.METRIC): _scales("kg 0.01 1; kg 0.1 10; kg 1"),
        (Dimension.ANGLE, UnitSystem.US): _scales("deg 0.1"),
        (Dimension.ANGLE, UnitSystem.METRIC): _scales("deg 0.1"),
        (Dimension.STIFFNESS, UnitSystem.US): _scales("lbf/ft 0.1 10; lbf/ft 1 1000; lbf/ft 10"),
        (Dimension.STIFFNESS, UnitSystem.METRIC): _scales("N/m 1 100; kN/m 0.01 10; kN/m 0.1"),
        (Dimension.TIME, UnitSystem.US): _scales("s 0.01 10; s 0.1 120; min 0.1 120; h 0.1"),
        (Dimension.TIME, UnitSystem.METRIC): _scales("s 0.01 10; s 0.1 120; min 0.1 120; h 0.1"),
        (Dimension.VOLTAGE, UnitSystem.US): _scales("V 1 1000; kV 0.1"),
        (Dimension.VOLTAGE, UnitSystem.METRIC): _scales("V 1 1000; kV 0.1"),
        (Dimension.SPEED, UnitSystem.US): _scales("ft/s 0.1"),
        (Dimension.SPEED, UnitSystem.METRIC): _scales("m/s 0.01 10; m/s 0.1"),
        (Dimension.ENERGY, UnitSystem.US): _scales("ft-lbf 0.1 10; ft-lbf 1 1000; ft-lbf 10"),
        (Dimension.ENERGY, UnitSystem.METRIC): _scales("J 0.1 10; J 1 1000; kJ 0.01 10; kJ 0.1"),
        (Dimension.LINEAR_DENSITY, UnitSystem.US): _scales("lb/100_ft 0.01 10; lb/100_ft 0.1"),
        (Dimension.LINEAR_DENSITY, UnitSystem.METRIC): _scales("g/m 0.1 100; g/m 1"),
        (Dimension.VOLUME, UnitSystem.US): _scales("ft3 0.01 10; ft3 0.1"),
        (Dimension.VOLUME, UnitSystem.METRIC): _scales("L 0.1 1000; m3 0.01"),
        (Dimension.AREA, UnitSystem.US): _scales("ft2 0.1 100; ft2 1"),
        (Dimension.AREA, UnitSystem.METRIC): _scales("m2 0.01 10; m2 0.1"),
        (Dimension.TEMPERATURE, UnitSystem.US): _scales("degF 1"),
        (Dimension.TEMPERATURE, UnitSystem.METRIC): _scales("degC 1"),
        (Dimension.RATIO, UnitSystem.US): _scales("- 0.01"),
        (Dimension.RATIO, UnitSystem.METRIC): _scales("- 0.01"),
        (Dimension.COUNT, UnitSystem.US): _scales("- 1"),
        (Dimension.COUNT, UnitSystem.METRIC): _scales("- 1"),
    }
)


def show(
    value: float,
    dimension: Dimension,
    units: UnitSystem,
    *,
    toward: Toward = "nearest",
    style: Style = "short",
) -> str:
    """Text of a value in the job's units, with no more digits than a site can use.

    Parameters
    ----------
    value : float
        In the SI unit of its dimension (angles: degrees).
    dimension : Dimension
    units : UnitSystem
        ``us`` or ``metric``; nothing of the other appears.
    toward : {'nearest', 'high', 'low'}
        Which way to round: ``high`` never shows less than the value, ``low`` never more (a clearance needed is shown
        high, a strength low). -2.34 goes to -2.3 when shown high. Noise past twelve digits is no reason to step.
    style : {'short', 'feet-inches', 'pitch'}
        ``short``: a decimal number. ``feet-inches``: US lengths as a tape reads, to a quarter inch. ``pitch``: US
        angles as rise in 12, to a quarter. A style that does not fit the dimension or the units gives ``short``.

    Returns
    -------
    str
        `parse_quantity` reads it back.

    Raises
    ------
    ValueError
        If the value is not finite.

    Examples
    --------
    >>> show(1.8288, Dimension.LENGTH, UnitSystem.US), show(1.8288, Dimension.LENGTH, UnitSystem.METRIC)
    ('6.0 ft', '1.83 m')
    >>> show(22241.1, Dimension.FORCE, UnitSystem.US), show(22241.1, Dimension.FORCE, UnitSystem.METRIC)
    ('5,000 lbf', '22.2 kN')
    >>> show(0.1 + 0.2, Dimension.LENGTH, UnitSystem.METRIC, toward="high")
    '0.30 m'
    >>> show(1.71, Dimension.LENGTH, UnitSystem.US, toward="high", style="feet-inches")
    '5 ft 7-1/2 in'
    >>> show(33.69, Dimension.ANGLE, UnitSystem.US, style="pitch")
    '8:12'
    """
    if not math.isfinite(value):
        raise ValueError(f"only a finite value can be shown, got {value}")
    if units is UnitSystem.US and style == "feet-inches" and dimension is Dimension.LENGTH:
        return _feet_inches(value, toward)
    if units is UnitSystem.US and style == "pitch" and dimension is Dimension.ANGLE and 0 <= value < 85:
        return _pitch(value, toward)
    number, scale = _rounded(value, dimension, units, toward)
    text = f"{number:,}"
    return text if scale.unit == "-" else f"{text} {scale.unit}"


def unit_symbol(dimension: Dimension, units: UnitSystem) -> str:
    """Return the unit that ordinary sizes of a dimension are shown in; empty for a plain number.

    Examples
    --------
    >>> unit_symbol(Dimension.FORCE, UnitSystem.METRIC), unit_symbol(Dimension.LENGTH, UnitSystem.US)
    ('kN', 'ft')
    """
    main = {Dimension.TIME: "s", Dimension.VOLUME: "L" if units is UnitSystem.METRIC else "ft3"}
    unit = main.get(dimension, _SCALES[dimension, units][-1].unit)
    return "" if unit == "-" else unit


def _rounded(value: float, dimension: Dimension, units: UnitSystem, toward: Toward) -> tuple[Decimal, _Scale]:
    """Return the value in its unit, on the step of the first scale that is large enough for it."""
    for scale in _SCALES[dimension, units]:
        number = _in_unit(value, scale.unit, dimension)
        if value != 0 and abs(number) < scale.below:  # nothing at all is shown in the ordinary unit
            break
    return _to_step(number, scale.step, toward), scale


def _in_unit(value: float, unit: str, dimension: Dimension) -> Decimal:
    """Return the value in a unit, less the noise of its last digits."""
    exact = Fraction(value) / KINDS[dimension].units[unit]
    if unit == "degF":
        exact += 32
    return _NOISE.divide(Decimal(exact.numerator), Decimal(exact.denominator))


def _to_step(number: Decimal, step: Decimal, toward: Toward) -> Decimal:
    steps = (number / step).to_integral_value(_ROUNDING[toward])
    return (steps * step).quantize(step) + 0  # + 0: no "-0"


def _feet_inches(value: float, toward: Toward) -> str:
    """Length as a tape reads: ``5 ft 7-1/2 in``."""
    inches = _to_step(_in_unit(value, "in", Dimension.LENGTH), Decimal("0.25"), toward)
    feet, rest = divmod(abs(inches), 12)
    whole, quarters = int(rest), int(rest % 1 * 4)
    share = ("", "1/4", "1/2", "3/4")[quarters]
    shown = "-".join(part for part in (str(whole) if whole or not share else "", share) if part)
    sign = "-" if inches < 0 else ""
    return f"{sign}{int(feet):,} ft {shown} in" if feet else f"{sign}{shown} in"


def _pitch(value: float, toward: Toward) -> str:
    """Angle as rise in 12 of run: ``8:12``."""
    # a pitch read from "8:12" comes back within float noise of 8, so nine digits are enough to know it again
    rise = Context(prec=9).create_decimal_from_float(12 * math.tan(math.radians(value)))
    return f"{_to_step(rise, Decimal('0.25'), toward).normalize():f}:12"
