"""`ropewright rope stretch`: how far a rope gives under a worker and in a catch, over the length that is out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import OptionReader, json_option, quantity_option, units_option
from ropewright.cli.rope_options import rope_kind_options
from ropewright.quantity import Dimension, Range, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.rope.stretch import StretchTable

__all__ = ["stretch"]


@click.command(
    epilog='Example: ropewright rope stretch --fibre polyester --construction "sheathed core" --stretch static '
    '--diameter "11 mm" --length "15 m" --mass "100 kg"'
)
@rope_kind_options
@quantity_option("--strength", "Minimum breaking strength as new, a value or a range; scales laid and braided rope.")
@quantity_option("--stiffness", "Force per unit of strain at arrest, if the maker gives it.")
@quantity_option("--length", "Rope out at most.", required=True)
@quantity_option("--mass", "Worker with tools.", required=True)
@quantity_option("--force", "In the catch; 1,800 lbf (8 kN) if left out, the most that US rules allow on a person.")
@drawing_options("the curve of stretch against rope out")
@units_option
@json_option
@shows_input_errors
def stretch(*, units: str, as_json: bool, svg: Path | None, pdf: Path | None, **texts: Any) -> None:
    """Say how far a rope gives under a worker and in a catch.

    The high end of the stretch in the catch is rope that the clearance must have room for.
    """
    from ropewright.rope.told_pull import told_stretch

    table = told_stretch(OptionReader(texts))
    shown = UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.stretch_drawing import stretch_svg

        return stretch_svg(table, shown)

    write_drawing(draw, "Stretch against rope out", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(_answer(table), indent=2) if as_json else "\n".join(_lines(table, shown)))


def _spread(name: str, spread: Range) -> dict[str, float]:
    return {f"{name}_low_m": spread.low, f"{name}_likely_m": spread.likely, f"{name}_high_m": spread.high}


def _answer(table: StretchTable) -> dict[str, Any]:
    return {
        "rows": [
            {"rope_m": row.length, **_spread("under_worker", row.hang), **_spread("in_catch", row.catch)}
            for row in table.rows
        ],
        "mass_kg": table.mass,
        "force_n": table.force,
        "clearance_m": table.rows[-1].catch.high,
        "basis": table.stiffness.basis,
        "source": str(table.stiffness.source),
        "grade": table.stiffness.grade.value,
        "samples": table.stiffness.samples,
        "notes": list(table.notes),
        "caution": CAUTION,
    }


def _lines(table: StretchTable, units: UnitSystem) -> Iterator[str]:
    mass = show(table.mass, Dimension.MASS, units)
    force = show(table.force, Dimension.FORCE, units, toward="high")
    yield f"{'rope out':>12}   {f'under {mass}':^27}   {f'in a catch of {force}':^27}"
    yield f"{'':>12}   {'low':>8} {'likely':>8} {'high':>8}    {'low':>8} {'likely':>8} {'high':>8}"
    for row in table.rows:
        cells = [*_cells(row.hang, units), "", *_cells(row.catch, units)]
        yield f"{show(row.length, Dimension.LENGTH, units):>12}   " + " ".join(
            f"{cell:>8}" if cell else "  " for cell in cells
        )
    yield ""
    most = show(table.rows[-1].catch.high, Dimension.LENGTH, units, toward="high")
    yield f"Room to add below the feet for stretch with all that rope out: {most} (high end)."
    yield f"Stiffness: {table.stiffness.basis}. Source: {table.stiffness.source} (grade {table.stiffness.grade.value})."
    yield from table.notes
    yield ""
    yield CAUTION


def _cells(spread: Range, units: UnitSystem) -> Sequence[str]:
    return (
        show(spread.low, Dimension.LENGTH, units, toward="low"),
        show(spread.likely, Dimension.LENGTH, units),
        show(spread.high, Dimension.LENGTH, units, toward="high"),
    )
