"""Options that say what a rope is, shared by the commands about rope."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import click

from ropewright.cli.options import OptionReader, quantity_option
from ropewright.errors import InputError

__all__ = ["rope_kind_options", "trade_word"]


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


def trade_word(
    reader: OptionReader, texts: Mapping[str, Any], name: str, canonical: Callable[[object, str], str]
) -> str:
    """Return a word of the trade by its canonical name; one that is not known is kept as a fault."""
    try:
        return canonical(texts[name], reader.field(name))
    except InputError as fault:
        reader.faults.append(fault)
        return "unknown"
