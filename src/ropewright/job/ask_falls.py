"""Questions asked of every fall over every edge point, and the finding for the worst of each."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from ropewright.field import EdgePoints, RopeOver
from ropewright.findings import SEVERITY, Finding, Verdict
from ropewright.job.ask_clearance import clearance_answer, swing_answer
from ropewright.job.ask_step import step_answer
from ropewright.job.asking import Question, answer_by_limit
from ropewright.job.clearance import Clearances
from ropewright.job.edge_answer import Asked, EdgeAnswer
from ropewright.job.falls import Falls, live_lines
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.ruled import judge, rulings
from ropewright.quantity import Dimension, Range

__all__ = ["edge_answers"]

Floats = NDArray[np.float64]

_MORE_IS_BETTER = frozenset({"power_line_distance"})


def edge_answers(
    job: Job, rig: Rig, edges: EdgePoints, over: RopeOver, falls: Falls, clear: Clearances
) -> tuple[EdgeAnswer, ...]:
    """Every question asked of the falls of one worker.

    Parameters
    ----------
    job : Job
    rig : Rig
    edges : EdgePoints
    over : RopeOver
    falls : Falls
    clear : Clearances

    Returns
    -------
    tuple of EdgeAnswer
        In the order in which they are shown. What the pack gives no figure for is asked; of the deceleration distance
        nothing is asked where the pack does not speak of it, since force and clearance are judged on their own.
    """
    asked = Asked(job, rig, edges, over, falls, clear)
    by_limit = (_free_fall(asked), _arrest_force(asked), _deceleration(asked), _power_line(asked))
    own = (clearance_answer(asked, simulated=False), clearance_answer(asked, simulated=True), swing_answer(asked))
    answers = tuple(answer for answer in (*by_limit, *own) if answer is not None)
    step = step_answer(asked, answers)
    return answers if step is None else (*answers, step)


def _limit_answer(
    asked: Asked,
    kind: str,
    fact: str,
    values: tuple[Floats, Floats, Floats],
    dimension: Dimension,
    describe: Callable[[int], Question],
    facts: Mapping[str, object] | None = None,
) -> EdgeAnswer:
    """Hold three arrays (low, likely, high) against all that the pack says of a fact."""
    told = {**asked.rig.facts, **(facts or {})}
    low, likely, high = values
    at = np.flatnonzero(asked.falls.geometry.reached)
    codes, margin, met = np.zeros(len(high), np.int64), np.full(len(high), np.nan), np.ones(len(high), bool)
    found = rulings(asked.job, fact, told)
    if found:
        judged = judge(found, low[at], likely[at], high[at])
        codes[at], margin[at], met[at] = judged.codes, judged.margin, judged.met
    else:
        codes[at] = SEVERITY[Verdict.ASK]
        margin[at] = low[at] if fact in _MORE_IS_BETTER else -high[at]  # so that the worst place is shown

    def finding(i: int) -> Finding:
        value = Range(float(low[i]), float(likely[i]), float(high[i]))
        return answer_by_limit(asked.job, describe(i), fact, value, dimension, facts=told)

    return EdgeAnswer(kind, codes, margin, met, finding)


def _free_fall(asked: Asked) -> EdgeAnswer:
    falls = asked.falls

    def describe(i: int) -> Question:
        inputs = {
            "d_ring_start_m": float(falls.geometry.start[i]),
            "rope_out_m": float(falls.length[i]),
            "taut_to_edge_m": float(asked.over.to_edge[i]),
            "taut_below_edge_m": float(-falls.geometry.taut_sliding[i]),
            "grab_lock_m": asked.rig.lock.high,
        }
        formula = (
            "FF = start + s + lock: D-ring above the edge, drop s below it with l(A, E - s) = L, travel to lock; "
            "s = L - l where the rope meets the edge square"
        )
        return asked.question(
            "free-fall", i, "How far does the worker fall before the line holds?", "Free fall", formula, inputs
        )

    values = (falls.free_fall_likely, falls.free_fall_likely, falls.free_fall)
    return _limit_answer(asked, "free-fall", "free_fall", values, Dimension.LENGTH, describe)


def _arrest_force(asked: Asked) -> EdgeAnswer:
    falls, rig = asked.falls, asked.rig

    def describe(i: int) -> Question:
        inputs = {
            "m_kg": rig.worker.mass.high,
            "fall_m": float(falls.geometry.free_fall[i] + rig.lock.high),
            "slide_speed_m_s": float(falls.sliding.speed[i]),
            "slide_as_fall_m": float(falls.geometry.slide[i]),
            "ea_likely_n": rig.stiffness.arrest.likely,
            "rope_m": float(falls.length[i] - rig.line.lanyard.length),
            "absorber_n": rig.line.lanyard.absorber.force.likely if rig.line.lanyard.absorber else "none",
        }
        formula = (
            "m x'' = m g - T(rope, grab, absorber in series); F = greatest T over all corners of the inputs' ranges, "
            "times the law's own error"
        )
        return asked.question(
            "arrest-force", i, "How hard does the stop hit the worker?", "Arrest force", formula, inputs
        )

    return _limit_answer(asked, "arrest-force", "arrest_force", falls.force, Dimension.FORCE, describe)


def _deceleration(asked: Asked) -> EdgeAnswer | None:
    falls = asked.falls
    if not rulings(asked.job, "deceleration_distance", asked.rig.facts):
        return None

    def describe(i: int) -> Question:
        inputs = {"stop_m": float(falls.stop[2][i]), "rope_stretch_m": float(falls.rope_stretch[2][i])}
        formula = "D = absorber opening with the law's own error + grab slide, as the pack counts it (no rope stretch)"
        text = "Does the gear stop the fall within its allowed distance?"
        return asked.question("deceleration", i, text, "Deceleration distance", formula, inputs)

    return _limit_answer(asked, "deceleration", "deceleration_distance", falls.deceleration, Dimension.LENGTH, describe)


def _power_line(asked: Asked) -> EdgeAnswer | None:
    voltage = max((line.voltage for line in live_lines(asked.job)), default=None)
    if voltage is None:
        return None

    def describe(i: int) -> Question:
        inputs = {"voltage_v": voltage, "person_reach_m": asked.job.person_reach}
        formula = "d = least distance from body and tools, standing to hanging, to the line"
        text = "Do body and tools stay clear of overhead lines?"
        return asked.question("power-line", i, text, "Distance to the overhead line", formula, inputs)

    d = asked.falls.power
    # the strictest distance for all lines: which of them is nearest changes from place to place
    facts = {"power_line_voltage": voltage}
    return _limit_answer(asked, "power-line", "power_line_distance", (d, d, d), Dimension.LENGTH, describe, facts)
