"""Options that commands share, and reading quantities from them with all faults at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

import click

from ropewright.errors import InputError, InputErrors
from ropewright.quantity import Dimension, Range, parse_quantity, parse_range

__all__ = [
    "OptionReader",
    "Parse",
    "WholeNumber",
    "json_option",
    "positive",
    "quantity_option",
    "range_of",
    "signed",
    "units_option",
    "zero_or_more",
]

_T = TypeVar("_T")

#: What turns the text of an option into a value; the second argument names the option in errors.
Parse = Callable[[str, str], _T]

#: Widest values that are read; beyond them something was mistyped, or the answer would mean nothing.
_LIMITS = {Dimension.LENGTH: 1e5, Dimension.FORCE: 1e14, Dimension.MASS: 1e5, Dimension.STIFFNESS: 1e14}

units_option = click.option(
    "--units", type=click.Choice(["us", "metric"]), default="metric", show_default=True, help="Units shown."
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document, in SI units.")


def quantity_option(
    name: str, help_text: str, *, required: bool = False, multiple: bool = False, metavar: str = "QUANTITY"
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Option that takes a quantity with its unit as text; `OptionReader` reads it."""
    return click.option(name, required=required, multiple=multiple, metavar=metavar, help=help_text)


class WholeNumber(click.IntRange):
    """Whole number between two ends, which says what would be right where it is none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the number, or fail as click does: with the option, and exit status 2."""
        try:
            number = int(value)
        except ValueError:
            number = None
        if number is None or not self.min <= number <= self.max:  # type: ignore[operator]
            self.fail(f"got {value!r}; give a whole number from {self.min:,} to {self.max:,}", param, ctx)
        return number


class OptionReader:
    """Reads options and keeps every fault, so that all of them can be told at once.

    Parameters
    ----------
    texts : mapping of str to str, tuple or None
        Options as click gives them, by their Python names.
    """

    def __init__(self, texts: Mapping[str, Any]) -> None:
        self._texts = texts
        self.faults: list[InputError] = []

    def one(self, name: str, parse: Parse[_T], default: _T) -> _T:
        """Value of an option; the default if it was left out or can't be read."""
        text = self._texts[name]
        return default if text is None else self.read(text, self.field(name), parse, default)

    def many(self, name: str, parse: Parse[_T]) -> list[_T]:
        """Values of an option that may be given several times, those that can be read."""
        found = (self.read(text, self.field(name), parse, None) for text in self._texts[name])
        return [value for value in found if value is not None]

    def read(self, text: str, field: str, parse: Parse[Any], default: Any) -> Any:
        """Value of a text, or the default with a fault kept."""
        try:
            return parse(text, field)
        except InputError as fault:
            self.faults.append(fault)
            return default

    def given(self, name: str) -> bool:
        """True if an option was given."""
        return self._texts[name] not in (None, ())

    def refuse(self, name: str, expected: str, *, value: object = None) -> None:
        """Keep a fault of an option."""
        self.faults.append(InputError(self.field(name), value, expected))

    def needs(self, given: str, missing: str, expected: str) -> None:
        """Keep a fault if an option stands without its partner."""
        if self.given(given) and not self.given(missing):
            self.refuse(missing, expected)

    def done(self, message: str) -> None:
        """Raise all faults, if there are any."""
        if self.faults:
            raise self.faults[0] if len(self.faults) == 1 else InputErrors(message, self.faults)

    @staticmethod
    def field(name: str) -> str:
        """Return an option as the user writes it."""
        return "--" + name.replace("_", "-")


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
