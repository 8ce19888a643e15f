"""Is there room below: clearance by the book and by simulation, the swing, and what stands in its way."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Finding, Source, SourceStatus, Verdict
from ropewright.job.edge_answer import Asked, EdgeAnswer, verdict_of
from ropewright.quantity import Dimension, show

__all__ = ["OUR_LIMIT", "OWN_LIMIT", "SWING_TO_ASK", "clearance_answer", "swing_answer"]

Floats = NDArray[np.float64]

#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665
#: Rounding: room that is short by less is enough. [m]
_NOISE = 1e-9

#: Swing drop from which a person must look at it where the job sets no limit. [m] Our judgement, no rule has a figure:
#: the body reaches the plumb line as fast as after a 0.6 m (2 ft) fall.
SWING_TO_ASK = 0.6096
OWN_LIMIT = Source("the job's own limit", "plan.swing_drop_limit", SourceStatus.USER)
OUR_LIMIT = Source("judgement: as fast as after a 2 ft fall; no rule read has a figure", "", SourceStatus.JUDGEMENT)
_DECIDE_SWING = (
    "Whether this swing can be taken: what the body meets at that speed, and whether the rope stands being dragged "
    "along the edge."
)


def clearance_answer(asked: Asked, *, simulated: bool) -> EdgeAnswer:
    """Room below the edge against what the fall needs, by the book or by simulation; unknown floors are asked.

    Parameters
    ----------
    asked : Asked
    simulated : bool
        Which of the two sums to hold against the room.

    Returns
    -------
    EdgeAnswer
    """
    clear, falls = asked.clear, asked.falls
    likely, high = (clear.simulated, clear.simulated_high) if simulated else (clear.book, clear.book)
    margin = falls.available - high
    codes = np.where(margin >= -_NOISE, 0, SEVERITY[Verdict.DOUBTFUL])
    codes = np.where(falls.available - likely < -_NOISE, SEVERITY[Verdict.FAILS], codes)
    codes = np.where(np.isnan(margin), 0, codes)
    unknown = asked.edges.is_opening & falls.geometry.reached & ~clear.floor_known
    codes = np.where(unknown, np.maximum(codes, SEVERITY[Verdict.ASK]), codes)
    margin = np.where(falls.steps.is_step, np.inf, margin)  # not asked: nothing is to be arrested there
    kind = "clearance-simulated" if simulated else "clearance-book"

    def finding(i: int) -> Finding:
        return _room_finding(asked, kind, i, float(likely[i]), float(high[i]), int(codes[i]))

    return EdgeAnswer(kind, codes, margin, codes == 0, finding)


def _room_finding(asked: Asked, kind: str, i: int, likely: float, high: float, code: int) -> Finding:
    job, falls = asked.job, asked.falls
    verdict = verdict_of(code)
    room = float(falls.available[i])
    simulated = kind == "clearance-simulated"
    how = "by simulation" if simulated else "by summed allowances"
    needed = show(high, Dimension.LENGTH, job.units, toward="high") if math.isfinite(high) else "room without end"
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
        margin=max(room - high, 0.0) if verdict is Verdict.HOLDS else room - high,
        unit="m",
        dimension=Dimension.LENGTH,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=((limit.source,) if limit else ()) + (question.sources if simulated else asked.clear.sources),
        decide=decide,
    )


def swing_answer(asked: Asked) -> EdgeAnswer:
    """Swing drop against the job's limit, and whether the body meets something on the way.

    Parameters
    ----------
    asked : Asked

    Returns
    -------
    EdgeAnswer
    """
    job, falls = asked.job, asked.falls
    limit = job.swing_drop_limit if job.swing_drop_limit is not None else SWING_TO_ASK
    past = SEVERITY[Verdict.FAILS] if job.swing_drop_limit is not None else SEVERITY[Verdict.ASK]
    margin = np.where(falls.steps.is_step, np.inf, limit - falls.swing_drop)
    codes = np.where(margin < -_NOISE, past, 0)
    hits = np.array([bool(name) for name in falls.hit], bool)
    codes = np.where(falls.geometry.reached, np.where(hits, SEVERITY[Verdict.FAILS], codes), 0)

    def finding(i: int) -> Finding:
        return _swing_finding(asked, i, limit, int(codes[i]))

    return EdgeAnswer("swing", codes, margin, codes == 0, finding)


def _swing_finding(asked: Asked, i: int, limit: float, code: int) -> Finding:
    job, falls, verdict = asked.job, asked.falls, verdict_of(code)
    drop, hit, slide = float(falls.swing_drop[i]), falls.hit[i], float(falls.geometry.slide[i])
    rest = asked.edges.names[asked.edges.edge[falls.hang.rest[i]]]
    question = asked.question(
        "swing",
        i,
        "Where does the worker swing to, and into what?",
        "Swing drop",
        "H(E) = z(E) - (L - l(A, E)); drop = H(start) - least H on the way; v = sqrt(2 g (drop + slide as fall))",
        {
            "rope_out_m": float(falls.length[i]),
            "slide_as_fall_m": slide,
            "speed_m_s": math.sqrt(2 * _G * max(drop + slide, 0.0)),
            "rest_edge": rest,
            "rope_dragged_m": float(falls.drag[i]),
            "hit": hit or "nothing as told",
        },
    )
    dropped = show(drop, Dimension.LENGTH, job.units, toward="high")
    dragged = show(float(falls.drag[i]), Dimension.LENGTH, job.units, toward="high")
    met = f"It meets {hit}." if hit else "Nothing stands in its way as told."
    # Whoever swings into something is hurt, however small the drop: no limit on the drop decides that.
    bounded = not hit
    return Finding(
        id=question.id,
        question=question.text,
        verdict=verdict,
        summary=f"Swings down {dropped} to hang at {rest}, the rope dragged {dragged} along the edge. {met}",
        value=drop,
        low=drop,
        high=drop,
        limit=limit if bounded else None,
        operator="<=" if bounded else None,
        margin=(max(limit - drop, 0.0) if verdict is Verdict.HOLDS else limit - drop) if bounded else None,
        unit="m",
        dimension=Dimension.LENGTH,
        where=question.where,
        formula=question.formula,
        inputs=question.inputs,
        sources=(OWN_LIMIT if job.swing_drop_limit is not None else OUR_LIMIT, *question.sources),
        decide=_DECIDE_SWING if verdict is Verdict.ASK else "",
    )
