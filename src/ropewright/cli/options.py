"""Options that commands share, and reading quantities from them with all faults at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from ropewright.quantity.told import Parse, TextReader, positive, range_of, signed, zero_or_more

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


class OptionReader(TextReader):
    """Reads options by their Python names, as click gives them; faults name them as the user writes them."""

    @staticmethod
    def field(name: str) -> str:
        """Return an option as the user writes it."""
        return "--" + name.replace("_", "-")
