"""Every unit against pint, an independent table of units.

The gallon is pint's US liquid gallon; pint's tonne is ``metric_ton``.
"""

from __future__ import annotations

import warnings

import pytest

from ropewright.quantity import Dimension, parse_quantity
from ropewright.quantity.units import KINDS

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import pint

#: Our names that pint writes otherwise.
PINT_NAMES = {
    "'": "foot",
    '"': "inch",
    "t": "metric_ton",
    "tonne": "metric_ton",
    "tonnes": "metric_ton",
    "°": "degree",
    "lbf": "pound_force",
    "lbf/ft": "pound_force/foot",
    "lbf/in": "pound_force/inch",
    "mph": "mile/hour",
    "N m": "newton*meter",
    "N-m": "newton*meter",
    "kN m": "kilonewton*meter",
    "kN-m": "kilonewton*meter",
    "ft-lbf": "foot*pound_force",
    "ft lbf": "foot*pound_force",
    "kg/100 m": "kilogram/hectometer",
    "kg/100m": "kilogram/hectometer",
    "lb/100 ft": "pound/hectofoot",
    "lb/100ft": "pound/hectofoot",
    "lb/ft": "pound/foot",
    "d": "day",
    "h": "hour",
    "in": "inch",
    "hr": "hour",
    "sec": "second",
}
for side in ("ft", "in", "m", "cm", "mm"):
    full = {"ft": "foot", "in": "inch"}.get(side, side)
    PINT_NAMES |= {f"{side}{power}": f"{full}**{power}" for power in (2, 3)}
    PINT_NAMES |= {f"{side}^{power}": f"{full}**{power}" for power in (2, 3)}
    PINT_NAMES |= {f"sq {side}": f"{full}**2", f"cu {side}": f"{full}**3"}

CASES = [
    (dimension, name)
    for dimension in Dimension
    if dimension not in (Dimension.RATIO, Dimension.COUNT, Dimension.TEMPERATURE)
    for name in KINDS[dimension].units
]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pint.UnitRegistry()


@pytest.mark.parametrize(("dimension", "name"), CASES, ids=str)
def test_a_unit_has_the_size_that_pint_gives_it(
    dimension: Dimension, name: str, registry: pint.UnitRegistry[float]
) -> None:
    ours = parse_quantity(f"1 {name}", dimension, "f")
    theirs = registry.Quantity(1.0, PINT_NAMES.get(name, name)).to(PINT_NAMES.get(dimension.si_unit, dimension.si_unit))
    assert ours == pytest.approx(theirs.magnitude, rel=1e-12)


@pytest.mark.parametrize("degrees", [-40.0, 0.0, 32.0, 68.0, 451.0])
def test_degrees_fahrenheit_agree_with_pint(degrees: float, registry: pint.UnitRegistry[float]) -> None:
    theirs = registry.Quantity(degrees, "degF").to("degC").magnitude
    assert parse_quantity(f"{degrees} degF", Dimension.TEMPERATURE, "f") == pytest.approx(theirs, abs=1e-9)
