"""`ropewright stow`: mass, room and twist of a rope that is put away."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import OptionReader, json_option, positive, quantity_option, units_option, zero_or_more
from ropewright.quantity import Dimension, UnitSystem

__all__ = ["stow"]

_LENGTH = positive(Dimension.LENGTH)
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
    from ropewright.rope.names import canonical_construction, canonical_fibre, canonical_stretch
    from ropewright.rope.stow import Way, lid, rope_mass, twisted
    from ropewright.rope.stow import stow as stowed

    reader = OptionReader(texts)
    length, diameter = reader.one("length", _LENGTH, 1.0), reader.one("diameter", _LENGTH, 0.01)
    fibre = reader.one("fibre", canonical_fibre, "unknown")
    construction = reader.one("construction", canonical_construction, "unknown")
    stretch = reader.one("stretch", canonical_stretch, "unknown")
    container, hole = _container(reader), reader.one("hole", _LENGTH, None)
    beside = reader.one("container_mass", zero_or_more(Dimension.MASS), 0.0)
    way = Way(texts["way"] or "straight-in")
    loop, droop = reader.one("loop", _LENGTH, None), _droop(reader)
    if way is Way.COIL and texts["loop"] is None:
        reader.refuse("loop", "give the rope in each loop, such as '0.9 m': each leaves a turn")
    if diameter > 0.2:
        reader.refuse("diameter", "give at most 0.2 m", value=texts["diameter"])
    if loop is not None and loop > length:
        reader.refuse("loop", "give no more than the rope's length", value=texts["loop"])
    reader.done("the stowing can't be worked out")
    mass = rope_mass(fibre, construction, stretch, diameter)
    answer = stow_text.Answer(
        way,
        length,
        diameter,
        stowed(length, diameter, mass, way, container),
        None if hole is None else lid(hole, diameter),
        twisted(way, length, diameter, mass, loop, droop),
        beside,
        container,
    )
    shown = UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.stow_drawing import stow_svg

        return stow_svg(way, diameter, shown)

    write_drawing(draw, "How to put the rope away", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(stow_text.document(answer), indent=2) if as_json else stow_text.text(answer, shown))
    raise SystemExit(stow_text.status(answer))


def _container(reader: OptionReader) -> float | None:
    """Room inside the container [m3], told as a volume or as a round one's sizes."""
    volume = reader.one("container_volume", positive(Dimension.VOLUME), None)
    across, height = reader.one("container_diameter", _LENGTH, None), reader.one("container_height", _LENGTH, None)
    reader.needs("container_diameter", "container_height", "give the container's height inside, such as '40 cm'")
    reader.needs("container_height", "container_diameter", "give the container's diameter inside, such as '30 cm'")
    if reader.given("container_volume") and reader.given("container_diameter"):
        reader.refuse("container_volume", "give it, or --container-diameter and --container-height, and not both")
    return volume if across is None or height is None else math.pi / 4 * across**2 * height


def _droop(reader: OptionReader) -> tuple[float, float] | None:
    overhang, drop = reader.one("overhang", _LENGTH, None), reader.one("drop", _LENGTH, None)
    reader.needs("overhang", "drop", "give how far its end droops, such as '10 cm'")
    reader.needs("drop", "overhang", "give the length held out level, such as '30 cm'")
    if overhang is None or drop is None:
        return None
    if drop > overhang / 3 * (1 + 1e-9):
        reader.refuse("drop", "give at most a third of --overhang: hold out a shorter length", value=drop)
        return None
    return overhang, drop
