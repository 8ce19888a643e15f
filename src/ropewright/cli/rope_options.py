"""Options that say what a rope is, shared by the commands about rope."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from ropewright.cli.options import quantity_option

__all__ = ["rope_kind_options"]


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
