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

__all__ = ["area_stops"]

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
    longest = _outside_margin(job, work, rig, holds)
    points, _ = work.grid(job)
    need = needs_at(work.paths(job, rig), points, rig.worker.d_ring) - rig.line.lanyard.length
    step = STOP_STEPS[job.units]
    for area in areas:
        inside = in_area(job, area, points)
        if not inside.any():
            continue
        furthest = float(need[inside].max())
        reaches = max(0.0, math.ceil(furthest / step - 1e-9) * step) if math.isfinite(furthest) else None
        tie = longest if longest is None or reaches is None else _outside_margin(job, work, rig, min(longest, reaches))
        reached = 0.0 if tie is None else float((need[inside] <= tie + _NOISE).mean())
        yield AreaStop(area.name, longest, reaches, tie, reached)


def _outside_margin(job: Job, work: Work, rig: Rig, stop: float | None) -> float | None:
    """Return a setting, shortened to the margin for restraint where it would end inside it; rounded down. [m]"""
    if stop is None:
        return None
    step = STOP_STEPS[job.units]
    nearest = float(work.over(job, rig).nearest.min(initial=math.inf)) - rig.line.lanyard.length
    if nearest - job.restraint_margin + _NOISE < stop < nearest - _NOISE:
        stop = nearest - job.restraint_margin
    steps = math.floor(stop / step + 1e-9)
    return steps * step if steps >= 0 else None
