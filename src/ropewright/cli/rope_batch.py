"""`ropewright rope batch`: what break tests tell of the rope that was not broken."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import OptionReader, json_option, quantity_option, units_option
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.rope.batch import BatchTest

__all__ = ["batch"]


@click.command(
    epilog='Example: ropewright rope batch --break "6500 lbf" --break "6750 lbf" --break "6675 lbf" '
    '--break "7005 lbf" --break "6925 lbf" --units us'
)
@quantity_option("--break", "Load at which one piece broke; give every one.", required=True, multiple=True)
@quantity_option("--coverage", "Share of the batch that is to be as strong; 0.99 if left out.", metavar="RATIO")
@quantity_option("--confidence", "How sure that must be; 0.95 if left out.", metavar="RATIO")
@drawing_options("a drawing of the breaks and the three figures")
@units_option
@json_option
@shows_input_errors
def batch(*, units: str, as_json: bool, svg: Path | None, pdf: Path | None, **texts: Any) -> None:
    """Say what break tests of one batch tell.

    Three figures, all called a minimum by somebody: the weakest piece, the mean less three standard deviations, and
    the tolerance limit. No break is left out, not even one far from the rest.
    """
    from ropewright.rope.told_pull import told_batch

    test = told_batch(OptionReader(texts))
    shown = UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.batch_drawing import batch_svg

        return batch_svg(test, shown)

    write_drawing(draw, "Break tests of one batch", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(_answer(test), indent=2) if as_json else "\n".join(_lines(test, shown)))


def _answer(test: BatchTest) -> dict[str, Any]:
    from ropewright.rope.told_pull import BATCH_SOURCES, why_they_differ

    outlier = test.outlier
    return {
        "n": len(test.breaks),
        "minimum_n": test.minimum,
        "mean_n": test.mean,
        "sd_n": test.sd,
        "three_sigma_n": test.three_sigma,
        "tolerance_n": test.tolerance,
        "tolerance_k": test.tolerance_k,
        "coverage": test.coverage,
        "confidence": test.confidence,
        "three_sigma_confidence": test.three_sigma_confidence,
        "minimum_confidence": test.minimum_confidence,
        "outlier": {
            "value_n": outlier.value,
            "distance_sd": outlier.distance,
            "critical_sd": outlier.critical,
            "stands_out": outlier.stands_out,
        }
        if outlier
        else None,
        "why_they_differ": list(why_they_differ(test)),
        "sources": list(BATCH_SOURCES),
        "caution": CAUTION,
    }


def _lines(test: BatchTest, units: UnitSystem) -> Iterator[str]:
    from ropewright.rope.told_pull import percent, why_they_differ

    def low(force: float | None) -> str:
        return "not known" if force is None else show(force, Dimension.FORCE, units, toward="low")

    rows = [
        ("weakest piece", low(test.minimum)),
        ("mean less 3 sd", low(test.three_sigma)),
        (f"tolerance limit {percent(test.coverage)} / {percent(test.confidence)}", low(test.tolerance)),
        ("mean", low(test.mean)),
        ("standard deviation", "not known" if test.sd is None else show(test.sd, Dimension.FORCE, units)),
    ]
    yield f"{len(test.breaks)} piece{'s' * (len(test.breaks) != 1)} broken"
    yield from (f"  {name:<28}{shown:>12}" for name, shown in rows)
    yield ""
    yield from why_they_differ(test)
    yield ""
    yield CAUTION
