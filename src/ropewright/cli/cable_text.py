"""What `ropewright cable` says: as text for people and as a document for programs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import click

from ropewright.cli.main import CAUTION
from ropewright.quantity import Dimension, UnitSystem, show

if TYPE_CHECKING:
    from ropewright.arrest.cable import CableState
    from ropewright.arrest.cable_answer import LineAnswer
    from ropewright.arrest.cable_fall import LineFall
    from ropewright.arrest.cable_span import HungSpan

__all__ = ["document", "notes", "text"]

#: Columns that running text is kept to.
_WIDTH = 100


def notes(answer: LineAnswer, *, assumed_place: bool) -> list[str]:
    """What the reader must know beside the numbers."""
    cable, found = answer.cable, []
    if assumed_place:
        found.append("The fall is taken at the middle of the longest span, where the line drops most.")
    if (answer.falls or answer.loaded) and math.inf in cable.anchor_stiffness:
        found.append("An anchor counts as rigid: force errs high, but the line may drop further than shown.")
    if any(math.isinf(fall.worker.stiffness) for fall in answer.falls):
        found.append("The lanyard counts as rigid: force errs high, but the fall may be longer than shown.")
    if any(fall.worker.absorber_length and fall.absorber >= fall.worker.absorber_length for fall in answer.falls):
        found.append("The absorber in a lanyard opens all the way; line and lanyard stop the rest.")
    if cable.has_absorber and any(fall.line_absorber >= cable.absorber_length for fall in answer.falls):
        found.append("The absorber in line opens all the way; the line stops the rest.")
    if len(cable.spans) > 1:
        what = "held fast at" if cable.held else "free to slip over"
        found.append(f"The line counts as {what} each intermediate support; what a real one does lies between the two.")
    if answer.falls:
        found.append(
            "Falls are plumb under their places. A line that is pulled aside, as over an eave, gives toward the pull "
            "in the same way; friction of the rope on the edge is not counted, which errs high."
        )
        found.append(
            "The line's own mass in motion and wind are left out. Held against 42 published drops, static reckoning of "
            "this kind lay above the measured line tension, by 17 % at most (Galy and Lan 2017, abstract read)."
        )
    return found


def document(answer: LineAnswer, found: list[str]) -> dict[str, Any]:
    """Answer as JSON: SI numbers, units in the keys."""
    from ropewright.arrest.cable_answer import DECIDE, SOURCES

    return {
        "verdict": answer.verdict.value,
        "decide": list(DECIDE),
        "sources": [str(source) for source in SOURCES],
        **_state_document(answer.shown),
        "amplification": answer.amplification,
        "amplification_by_angle": answer.amplification_by_angle,
        "rigged": None if answer.rigged is None else _state_document(answer.rigged),
        "falls": [_fall_document(fall) for fall in answer.falls],
        "greatest_tension_n": answer.tension,
        "greatest_anchor_left_n": answer.anchor_forces[0],
        "greatest_anchor_right_n": answer.anchor_forces[1],
        "strength_needed_n": answer.strength_needed,
        "by_sag": [
            {
                "rigged_sag_m": row.rigged_sag,
                "angle_deg": row.angle,
                "tension_n": row.tension,
                "anchor_n": row.anchor_force,
                "sag_m": row.sag,
                "total_fall_m": row.total_fall,
            }
            for row in answer.by_sag
        ],
        "warnings": found,
        "caution": CAUTION,
    }


def _state_document(state: CableState) -> dict[str, Any]:
    first, last = state.spans[0], state.spans[-1]
    return {
        "horizontal_n": max(span.horizontal for span in state.spans),
        "tension_left_n": first.tension_left,
        "tension_right_n": last.tension_right,
        "tension_max_n": state.tension,
        "sag_m": state.sag,
        "length_m": state.stressed,
        "unstressed_length_m": state.unstressed,
        "angle_left_deg": _angle(-first.v_left, first.horizontal),
        "angle_right_deg": _angle(last.v_right, last.horizontal),
        "anchor_left": {"inward_n": first.horizontal, "down_n": -first.v_left},
        "anchor_right": {"inward_n": last.horizontal, "down_n": last.v_right},
        "supports": [{"rightward_n": right, "down_n": down} for right, down in state.support_forces],
        "line_absorber_m": state.opening,
        "spans": [_span_document(span) for span in state.spans],
        "loads": [
            {"at_m": load.at, "force_n": load.force, "sag_m": sag, "below_left_anchor_m": -z}
            for load, (_, z), sag in zip(state.loads, state.load_points, state.load_sags, strict=True)
        ],
    }


def _span_document(span: HungSpan) -> dict[str, Any]:
    x, z = span.lowest
    return {
        "span_m": span.task.run,
        "level_m": span.task.rise,
        "horizontal_n": span.horizontal,
        "tension_left_n": span.tension_left,
        "tension_right_n": span.tension_right,
        "sag_m": span.sag,
        "length_m": span.stressed,
        "unstressed_length_m": span.unstressed,
        "lowest_at_m": x,
        "lowest_below_left_m": -z,
        "lowest_below_right_m": span.task.rise - z,
    }


def _fall_document(fall: LineFall) -> dict[str, Any]:
    left, right = fall.anchor_forces
    return {
        "at_m": fall.worker.at,
        "mass_kg": fall.worker.mass,
        "free_fall_m": fall.worker.free_fall,
        "peak_force_n": fall.force,
        "peak_tension_n": fall.tension,
        "peak_anchor_left_n": left,
        "peak_anchor_right_n": right,
        "line_drop_m": fall.line_drop,
        "sag_m": fall.sag_at_worker,
        "stop_distance_m": fall.stop_distance,
        "total_fall_m": fall.total_fall,
        "stop_time_s": fall.motion.stop_time,
        "absorber_m": fall.absorber,
        "line_absorber_m": fall.line_absorber,
        "peak_on_others_n": fall.motion.peak_on_others,
        "by_energy": {
            "peak_force_n": fall.bound.force,
            "peak_tension_n": fall.bound.lowest.tension,
            "stop_distance_m": fall.bound.stop_distance,
        },
        "in_time": {
            "peak_force_n": fall.motion.peak_force,
            "peak_tension_n": fall.motion.peak_tension,
            "stop_distance_m": fall.motion.stop_distance,
            "energy_error": fall.motion.energy_error,
        },
        "resting": _state_document(fall.resting),
    }


def text(answer: LineAnswer, found: list[str], units: UnitSystem) -> str:
    """Answer as text; forces, sags and falls are rounded up, angles down."""
    from ropewright.arrest.cable_answer import DECIDE, SOURCES

    page = _Page(units)
    lines = ["ASK: a qualified person must decide on any horizontal line, whatever the numbers", ""]
    if answer.rigged is not None:
        lines += page.section("With nobody on it", page.state(answer.rigged))
    if answer.loaded is not None:
        lines += page.section("Under its loads, at rest", [*page.state(answer.loaded), *page.amplified(answer)])
    for number, fall in enumerate(answer.falls, start=1):
        lines += page.section(_fall_title(fall, number, len(answer.falls), page), page.fall(fall))
    needed = page.force(answer.strength_needed)
    lines += page.section("Strength", [("Line and anchors need, for twice the greatest load", needed)])
    lines += page.by_sag(answer)
    lines += [_wrapped(f"! {note}") for note in found] + [""] * bool(found)
    lines += [f"To decide ({'; '.join(map(str, SOURCES))}):", *(_wrapped(f"- {what}") for what in DECIDE)]
    return "\n".join([*lines, "", click.wrap_text(CAUTION, width=_WIDTH)])


def _fall_title(fall: LineFall, number: int, count: int, page: _Page) -> str:
    mass = show(fall.worker.mass, Dimension.MASS, page.units)
    which = f"Fall {number} of {count}: " if count > 1 else "Fall: "
    return f"{which}{mass}, {page.up(fall.worker.free_fall)} free, {page.up(fall.worker.at)} from the left anchor"


class _Page:
    """Rows of text in one system of units."""

    def __init__(self, units: UnitSystem) -> None:
        self.units = units

    def up(self, metres: float) -> str:
        return show(metres, Dimension.LENGTH, self.units, toward="high")

    def force(self, newtons: float) -> str:
        return show(newtons, Dimension.FORCE, self.units, toward="high")

    def angle(self, degrees: float) -> str:
        """Angle below level; a flatter line pulls harder, so that it is rounded down."""
        side = "below" if degrees >= 0 else "above"
        return f"{show(abs(degrees), Dimension.ANGLE, self.units, toward='low')} {side} level"

    def section(self, title: str, rows: list[tuple[str, str]]) -> list[str]:
        return [title, *(f"  {name:<52}{value}" for name, value in rows), ""]

    def state(self, state: CableState) -> list[tuple[str, str]]:
        first, last = state.spans[0], state.spans[-1]
        left, right = _angle(-first.v_left, first.horizontal), _angle(last.v_right, last.horizontal)
        rows = [
            ("Tension at the left anchor", f"{self.force(first.tension_left)}, {self.angle(left)}"),
            ("Tension at the right anchor", f"{self.force(last.tension_right)}, {self.angle(right)}"),
            ("Level part of the tension", self.force(max(span.horizontal for span in state.spans))),
            ("Sag below the line between supports", self.up(state.sag)),
            ("Length as stretched, and unstressed", f"{self.up(state.stressed)}, {self.up(state.unstressed)}"),
        ]
        if state.opening > 0:
            rows.append(("Opening of the absorber in line", self.up(state.opening)))
        for k, (rightward, down) in enumerate(state.support_forces, start=1):
            side = "right" if rightward >= 0 else "left"
            rows.append(
                (f"Support {k} carries", f"{self.force(abs(rightward))} to the {side}, {self.force(down)} down")
            )
        return rows

    def amplified(self, answer: LineAnswer) -> Iterator[tuple[str, str]]:
        if answer.amplification is not None:
            rule = answer.amplification_by_angle
            beside = "" if rule is None else f" ({_times(rule)} by the sag angle alone)"
            yield "Greatest tension to load", _times(answer.amplification) + beside

    def fall(self, fall: LineFall) -> list[tuple[str, str]]:
        left, right = fall.anchor_forces
        weight = fall.worker.weight
        rows = [
            ("Peak force on the D-ring", f"{self.force(fall.force)}, {fall.force / weight:.1f} times the weight"),
            ("Peak tension in the line", self.force(fall.tension)),
            ("Peak force on the left and right anchor", f"{self.force(left)}, {self.force(right)}"),
            ("The line goes down by, for the clearance", self.up(fall.line_drop)),
            ("Sag at the lowest", self.up(fall.sag_at_worker)),
            ("Whole fall, from release to the lowest point", self.up(fall.total_fall)),
            ("Time to stop", show(fall.motion.stop_time, Dimension.TIME, self.units)),
        ]
        if fall.absorber > 0:
            rows.append(("Opening of the absorber in the lanyard", self.up(fall.absorber)))
        if fall.line_absorber > 0:
            rows.append(("Opening of the absorber in line", self.up(fall.line_absorber)))
        if fall.motion.others.size:
            rows.append(("Peak force on somebody who hangs there", self.force(fall.motion.peak_on_others)))
        by = f"{self.force(fall.bound.force)}, {self.force(fall.motion.peak_force)}"
        rows.append(("Peak force by energy, and followed in time", by))
        rows.append(("Energy is accounted for to", f"{fall.motion.energy_error:.2%}"))
        return rows

    def by_sag(self, answer: LineAnswer) -> list[str]:
        if not answer.by_sag:
            return []
        falls = bool(answer.falls)
        rows = [("rigged sag", "flattest end", "tension", "sag then", "whole fall" if falls else "")]
        for row in answer.by_sag:
            fall = self.up(row.total_fall) if row.total_fall is not None else ""
            angle = show(row.angle, Dimension.ANGLE, self.units, toward="low")
            rows.append((self.up(row.rigged_sag), angle, self.force(row.tension), self.up(row.sag), fall))
        what = "the first fall, by energy" if falls else "the same loads"
        table = ["  " + "".join(f"{cell:<16}" for cell in row).rstrip() for row in rows]
        return [f"Rigged with another sag, under {what}", *table, ""]


def _times(factor: float) -> str:
    return f"{math.ceil(factor * 100 - 1e-6) / 100:.2f} times"


def _angle(down: float, level: float) -> float:
    """Angle of the line below level at an anchor [deg]."""
    return math.degrees(math.atan2(down, level))


def _wrapped(line: str) -> str:
    return click.wrap_text(line, width=_WIDTH, subsequent_indent="  ")
