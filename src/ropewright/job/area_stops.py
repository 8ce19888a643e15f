"""Where to tie the stopper for each area that a worker works in."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ropewright.job.assessment import AreaStop
from ropewright.job.layout_reach import needs_at
from ropewright.job.layout_site import in_area
from ropewright.job.longest import STOP_STEPS
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.work import Work

__all__ = ["area_stops", "outside_margin"]

_NOISE = 1e-9


def area_stops(job: Job, work: Work, rig: Rig, holds: float | None) -> Iterator[AreaStop]:
    """Setting of one worker's line for each area that they work in.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    holds : float or None
        Longest setting, anchor to stop, at which every edge that it reaches holds; None: no setting does. [m]

    Yields
    ------
    AreaStop
        A stop knows no areas: whoever is tied in can walk out of one. So the longest that holds is the same for all
        areas on one anchor, and an area that needs less is worked in on less. One that would end just short of an
        edge, inside the margin kept for restraint, is shortened to the margin.
    """
    areas = [area for area in job.areas if not area.crew or rig.worker.name in area.crew]
    if not areas:
        return
    longest = _rounded_down(job, outside_margin(job, work, rig, holds))
    points, _ = work.grid(job)
    need = needs_at(work.paths(job, rig), points, rig.worker.d_ring) - rig.line.lanyard.length
    step = STOP_STEPS[job.units]
    for area in areas:
        inside = in_area(job, area, points)
        if not inside.any():
            continue
        furthest = float(need[inside].max())
        reaches = max(0.0, math.ceil(furthest / step - 1e-9) * step) if math.isfinite(furthest) else None
        tie = longest
        if longest is not None and reaches is not None:
            tie = _rounded_down(job, outside_margin(job, work, rig, min(longest, reaches)))
        reached = 0.0 if tie is None else float((need[inside] <= tie + _NOISE).mean())
        yield AreaStop(area.name, longest, reaches, tie, reached)


def outside_margin(job: Job, work: Work, rig: Rig, stop: float | None) -> float | None:
    """Return a setting, shortened to the margin kept for restraint where it would end inside it.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    stop : float or None
        Anchor to stop; None: no setting does. [m]

    Returns
    -------
    float or None
        In whole steps where it was shortened; None where even a line of no length ends inside the margin. [m]
    """
    if stop is None:
        return None
    nearest = float(work.over(job, rig).nearest.min(initial=math.inf)) - rig.line.lanyard.length
    if nearest - job.restraint_margin + _NOISE < stop < nearest - _NOISE:
        return _rounded_down(job, nearest - job.restraint_margin)
    return stop


def _rounded_down(job: Job, stop: float | None) -> float | None:
    """Whole steps, not above; None where there are none. [m]"""
    if stop is None:
        return None
    step = STOP_STEPS[job.units]
    steps = math.floor(stop / step + 1e-9)
    return steps * step if steps >= 0 else None
