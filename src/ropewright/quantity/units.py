"""The units that are understood, by dimension, with their exact size in SI.

Sources: the foot, the pound and the pound-force are exact by definition (0.3048 m, 0.45359237 kg and
0.45359237 kg times 9.80665 m/s2 = 4.4482216152605 N); NIST SP 811 (2008), appendix B.8, from memory.
The US gallon is 231 cubic inches (same place, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache
from types import MappingProxyType

__all__ = ["KINDS", "Dimension", "Kind", "UnitSystem", "find_unit", "kinds_of_unit"]


class Dimension(StrEnum):
    """What a number measures; each has one SI unit inside the program.

    Angles are degrees at every boundary and in every record; formulas turn them to radians for themselves.
    """

    LENGTH = "length"
    FORCE = "force"
    MASS = "mass"
    ANGLE = "angle"
    STIFFNESS = "stiffness"
    TIME = "time"
    VOLTAGE = "voltage"
    SPEED = "speed"
    ENERGY = "energy"
    LINEAR_DENSITY = "linear density"
    VOLUME = "volume"
    AREA = "area"
    TEMPERATURE = "temperature"
    RATIO = "ratio"
    COUNT = "count"

    @property
    def si_unit(self) -> str:
        """Unit of the floats inside the program; ``-`` for a plain number.

        Examples
        --------
        >>> [d.si_unit for d in (Dimension.FORCE, Dimension.ANGLE, Dimension.RATIO)]
        ['N', 'deg', '-']
        """
        return KINDS[self].si_unit

    @property
    def takes_bare_number(self) -> bool:
        """True if a number without a unit is right."""
        return self in (Dimension.RATIO, Dimension.COUNT)


class UnitSystem(StrEnum):
    """What a job is shown in; the two are never mixed."""

    US = "us"
    METRIC = "metric"


@dataclass(frozen=True, slots=True)
class Kind:
    """How a dimension is written.

    Parameters
    ----------
    si_unit : str
    noun : str
        With its article, as error messages name it.
    examples : tuple of str
        What would be right.
    units : mapping of str to Fraction
        Size of each unit in the SI unit, exact.
    """

    si_unit: str
    noun: str
    examples: tuple[str, ...]
    units: Mapping[str, Fraction]

    @property
    def advice(self) -> str:
        """What to write, as the end of an error message."""
        shown = " or ".join(f"'{example}'" for example in self.examples)
        unit = " with its unit" if self.si_unit != "-" else ""
        return f"give {self.noun}{unit}, such as {shown}"


def _table(text: str) -> Mapping[str, Fraction]:
    """Read lines of ``size name, name, ...``; sizes are exact decimals or products and quotients of them."""
    units: dict[str, Fraction] = {}
    for line in text.strip().splitlines():
        size, _, names = line.strip().partition(" ")
        value = Fraction(1)
        for factor in size.split("*"):
            over, _, under = factor.partition("/")
            value *= Fraction(over) / Fraction(under or "1")
        units.update((name.strip(), value) for name in names.split(","))
    return MappingProxyType(units)


_LENGTH = """
    1 m, metre, metres, meter, meters
    0.01 cm, centimetre, centimetres, centimeter, centimeters
    0.001 mm, millimetre, millimetres, millimeter, millimeters
    1000 km
    0.3048 ft, foot, feet, '
    0.0254 in, inch, inches, "
    0.9144 yd, yard, yards"""
_FORCE = """
    1 N, newton, newtons
    10 daN
    1000 kN, kilonewton, kilonewtons
    4.4482216152605 lbf
    9.80665 kgf"""
_MASS = """
    1 kg, kilogram, kilograms
    0.001 g, gram, grams
    1000 t, tonne, tonnes
    0.45359237 lb, lbs, pound, pounds
    0.028349523125 oz, ounce, ounces"""
_ANGLE = """
    1 deg, degree, degrees, °"""
_STIFFNESS = """
    1 N/m
    1000 kN/m, N/mm
    1000000 kN/mm
    4.4482216152605/0.3048 lbf/ft
    4.4482216152605/0.0254 lbf/in"""
_TIME = """
    1 s, sec, second, seconds
    0.001 ms
    60 min, minute, minutes
    3600 h, hr, hour, hours
    86400 d, day, days"""
_VOLTAGE = """
    1 V, volt, volts
    1000 kV"""
_SPEED = """
    1 m/s
    1/60 m/min
    1/3.6 km/h
    0.3048 ft/s
    0.3048/60 ft/min
    1609.344/3600 mph"""
_ENERGY = """
    1 J, joule, joules, N m, N-m
    1000 kJ, kN m, kN-m
    4.4482216152605*0.3048 ft-lbf, ft lbf"""
_LINEAR_DENSITY = """
    1 kg/m
    0.001 g/m
    0.01 kg/100 m, kg/100m
    0.45359237/0.3048 lb/ft
    0.45359237/30.48 lb/100 ft, lb/100ft"""
_VOLUME = """
    1 m3, m^3
    0.001 L, litre, litres, liter, liters
    0.000001 cm3, cm^3, mL
    0.028316846592 ft3, ft^3, cu ft
    0.000016387064 in3, in^3, cu in
    0.003785411784 gal, gallon, gallons"""
_AREA = """
    1 m2, m^2, sq m
    0.0001 cm2, cm^2
    0.000001 mm2, mm^2
    0.09290304 ft2, ft^2, sq ft
    0.00064516 in2, in^2, sq in"""

#: Degrees of temperature have an offset as well as a size: see `parse_quantity`.
_TEMPERATURE = """
    1 degC, °C, C
    5/9 degF, °F, F"""

#: Every dimension with its units; the first unit of each list is the SI unit.
KINDS: Mapping[Dimension, Kind] = MappingProxyType(
    {
        Dimension.LENGTH: Kind("m", "a length", ("6 ft", "1.8 m"), _table(_LENGTH)),
        Dimension.FORCE: Kind("N", "a force", ("22 kN", "5,000 lbf"), _table(_FORCE)),
        Dimension.MASS: Kind("kg", "a mass", ("100 kg", "230 lb"), _table(_MASS)),
        Dimension.ANGLE: Kind("deg", "an angle", ("35 deg", "8:12", "70 %"), _table(_ANGLE)),
        Dimension.STIFFNESS: Kind("N/m", "a stiffness", ("10 kN/m", "500 lbf/ft"), _table(_STIFFNESS)),
        Dimension.TIME: Kind("s", "a time", ("0.5 s", "12 min"), _table(_TIME)),
        Dimension.VOLTAGE: Kind("V", "a voltage", ("240 V", "7.2 kV"), _table(_VOLTAGE)),
        Dimension.SPEED: Kind("m/s", "a speed", ("2 m/s", "7 ft/s"), _table(_SPEED)),
        Dimension.ENERGY: Kind("J", "an energy", ("500 J", "370 ft-lbf"), _table(_ENERGY)),
        Dimension.LINEAR_DENSITY: Kind(
            "kg/m", "a mass per length", ("65 g/m", "4.4 lb/100 ft"), _table(_LINEAR_DENSITY)
        ),
        Dimension.VOLUME: Kind("m3", "a volume", ("20 L", "0.7 ft3"), _table(_VOLUME)),
        Dimension.AREA: Kind("m2", "an area", ("12 m2", "130 ft2"), _table(_AREA)),
        Dimension.TEMPERATURE: Kind("degC", "a temperature", ("20 degC", "68 degF"), _table(_TEMPERATURE)),
        Dimension.RATIO: Kind("-", "a ratio", ("0.6", "60 %"), _table("1 -\n1/100 %, percent")),
        Dimension.COUNT: Kind("-", "a whole number", ("3",), _table("1 -")),
    }
)


@cache
def _folded(dimension: Dimension) -> dict[str, str]:
    """Return unit names by their lower case form; no two units of one dimension differ by case alone."""
    return {name.lower(): name for name in KINDS[dimension].units if name != "-"}


def find_unit(name: str, dimension: Dimension) -> str | None:
    """Name of a unit as the table has it, whatever its case; None if the dimension has no such unit.

    Examples
    --------
    >>> find_unit("KN", Dimension.FORCE)
    'kN'
    >>> find_unit("lb", Dimension.FORCE) is None
    True
    """
    return _folded(dimension).get(name.lower())


def kinds_of_unit(name: str) -> tuple[Dimension, ...]:
    """Return every dimension that has such a unit.

    Examples
    --------
    >>> [kind.value for kind in kinds_of_unit("kN")]
    ['force']
    """
    return tuple(dimension for dimension in Dimension if find_unit(name, dimension))
