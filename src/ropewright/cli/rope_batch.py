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
from ropewright.cli.options import OptionReader, json_option, positive, quantity_option, units_option
from ropewright.cli.rope_options import rope_strength
from ropewright.quantity import Dimension, UnitSystem, parse_quantity, show

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
    from ropewright.rope.batch import batch_test

    reader = OptionReader(texts)
    breaks = reader.many("break", _load)
    coverage = reader.one("coverage", _share, 0.99)
    confidence = reader.one("confidence", _share, 0.95)
    reader.done("the batch can't be worked out")
    test = batch_test(breaks, coverage=coverage, confidence=confidence)
    shown = UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.batch_drawing import batch_svg

        return batch_svg(test, shown)

    write_drawing(draw, "Break tests of one batch", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(_answer(test), indent=2) if as_json else "\n".join(_lines(test, shown)))


def _load(text: str, field: str) -> float:
    """One break load; as of a rope's strength, kN for N is a slip of the pen."""
    value = positive(Dimension.FORCE)(text, field)
    rope_strength(text, field)
    return value


def _share(text: str, field: str) -> float:
    from ropewright.errors import InputError

    value = parse_quantity(text, Dimension.RATIO, field)
    if not 0.0 < value < 1.0:
        raise InputError(field, text, "give a share between 0 and 1, such as 0.99 or '95 %'")
    return value


def _answer(test: BatchTest) -> dict[str, Any]:
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
        "why_they_differ": list(_why(test)),
        "sources": [
            "minimum: 1 - P^n, Wilks 1941, from memory",
            "mean - 3 sd: Cordage Institute test method as US rope standards name it, read second hand",
            "mean - k sd: noncentral t, NIST/SEMATECH e-Handbook 7.2.6.3, read second hand",
            "outlier: Grubbs, NIST/SEMATECH e-Handbook 1.3.5.17.1, from memory",
        ],
        "caution": CAUTION,
    }


def _percent(share: float) -> str:
    """Share cut off, so that no more is claimed than is so."""
    return f"{int(1000 * share + 1e-9) / 10:g} %"


def _lines(test: BatchTest, units: UnitSystem) -> Iterator[str]:
    def low(force: float | None) -> str:
        return "not known" if force is None else show(force, Dimension.FORCE, units, toward="low")

    rows = [
        ("weakest piece", low(test.minimum)),
        ("mean less 3 sd", low(test.three_sigma)),
        (f"tolerance limit {_percent(test.coverage)} / {_percent(test.confidence)}", low(test.tolerance)),
        ("mean", low(test.mean)),
        ("standard deviation", "not known" if test.sd is None else show(test.sd, Dimension.FORCE, units)),
    ]
    yield f"{len(test.breaks)} piece{'s' * (len(test.breaks) != 1)} broken"
    yield from (f"  {name:<28}{shown:>12}" for name, shown in rows)
    yield ""
    yield from _why(test)
    yield ""
    yield CAUTION


def _why(test: BatchTest) -> Iterator[str]:
    """Yield in words what each figure claims and why they differ."""
    n, share, sure = len(test.breaks), _percent(test.coverage), _percent(test.confidence)
    yield (
        f"The weakest piece says what {n} of this batch did; that {share} of it are as strong can be said with "
        f"{_percent(test.minimum_confidence)} confidence, whatever the spread."
    )
    if test.three_sigma_confidence is None or test.tolerance_k is None:
        yield "One piece tells nothing of the spread: break more before a figure is put on the rope."
        return
    yield (
        f"The mean less three standard deviations takes the spread of {n} pieces for the spread of the batch; that "
        f"{share} are as strong can be said with {_percent(test.three_sigma_confidence)} confidence."
    )
    yield (
        f"The tolerance limit takes off {test.tolerance_k:.2f} standard deviations instead of 3, so that {share} are "
        f"as strong with {sure} confidence. The fewer the pieces, the further down it lies."
    )
    if test.tolerance == 0.0:
        yield "It comes out at nothing: so few pieces spread so far can't bear out any strength. Break more."
    if test.is_few:
        yield "Fewer than 5 pieces: the mean less three standard deviations is meant for 5 or more."
    yield "Both take the batch as normal, one spread about one mean; a batch of mixed rope is not."
    if test.outlier and test.outlier.stands_out:
        yield (
            f"One piece stands out, {test.outlier.distance:.2f} standard deviations from the mean where a sound batch "
            f"passes {test.outlier.critical:.2f} once in twenty. It is counted; find out why before the rope is used."
        )
