"""Reading what people told field by field, with all faults kept, and within ends past which something was mistyped."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from ropewright.errors import InputError, InputErrors
from ropewright.quantity.parse import parse_quantity, parse_range
from ropewright.quantity.range import Range
from ropewright.quantity.units import Dimension

__all__ = ["Parse", "TextReader", "positive", "range_of", "signed", "zero_or_more"]

_T = TypeVar("_T")

#: What turns the text of a field into a value; the second argument names the field in errors.
Parse = Callable[[str, str], _T]

#: Widest values that are read; beyond them something was mistyped, or the answer would mean nothing.
_LIMITS = {Dimension.LENGTH: 1e5, Dimension.FORCE: 1e14, Dimension.MASS: 1e5, Dimension.STIFFNESS: 1e14}


class TextReader:
    """Reads texts by name and keeps every fault, so that all of them can be told at once.

    Parameters
    ----------
    texts : mapping of str to str, tuple or None
        None where nobody told anything.
    """

    def __init__(self, texts: Mapping[str, Any]) -> None:
        self.texts = texts
        self.faults: list[InputError] = []

    def one(self, name: str, parse: Parse[_T], default: _T) -> _T:
        """Value of a field; the default if it was left out or can't be read."""
        text = self.texts[name]
        return default if text is None else self.read(text, self.field(name), parse, default)

    def many(self, name: str, parse: Parse[_T]) -> list[_T]:
        """Values of a field that may be told several times, those that can be read."""
        found = (self.read(text, self.field(name), parse, None) for text in self.texts[name])
        return [value for value in found if value is not None]

    def read(self, text: str, field: str, parse: Parse[Any], default: Any) -> Any:
        """Value of a text, or the default with a fault kept."""
        try:
            return parse(text, field)
        except InputError as fault:
            self.faults.append(fault)
            return default

    def word(self, name: str, canonical: Callable[[object, str], str]) -> str:
        """Return a word of the trade by its canonical name; one that is not known is kept as a fault."""
        word: str = self.read(self.texts[name], self.field(name), canonical, "unknown")
        return word

    def given(self, name: str) -> bool:
        """True if a field was told."""
        return self.texts[name] not in (None, ())

    def refuse(self, name: str, expected: str, *, value: object = None) -> None:
        """Keep a fault of a field."""
        self.faults.append(InputError(self.field(name), value, expected))

    def needs(self, given: str, missing: str, expected: str) -> None:
        """Keep a fault if a field stands without its partner."""
        if self.given(given) and not self.given(missing):
            self.refuse(missing, expected)

    def done(self, message: str) -> None:
        """Raise all faults, if there are any."""
        if self.faults:
            raise self.faults[0] if len(self.faults) == 1 else InputErrors(message, self.faults)

    @staticmethod
    def field(name: str) -> str:
        """Return a field as whoever tells it knows it."""
        return name


def positive(dimension: Dimension) -> Parse[float]:
    """Parser of a quantity above 0."""
    return _bounded(dimension, lambda value: value > 0, "give more than 0")


def zero_or_more(dimension: Dimension) -> Parse[float]:
    """Parser of a quantity of 0 or more."""
    return _bounded(dimension, lambda value: value >= 0, "give 0 or more")


def signed(dimension: Dimension) -> Parse[float]:
    """Parser of any quantity."""
    return _bounded(dimension, lambda _: True, "")


def range_of(dimension: Dimension) -> Parse[Range]:
    """Parser of a value or a range of 0 or more."""

    def parse(text: str, field: str) -> Range:
        value = parse_range(text, dimension, field)
        if value.low < 0:
            raise InputError(field, text, "give 0 or more")
        if value.high > _LIMITS.get(dimension, 1e9):
            raise InputError(field, text, f"give at most {_LIMITS.get(dimension, 1e9):g} {dimension.si_unit}")
        return value

    return parse


def _bounded(dimension: Dimension, fits: Callable[[float], bool], expected: str) -> Parse[float]:
    def parse(text: str, field: str) -> float:
        value = parse_quantity(text, dimension, field)
        if not fits(value):
            raise InputError(field, text, expected)
        if abs(value) > _LIMITS.get(dimension, 1e9):
            raise InputError(field, text, f"give at most {_LIMITS.get(dimension, 1e9):g} {dimension.si_unit}")
        return value

    return parse
