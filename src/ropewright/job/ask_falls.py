"""Questions asked of every fall over every edge point, and the finding for the worst of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.field import EdgePoints, RopeOver
from ropewright.findings import SEVERITY, Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.asking import Question, answer_by_limit, judge_many
from ropewright.job.clearance import Clearances
from ropewright.job.falls import Falls
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.quantity import Dimension, Range, show

__all__ = ["EdgeAnswer", "edge_answers", "reach_finding", "ruling"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

_BY_SIMULATION = Source(
    "simulation of this fall", "standard linear solid, absorber and grab in series", SourceStatus.DERIVED
)
_BY_GEOMETRY = Source("taut rope over the roof", "docs/derivations.md", SourceStatus.DERIVED)


@dataclass(frozen=True)
class EdgeAnswer:
    """One question over all n edge points, and how to make the finding of one of them."""

    kind: str
    codes: Integers  #: (n,) severity, 0 where not reached
    margin: Floats  #: (n,) distance on the safe side, nan where not reached
    finding: Callable[[int], Finding]
    #: Best that a point can come to: a remembered limit can only be asked, however far within it a value lies.
    best: int = 0

    @property
    def meets(self) -> NDArray[np.bool_]:
        """True where the limit is met, be it a settled one or one that must still be confirmed, shape (n,)."""
        return (self.codes == self.best) | np.isnan(self.margin)

    def worst(self) -> int | None:
        """Index of the point that rules: worst verdict, then least margin; None if no point is reached."""
        asked = np.flatnonzero(~np.isnan(self.margin))
        if not len(asked):
            return None
        order = np.lexsort((self.margin[asked], -self.codes[asked]))
        return int(asked[order[0]])


@dataclass(frozen=True)
class _Asked:
    """What every answer of one worker needs."""

    job: Job
    rig: Rig
    edges: EdgePoints
    over: RopeOver
    falls: Falls
    clear: Clearances

    def question(
        self, kind: str, i: int, text: str, thing: str, formula: str, inputs: Mapping[str, float | str]
    ) -> Question:
        x, y, z = map(float, self.edges.points[i])
        where = Place(
            edge=self.edges.names[self.edges.edge[i]],
            point=(x, y, z),
            worker=self.rig.worker.name,
            line=self.rig.line.name,
            anchor=self.rig.anchor.name,
        )
        sources = (_BY_GEOMETRY,) if kind in ("free-fall", "swing", "power-line") else (_BY_SIMULATION,)
        return Question(f"{kind}/{self.rig.worker.name}", text, thing, where, formula, inputs, sources)


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
        In the order in which they are shown; a question that the pack has no figure for is not asked at the edges.
    """
    asked = _Asked(job, rig, edges, over, falls, clear)
    by_limit = (_free_fall(asked), _arrest_force(asked), _deceleration(asked), _power_line(asked))
    own = (_clearance(asked, simulated=False), _clearance(asked, simulated=True), _swing(asked))
    return tuple(answer for answer in (*by_limit, *own) if answer is not None)


def _limit_answer(
    asked: _Asked,
    kind: str,
    fact: str,
    values: tuple[Floats, Floats, Floats],
    dimension: Dimension,
    describe: Callable[[int], Question],
    facts: Mapping[str, object] | None = None,
) -> EdgeAnswer | None:
    """Hold three arrays (low, likely, high) against the pack's limit for a fact."""
    limit = asked.job.pack.governing(fact, {**asked.job.facts, **(facts or {})})
    if limit is None or not isinstance(limit.value, float):
        return None
    low, likely, high = values
    at_most = limit.operator in ("<=", "<")
    unsafe = high if at_most else low
    margin = float(limit.value) - unsafe if at_most else unsafe - float(limit.value)

    def finding(i: int) -> Finding:
        value = Range(float(low[i]), float(likely[i]), float(high[i]))
        return answer_by_limit(asked.job, describe(i), fact, value, dimension, facts=facts)

    return EdgeAnswer(kind, judge_many(limit, likely, unsafe), margin, finding, SEVERITY[limit.at_best])


def _free_fall(asked: _Asked) -> EdgeAnswer | None:
    falls = asked.falls

    def describe(i: int) -> Question:
        inputs = {
            "d_ring_start_m": float(falls.geometry.start[i]),
            "rope_out_m": float(falls.length[i]),
            "taut_to_edge_m": float(asked.over.to_edge[i]),
            "grab_lock_m": asked.rig.lock.high,
        }
        formula = "FF = start + (L - l) + lock: D-ring above the edge, slack past the edge, grab's travel to lock"
        return asked.question(
            "free-fall", i, "How far does the worker fall before the line holds?", "Free fall", formula, inputs
        )

    values = (falls.free_fall_likely, falls.free_fall_likely, falls.free_fall)
    return _limit_answer(asked, "free-fall", "free_fall", values, Dimension.LENGTH, describe)


def _arrest_force(asked: _Asked) -> EdgeAnswer | None:
    falls, rig = asked.falls, asked.rig

    def describe(i: int) -> Question:
        inputs = {
            "m_kg": rig.worker.mass.high,
            "fall_m": float(falls.geometry.free_fall[i] + rig.lock.high),
            "EA_likely_n": rig.stiffness.arrest.likely,
            "rope_m": float(falls.length[i] - rig.line.lanyard.length),
            "absorber_n": rig.line.lanyard.absorber.force.likely if rig.line.lanyard.absorber else "none",
        }
        formula = (
            "m x'' = m g - T(rope, grab, absorber in series); F = greatest T, over all corners of the inputs' ranges"
        )
        return asked.question(
            "arrest-force", i, "How hard does the stop hit the worker?", "Arrest force", formula, inputs
        )

    return _limit_answer(asked, "arrest-force", "arrest_force", falls.force, Dimension.FORCE, describe)


def _deceleration(asked: _Asked) -> EdgeAnswer | None:
    falls = asked.falls

    def describe(i: int) -> Question:
        inputs = {"stop_m": float(falls.stop[2][i]), "rope_stretch_m": float(falls.rope_stretch[2][i])}
        formula = "D = absorber opening + grab slide, as the pack counts it (rope stretch left out)"
        text = "Does the gear stop the fall within its allowed distance?"
        return asked.question("deceleration", i, text, "Deceleration distance", formula, inputs)

    return _limit_answer(asked, "deceleration", "deceleration_distance", falls.deceleration, Dimension.LENGTH, describe)


def _power_line(asked: _Asked) -> EdgeAnswer | None:
    lines = [line for line in asked.job.site.power_lines if not line.confirmed_dead_by]
    if not lines:
        return None
    voltage = max(line.voltage for line in lines)  # the strictest distance for all: which line is nearest may change

    def describe(i: int) -> Question:
        inputs = {"voltage_v": voltage, "person_reach_m": asked.job.person_reach}
        formula = "d = least distance from body and tools, standing to hanging, to the line"
        text = "Do body and tools stay clear of overhead lines?"
        return asked.question("power-line", i, text, "Distance to the overhead line", formula, inputs)

    d = asked.falls.power
    facts = {"power_line_voltage": voltage}
    return _limit_answer(asked, "power-line", "power_line_distance", (d, d, d), Dimension.LENGTH, describe, facts)


def _clearance(asked: _Asked, *, simulated: bool) -> EdgeAnswer:
    """Room below the edge against what the fall needs, by the book or by simulation; unknown floors are asked."""
    clear, falls = asked.clear, asked.falls
    likely, high = (clear.simulated, clear.simulated_high) if simulated else (clear.book, clear.book)
    margin = falls.available - high
    codes = np.where(margin >= 0, 0, SEVERITY[Verdict.DOUBTFUL])
    codes = np.where(falls.available - likely < 0, SEVERITY[Verdict.FAILS], codes)
    codes = np.where(np.isnan(margin), 0, codes)
    unknown = asked.edges.is_opening & falls.geometry.reached & ~clear.floor_known
    codes = np.where(unknown, np.maximum(codes, SEVERITY[Verdict.ASK]), codes)
    kind = "clearance-simulated" if simulated else "clearance-book"

    def finding(i: int) -> Finding:
        return _clearance_finding(asked, kind, i, float(likely[i]), float(high[i]), int(codes[i]))

    return EdgeAnswer(kind, codes, margin, finding)


def _clearance_finding(asked: _Asked, kind: str, i: int, likely: float, high: float, code: int) -> Finding:
    job, falls = asked.job, asked.falls
    verdict = next(v for v, severity in SEVERITY.items() if severity == code)
    room = float(falls.available[i])
    simulated = kind == "clearance-simulated"
    how = "by simulation" if simulated else "by summed allowances"
    needed = show(high, Dimension.LENGTH, job.units, toward="high")
    there = show(room, Dimension.LENGTH, job.units, toward="low")
    decide = "The height of the floor under this opening." if verdict is Verdict.ASK else ""
    question = asked.question(
        kind,
        i,
        f"Does the fall end before {falls.below[i]}, worked out {how}?",
        "Clearance",
        asked.clear.formula(simulated=simulated),
        {
            **asked.clear.terms(i, simulated=simulated),
            "clearance_needed_m": high,
            "clearance_available_m": room,
            "margin_below_feet_m": asked.clear.margin,
        },
    )
    limit = job.pack.governing("clearance", job.facts)
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=f"Needs {needed} below the edge ({how}, margin included); {there} down to {falls.below[i]}.",
        value=likely,
        low=likely,
        high=high,
        limit=room,
        operator="<=",
        margin=room - high,
        unit="m",
        dimension=Dimension.LENGTH,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=((limit.source,) if limit else ()) + (question.sources if simulated else asked.clear.sources),
        decide=decide,
    )


#: Swing drop from which a person must look at it where the job sets no limit. [m] Our judgement, no rule has a figure:
#: the body reaches the plumb line as fast as after a 0.6 m (2 ft) fall.
_SWING_TO_ASK = 0.6096


def _swing(asked: _Asked) -> EdgeAnswer:
    """Swing drop against the job's limit, and whether the body meets something on the way."""
    job, falls = asked.job, asked.falls
    limit = job.swing_drop_limit if job.swing_drop_limit is not None else _SWING_TO_ASK
    past = SEVERITY[Verdict.FAILS] if job.swing_drop_limit is not None else SEVERITY[Verdict.ASK]
    margin = limit - falls.swing_drop
    codes = np.where(margin < 0, past, 0)
    hits = np.array([bool(name) for name in falls.hit], bool)
    codes = np.where(falls.geometry.reached, np.where(hits, SEVERITY[Verdict.FAILS], codes), 0)

    def finding(i: int) -> Finding:
        return _swing_finding(asked, i, limit, int(codes[i]))

    return EdgeAnswer("swing", codes, margin, finding)


def _swing_finding(asked: _Asked, i: int, limit: float, code: int) -> Finding:
    job, falls = asked.job, asked.falls
    drop, hit = float(falls.swing_drop[i]), falls.hit[i]
    rest = asked.edges.names[asked.edges.edge[falls.hang.rest[i]]]
    speed = float(np.sqrt(2 * 9.80665 * max(drop, 0.0)))
    question = asked.question(
        "swing",
        i,
        "Where does the worker swing to, and into what?",
        "Swing drop",
        "H(E) = z(E) - (L - l(A, E)); drop = H(start) - least H on the way; v = sqrt(2 g drop)",
        {
            "rope_out_m": float(falls.length[i]),
            "speed_m_s": speed,
            "rest_edge": rest,
            "rope_dragged_m": float(falls.drag[i]),
        },
    )
    dropped = show(drop, Dimension.LENGTH, job.units, toward="high")
    dragged = show(float(falls.drag[i]), Dimension.LENGTH, job.units, toward="high")
    met = f"It meets {hit}." if hit else "Nothing stands in its way as told."
    own = Source("the job's own limit", "plan.swing_drop_limit", SourceStatus.USER)
    ours = Source("judgement: as fast as after a 2 ft fall; no rule read has a figure", "", SourceStatus.JUDGEMENT)
    verdict = next(v for v, severity in SEVERITY.items() if severity == code)
    return replace(
        Finding(
            id=question.id,
            question=question.text,
            verdict=verdict,
            summary=f"Swings down {dropped} to hang at {rest}, the rope dragged {dragged} along the edge. {met}",
            where=question.where,
            formula=question.formula,
            inputs=question.inputs,
            sources=(own if job.swing_drop_limit is not None else ours, *question.sources),
        ),
        value=drop,
        low=drop,
        high=drop,
        limit=limit,
        operator="<=",
        margin=limit - drop,
        unit="m",
        dimension=Dimension.LENGTH,
        decide="Whether this swing can be taken: what the body meets at that speed, and whether the rope stands being "
        "dragged along the edge."
        if verdict is Verdict.ASK
        else "",
    )


def reach_finding(job: Job, rig: Rig, edges: EdgePoints, over: RopeOver, falls: Falls) -> Finding:
    """Say whether the line keeps its worker from every edge, and by how much.

    Parameters
    ----------
    job : Job
    rig : Rig
    edges : EdgePoints
    over : RopeOver
    falls : Falls

    Returns
    -------
    Finding
        `holds` either way: restrained, or the falls over the edges it reaches are judged on their own.
    """
    short = over.nearest - falls.length
    i = int(short.argmin())
    reached = sorted({edges.names[k] for k in edges.edge[falls.geometry.reached]})
    x, y, z = map(float, edges.points[i])
    restrained = bool(short[i] >= job.restraint_margin)
    if restrained:
        missing = show(float(short[i]), Dimension.LENGTH, job.units, toward="low")
        summary = f"Restrained: {missing} of rope is missing to the nearest edge."
    elif reached:
        summary = f"Reaches {', '.join(reached)}; every fall there is judged."
    else:
        summary = "Reaches no edge, but comes within the margin kept for restraint; not counted as restrained."
    return Finding(
        id=f"reach/{rig.worker.name}",
        question="Which edges can the worker reach on this line?",
        verdict=Verdict.HOLDS if restrained or reached else Verdict.DOUBTFUL,
        summary=summary,
        value=float(short[i]),
        low=float(short[i]),
        high=float(short[i]),
        limit=None if reached else job.restraint_margin,
        operator=None if reached else ">=",
        margin=None if reached else float(short[i]) - job.restraint_margin,
        unit="m",
        dimension=Dimension.LENGTH,
        where=Place(
            edge=edges.names[edges.edge[i]],
            point=(x, y, z),
            worker=rig.worker.name,
            line=rig.line.name,
            anchor=rig.anchor.name,
        ),
        formula="short = least over stances of l(A, D-ring at E) - L",
        inputs={"rope_out_m": float(falls.length[i]), "needed_m": float(over.nearest[i]), "edges": ", ".join(reached)},
        sources=(_BY_GEOMETRY,),
    )


def ruling(answers: tuple[EdgeAnswer, ...], reached: NDArray[np.bool_]) -> Iterator[tuple[Verdict | None, str]]:
    """Verdict of each edge point and the question that rules there; None where it is not reached.

    Parameters
    ----------
    answers : tuple of EdgeAnswer
    reached : array of bool, shape (n,)

    Yields
    ------
    tuple of Verdict or None, and the kind of question
    """
    codes = np.array([answer.codes for answer in answers])
    worst = codes.argmax(axis=0)
    verdicts = {severity: verdict for verdict, severity in SEVERITY.items()}
    for i, row in enumerate(worst):
        yield (verdicts[int(codes[row, i])], answers[row].kind) if reached[i] else (None, "")
