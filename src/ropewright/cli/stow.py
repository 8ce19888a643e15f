"""`ropewright stow`: mass, room and twist of a rope that is put away."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import OptionReader, json_option, quantity_option, units_option
from ropewright.quantity import UnitSystem

__all__ = ["stow"]

_WAYS = ["coil", "coil-turned-back", "back-and-forth", "straight-in"]


@click.command(
    epilog='Example: ropewright stow --length "60 m" --diameter "11 mm" --fibre polyester '
    '--construction "sheathed core" --container-volume "25 L" --hole "20 mm" --way straight-in'
)
@quantity_option("--length", "Of the rope.", required=True)
@quantity_option("--diameter", "Of the rope.", required=True)
@click.option("--fibre", default="unknown", help="What the rope is made of; unknown counts as the heaviest.")
@click.option("--construction", default="unknown", help="How it is made: laid, sheathed core, braided.")
@click.option("--stretch", default="unknown", help="Static, low-stretch or dynamic.")
@quantity_option("--container-volume", "Of the bag or bucket, inside.")
@quantity_option("--container-diameter", "Of a round one, inside; with --container-height.")
@quantity_option("--container-height", "Of a round one, inside.")
@quantity_option("--container-mass", "Of the container and what else is in it, for what is carried.")
@quantity_option("--hole", "Across the hole in the lid that the rope runs out of.")
@click.option("--way", type=click.Choice(_WAYS), help="How the rope is put away; straight-in if left out.")
@quantity_option("--loop", "Rope in each loop of a coil.")
@quantity_option("--overhang", "Rope held out level, to tell how stiff it is; with --drop.")
@quantity_option("--drop", "How far its end droops then, at most a third of it.")
@drawing_options("a drawing of the steps")
@units_option
@json_option
@shows_input_errors
def stow(*, units: str, as_json: bool, svg: Path | None, pdf: Path | None, **texts: Any) -> None:
    """Say what a rope put away weighs, what room it takes and what twist it comes out with.

    How rope packs in a bag is judged, since nothing published was found: try it with the rope.

    Exit status: 0 worked out and nothing fails, 1 it does not fit, or must be tried, 2 the input can't be used.
    """
    from ropewright.cli import stow_text
    from ropewright.rope.told_stow import told_stow

    answer = told_stow(OptionReader(texts))
    shown = UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.stow_drawing import stow_svg

        return stow_svg(answer.way, answer.diameter, shown)

    write_drawing(draw, "How to put the rope away", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(stow_text.document(answer), indent=2) if as_json else stow_text.text(answer, shown))
    raise SystemExit(stow_text.status(answer))
