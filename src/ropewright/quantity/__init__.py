"""Quantities at the boundary: text with units in, SI floats inside, text with units out."""

from ropewright.quantity.parse import parse_quantity, parse_range
from ropewright.quantity.range import Range
from ropewright.quantity.show import show, unit_symbol
from ropewright.quantity.units import Dimension, UnitSystem

__all__ = ["Dimension", "Range", "UnitSystem", "parse_quantity", "parse_range", "show", "unit_symbol"]
