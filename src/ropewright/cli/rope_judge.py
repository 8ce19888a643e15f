"""`ropewright rope judge`: strength of a rope as it is today, step by step, and what it may still do."""

from __future__ import annotations

import json
import sys
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
    from ropewright.rules.told_rope import Judged

__all__ = ["judge"]


@click.command(
    epilog='Example: ropewright rope judge --strength "5,400 lbf" --basis "maker\'s minimum" --fibre nylon '
    '--construction laid --end "eye splice" --condition "good, dry" --no-edge --stretch static '
    '--age "3 years" --outdoors "6 months" --catches 0 --units us'
)
@quantity_option("--strength", "As new, a value or a range.", required=True)
@click.option(
    "--basis", default="unknown", help="What that is: batch minimum, mean less 3 sd, maker's minimum, average."
)
@click.option("--fibre", default="unknown", help="nylon, polyester, polypropylene, ...")
@click.option("--construction", default="unknown", help="sheathed core, laid, double braid, ...")
@click.option("--stretch", default="unknown", help="static, low-stretch or dynamic.")
@click.option("--uv-inhibitor/--no-uv-inhibitor", default=None, help="Of polypropylene; unknown if left out.")
@click.option("--end", default="unknown", help="How it is ended: a knot, sewn eye, eye splice, rated assembly.")
@click.option("--condition", default="unknown", help='"new, dry", "good, wet", worn, damaged, ...')
@click.option("--edge/--no-edge", default=None, help="Whether it bears on a bare edge; either if left out.")
@quantity_option("--bend-ratio", "Diameter of what it is bent round over its own.", metavar="RATIO")
@quantity_option("--age", "Since it was made.", metavar="TIME")
@quantity_option("--life", "How long its maker lets it be used.", metavar="TIME")
@quantity_option("--outdoors", "Time left out in the weather in all.", metavar="TIME")
@quantity_option("--days-used", "Days of use.", metavar="COUNT")
@quantity_option("--catches", "Falls it has caught.", metavar="COUNT")
@quantity_option(
    "--found", "Found on it: cut, melt, glazing, core seen, chemical, crushed, abraded.", multiple=True, metavar="WORD"
)
@click.option("--rules", default="us-construction", show_default=True, help="Rules pack that says what a line needs.")
@drawing_options("a drawing of what each cause leaves")
@units_option
@json_option
@shows_input_errors
def judge(
    *,
    units: str,
    as_json: bool,
    edge: bool | None,
    uv_inhibitor: bool | None,
    rules: str,
    svg: Path | None,
    pdf: Path | None,
    **texts: Any,
) -> None:
    """Say what is left of a rope and what it may do today.

    What takes it out of service is said before any number. Exit status 0 only where it may be a lifeline.
    """
    from ropewright.findings import Verdict
    from ropewright.rules.told_rope import told_judge

    told = told_judge(OptionReader(texts), rules=rules, edge=edge, uv_inhibitor=uv_inhibitor)
    shown = UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.judge_drawing import judge_svg

        return judge_svg(told.chain, told.allowed[0], told.asked, shown)

    write_drawing(draw, "What is left of a rope", shown, svg=svg, pdf=pdf)
    click.echo(json.dumps(_answer(told), indent=2) if as_json else "\n".join(_lines(told, shown)))
    sys.exit(0 if told.allowed[0].verdict is Verdict.HOLDS else 1)


def _answer(told: Judged) -> dict[str, Any]:
    chain, allowed, work, asked = told.chain, told.allowed, told.work, told.asked
    return {
        "standing": chain.standing.value,
        "triggers": [
            {"subject": one.subject, "verdict": one.verdict.value, "reason": one.reason, "source": str(one.source)}
            for one in told.worst_first
        ],
        "strength_low_n": chain.low,
        "strength_likely_n": chain.likely,
        "strength_high_n": chain.high,
        "asked_n": None if asked is None else asked.force,
        "asked_source": None if asked is None else str(asked.source),
        "working_load_low_n": work.low,
        "working_load_high_n": work.high,
        "design_factor_low": work.factors[0],
        "design_factor_high": work.factors[1],
        "working_load_source": str(work.source),
        "settles": chain.settles,
        "steps": [
            {
                "name": step.name,
                "share_low": step.factor.low,
                "share_likely": step.factor.likely,
                "share_high": step.factor.high,
                "left_low_n": step.left.low,
                "left_likely_n": step.left.likely,
                "left_high_n": step.left.high,
                "formula": step.formula,
                "inputs": dict(step.inputs),
                "source": str(step.source),
                "grade": step.grade.value,
                "samples": step.samples,
                "settles": step.settles,
                "note": step.note,
            }
            for step in chain.steps
        ],
        "uses": [
            {"use": one.use, "verdict": one.verdict.value, "reason": one.reason, "source": str(one.source)}
            for one in allowed
        ],
        "assumed": list(chain.assumed),
        "caution": CAUTION,
    }


def _lines(told: Judged, units: UnitSystem) -> Iterator[str]:
    chain, allowed, work = told.chain, told.allowed, told.work

    def low(force: float) -> str:
        return show(force, Dimension.FORCE, units, toward="low")

    for use in allowed:
        yield f"{use.verdict.value.upper():<9} {use.use}: {use.reason}"
    yield ""
    for trigger in told.worst_first:
        yield f"  {trigger.verdict.value}: {trigger.reason} [{trigger.source}]"
    yield f"  {'':<34}{'low':>11}{'likely':>11}{'high':>11}"
    yield f"  {'told':<34}{low(chain.told.low):>11}{low(chain.told.likely):>11}{low(chain.told.high):>11}"
    for step in chain.steps:
        shares = "".join(f"{share:>11.2f}" for share in (step.factor.low, step.factor.likely, step.factor.high))
        mark = "" if step.settles else " *"
        samples = "" if step.samples is None else f", {step.samples} samples"
        yield f"  {step.name + mark:<34}{shares}   {step.source}, grade {step.grade.value}{samples}"
    yield f"  {'left':<34}{low(chain.low):>11}{low(chain.likely):>11}{low(chain.high):>11}"
    if told.asked is not None:
        asked = show(told.asked.force, Dimension.FORCE, units, toward="high")
        yield f"  {'asked of a line':<34}{asked:>11}   {told.asked.source}"
    least, most = work.factors
    yield f"  working load {low(work.low)} ({most:g}:1) to {low(work.high)} ({least:g}:1) [{work.source}]"
    yield "  that is for loads, day by day: no limit on the force of an arrest"
    if any(not step.settles for step in chain.steps):
        yield "  * remembered, judged or from a weak source: never lets anything hold by itself"
    yield from (f"  assumed: {text}" for text in chain.assumed)
    yield ""
    yield CAUTION
