"""What falls followed in three dimensions say: what the body meets, how hard the stop is, where and when it hangs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ropewright.arrest.motion import Outcome
from ropewright.findings import Finding, Source, SourceStatus, Verdict
from ropewright.job.ask_clearance import OUR_LIMIT, OWN_LIMIT, SWING_TO_ASK
from ropewright.job.asking import Question, answer_by_limit, answer_by_person
from ropewright.job.edge_answer import Asked
from ropewright.job.motions import FORCE, SLIDE, Followed
from ropewright.quantity import Dimension, Range, show
from ropewright.quantity.show import Toward

__all__ = ["BY_MOTION", "ask_about_motion", "unsolved_finding"]

BY_MOTION = Source("this fall in three dimensions", "docs/derivations-motion.md", SourceStatus.DERIVED)

#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665
_DECIDE_CONTACT = (
    "Whether the worker can take this blow, or how to keep them from it: a shorter line, an anchor nearer to straight "
    "above, padding, or the thing out of the way."
)


def ask_about_motion(asked: Asked, followed: tuple[Followed, ...]) -> Iterator[Finding]:
    """Findings of one worker's falls in three dimensions.

    Parameters
    ----------
    asked : Asked
    followed : tuple of Followed
        From `ropewright.job.motions.follow_falls`.

    Yields
    ------
    Finding
        Contact, rest and force, for a worker who reaches an edge. A run whose energy does not balance gives no number:
        its finding asks, and says why.
    """
    for one in followed:
        if FORCE in one.asked:
            yield _force(asked, one)
        else:
            yield _with_left(one, _contact(asked, one))
            yield _rest(asked, one)


def _question(asked: Asked, kind: str, one: Followed, row: int, text: str, thing: str, formula: str) -> Question:
    i, m = int(one.point[row]), one.motions
    told: dict[str, float | str] = {
        "followed_for": one.asked[row],
        "slide_speed_m_s": float(one.speed[row]),
        "friction": one.friction,
        "followed_s": float(m.time[row]),
        "outcome": m.outcomes[row].name.lower().replace("_", " "),
        "energy_error": float(m.energy_error[row]),
    }
    question = asked.question(kind, i, text, thing, formula, told)
    return Question(question.id, text, thing, question.where, formula, told, (BY_MOTION,))


def unsolved_finding(question: Question) -> Finding:
    """Return the finding of a run that gives no number: its energy does not balance.

    Parameters
    ----------
    question : Question
        With ``energy_error`` among its inputs.
    """
    error = question.inputs["energy_error"]
    return answer_by_person(
        question,
        Verdict.ASK,
        f"The fall could not be followed in three dimensions: its energy does not balance to 0.5 % ({error:.1%} off).",
        decide="Where the body goes here and what it meets, by other means than this program.",
    )


# contact -------------------------------------------------------------------------------------------------------------


def _contact(asked: Asked, one: Followed) -> Finding:
    """What is met hardest over all falls that were followed: a thing that ends the fall, or the wall under the edge."""
    m = one.motions
    # what surely ends a fall comes first, then what may, then the wall under the edge
    is_met = m.solved & (m.outcome == Outcome.MET)
    rank = np.where(is_met, np.where(one.surely, 2e3, 1e3) + m.met_speed, np.where(m.solved, m.wall_speed, -1.0))
    row = int(rank.argmax())
    formula = "m x'' = -m g z - T grad l + contact; greatest speed into what the body meets"
    text = "What does the worker hit, and how fast?"
    question = _question(asked, "contact", one, row, text, "Contact", formula)
    if is_met[row]:
        return _met(asked, question, one, row)
    found = _wall(asked, question, float(rank[row])) if m.solved[row] else None
    if m.solved.all() and found is not None:
        return found
    if found is not None and found.verdict is not Verdict.HOLDS:
        return replace(found, summary=f"{found.summary} Of {len(m)} falls {int((~m.solved).sum())} gave no number.")
    lost = int(np.argmin(m.solved))
    return unsolved_finding(_question(asked, "contact", one, lost, text, "Contact", formula))


def _with_left(one: Followed, found: Finding) -> Finding:
    """The same, asked about where things are within reach in more falls than are followed."""
    if not one.left or found.verdict is Verdict.FAILS:
        return found
    count = len(one.left)
    edges = ", ".join(dict.fromkeys(near.edge for near in one.left))
    things = ", ".join(dict.fromkeys(near.thing for near in one.left))
    falls = f"{count} more falls are" if count > 1 else "One more fall is"
    said = f"{falls} not followed, since things stand near so many places: over {edges}, near {things}."
    look = f"Whether a body that falls over {edges} meets {things}, by other means than this program."
    return replace(
        found,
        verdict=Verdict.ASK,
        summary=f"{found.summary} {said}",
        decide=f"{found.decide} {look}".strip(),
        inputs={**found.inputs, "falls_not_followed": float(count)},
    )


def _met(asked: Asked, question: Question, one: Followed, row: int) -> Finding:
    """A thing other than the wall under the edge was met; whoever swings into something is hurt."""
    m, name = one.motions, one.met[row]
    speed, after = float(m.met_speed[row]), float(m.met_time[row])
    x, y, z = (float(v) for v in m.met_place[row])
    inputs = {**question.inputs, "met": name, "met_x_m": x, "met_y_m": y, "met_z_m": z, "met_s": after}
    shown = show(speed, Dimension.SPEED, asked.job.units, toward="high")
    surely = bool(one.surely[row])
    so = "" if surely else ", if the rope slides along the edge as easily as it may"
    return Finding(
        id=question.id,
        question=question.text,
        verdict=Verdict.FAILS if surely else Verdict.ASK,
        summary=f"Meets {name} at {shown}, {after:.1f} s after going over the edge{so}.",
        value=speed,
        unit="m/s",
        dimension=Dimension.SPEED,
        where=question.where,
        formula=question.formula,
        inputs=inputs,
        sources=question.sources,
        decide="" if surely else _DECIDE_CONTACT,
    )


def _wall(asked: Asked, question: Question, speed: float) -> Finding:
    """The wall under the edge is met on every fall; how fast decides, as for a swing."""
    job = asked.job
    own = job.swing_drop_limit is not None
    drop = job.swing_drop_limit if job.swing_drop_limit is not None else SWING_TO_ASK
    limit = math.sqrt(2 * _G * drop)
    past = Verdict.FAILS if own else Verdict.ASK
    verdict = past if speed > limit else Verdict.HOLDS
    shown, bound = (show(v, Dimension.SPEED, job.units, toward=toward) for v, toward in _ends(speed, limit))
    met = f"the wall under the edge at {shown} and nothing else" if speed > 0 else "nothing"
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=f"Meets {met} as told; up to {bound} counts as what a swing may bring.",
        value=speed,
        low=speed,
        high=speed,
        limit=limit,
        operator="<=",
        margin=limit - speed,
        unit="m/s",
        dimension=Dimension.SPEED,
        where=question.where,
        formula=question.formula,
        inputs={**question.inputs, "swing_drop_m": drop},
        sources=(OWN_LIMIT if own else OUR_LIMIT, *question.sources),
        decide=_DECIDE_CONTACT if verdict is Verdict.ASK else "",
    )


def _ends(speed: float, limit: float) -> tuple[tuple[float, Toward], ...]:
    """A speed is shown rounded up and its limit rounded down."""
    return (speed, "high"), (limit, "low")


# rest ----------------------------------------------------------------------------------------------------------------


def _rest(asked: Asked, one: Followed) -> Finding:
    """Where the body comes to hang, and when; for the fall with the longest swing."""
    m = one.motions
    over = np.array([asked_for != SLIDE for asked_for in one.asked], bool)  # a slide may end on the roof
    row = int(np.where(m.solved & over, m.swing, -1.0).argmax())
    formula = "rest: slower than 0.1 m/s for half a swing; hang: the rope where friction holds it under the body"
    text = "Where and when does the worker hang still?"
    question = _question(asked, "rest", one, row, text, "Rest", formula)
    if not m.solved[row]:
        return unsolved_finding(question)
    outcome, units = m.outcomes[row], asked.job.units
    inputs = dict(question.inputs)
    if np.isfinite(m.hang[row]).all():
        inputs |= {f"hang_{axis}_m": float(v) for axis, v in zip("xyz", m.hang[row], strict=True)}
    swing = show(float(m.swing[row]), Dimension.LENGTH, units, toward="high")
    rest = float(m.rest_time[row])
    lead = {
        Outcome.HANGS: f"Hangs still {rest:.0f} s after going over, having swung {swing} along the edge.",
        Outcome.LIES: f"Lies still on the roof {rest:.0f} s after slipping.",
        Outcome.MET: f"Does not come to hang: meets {one.met[row]} first.",
        Outcome.SWINGS: f"Swings on over {swing} along the edge, losing little: rescue must reach a moving person.",
        Outcome.TIMES_OUT: f"Still moves after {m.time[row]:.0f} s, having swung {swing} along the edge.",
    }[outcome]
    # it is told, not judged: no rule has a figure, and contact is a finding of its own
    told = Question(question.id, text, "Rest", question.where, formula, inputs, question.sources)
    return answer_by_person(told, Verdict.HOLDS, lead, value=None if math.isnan(rest) else rest)


# force ---------------------------------------------------------------------------------------------------------------


def _force(asked: Asked, one: Followed) -> Finding:
    """Greatest force in three dimensions beside that of the straight fall; the worse is held to the rule."""
    i, m, falls = int(one.point[0]), one.motions, asked.falls
    formula = "F = greatest T of m x'' = -m g z - T grad l + contact, at the worst corner; against the straight fall's"
    text = "Does the swing make the stop harder than a straight fall?"
    question = _question(asked, "motion-force", one, 0, text, "Arrest force", formula)
    if not m.solved[0]:
        return unsolved_finding(question)
    low, likely, high = (float(values[i]) for values in falls.force)
    peak = float(m.peak_force[0])
    inputs = {**question.inputs, "motion_n": peak, "straight_n": high, "anchor_side_n": float(m.anchor_force[0])}
    told = Question(question.id, text, question.thing, question.where, formula, inputs, question.sources)
    worse = Range(low, likely, max(high, peak))
    return answer_by_limit(asked.job, told, "arrest_force", worse, Dimension.FORCE, facts=asked.rig.facts)
