"""The falls of one worker over every point of every edge: forces, distances, clearances, swings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.corners import Spread
from ropewright.field import EdgePoints, FallGeometry, RopeOver, Surroundings, fall_geometry, hang_heights, roll
from ropewright.field.below import distance_to_polyline
from ropewright.field.hang import Hang, stretch_of
from ropewright.job.catching import catch_rig, extra_slide
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.quantity import Range

__all__ = ["Falls", "falls_over", "rope_out"]

Floats = NDArray[np.float64]

#: Top of the head above the dorsal D-ring. [m] Stature is D-ring height / 0.835 (ANSUR II, in physics notes), so
#: 0.165/0.835 of the D-ring's height; 0.4 m covers a 2 m man.
_HEAD = 0.4


@dataclass(frozen=True)
class Falls:
    """What a fall over each of n edge points does; nan where the edge is not reached."""

    length: Floats  #: (n,) rope out, anchor to D-ring [m]
    geometry: FallGeometry
    free_fall: Floats  #: (n,) as the pack defines it, at the unsafe end [m]
    free_fall_likely: Floats
    force: tuple[Floats, Floats, Floats]  #: low, likely, high peak force [N]
    deceleration: tuple[Floats, Floats, Floats]  #: absorber and grab, without rope stretch [m]
    stop: tuple[Floats, Floats, Floats]  #: D-ring's travel from first tension to rest [m]
    stop_time: Floats  #: likely [s]
    rope_stretch: tuple[Floats, Floats, Floats]  #: [m]
    solved: NDArray[np.bool_]  #: (n,) False where nothing stops the fall in some corner, or the edge is not reached
    hang: Hang
    hang_point: Floats  #: (n, 3) D-ring at rest [m]
    swing_drop: Floats  #: (n,) [m]
    drag: Floats  #: (n,) along the edge [m]
    feet: tuple[Floats, Floats]  #: likely and unsafe: lowest point of the body below the edge, swing included [m]
    available: Floats  #: (n,) from the edge to what lies below [m]
    below: tuple[str, ...]
    hit: tuple[str, ...]  #: met while swinging
    power: Floats  #: (n,) body with its reach to the nearest overhead line [m]


def rope_out(rig: Rig, over: RopeOver, stop: float | None = None) -> Floats:
    """Rope out, anchor to D-ring, for a worker at each edge point, shape (n,). [m]

    Parameters
    ----------
    rig : Rig
    over : RopeOver
    stop : float, optional
        Anchor to stop; the line's own where not given. [m]

    Notes
    -----
    A grab moved by hand can be anywhere up to the stop, so all of it counts. One that trails the worker is at most a
    lanyard further out than the D-ring: it is left behind when the worker climbs and dragged once the lanyard is tight.
    """
    lanyard = rig.line.lanyard.length
    full = (rig.line.length if stop is None else stop) + lanyard
    if rig.line.grab is None or not rig.line.grab.follows:
        return np.full(len(over.lengths), full)
    return np.minimum(full, over.lengths[:, -1] + 2 * lanyard)


def falls_over(
    job: Job, rig: Rig, edges: EdgePoints, over: RopeOver, around: Surroundings, *, stop: float | None = None
) -> Falls:
    """Work out the fall of one worker over each edge point.

    Parameters
    ----------
    job : Job
    rig : Rig
    edges : EdgePoints
    over : RopeOver
        Of the rig's anchor and the worker's D-ring, over the same points.
    around : Surroundings
    stop : float, optional
        Anchor to stop, instead of the line's own. [m]

    Returns
    -------
    Falls
    """
    length = rope_out(rig, over, stop)
    geometry = fall_geometry(over, length)
    reached = geometry.reached
    result, slide = catch_rig(rig, over, geometry, length), extra_slide(rig)
    lock = rig.lock if _counts(job, "free_fall", "device_slide") else Range.exact(0.0)
    hang, hang_point, swing_drop, drag = _swings(edges, over, length, result.hang_extension.likely)
    body = rig.worker.d_ring + job.d_ring_shift.high
    travel = _with_slide(result.lowest, slide)
    # From the edge down to the soles; the swing takes the body lower still along the edge.
    unsafe = -geometry.taut + rig.lock.high + travel[2] + body + swing_drop
    likely = -geometry.taut + rig.lock.likely + travel[1] + swing_drop + rig.worker.d_ring + job.d_ring_shift.likely
    tops, below = around.first_below(edges.points)
    return Falls(
        length=length,
        geometry=geometry,
        free_fall=geometry.free_fall + lock.high,
        free_fall_likely=geometry.free_fall + lock.likely,
        force=_with_slide(result.peak_force, Range.exact(0.0)),
        deceleration=_with_slide(result.device_travel, slide),
        stop=travel,
        stop_time=result.stop_time.likely,
        rope_stretch=_with_slide(result.rope_stretch, Range.exact(0.0)),
        solved=result.solved,
        hang=hang,
        hang_point=np.where(reached[:, None], hang_point, np.nan),
        swing_drop=np.where(reached, swing_drop, np.nan),
        drag=np.where(reached, drag, np.nan),
        feet=(likely, unsafe),
        available=edges.points[:, 2] - tops,
        below=below,
        hit=_hits(edges, around, hang, unsafe, body, reached),
        power=_power(job, edges, rig, unsafe, reached),
    )


def _with_slide(spread: Spread, slide: Range) -> tuple[Floats, Floats, Floats]:
    return spread.low + slide.low, spread.likely + slide.likely, spread.high + slide.high


def _counts(job: Job, term: str, what: str) -> bool:
    """True if the pack's definition of a term counts something in; also where it has no definition, the worse."""
    definition = job.pack.definition(term)
    return definition is None or what in definition.counts or what not in definition.excludes


def _swings(
    edges: EdgePoints, over: RopeOver, length: Floats, extension: Floats
) -> tuple[Hang, Floats, Floats, Floats]:
    """Where each body comes to hang, how far down that is, and how far the rope is dragged along the edge."""
    heights = hang_heights(edges.points[:, 2], over.to_edge, length + np.nan_to_num(extension))
    hang = roll(edges, heights)
    drop = heights - heights[hang.rest]
    place = edges.points[hang.rest].copy()
    place[:, 2] = heights[hang.rest]
    drag = np.linalg.norm(edges.points[hang.rest] - edges.points, axis=1)
    return hang, place, drop, drag


def _hits(
    edges: EdgePoints,
    around: Surroundings,
    hang: Hang,
    lowest: Floats,
    body: float,
    reached: NDArray[np.bool_],
) -> tuple[str, ...]:
    """What each body meets on the stretch it can swing over, apart from what lies plumb under its start.

    `lowest` is the greatest depth of the feet below the edge at the first catch; the swing can carry that depth to any
    point of the stretch, so it is taken there, which errs to the worse.
    """
    own, _ = around.first_below(edges.points)
    names = [""] * len(reached)
    for i in np.flatnonzero(reached & (hang.count > 1)):
        way = stretch_of(edges, hang, int(i))
        feet = np.full(len(way), edges.points[i, 2] - lowest[i])
        met = around.met_between(edges.points[way], feet, feet + body + _HEAD)
        sideways = (met >= 0) & (own[way] > own[i] + 1e-6)
        if sideways.any():
            names[i] = around.things[met[sideways][0]].name
    return tuple(names)


def _power(job: Job, edges: EdgePoints, rig: Rig, feet: Floats, reached: NDArray[np.bool_]) -> Floats:
    """Distance from a body at or under each edge point, less its reach, to the nearest overhead line."""
    nearest = np.full(len(reached), np.inf)
    top = rig.worker.d_ring + _HEAD
    for line in job.site.power_lines:
        for share in np.linspace(0.0, 1.0, 6):
            height = top - share * (top + np.nan_to_num(feet))
            at = edges.points + height[:, None] * np.array([0.0, 0.0, 1.0])
            nearest = np.minimum(nearest, distance_to_polyline(at, line.points) - job.person_reach)
    return np.where(reached, np.maximum(nearest, 0.0), np.nan)
