"""Is a low drop onto a lower part of the roof a fall to be arrested, and is whoever falls on from there held."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Finding, Source, SourceStatus, Verdict
from ropewright.job.edge_answer import BY_GEOMETRY, Asked, EdgeAnswer, verdict_of
from ropewright.job.step_down import MOST_STEPS
from ropewright.quantity import Dimension, show
from ropewright.quantity.show import Toward

__all__ = ["step_answer"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

_OUR_BOUND = Source(
    "judgement: 4 ft, the lowest trigger height read (29 CFR 1910.28(b)(1)(i))", "", SourceStatus.JUDGEMENT
)
_WORDS = {
    "free-fall": "free fall",
    "arrest-force": "arrest force",
    "deceleration": "deceleration distance",
    "clearance-book": "room below",
    "clearance-simulated": "room below",
    "swing": "swing",
    "power-line": "distance to the overhead line",
}
_DECIDE_RISK = (
    "Whether a fall of this height onto this roof could hurt somebody, and what then keeps them from it; no height "
    "in the law read settles it."
)
_DECIDE_DEPTH = (
    "Whether a fall that ends so much lower on the slope below is to be arrested, and what keeps people from it."
)
_DECIDE_BLOW = "Whether whoever slides that far before the step is to be held above it, and by what."
_DECIDE_ONWARD = (
    "How whoever falls down this step is kept from going on over that edge; what mends that edge mends this."
)


def step_answer(asked: Asked, others: Sequence[EdgeAnswer]) -> EdgeAnswer | None:
    """What becomes of whoever goes over an edge onto a lower part of the roof from less than the trigger height.

    Parameters
    ----------
    asked : Asked
    others : sequence of EdgeAnswer
        All else that is asked of the same falls: it says whether those over the next edges are held.

    Returns
    -------
    EdgeAnswer or None
        None where the line reaches no such drop. It holds where the pack settles a trigger height, the body lands no
        deeper and no harder than that, and every edge that the fall may go on over is held; else a person is asked.
    """
    steps = asked.falls.steps
    if not steps.is_step.any():
        return None
    held = np.max([answer.codes for answer in others], axis=0)
    met = np.logical_and.reduce([answer.met for answer in others])
    onward, met_onward = np.zeros(len(held), np.int64), np.ones(len(held), bool)
    for _ in range(MOST_STEPS):  # over one step to the next, which may be one that nobody is asked of
        np.maximum.at(onward, steps.start, np.maximum(held, onward)[steps.end])
        np.logical_and.at(met_onward, steps.start, (met & met_onward)[steps.end])
    shown = (onward == 0) & steps.rule.is_under(steps.blow) & steps.rule.settled
    codes = np.where(steps.is_step & ~shown, SEVERITY[Verdict.ASK], 0)
    margin = np.where(steps.is_step, steps.rule.bound - steps.height, np.inf)
    margin = np.where(asked.falls.geometry.reached, margin, np.nan)

    def finding(i: int) -> Finding:
        return _finding(asked, others, i, verdict_of(codes[i]), held)

    met_onward &= steps.rule.is_under(steps.blow)
    return EdgeAnswer("step", codes, margin, ~steps.is_step | met_onward, finding)


def _finding(asked: Asked, others: Sequence[EdgeAnswer], i: int, verdict: Verdict, held: Integers) -> Finding:
    steps, rule = asked.falls.steps, asked.falls.steps.rule
    height, is_judged = float(steps.height[i]), verdict is Verdict.HOLDS
    worst = _worst_onward(asked, i, held)
    onward = "" if worst is None else asked.edges.names[asked.edges.edge[worst]]
    question = asked.question(
        "step",
        i,
        "Is this drop to a lower part of the roof a fall to be arrested?",
        "Step",
        "h = z(edge) - least z of the roof 0 to 0.3 m out; landing: flight at a stumble or a slide",
        {
            "height_m": height,
            "deepest_landing_m": float(steps.depth[i]),
            "lands_as_after_m": float(steps.blow[i]),
            "slide_speed_m_s": float(asked.falls.sliding.speed[i]),
            "goes_on_over": onward or "no edge in reach of the line",
        },
    )
    summary, decide = _words(asked, others, i, verdict, worst)
    by_law = () if rule.limit is None else (rule.limit.source,)
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=summary,
        value=height,
        low=height,
        high=height,
        limit=rule.bound if is_judged else None,
        operator="<" if is_judged else None,
        margin=rule.bound - height if is_judged else None,
        unit="m",
        dimension=Dimension.LENGTH,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=(*by_law, *(() if rule.settled else (_OUR_BOUND,)), BY_GEOMETRY),
        decide=decide,
    )


def _worst_onward(asked: Asked, i: int, held: Integers) -> int | None:
    """Point over which whoever falls over point i goes on with the worst verdict; None where they reach no edge."""
    steps = asked.falls.steps
    comes = np.zeros(len(held), bool)
    comes[i] = True
    for _ in range(MOST_STEPS):
        comes[steps.end[comes[steps.start]]] = True
    comes[i] = False
    ends = np.flatnonzero(comes & asked.falls.geometry.reached)
    return int(ends[held[ends].argmax()]) if len(ends) else None


def _words(asked: Asked, others: Sequence[EdgeAnswer], i: int, verdict: Verdict, worst: int | None) -> tuple[str, str]:
    """Summary, and what a person must decide."""
    job, steps, rule = asked.job, asked.falls.steps, asked.falls.steps.rule

    def length(value: float, toward: Toward) -> str:
        return show(value, Dimension.LENGTH, job.units, toward=toward)

    step = f"A step of {length(steps.height[i], 'high')} onto the lower roof"
    edge = "" if worst is None else asked.edges.names[asked.edges.edge[worst]]
    if not rule.settled:
        return f"{step}; {job.pack.title} settles no height from which it must be arrested.", _DECIDE_RISK
    assert rule.limit is not None
    assert rule.limit.figure is not None
    step += f": under the trigger height of {rule.limit.figure.text} ({rule.limit.source})"
    if verdict is Verdict.HOLDS:
        then = f"a fall that goes on is held at {edge}" if edge else "no further edge is in reach of the line"
        return f"{step}, so not held against the room an arrest needs; {then}.", ""
    if not rule.is_under(steps.depth[i : i + 1])[0]:
        deep = length(steps.depth[i], "high")
        return f"{step}, but the roof falls away there: who stumbles may land {deep} lower.", _DECIDE_DEPTH
    if not rule.is_under(steps.blow[i : i + 1])[0]:
        blow = length(steps.blow[i], "high")
        return f"{step}, but whoever slides over it lands as hard as after a fall of {blow}.", _DECIDE_BLOW
    assert worst is not None
    codes = [int(answer.codes[worst]) for answer in others]
    kind = others[int(np.argmax(codes))].kind
    said = f"{verdict_of(max(codes))} there in {_WORDS.get(kind, kind)}"
    return f"{step}, but the fall can go on over {edge}: {said}.", _DECIDE_ONWARD
