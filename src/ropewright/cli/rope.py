"""`ropewright rope`: choose rope, judge it, test a batch of it; each subcommand has a module of its own."""

from __future__ import annotations

import click

from ropewright.cli.rope_batch import batch
from ropewright.cli.rope_choose import choose
from ropewright.cli.rope_judge import judge
from ropewright.cli.rope_sheet import sheet
from ropewright.cli.rope_stretch import stretch

__all__ = ["rope"]


@click.group(epilog='Example: ropewright rope batch --break "31.2 kN" --break "30.4 kN" --break "31.9 kN"')
def rope() -> None:
    """Say what rope is worth."""


rope.add_command(choose)
rope.add_command(judge)
rope.add_command(batch)
rope.add_command(stretch)
rope.add_command(sheet)
