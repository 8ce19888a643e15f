"""The falls of one worker over every point of every edge: forces, distances, clearances, swings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.corners import ErrorsAt, Spread
from ropewright.field import (
    Below,
    EdgePoints,
    FallGeometry,
    Hang,
    RopeOver,
    fall_geometry,
    hang_heights,
    highest_on_way,
    roll,
)
from ropewright.field.below import upright_distance
from ropewright.job.catching import extra_slide
from ropewright.job.model import Job, PowerLine
from ropewright.job.rig import Rig
from ropewright.job.slide_catch import catch_sliding
from ropewright.job.sliding import SlideStarts, Sliding, friction_on_roof, sliding_of
from ropewright.job.step_down import Steps, steps_of, with_steps
from ropewright.quantity import Range

__all__ = ["HEAD", "Falls", "falls_over", "live_lines"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: Top of the head above the dorsal D-ring. [m] Stature is D-ring height / 0.835 (ANSUR II, in physics notes), so
#: 0.165/0.835 of the D-ring's height; 0.4 m covers a 2 m man.
HEAD = 0.4
#: Depth of a fall that nothing stops, for the distance to overhead lines. [m]
_DEEP = 1e3


@dataclass(frozen=True)
class Falls:
    """What a fall over each of n edge points does; nan where the edge is not reached."""

    length: Floats  #: (n,) rope out, anchor to D-ring [m]
    geometry: FallGeometry
    sliding: Sliding  #: what a slide down the roof adds, one over a step further up among it
    steps: Steps  #: drops onto a lower part of the roof that are not held against an arrest
    free_fall: Floats  #: (n,) as the pack defines it, at the unsafe end: the rope slides along the edge [m]
    free_fall_likely: Floats  #: (n,) the rope stays where the worker went over [m]
    force: tuple[Floats, Floats, Floats]  #: low, likely, high peak force; inf where nothing stops the fall [N]
    deceleration: tuple[Floats, Floats, Floats]  #: absorber and grab, without rope stretch [m]
    stop: tuple[Floats, Floats, Floats]  #: D-ring's travel from first tension to rest [m]
    stop_time: Floats  #: likely [s]
    rope_stretch: tuple[Floats, Floats, Floats]  #: [m]
    errors: ErrorsAt  #: the model's own, as they stand in the high ends of force and distances
    solved: NDArray[np.bool_]  #: (n,) False where nothing stops the fall in some corner, or the edge is not reached
    hang: Hang
    hang_point: Floats  #: (n, 3) D-ring at rest [m]
    swing_drop: Floats  #: (n,) down to the lowest place that it can swing to; 0 over a step [m]
    drag: Floats  #: (n,) along the edge [m]
    feet: tuple[Floats, Floats]  #: likely and unsafe: lowest point of the body below the edge, swing included [m]
    available: Floats  #: (n,) from the edge to what lies below [m]
    below: tuple[str, ...]
    hit: tuple[str, ...]  #: met while swinging
    power: Floats  #: (n,) body with its reach to the nearest overhead line [m]


def falls_over(
    job: Job,
    rig: Rig,
    edges: EdgePoints,
    over: RopeOver,
    below: Below,
    *,
    stop: float | Floats | None = None,
    slides: SlideStarts | None = None,
) -> Falls:
    """Work out the fall of one worker over each edge point.

    Parameters
    ----------
    job : Job
    rig : Rig
    edges : EdgePoints
    over : RopeOver
        Of the rig's anchor and the worker's D-ring, over the same points.
    below : Below
        What lies below them.
    stop : float or array, shape (n,), optional
        Anchor to stop, instead of the line's own; an array where the points belong to several anchors. [m]
    slides : SlideStarts, optional
        Places from which a worker may slide there; without them every fall starts at the edge.

    Returns
    -------
    Falls
    """
    full = rig.line.reach if stop is None else stop + rig.line.lanyard.length
    friction = friction_on_roof(job)[0]
    sliding = sliding_of(rig, over, edges.points, slides, friction, full)
    if below.landing is not None:
        sliding, leads = with_steps(job, rig, over, below.landing, sliding, friction, full)
    length = sliding.length
    geometry = fall_geometry(over, length, sliding.high)
    reached = geometry.reached
    hang = roll(edges, hang_heights(edges.points[:, 2], over.to_edge), over.to_edge, length, sliding.high)
    steps = Steps.none(len(reached))
    if below.landing is not None:
        steps = steps_of(job, edges, below.landing, sliding, geometry, hang, leads)
    result, slide = catch_sliding(rig, over, geometry, sliding), extra_slide(rig)
    lock = rig.lock if _counts(job, "free_fall", "device slide") else Range.exact(0.0)
    free_fall = geometry.free_fall + lock.likely, geometry.longest_free_fall + lock.high
    body = rig.worker.d_ring + job.d_ring_shift.high
    travel = _with_slide(result.lowest, slide)
    # From the edge down to the soles; the swing takes the body lower still along the edge.
    unsafe = -geometry.taut + rig.lock.high + travel[2] + body + hang.drop
    likely = -geometry.taut + rig.lock.likely + travel[1] + hang.drop + rig.worker.d_ring + job.d_ring_shift.likely
    unstopped = reached & ~result.solved
    return Falls(
        length=length,
        geometry=geometry,
        sliding=sliding,
        steps=steps,
        # whoever falls down a step falls freely no further than to its foot
        free_fall=np.where(steps.is_step, np.minimum(free_fall[1], steps.depth), free_fall[1]),
        free_fall_likely=np.where(steps.is_step, np.minimum(free_fall[0], steps.depth), free_fall[0]),
        force=_endless(result.peak_force, unstopped),
        deceleration=_endless(_with_slide(result.device_travel, slide), unstopped),
        stop=travel,
        stop_time=result.stop_time.likely,
        rope_stretch=_with_slide(result.rope_stretch, Range.exact(0.0)),
        errors=result.errors,
        solved=result.solved,
        hang=hang,
        hang_point=_hanging(edges, over, hang, length + result.hang_extension.likely),
        swing_drop=np.where(reached, np.where(steps.is_step, 0.0, hang.drop), np.nan),
        drag=np.where(reached, hang.drag, np.nan),
        feet=(likely, unsafe),
        available=edges.points[:, 2] - below.tops,
        below=below.names,
        hit=_hits(edges, below, hang, unsafe, reached & ~steps.is_step),
        power=_power(job, edges, rig, unsafe, reached),
    )


def _with_slide(spread: Spread, slide: Range) -> tuple[Floats, Floats, Floats]:
    return spread.low + slide.low, spread.likely + slide.likely, spread.high + slide.high


def _endless(spread: tuple[Floats, Floats, Floats] | Spread, unstopped: Bools) -> tuple[Floats, Floats, Floats]:
    """The same, without end where nothing stops the fall: no answer must never look like a good one."""
    low, likely, high = (np.where(unstopped, np.inf, values) for values in spread)
    return low, likely, high


def _counts(job: Job, term: str, what: str) -> bool:
    """True if the pack's definition of a term counts something in; also where it has no definition, the worse."""
    definition = job.pack.definition(term)
    return definition is None or what in definition.counts or what not in definition.excludes


def _hanging(edges: EdgePoints, over: RopeOver, hang: Hang, length: Floats) -> Floats:
    """D-ring of each body once it hangs still, shape (n, 3); nan where the edge is not reached. [m]"""
    place = edges.points[hang.rest].copy()
    place[:, 2] -= length - over.to_edge[hang.rest]
    place[np.isnan(length)] = np.nan
    return place


def _hits(edges: EdgePoints, below: Below, hang: Hang, lowest: Floats, reached: Bools) -> tuple[str, ...]:
    """What each body meets on the stretch it can swing over, apart from what lies plumb under its start.

    `lowest` is the greatest depth of the feet below the edge at the first catch; the swing can carry that depth to any
    point of the stretch, so it is taken there, which errs to the worse.
    """
    highest = highest_on_way(edges, hang, below.tops)
    top = below.tops[highest]
    stands_out = top > below.tops + 1e-6
    # not `<=`, so that a fall that nothing stops, whose depth is no number, meets it
    met = reached & stands_out & ~(top <= edges.points[:, 2] - lowest)
    return tuple(below.names[at] if hit else "" for at, hit in zip(highest, met, strict=True))


def live_lines(job: Job) -> tuple[PowerLine, ...]:
    """Overhead lines that nobody has confirmed as dead."""
    return tuple(line for line in job.site.power_lines if not line.confirmed_dead_by)


def _power(job: Job, edges: EdgePoints, rig: Rig, feet: Floats, reached: Bools) -> Floats:
    """Distance from a body standing at each edge point, falling or hanging there, less its reach, to a live line."""
    nearest = np.full(len(reached), np.inf)
    z = edges.points[:, 2]
    low, high = z - np.where(np.isfinite(feet), feet, _DEEP), z + rig.worker.d_ring + HEAD
    for line in live_lines(job):
        away = upright_distance(edges.points[:, :2], low, high, line.points) - job.person_reach
        nearest = np.minimum(nearest, away)
    return np.where(reached, np.maximum(nearest, 0.0), np.nan)
