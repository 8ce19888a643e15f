"""What a line lets its worker reach: edges to fall over, and places on the roof near overhead lines."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from ropewright.field import EdgePoints, RopeOver
from ropewright.field.below import upright_distance
from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.asking import Question, answer_by_limit
from ropewright.job.edge_answer import BY_GEOMETRY
from ropewright.job.falls import HEAD, Falls, live_lines
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.quantity import Dimension, Range, show

__all__ = ["power_on_roof", "reach_finding"]

Floats = NDArray[np.float64]
#: Rounding: rope that is longer by less does not reach. [m]
_NOISE = 1e-9

_OWN_MARGIN = Source("the job's own margin", "plan.restraint_margin", SourceStatus.USER)
_OUR_MARGIN = Source(
    "judgement: 0.6 m for leaning and for a rope that creeps; no rule read has a figure", "", SourceStatus.JUDGEMENT
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
    restrained = not reached and bool(short[i] >= job.restraint_margin - _NOISE)
    margin = float(short[i]) - job.restraint_margin
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
        margin=None if reached else max(margin, 0.0) if restrained else margin,
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
        sources=(BY_GEOMETRY,) if reached else (_margin_source(job), BY_GEOMETRY),
    )


def _margin_source(job: Job) -> Source:
    """Who asks for the margin to the edge: the job file, or nobody but this program."""
    plan = job.raw.get("plan")
    told = isinstance(plan, Mapping) and plan.get("restraint_margin") is not None
    return _OWN_MARGIN if told else _OUR_MARGIN


def power_on_roof(job: Job, rig: Rig, places: Floats) -> Finding | None:
    """Say how near a worker's body and tools can come to live overhead lines anywhere on the roof.

    Parameters
    ----------
    job : Job
    rig : Rig
    places : array, shape (m, 3)
        Where the line lets the worker stand. [m]

    Returns
    -------
    Finding or None
        None where the job tells of no live line. The edges are judged on their own, with the body falling there.
    """
    lines = live_lines(job)
    if not lines or not len(places):
        return None
    high = places[:, 2] + rig.worker.d_ring + HEAD
    away = np.min([upright_distance(places[:, :2], places[:, 2], high, line.points) for line in lines], axis=0)
    at = int(away.argmin())
    x, y, z = map(float, places[at])
    voltage = max(line.voltage for line in lines)
    return answer_by_limit(
        job,
        Question(
            f"power-line-on-roof/{rig.worker.name}",
            "Do body and tools stay clear of overhead lines wherever the worker can go?",
            "Distance to the overhead line",
            Place(point=(x, y, z), worker=rig.worker.name, line=rig.line.name, anchor=rig.anchor.name),
            "d = least distance from a standing body, less its reach, to the line",
            {"voltage_v": voltage, "person_reach_m": job.person_reach},
            (BY_GEOMETRY,),
        ),
        "power_line_distance",
        Range.exact(max(float(away[at]) - job.person_reach, 0.0)),
        Dimension.LENGTH,
        facts={**rig.facts, "power_line_voltage": voltage},
    )
