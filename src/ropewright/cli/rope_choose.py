"""`ropewright rope choose`: generic ropes side by side, with what speaks for and against each."""

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
from ropewright.cli.options import (
    OptionReader,
    json_option,
    positive,
    quantity_option,
    signed,
    units_option,
)
from ropewright.cli.rope_options import rope_diameter, rope_strength, trade_word
from ropewright.errors import InputError
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.rope.choose import Choice, Kind, Setting
    from ropewright.rope.tables import Figure
    from ropewright.rope.today import RuleFigure

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
@click.option("--chemical", "chemicals", multiple=True, help="It meets acid, alkali, bleach or solvent.")
@click.option("--bare-edge", is_flag=True, help="It bears on a bare edge.")
@quantity_option("--length", "Also give the mass of this length.")
@click.option("--fibre", "fibres", multiple=True, help="Only this fibre; may be given several times.")
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
    fibres: tuple[str, ...],
    svg: Path | None,
    pdf: Path | None,
    **texts: Any,
) -> None:
    """Compare ropes by fibre, construction and stretch: fit, unfit or ask.

    Exit status 0 only where one of them is fit.
    """
    from ropewright.rope.choose import choose as compare
    from ropewright.rules import load_pack
    from ropewright.rules.line_figures import figures_asked

    reader = OptionReader(texts)
    needed, _ = figures_asked(load_pack(rules), "unknown")
    setting = _setting(reader, texts, needed)
    strength = _own_strength(reader, texts)
    length = reader.one("length", positive(Dimension.LENGTH), None)
    kinds = _kinds(reader, fibres)
    if strength is not None and len(kinds) > 1:
        expected = "give one fibre, construction and stretch class with it: it is of one own rope"
        reader.refuse("strength", expected, value=texts["strength"])
    reader.done("the ropes can't be compared")
    choices, shown = compare(kinds, setting, strength=strength), UnitSystem(units)

    def draw() -> str:
        from ropewright.sheets.choose_drawing import choose_svg

        return choose_svg(choices)

    write_drawing(draw, "Ropes compared", shown, svg=svg, pdf=pdf)
    if as_json:
        ropes = [_row(one, length) for one in choices]
        click.echo(json.dumps({"ropes": ropes, "not_asked": _not_asked(setting), "caution": CAUTION}, indent=2))
    else:
        click.echo("\n".join(_lines(choices, length, shown, _not_asked(setting))))
    sys.exit(0 if choices[0].word == "fit" else 1)


def _setting(reader: OptionReader, texts: dict[str, Any], needed: RuleFigure | None) -> Setting:
    from ropewright.rope.choose import Setting
    from ropewright.rope.harms import CHEMICALS

    reader.needs("grab_from", "grab_to", "give both ends of the range that the grab is marked for")
    reader.needs("grab_to", "grab_from", "give both ends of the range that the grab is marked for")
    least = reader.one("grab_from", positive(Dimension.LENGTH), None)
    most = reader.one("grab_to", positive(Dimension.LENGTH), None)
    if least is not None and most is not None and least > most:
        reader.refuse("grab_to", "give no less than --grab-from", value=texts["grab_to"])
    for chemical in texts["chemicals"]:
        if chemical not in CHEMICALS:
            expected = f"give one of {', '.join(map(repr, CHEMICALS))}"
            reader.faults.append(InputError("--chemical", chemical, expected))
    return Setting(
        diameter=reader.one("diameter", rope_diameter, 0.011),
        use="vertical lifeline" if texts["use"] == "lifeline" else "lanyard",
        grab=None if least is None or most is None else (least, most),
        needed=needed,
        temperature=reader.one("temperature", signed(Dimension.TEMPERATURE), None),
        chemicals=tuple(dict.fromkeys(texts["chemicals"])),
        wet=texts["wet"],
        sun=texts["sun"],
        bare_edge=texts["bare_edge"],
        uv_inhibitor=texts["uv_inhibitor"],
    )


def _kinds(reader: OptionReader, fibres: tuple[str, ...]) -> list[Kind]:
    """Kinds of rope that are compared; a word that is not known is kept as a fault."""
    from ropewright.rope import canonical_construction, canonical_fibre, canonical_stretch
    from ropewright.rope.choose import generic_kinds

    words = [reader.read(fibre, "--fibre", canonical_fibre, "unknown") for fibre in fibres]
    made = reader.one("construction", canonical_construction, None)
    return generic_kinds(words, made, reader.one("stretch", canonical_stretch, None))


def _own_strength(reader: OptionReader, texts: dict[str, Any]) -> Figure | None:
    """Minimum of an own rope by its data sheet; an average, or what nobody names, is taken down and settles nothing."""
    from ropewright.findings import Source, SourceStatus
    from ropewright.quantity import Range
    from ropewright.rope import canonical_basis
    from ropewright.rope.losses import basis_loss
    from ropewright.rope.tables import Figure

    told = reader.one("strength", rope_strength, None)
    basis = trade_word(reader, texts, "basis", canonical_basis)
    if told is None:
        return None
    loss = basis_loss(basis)
    share = loss.factor
    minimum = Range(told.low * share.low, told.likely * share.likely, told.high * share.high)
    source = Source("data sheet, as told", basis, SourceStatus.USER) if share.low == 1.0 else loss.figure.source
    return Figure("own", minimum, "N", source, loss.figure.grade)


def _not_asked(setting: Setting) -> list[str]:
    """What nobody has told, so that no rope was asked about it: a fit one is fit without it."""
    told = {
        "temperature": setting.temperature is not None,
        "chemicals": bool(setting.chemicals),
        "wet": setting.wet,
        "sun": setting.sun,
        "bare edge": setting.bare_edge,
    }
    return [name for name, given in told.items() if not given]


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


def _lines(choices: tuple[Choice, ...], length: float | None, units: UnitSystem, not_asked: list[str]) -> Iterator[str]:
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
