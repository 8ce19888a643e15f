"""`ropewright cable`: what a horizontal line carries and how far it gives."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.options import (
    OptionReader,
    json_option,
    positive,
    quantity_option,
    signed,
    units_option,
    zero_or_more,
)
from ropewright.errors import InputError, QuantityError
from ropewright.quantity import Dimension, UnitSystem, parse_quantity

if TYPE_CHECKING:
    from ropewright.arrest.cable import Cable, PointLoad
    from ropewright.arrest.cable_worker import LineWorker

__all__ = ["cable"]

_LENGTH, _FORCE = positive(Dimension.LENGTH), positive(Dimension.FORCE)


@click.command(
    epilog='Example: ropewright cable --span "20 m" --sag "0.3 m" --weight "0.25 kg/m" --stiffness "1700 kN" '
    '--fall "100 kg" "1.8 m" --absorber-force "4 kN" --absorber-length "1.1 m"'
)
@quantity_option("--span", "Level distance from support to support; once for each span.", required=True, multiple=True)
@quantity_option("--level", "Height of a span's right support above its left one; once for each span.", multiple=True)
@click.option("--supports", type=click.Choice(["slip", "held"]), help="What the line does at intermediate supports.")
@quantity_option("--sag", "Sag of the longest span, with nobody on the line.")
@quantity_option("--length", "Line in all, unstressed.")
@quantity_option("--tension", "Pull of the line on its left anchor, with nobody on it.")
@quantity_option("--weight", 'Of the line: "0.25 kg/m", or as a force "2.5 N/m".', required=True)
@quantity_option("--stiffness", 'EA of the line, force per unit strain: "1700 kN".')
@quantity_option("--anchor-stiffness", "Of both end anchors, or twice: left, right. Rigid if left out.", multiple=True)
@quantity_option("--line-absorber-force", "Tension at which an absorber in line opens, at the left anchor.")
@quantity_option("--line-absorber-length", "How far it can open.")
@quantity_option("--load", "Load that hangs plumb from the line, once for each.", multiple=True)
@quantity_option("--at", "Its level distance from the left anchor, once for each load.", multiple=True)
@click.option(
    "--fall", nargs=2, multiple=True, metavar="MASS FREE-FALL", help="A worker who falls; given again, the next one."
)
@quantity_option("--fall-at", "Place of each fall; the middle of the longest span if left out.", multiple=True)
@quantity_option("--absorber-force", "Force at which the absorber in each lanyard opens.")
@quantity_option("--absorber-length", "How far it can open.")
@quantity_option("--lanyard-stiffness", "Lanyard and harness together, as a spring; rigid if left out.")
@units_option
@json_option
@shows_input_errors
def cable(*, units: str, as_json: bool, **texts: Any) -> None:
    """Say what a horizontal line carries and how far it gives.

    Give one of --sag, --length and --tension. Loads stay plumb under their places. A qualified person must decide on
    any horizontal line: the verdict is to ask, whatever the numbers.

    Exit status: 0 worked out, with the verdict to ask; 2 the input can't be used.
    """
    from ropewright.arrest.cable_answer import answer_line
    from ropewright.arrest.cable_segment import CableError
    from ropewright.cli import cable_text

    try:
        line, loads, workers = _read(texts)
        answer = answer_line(line, loads, workers)
    except CableError as error:
        raise InputError(
            "line", str(error), "check its sag or length, its weight, its stiffness and the loads"
        ) from error
    notes = cable_text.notes(answer, assumed_place=bool(texts["fall"]) and not texts["fall_at"])
    if as_json:
        click.echo(json.dumps(cable_text.document(answer, notes), indent=2, allow_nan=False))
    else:
        click.echo(cable_text.text(answer, notes, UnitSystem(units)))


def _read(texts: dict[str, Any]) -> tuple[Cable, list[PointLoad], list[LineWorker]]:
    """Line, loads and workers from the options; raises all faults at once."""
    from ropewright.arrest.cable import Cable

    reader = OptionReader(texts)
    spans = reader.many("span", _LENGTH)
    rises = reader.many("level", signed(Dimension.LENGTH))
    known = spans if len(spans) == len(texts["span"]) else []  # else no place can be held against them
    loads, workers = _read_loads(reader, known), _read_workers(reader, texts, known)
    fields, rig = _read_line(reader, texts), _read_rig(reader, texts)
    if len(spans) > 1 and texts["supports"] is None:
        reader.refuse("supports", "say whether the line may slip over intermediate supports: 'slip' or 'held'")
    if rises and len(rises) != len(spans):
        reader.refuse("level", "give one for each span, or none for level ones", value=f"{len(rises)} of them")
    reader.done("the line can't be worked out")
    return _rigged(Cable(tuple(spans), (), tuple(rises), **fields), rig), loads, workers


def _read_line(reader: OptionReader, texts: dict[str, Any]) -> dict[str, Any]:
    """What a `Cable` is told beside its spans."""
    springs = reader.many("anchor_stiffness", positive(Dimension.STIFFNESS)) or [float("inf")]
    fields: dict[str, Any] = {
        "weight": reader.one("weight", _weight, 0.0),
        "stiffness": reader.one("stiffness", _modulus, float("inf")),
        "absorber_force": reader.one("line_absorber_force", _FORCE, 0.0),
        "absorber_length": reader.one("line_absorber_length", _LENGTH, 0.0),
        "anchor_stiffness": (springs[0], springs[-1]),
        "held": texts["supports"] == "held",
    }
    if len(springs) > 2:
        reader.refuse("anchor_stiffness", "give one for both anchors, or the left and the right", value=len(springs))
    if (texts["load"] or texts["fall"]) and texts["stiffness"] is None:
        reader.refuse("stiffness", "give EA of the line, such as '1700 kN': without stretch it would sag too little")
    reader.needs("line_absorber_force", "line_absorber_length", "give how far it can open, such as '0.5 m'")
    reader.needs("line_absorber_length", "line_absorber_force", "give the tension at which it opens, such as '8 kN'")
    return fields


def _read_rig(reader: OptionReader, texts: dict[str, Any]) -> dict[str, float]:
    """The one way in which the line's length is told."""
    parsers = {"sag": _LENGTH, "length": _LENGTH, "tension": _FORCE}
    rig = {name: reader.one(name, parse, 1.0) for name, parse in parsers.items() if texts[name] is not None}
    if len(rig) != 1:
        reader.refuse("sag", "give just one of --sag, --length and --tension", value=", ".join(rig) or None)
    opens = reader.one("line_absorber_force", _FORCE, 0.0) if not reader.faults else 0.0
    if 0 < opens < rig.get("tension", 0.0):
        reader.refuse("tension", "give less than the force at which the absorber in line opens", value=texts["tension"])
    return rig


def _rigged(line: Cable, rig: dict[str, float]) -> Cable:
    from ropewright.arrest.cable_rig import rigged_to_length, rigged_to_sag, rigged_to_tension

    ((how, value),) = rig.items()
    return {"sag": rigged_to_sag, "length": rigged_to_length, "tension": rigged_to_tension}[how](line, value)


def _read_loads(reader: OptionReader, spans: list[float]) -> list[PointLoad]:
    from ropewright.arrest.cable import PointLoad

    forces = reader.many("load", zero_or_more(Dimension.FORCE))
    places = reader.many("at", _place(spans))
    if not reader.faults and len(forces) != len(places):
        reader.refuse("at", "give one place for each --load", value=f"{len(places)} for {len(forces)} loads")
    return [PointLoad(at, force) for at, force in zip(places, forces, strict=False)]


def _read_workers(reader: OptionReader, texts: dict[str, Any], spans: list[float]) -> list[LineWorker]:
    from ropewright.arrest.cable_worker import LineWorker

    places = reader.many("fall_at", _place(spans))
    if not places and len(texts["fall"]) == 1 and spans:
        longest = spans.index(max(spans))
        places = [sum(spans[:longest]) + 0.5 * spans[longest]]
    if not reader.faults and len(texts["fall"]) != len(places):
        counts = f"{len(places)} for {len(texts['fall'])} falls"
        reader.refuse("fall_at", "give one place for each --fall", value=counts)
    gear = {
        "stiffness": reader.one("lanyard_stiffness", positive(Dimension.STIFFNESS), float("inf")),
        "absorber_force": reader.one("absorber_force", _FORCE, 0.0),
        "absorber_length": reader.one("absorber_length", _LENGTH, 0.0),
    }
    reader.needs("absorber_force", "absorber_length", "give how far the absorber can open, such as '1.1 m'")
    reader.needs("absorber_length", "absorber_force", "give the force at which the absorber opens, such as '4 kN'")
    told = [_read_fall(reader, mass, drop) for mass, drop in texts["fall"]]
    return [LineWorker(at, *fall, **gear) for at, fall in zip(places, told, strict=False)]


def _read_fall(reader: OptionReader, mass: str, drop: str) -> tuple[float, float]:
    """Mass and free fall of a worker."""
    kilograms: float = reader.read(mass, "--fall", positive(Dimension.MASS), 1.0)
    metres: float = reader.read(drop, "--fall", zero_or_more(Dimension.LENGTH), 0.0)
    return kilograms, metres


def _place(spans: list[float]) -> Any:
    """Parser of a place along the line that is not over a support."""

    def parse(text: str, field: str) -> float:
        value = parse_quantity(text, Dimension.LENGTH, field)
        ends = [sum(spans[:k]) for k in range(len(spans) + 1)]
        if spans and (not ends[0] < value < ends[-1] or value in ends):
            raise InputError(field, text, f"give a place between two supports, which stand at {_listed(ends)}")
        return value

    return parse


def _listed(metres: list[float]) -> str:
    return ", ".join(f"{value:g} m" for value in metres)


def _weight(text: str, field: str) -> float:
    """Weight per length [N/m], from a mass or a force per length."""
    from ropewright.arrest.parts import GRAVITY

    try:
        return zero_or_more(Dimension.STIFFNESS)(text, field)
    except QuantityError:
        pass
    try:
        return zero_or_more(Dimension.LINEAR_DENSITY)(text, field) * GRAVITY
    except QuantityError as error:
        advice = (
            "give the line's mass per length, such as '0.25 kg/m' or '17 lb/100 ft', or its weight, such as '2.5 N/m'"
        )
        raise QuantityError(field, text, advice) from error


def _modulus(text: str, field: str) -> float:
    """EA of the line [N]."""
    try:
        return _FORCE(text, field)
    except QuantityError as error:
        raise QuantityError(
            field, text, "give EA, force per unit strain, such as '1700 kN' or '380,000 lbf'"
        ) from error
