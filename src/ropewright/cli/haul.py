"""`ropewright haul`: what it takes to raise somebody."""

from __future__ import annotations

import json
import math
import re
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.edge import friction_of, parse_turn
from ropewright.cli.errors import shows_input_errors
from ropewright.cli.main import CAUTION
from ropewright.cli.options import OptionReader, json_option, positive, quantity_option, range_of, units_option
from ropewright.errors import InputError
from ropewright.quantity import Dimension, Range, UnitSystem, parse_quantity, show

if TYPE_CHECKING:
    from ropewright.arrest.haul import HaulSystem

__all__ = ["haul"]

_STAGE = re.compile(r"([1-9][0-9]?)(?: ?: ?1)?")

#: Advantage beyond which rescuers seldom go. Source: University of Oregon rescue course notes (read).
_SELDOM = 6


@click.command(
    epilog='Example: ropewright haul --mass "100 kg" --advantage 3 --pulley-efficiency "0.75 to 0.9" --height "6 m" '
    '--throw "2 m"'
)
@quantity_option("--mass", "All that is raised: person, gear, rescuer.", required=True)
@quantity_option(
    "--advantage", 'Strands of a simple system: 3 or "3:1"; stages: "3x3".', required=True, metavar="RATIO"
)
@quantity_option(
    "--pulley-efficiency",
    'Tension passed on per half turn, a value or a range: "0.75 to 0.9" rescue pulley, "0.5 to 0.6" karabiner.',
    required=True,
    metavar="RATIO",
)
@quantity_option("--redirects", "Pulleys beyond those, that only turn the tail.", metavar="COUNT")
@quantity_option("--edge-turn", "Turn of the load's rope over an edge below the system.")
@quantity_option("--edge-friction", "Of rope on that edge, a value or a range.", metavar="RATIO")
@click.option("--edge-surface", help="What that edge is made of, instead of its friction.")
@quantity_option("--height", "To be raised; for rope and resets in all.")
@quantity_option("--throw", "Way that a moving pulley has before the system must be set back.")
@quantity_option("--people", "How many pull; for the pull of each.", metavar="COUNT")
@units_option
@json_option
@shows_input_errors
def haul(*, units: str, as_json: bool, **texts: Any) -> None:
    """Say what a haul takes: pull, rope, people.

    A plain number means one simple system with so many strands at the load, whose tail is pulled the way the load
    goes; --redirects 1 turns it the other way. The pull is shown for the worst friction that was given.
    """
    reader = OptionReader(texts)
    mass = reader.one("mass", positive(Dimension.MASS), 1.0)
    parts: tuple[int, ...] = reader.one("advantage", _parts, ())
    efficiency = reader.one("pulley_efficiency", _efficiency, Range.exact(1.0))
    redirects = int(reader.one("redirects", _count, 0.0))
    lift, hold, edge_source = _edge(reader, texts)
    height = reader.one("height", positive(Dimension.LENGTH), None)
    throw = reader.one("throw", positive(Dimension.LENGTH), None)
    people = reader.one("people", _count, None)
    if people == 0:
        reader.refuse("people", "give 1 or more", value=texts["people"])
    reader.done("the haul can't be worked out")
    answer = _answer(mass, parts, efficiency, redirects, lift, hold)
    answer |= _in_all(_system(parts, efficiency.low, redirects), height, throw)
    answer |= {"people_told": people, "each_n": answer["pull_n"] / people if people else None}
    answer |= {"edge_source": edge_source, "warnings": _warnings(answer), "caution": CAUTION}
    click.echo(json.dumps(answer, indent=2) if as_json else "\n".join(_lines(answer, mass, UnitSystem(units))))


def _system(parts: tuple[int, ...], efficiency: float, redirects: int) -> HaulSystem:
    from ropewright.arrest.haul import HaulSystem

    return HaulSystem(parts, efficiency, redirects)


def _answer(
    mass: float, parts: tuple[int, ...], efficiency: Range, redirects: int, lift: Range, hold: Range
) -> dict[str, Any]:
    """Numbers of the haul; `lift` and `hold` are what an edge makes of the load."""
    from ropewright.arrest.haul import GRIP_SUSTAINED, GRIP_WEAKEST, haulers
    from ropewright.arrest.parts import GRAVITY

    load = mass * GRAVITY
    worst = _system(parts, efficiency.low, redirects)
    pull = worst.pull(load * lift.high)
    return {
        "load_n": load,
        "load_over_edge_n": load * lift.high,
        "ratio": worst.ratio,
        "advantage": worst.advantage,
        "overall_efficiency": worst.overall_efficiency,
        "pull_n": pull,
        "pull_likely_n": _system(parts, efficiency.likely, redirects).pull(load * lift.likely),
        "pull_low_n": _system(parts, efficiency.high, redirects).pull(load * lift.low),
        "hold_n": worst.hold(load * hold.high),
        "runs_back_below_n": _system(parts, efficiency.high, redirects).runs_back(load * hold.high),
        "anchor_n": worst.anchor_force(load * lift.high),
        "rope_m": float(worst.ratio),
        "people": haulers(pull),
        "people_weakest_hand": haulers(pull, GRIP_WEAKEST),
        "per_person_n": GRIP_SUSTAINED,
        "weakest_hand_n": GRIP_WEAKEST,
    }


def _in_all(system: HaulSystem, height: float | None, throw: float | None) -> dict[str, Any]:
    """Rope and resets for a height."""
    return {
        "height_m": height,
        "rope_in_all_m": None if height is None else system.rope(height),
        "rise_per_throw_m": None if throw is None else system.rise_per_throw(throw),
        "resets": None if height is None or throw is None else system.resets(height, throw),
    }


def _edge(reader: OptionReader, texts: dict[str, Any]) -> tuple[Range, Range, str | None]:
    """What an edge makes of a load that is raised, and of one that is held."""
    plain = Range.exact(1.0)
    if not reader.given("edge_turn"):
        for name in ("edge_friction", "edge_surface"):
            reader.needs(name, "edge_turn", "give the turn over the edge, such as '90 deg'")
        return plain, plain, None
    turn = math.radians(reader.one("edge_turn", parse_turn, 0.0))
    if reader.given("edge_friction") == reader.given("edge_surface"):
        reader.refuse("edge_friction", "give it, such as '0.3 to 0.6', or --edge-surface, and not both")
        return plain, plain, None
    if reader.given("edge_friction"):
        mu, source = reader.one("edge_friction", range_of(Dimension.RATIO), Range.exact(0.0)), "as given"
    else:
        mu, source = reader.read(
            texts["edge_surface"],
            "--edge-surface",
            lambda text, field: friction_of(text, field, wet=None),
            (Range.exact(0.0), ""),
        )
    factors = [math.exp(value * turn) for value in (mu.low, mu.likely, mu.high)]
    return Range(*factors), Range(*(1.0 / factor for factor in reversed(factors))), source


def _parts(text: str, field: str) -> tuple[int, ...]:
    """Strands of each stage.

    Examples
    --------
    >>> _parts("3:1 on 3:1", "--advantage"), _parts("5", "--advantage")
    ((3, 3), (5,))
    """
    stages = [_STAGE.fullmatch(part.strip()) for part in re.split(r"[x\u00d7*]| on ", text.strip().lower())]
    if len(stages) > 4 or not all(stages):
        raise InputError(field, text, "give strands at the load, such as '3' or '3:1', or stages, such as '3x3'")
    return tuple(int(stage[1]) for stage in stages if stage)


def _efficiency(text: str, field: str) -> Range:
    value = range_of(Dimension.RATIO)(text, field)
    if not 0 < value.low <= value.high <= 1:
        raise InputError(field, text, "give a share above 0 and at most 1, such as '0.85' or '85 %'")
    return value


def _count(text: str, field: str) -> float:
    value = parse_quantity(text, Dimension.COUNT, field)
    if not 0 <= value <= 100:
        raise InputError(field, text, "give a whole number from 0 to 100")
    return value


def _warnings(answer: dict[str, Any]) -> list[str]:
    """What the reader must know beside the numbers."""
    grip = (
        "What one person pulls is a planning figure, from a mean grip of 209 N on a moving rope (a rescue study, read "
        "second hand); footing, gloves and a pull from above change it."
    )
    found = ["Stop pulling if the load jams: what the people pull then comes on it with all the advantage.", grip]
    if answer["ratio"] > _SELDOM:
        found.append("Rescuers seldom go beyond 6 to 1 (University of Oregon rescue course notes, read).")
    return found


def _lines(answer: dict[str, Any], mass: float, units: UnitSystem) -> list[str]:
    """Answer as text; forces and lengths are rounded up, the advantage down."""

    def force(newtons: float) -> str:
        return show(newtons, Dimension.FORCE, units, toward="high")

    def length(metres: float) -> str:
        return show(metres, Dimension.LENGTH, units, toward="high")

    worst, best = force(answer["pull_n"]), force(answer["pull_low_n"])
    people = f"{answer['people']} at {force(answer['per_person_n'])} each"
    weakest = f"{answer['people_weakest_hand']}, if the weakest hand counts for {force(answer['weakest_hand_n'])}"
    advantage = math.floor(100 * answer["advantage"] + 1e-9) / 100
    rows = [
        ("Pull that raises it", worst if worst == best else f"{worst}; {best} at best"),
        ("Advantage with friction", f"{advantage:.2f}, of {answer['ratio']} without"),
        ("People", f"{people}; {weakest}"),
        ("Pull that holds it, friction not counted on", force(answer["hold_n"])),
        ("Most on an anchor that holds everything", force(answer["anchor_n"])),
        ("Rope to pull for each length raised", f"{answer['ratio']} times the height"),
    ]
    if answer["edge_source"] is not None:
        rows.insert(0, ("Load, past the edge", f"{force(answer['load_over_edge_n'])} ({answer['edge_source']})"))
    if answer["each_n"] is not None:
        rows.append((f"Pull of each of {answer['people_told']:g}", force(answer["each_n"])))
    if answer["rope_in_all_m"] is not None:
        rows.append(("Rope to pull in all", length(answer["rope_in_all_m"])))
    if answer["resets"] is not None:
        rows.append(("Set back on the way", f"{answer['resets']} times"))
    wide = max(len(name) for name, _ in rows) + 3
    head = f"Raising {show(mass, Dimension.MASS, units)}, {force(answer['load_n'])}"
    notes = [click.wrap_text(f"! {note}", width=100, subsequent_indent="  ") for note in answer["warnings"]]
    table = [f"{name:<{wide}}{value}" for name, value in rows]
    return [head, *notes, "", *table, "", click.wrap_text(CAUTION, width=100)]
