"""Options that say what a rope is, shared by the commands about rope."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import click

from ropewright.cli.options import OptionReader, positive, quantity_option, range_of
from ropewright.errors import InputError
from ropewright.quantity import Dimension, Range

__all__ = ["rope_diameter", "rope_kind_options", "rope_strength", "trade_word"]


def rope_kind_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add --fibre, --construction, --stretch, --diameter and --condition to a command."""
    options = (
        click.option("--fibre", default="unknown", help="nylon, polyester, polypropylene, ...; unknown if left out."),
        click.option("--construction", default="unknown", help="sheathed core, laid, double braid, ..."),
        click.option("--stretch", default="unknown", help="static, low-stretch or dynamic."),
        quantity_option("--diameter", "Of the rope.", required=True),
        click.option("--condition", default="unknown", help='"new, dry", "good, wet", worn, ...'),
    )
    for option in reversed(options):
        command = option(command)
    return command


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
    """Strength of a rope, a value or a range, between the ends at which it can be meant at all. [N]

    Raises
    ------
    InputError
        If it is none.
    """
    value = range_of(Dimension.FORCE)(text, field)
    if not 10.0 <= value.low <= value.high <= 1e6:
        raise InputError(field, text, "give a strength from 10 N to 1,000 kN (2.3 lbf to 224,000 lbf)")
    return value


def trade_word(
    reader: OptionReader, texts: Mapping[str, Any], name: str, canonical: Callable[[object, str], str]
) -> str:
    """Return a word of the trade by its canonical name; one that is not known is kept as a fault."""
    try:
        return canonical(texts[name], reader.field(name))
    except InputError as fault:
        reader.faults.append(fault)
        return "unknown"
