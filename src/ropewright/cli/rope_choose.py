"""`ropewright rope choose`: generic ropes side by side, with what speaks for and against each."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.drawing_options import drawing_options, write_drawing
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import OptionReader, json_option, quantity_option, units_option
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.rope.choose import Choice

__all__ = ["choose"]


@click.command(
    epilog='Example: ropewright rope choose --diameter "11 mm" --grab-from "10 mm" --grab-to "12 mm" --fibre nylon '
    '--fibre polyester --wet --temperature "60 degC" --chemical acid'
)
@quantity_option("--diameter", "Of the rope.", required=True)
@click.option("--use", default="lifeline", type=click.Choice(["lifeline", "lanyard"]), show_default=True, help="Use.")
@quantity_option("--grab-from", "Least diameter that the rope grab is marked for.")
@quantity_option("--grab-to", "Greatest diameter that the rope grab is marked for.")
@click.option("--wet", is_flag=True, help="It gets wet.")
@quantity_option("--temperature", "Of what it lies on or works in.")
@click.option("--sun", is_flag=True, help="It is left in the sun.")
@click.option("--uv-inhibitor/--no-uv-inhibitor", default=None, help="Of polypropylene; unknown if left out.")
@click.option("--chemical", multiple=True, help="It meets acid, alkali, bleach or solvent.")
@click.option("--bare-edge", is_flag=True, help="It bears on a bare edge.")
@quantity_option("--length", "Also give the mass of this length.")
@click.option("--fibre", multiple=True, help="Only this fibre; may be given several times.")
@click.option("--construction", default=None, help="Only this one: sheathed core, laid, braided, ...")
@click.option("--stretch", default=None, help="Only this class: static, low-stretch or dynamic.")
@quantity_option("--strength", "Of one own rope as new, by its data sheet.")
@click.option(
    "--basis", default="unknown", help="What that is: batch minimum, mean less 3 sd, maker's minimum, average."
)
@click.option("--rules", default="us-construction", show_default=True, help="Rules pack that says what a line needs.")
@drawing_options("a table of the answers")
@units_option
@json_option
@shows_input_errors
def choose(
    *,
    units: str,
    as_json: bool,
    rules: str,
    use: str,
    uv_inhibitor: bool | None,
    svg: Path | None,
    pdf: Path | None,
    **texts: Any,
) -> None:
    """Compare ropes by fibre, construction and stretch: fit, unfit or ask.

    Exit status 0 only where one of them is fit.
    """
    from ropewright.rules.told_rope import told_choice

    met = {name: texts.pop(name) for name in ("wet", "sun", "bare_edge")}
    told = told_choice(OptionReader(texts), rules=rules, use=use, uv_inhibitor=uv_inhibitor, **met)
    choices, shown = told.choices, UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.choose_drawing import choose_svg

        return choose_svg(choices)

    write_drawing(draw, "Ropes compared", shown, svg=svg, pdf=pdf)
    if as_json:
        ropes = [_row(one, told.length) for one in choices]
        click.echo(json.dumps({"ropes": ropes, "not_asked": list(told.not_asked), "caution": CAUTION}, indent=2))
    else:
        click.echo("\n".join(_lines(choices, told.length, shown, told.not_asked)))
    sys.exit(0 if choices[0].word == "fit" else 1)


def _row(choice: Choice, length: float | None) -> dict[str, Any]:
    strength, mass = choice.strength, choice.mass
    return {
        "fibre": choice.kind.fibre,
        "construction": choice.kind.construction,
        "stretch": choice.kind.stretch,
        "word": choice.word,
        "strength_low_n": None if strength is None else strength.value.low,
        "strength_high_n": None if strength is None else strength.value.high,
        "strength_source": None if strength is None else str(strength.source),
        "strength_grade": None if strength is None else strength.grade.value,
        "strength_samples": None if strength is None else strength.samples,
        "mass_kg_per_m": None if mass is None else mass.value.high,
        "mass_kg": None if mass is None or length is None else mass.value.high * length,
        "mass_source": None if mass is None else str(mass.source),
        "answers": [
            {
                "question": answer.question,
                "verdict": answer.verdict.value,
                "reason": answer.reason,
                "source": str(answer.source),
                "grade": answer.grade.value,
            }
            for answer in choice.answers
        ],
    }


def _lines(
    choices: tuple[Choice, ...], length: float | None, units: UnitSystem, not_asked: Sequence[str]
) -> Iterator[str]:
    for choice in choices:
        kind = choice.kind
        stretch = "stretch not told" if kind.stretch == "unknown" else kind.stretch
        yield f"{choice.word.upper():<6} {kind.fibre}, {kind.construction}, {stretch}{_figures(choice, length, units)}"
        for answer in choice.answers:
            grade = "" if answer.grade.value == "-" else f", grade {answer.grade.value}"
            yield f"  {answer.verdict.value:<9}{answer.reason} [{answer.source}{grade}]"
        yield ""
    if not_asked:
        yield f"Not asked, since nothing was told of it: {', '.join(not_asked)}."
    yield CAUTION


def _figures(choice: Choice, length: float | None, units: UnitSystem) -> str:
    strength, mass = choice.strength, choice.mass
    text = "; no strength in the tables"
    if strength is not None:
        least = show(strength.value.low, Dimension.FORCE, units, toward="low")
        text = f"; {least} as new [{strength.source}, grade {strength.grade.value}]"
    if mass is None or length is None:
        return text
    return f"{text}; {show(mass.value.high * length, Dimension.MASS, units, toward='high')} [{mass.source}]"
