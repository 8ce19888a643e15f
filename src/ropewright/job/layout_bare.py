"""Places that a layout leaves uncovered, with the reason for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ropewright.field.near import straight_distance
from ropewright.job.layout_model import Bare
from ropewright.job.layout_reach import Reach
from ropewright.job.layout_site import Places
from ropewright.job.layout_stops import judge_settings
from ropewright.job.model import Job
from ropewright.job.work import Work

__all__ = ["bare_places"]

Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: What stands against a longer line, by the question that it fails.
_AGAINST: Mapping[str, str] = MappingProxyType(
    {
        "free-fall": "the fall over {edge} would be free for too long",
        "arrest-force": "the stop would hit too hard in a fall over {edge}",
        "deceleration": "the fall over {edge} would take too far to stop",
        "power-line": "body and tools would come too near an overhead line at {edge}",
        "clearance-book": "a fall over {edge} would not end before what lies below",
        "clearance-simulated": "a fall over {edge} would not end before what lies below",
        "swing": "a fall over {edge} would swing too far, or into something",
        "step": "whoever falls down the step at {edge} could land too hard or go on over an unheld edge",
        "share": "falls would hold in too few of the draws",
    }
)
_ONE_MORE = "an anchor could cover it, but no more than asked for may be used"


def bare_places(
    job: Job, work: Work, reaches: Sequence[Reach], covered: Sequence[Bools], places: Places
) -> tuple[Bare, ...]:
    """Say of each place that is left uncovered why it is.

    Parameters
    ----------
    job : Job
    work : Work
    reaches : sequence of Reach
    covered : sequence of arrays of bool, shape (p,)
        For each kind of gear, the places that the layout covers.
    places : Places

    Returns
    -------
    tuple of Bare
        The reasons with the most places first.
    """
    found: dict[tuple[str, str, str], list[int]] = {}
    for reach, held in zip(reaches, covered, strict=True):
        bare = np.flatnonzero(reach.gear.wanted & ~held)
        for place, why in zip(bare.tolist(), _reasons(job, work, reach, bare, places), strict=True):
            found.setdefault((", ".join(reach.gear.workers), places.area_names(place), why), []).append(place)
    rows = [Bare(worker, area, why, tuple(at)) for (worker, area, why), at in found.items()]
    return tuple(sorted(rows, key=lambda row: -len(row.places)))


def _reasons(job: Job, work: Work, reach: Reach, bare: Integers, places: Places) -> Iterator[str]:
    can_be = np.asarray(reach.covers()[bare].any(axis=1))
    if not can_be.all():
        nearest = _nearest_columns(reach, places.points[bare])
        told = _against(job, work, reach, np.unique(nearest[~can_be]))
    for row in range(len(bare)):
        yield _ONE_MORE if can_be[row] else told[int(nearest[row])]


def _nearest_columns(reach: Reach, points: NDArray[np.float64]) -> Integers:
    """Place for an anchor that comes nearest to each of n places by the line that still holds there, shape (n,)."""
    lanyard, d_ring = reach.gear.rig.line.lanyard.length, reach.gear.rig.worker.d_ring
    away = np.array([straight_distance(points, one.paths.anchor, d_ring) for one in reach.near])
    rope = np.where(reach.longest >= 0, reach.longest * reach.step + lanyard, 0.0)
    return np.asarray((away - rope[:, None]).argmin(axis=0))


def _against(job: Job, work: Work, reach: Reach, columns: Integers) -> dict[int, str]:
    """What stands against a longer line on some places for an anchor, in words."""
    longer = reach.longest + 1
    # Between a restraint and the first edge that is reached nothing is judged: the fall over that edge is meant.
    longer = np.where(longer > reach.restrained, np.maximum(longer, reach.shortest_over), longer)
    lanyard = reach.gear.rig.line.lanyard.length
    stops = longer * reach.step
    beyond = {c for c in columns.tolist() if stops[c] > reach.gear.most or stops[c] + lanyard > reach.near[c].reach}
    asked = [column for column in columns.tolist() if column not in beyond]
    told = dict.fromkeys(beyond, "the rope is too short for it")
    if asked:
        near, rig = [reach.near[column] for column in asked], reach.gear.rig
        judged = judge_settings(job, work, rig, near, np.asarray(stops[asked], np.float64))
        for column, kind, edge in zip(asked, judged.kind, judged.edge, strict=True):
            limited = reach.limited.get(column, "body and tools would come too near an overhead line")
            told[column] = f"with a line that gets there, {_AGAINST.get(kind, '').format(edge=edge) or limited}"
    return told
