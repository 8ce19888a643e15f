"""`ropewright edge`: what friction over an edge or round a post holds, and what the bend leaves of the rope."""

from __future__ import annotations

import json
import math
import re
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import (
    OptionReader,
    json_option,
    positive,
    quantity_option,
    range_of,
    units_option,
    zero_or_more,
)
from ropewright.errors import QuantityError
from ropewright.quantity import Dimension, Range, UnitSystem, parse_quantity, show

if TYPE_CHECKING:
    from ropewright.rope import Figure

__all__ = ["edge", "friction_of", "parse_turn"]

_TURNS = re.compile(r"(.*?) ?(?:turns?|revolutions?|rev)", re.IGNORECASE)


@click.command(
    epilog='Example: ropewright edge --tension "1 kN" --turn "90 deg" --surface "timber" --diameter "11 mm" '
    '--edge-radius "20 mm"'
)
@quantity_option("--tension", "On the loaded side.", required=True)
@quantity_option("--turn", 'Angle that the rope turns, in all: "90 deg" or "1.5 turns".', required=True)
@quantity_option("--friction", 'Of rope on surface, a value or a range: "0.2 to 0.4".', metavar="RATIO")
@click.option("--surface", help="What the rope bears on, instead of its friction: timber, steel, unknown, ...")
@click.option("--wet/--dry", default=None, help="Whether that surface is wet; either if left out.")
@quantity_option("--held-by", "Measure friction: the small weight that holds the tension.")
@quantity_option("--slips-at", "Measure friction: the small weight at which the rope slips.")
@quantity_option("--diameter", "Of the rope, for what the bend leaves of its strength.")
@quantity_option("--edge-radius", "Radius of the edge or post.")
@click.option("--rope", type=click.Choice(["fibre", "wire"]), default="fibre", show_default=True, help="Kind of rope.")
@units_option
@json_option
@shows_input_errors
def edge(*, units: str, as_json: bool, **texts: Any) -> None:
    """Say what friction and a bend do to a rope.

    The force that holds the rope is shown for the least friction, the force that raises the load for the most.
    """
    from ropewright.arrest.capstan import edge_force, held_force, raising_force

    reader = OptionReader(texts)
    tension = reader.one("tension", zero_or_more(Dimension.FORCE), 0.0)
    turn = math.radians(reader.one("turn", parse_turn, 0.0))
    friction, source = _friction(reader, texts, tension, turn)
    bend = _bend(reader, texts)
    reader.done("the edge can't be worked out")
    mu = [friction.high, friction.likely, friction.low]
    held, raising = held_force(tension, turn, mu).tolist(), raising_force(tension, turn, mu).tolist()
    answer: dict[str, Any] = {
        "held_n": held[2],
        "held_likely_n": held[1],
        "held_low_n": held[0],
        "raising_n": raising[0],
        "raising_likely_n": raising[1],
        "raising_low_n": raising[2],
        "edge_force_n": float(edge_force(tension, raising[0], turn)) if turn <= math.pi else None,
        "turn_deg": math.degrees(turn),
        "friction": {"low": friction.low, "likely": friction.likely, "high": friction.high, "source": source},
        "bend": None if bend is None else _bend_document(*bend),
        "caution": CAUTION,
    }
    click.echo(json.dumps(answer, indent=2) if as_json else "\n".join(_lines(answer, tension, UnitSystem(units))))


def parse_turn(text: str, field: str) -> float:
    """Angle of a turn, in degrees, from an angle or a number of turns.

    Examples
    --------
    >>> parse_turn("1.5 turns", "--turn"), parse_turn("90 deg", "--turn")
    (540.0, 90.0)
    """
    advice = "give an angle or turns, such as '90 deg' or '1.5 turns'"
    match = _TURNS.fullmatch(text.strip())
    try:
        if match:
            value = 360.0 * parse_quantity(match[1], Dimension.RATIO, field)
        else:
            value = parse_quantity(text, Dimension.ANGLE, field)
    except QuantityError as error:
        raise QuantityError(field, text, advice) from error
    if not 0 <= value <= 360e3:
        raise QuantityError(field, text, f"{advice}, of 0 or more")
    return value


def friction_of(surface: str, field: str, *, wet: bool | None) -> tuple[Range, str]:
    """Friction on a surface by name, with its source; an unknown name offers those that are known."""
    from ropewright.rope import friction_figure
    from ropewright.rope.names import canonical_surface

    figure = friction_figure(canonical_surface(surface, field), wet=wet)
    return figure.value, str(figure.source)


def _friction(reader: OptionReader, texts: dict[str, Any], tension: float, turn: float) -> tuple[Range, str]:
    """Friction as told, by its surface, or as measured; one of the three."""
    told = [name for name in ("friction", "surface", "held_by", "slips_at") if texts[name] is not None]
    nothing = Range.exact(0.0), ""
    if len(told) != 1 and set(told) != {"held_by", "slips_at"}:
        expected = "give its value or range, such as '0.2 to 0.4', or --surface, or --held-by and --slips-at"
        reader.refuse("friction", expected, value=", ".join(told) or None)
        return nothing
    if told[0] == "friction":
        return reader.one("friction", range_of(Dimension.RATIO), nothing[0]), "as given"
    if told[0] == "surface":
        found: tuple[Range, str] = reader.read(
            texts["surface"], "--surface", lambda text, field: friction_of(text, field, wet=texts["wet"]), nothing
        )
        return found
    return _measured(reader, tension, turn), f"measured here: {' and '.join(told).replace('_', ' ')}"


def _measured(reader: OptionReader, tension: float, turn: float) -> Range:
    """Friction between what held and what slipped; without the one it may be anything on that side."""
    from ropewright.arrest.capstan import friction_from_hold

    weights = {name: reader.one(name, positive(Dimension.FORCE), math.nan) for name in ("held_by", "slips_at")}
    given = [name for name in weights if reader.given(name)]
    for name in given:
        if weights[name] > tension:
            reader.refuse(name, "give the smaller of the two weights, at most the tension", value=weights[name])
    if turn == 0:
        reader.refuse("turn", "friction can't be measured without a turn", value="0")
    if reader.faults:
        return Range.exact(0.0)
    found = {name: float(friction_from_hold(tension, weights[name], turn)) for name in given}
    low = found.get("held_by", 0.0)
    high = found.get("slips_at", low)
    if high < low:
        reader.refuse("slips_at", "what slips must be less than what holds", value=weights["slips_at"])
        return Range.exact(0.0)
    return Range(low, low, high) if "held_by" in found else Range(0.0, high, high)


def _bend(reader: OptionReader, texts: dict[str, Any]) -> tuple[float, Figure] | None:
    """Bend ratio and what it leaves of the rope's strength."""
    from ropewright.arrest.capstan import bend_ratio
    from ropewright.rope import bend_retention

    reader.needs("diameter", "edge_radius", "give the radius of the edge, such as '3 mm'; 0 mm for a sharp one")
    reader.needs("edge_radius", "diameter", "give the diameter of the rope, such as '11 mm'")
    diameter = reader.one("diameter", positive(Dimension.LENGTH), 0.0)
    radius = reader.one("edge_radius", zero_or_more(Dimension.LENGTH), 0.0)
    if diameter == 0 or texts["edge_radius"] is None:
        return None
    ratio = bend_ratio(radius, diameter)
    # the table begins at a ratio above nothing; an edge with no radius is a bare one, as anything below 1 is
    return ratio, bend_retention(max(ratio, 1e-6), "wire" if texts["rope"] == "wire" else "fibre")


def _bend_document(ratio: float, figure: Figure) -> dict[str, Any]:
    value = figure.value
    return {
        "bend_ratio": ratio,
        "strength_left_low": value.low,
        "strength_left_likely": value.likely,
        "strength_left_high": value.high,
        "source": str(figure.source),
    }


def _lines(answer: dict[str, Any], tension: float, units: UnitSystem) -> list[str]:
    """Answer as text; forces are rounded up, what is left of a strength down."""

    def force(newtons: float) -> str:
        return show(newtons, Dimension.FORCE, units, toward="high")

    mu, bend = answer["friction"], answer["bend"]
    span = f"{mu['low']:.3g}" if mu["low"] == mu["high"] else f"{mu['low']:.3g} to {mu['high']:.3g}"
    rows = [
        ("Friction", f"{span} ({mu['source']})"),
        ("Holds with", _span(force, answer["held_n"], answer["held_low_n"], "the least friction")),
        ("Raising takes", _span(force, answer["raising_n"], answer["raising_low_n"], "the most friction")),
    ]
    if answer["edge_force_n"] is not None:
        rows.append(("Force on the edge while raising", force(answer["edge_force_n"])))
    if bend is not None:
        left = f"{_percent(bend['strength_left_low'])} to {_percent(bend['strength_left_high'])}"
        rows.append(("Bend, diameter over rope diameter", f"{bend['bend_ratio']:.2g}"))
        rows.append(("Strength left in the bend", f"{left} ({bend['source']})"))
    wide = max(len(name) for name, _ in rows) + 3
    head = f"{show(tension, Dimension.FORCE, units)} over {answer['turn_deg']:.4g} deg"
    return [head, "", *(f"{name:<{wide}}{value}" for name, value in rows), "", click.wrap_text(CAUTION, width=100)]


def _span(force: Any, worst: float, best: float, why: str) -> str:
    return force(worst) if worst == best else f"{force(worst)}, with {why}; {force(best)} at best"


def _percent(share: float) -> str:
    return f"{math.floor(100 * share + 1e-9)} %"
