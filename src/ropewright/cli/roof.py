"""`ropewright roof`: what roofs a file holds."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.errors import FileError, InputError
from ropewright.quantity import UnitSystem

if TYPE_CHECKING:
    from ropewright.readers import BuildingRoof

__all__ = ["roof"]


@click.command(epilog="Example: ropewright roof examples/data/denhaag_4b.city.json")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--building", help="Id of the one building to look at.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--svg", "drawing", type=click.Path(path_type=Path), help="Draw the plan of one building into this file.")
@click.option(
    "--length-unit",
    type=click.Choice(["m", "cm", "mm", "ft", "in"]),
    help="Unit of a DXF, IFC or CSV file that does not say its own.",
)
@click.option("--units", type=click.Choice(["metric", "us"]), default="metric", show_default=True, help="Units shown.")
@shows_input_errors
def roof(
    file: Path, building: str | None, *, as_json: bool, drawing: Path | None, length_unit: str | None, units: str
) -> None:
    """Say what roofs a file holds: facets, pitches, edges, eave heights.

    FILE is CityJSON, IFC, DXF, GeoJSON (footprints with a pitch) or CSV (measured corners).

    Exit status: 0 the file could be read, even if buildings in it were refused, 2 it could not.
    """
    from ropewright.cli.roof_text import roofs_document, roofs_text
    from ropewright.readers import read_roofs

    shown = UnitSystem(units)
    buildings = read_roofs(file, building, length_unit=length_unit)
    if drawing is not None:
        _draw(buildings, drawing, shown)
    if as_json:
        click.echo(json.dumps(roofs_document(file.name, buildings), indent=2, allow_nan=False))
        return
    click.echo(roofs_text(file.name, buildings, shown))
    if drawing is not None:
        click.echo(f"Wrote {drawing}.")


def _draw(buildings: Sequence[BuildingRoof], drawing: Path, units: UnitSystem) -> None:
    usable = [(one.id, one.roof, one.north) for one in buildings if one.roof is not None]
    if len(usable) != 1:
        found = f"{len(usable)} buildings with a usable roof"
        raise InputError("--svg", found, "give --building with the id of one building whose roof can be used")
    from ropewright.sheets.roof_plan import write_roof_plan

    [(name, chosen, north)] = usable
    try:
        write_roof_plan(chosen, drawing, title=name, units=units, north=north)
    except OSError as error:
        raise FileError("--svg", str(drawing), f"give a file that can be written ({error.strerror})") from error
