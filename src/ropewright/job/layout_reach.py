"""How far each worker's line may be set on each place for an anchor, and which places it then covers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.field import hang_heights, nearest_over, roll
from ropewright.field.below import upright_distance
from ropewright.field.near import joined, straight_distance
from ropewright.job.falls import HEAD, live_lines
from ropewright.job.layout_site import Places
from ropewright.job.layout_stops import Near, longest_settings, near_anchor, slides_of
from ropewright.job.longest import STOP_STEPS
from ropewright.job.model import Job
from ropewright.job.rig import Rig, rigs_of
from ropewright.job.ruled import judge, rulings
from ropewright.job.sliding import friction_on_roof, sliding_of
from ropewright.job.work import Work
from ropewright.quantity import Range
from ropewright.roof.path import TautPaths

__all__ = ["LADDER", "Gear", "Reach", "gears_of", "needs_at", "reach_of_gear"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: How far past the nearest edge a line is first looked at; where all holds so far, further. [m]
_PAST, _FURTHER = 0.8, 2.0
#: Settings looked at for their swing, from no edge reached to the longest that holds.
LADDER = 6
_NOISE = 1e-9


@dataclass(frozen=True)
class Gear:
    """Workers whose falls are alike and who get to the same places, each on a line of their own."""

    rig: Rig
    workers: tuple[str, ...]
    wanted: Bools  #: (p,) places that one of them has to get to

    @property
    def most(self) -> float:
        """Longest setting of the rope there is; infinite where its length is not told. [m]"""
        whole = self.rig.line.rope.length
        return np.inf if whole is None else whole


def gears_of(job: Job, places: Places) -> tuple[Gear, ...]:
    """Workers of a job, those with the same body and the same gear as one.

    Parameters
    ----------
    job : Job
    places : Places

    Returns
    -------
    tuple of Gear
        Without workers who have no place to get to.
    """
    found: dict[object, Gear] = {}
    for rig in rigs_of(job):
        wanted = places.for_worker(rig.worker.name)
        body = replace(rig.worker, name="", line="", trained_on=None)
        key = repr((body, replace(rig.line, name="", anchor="", length=0.0), wanted.tobytes()))
        before = found.get(key)
        workers = (*before.workers, rig.worker.name) if before else (rig.worker.name,)
        found[key] = Gear(before.rig if before else rig, workers, wanted)
    return tuple(gear for gear in found.values() if gear.wanted.any())


@dataclass
class Reach:
    """One kind of gear on m places for an anchor; `longest` may be lowered as more is found out."""

    gear: Gear
    near: list[Near]
    step: float  #: of settings [m]
    longest: Integers  #: (m,) longest setting that holds, in steps; -1: none does
    shortest_over: Integers  #: (m,) shortest setting that reaches an edge, in steps
    restrained: Integers  #: (m,) longest setting that reaches none with the margin kept, in steps; -1: none
    need: Floats  #: (p, m) setting that a place takes; infinite where it is out of reach at `longest` [m]
    friction: Range  #: of a body that slides on the roof [-]
    limited: dict[int, str] = field(default_factory=dict)  #: why `longest` was lowered on some of them

    def covers(self, limit: Integers | None = None) -> Bools:
        """Which places are covered with each line at its longest, or at a limit in steps, shape (p, m)."""
        steps = self.longest if limit is None else np.minimum(limit, self.longest)
        found: Bools = self.need <= np.where(steps >= 0, steps * self.step, -np.inf) + _NOISE
        return found

    def settled(self, column: int, steps: int) -> int:
        """Shortest setting that is held by what was judged and is no shorter than `steps`."""
        if self.restrained[column] < steps < self.shortest_over[column]:
            return int(min(self.shortest_over[column], self.longest[column]))
        return steps

    def ladder(self) -> tuple[Integers, Floats]:
        """Settings from no edge reached to the longest, and the greatest swing drop at each, shape (m, `LADDER`)."""
        low = np.clip(np.where(self.restrained >= 0, self.restrained, self.longest), -1, self.longest)
        share = np.linspace(0.0, 1.0, LADDER)
        steps = np.rint(low[:, None] + share * (self.longest - low)[:, None]).astype(np.int64)
        over = np.minimum(self.shortest_over, self.longest)[:, None]
        steps = np.where((steps > low[:, None]) & (steps < over), over, steps)
        return steps, self._swings(steps, self.near)

    def _swings(self, steps: Integers, near: Sequence[Near]) -> Floats:
        """Greatest swing drop on each of k anchors at each of r settings, shape (k, r). [m]"""
        worst = np.zeros(steps.shape)
        if not len(near):
            return worst
        together = joined([(one.edges, one.over) for one in near])
        over, edges, owner, rig = together.over, together.edges, together.owner, self.gear.rig
        heights, slides = hang_heights(edges.points[:, 2], over.to_edge), slides_of(near, together.source)
        for rung, stop in enumerate(np.maximum(steps.T, 0) * self.step):
            full = (stop + rig.line.lanyard.length)[owner]
            sliding = sliding_of(rig, over, edges.points, slides, self.friction, full)
            reached = over.nearest <= sliding.length + _NOISE
            drop = roll(edges, heights, over.to_edge, sliding.length, sliding.high).drop
            np.maximum.at(worst[:, rung], owner[reached], drop[reached])
        return worst


def reach_of_gear(job: Job, work: Work, gear: Gear, paths: Sequence[TautPaths], places: Places) -> Reach:
    """Work out how far one kind of gear may be set on each of m places for an anchor, and what it then covers.

    Parameters
    ----------
    job : Job
    work : Work
    gear : Gear
    paths : sequence of m TautPaths
    places : Places

    Returns
    -------
    Reach
    """
    step, lanyard = STOP_STEPS[job.units], gear.rig.line.lanyard.length
    near, longest = _longest(job, work, gear, paths, places)
    nearest = np.array([one.over.nearest.min(initial=np.inf) for one in near]) - lanyard
    if live_lines(job):
        longest = _clear_of_lines(job, work, gear, paths, longest)
    return Reach(
        gear,
        near,
        step,
        longest,
        _steps_over(nearest, step),
        np.floor(np.clip((nearest - job.restraint_margin) / step + 1e-9, -1, 1e9)).astype(np.int64),
        _needs(gear, paths, places, np.asarray(longest * step, np.float64)),
        friction_on_roof(job)[0],
    )


def _steps_over(nearest: Floats, step: float) -> Integers:
    return np.ceil(np.clip(nearest / step - 1e-9, 0, 1e9)).astype(np.int64)


def _longest(
    job: Job, work: Work, gear: Gear, paths: Sequence[TautPaths], places: Places
) -> tuple[list[Near], Integers]:
    """Edge points near each anchor and the longest setting on it, in steps."""
    rig, step = gear.rig, STOP_STEPS[job.units]
    lanyard, d_ring = rig.line.lanyard.length, rig.worker.d_ring
    wanted, edges = places.points[gear.wanted], work.edges(job).points
    # a line longer than what gets to the furthest place over the longest way round is of no use
    useful = np.array([2.0 * float(straight_distance(wanted, one.anchor, d_ring).max()) for one in paths]) + d_ring
    most = np.minimum(gear.most, np.maximum(useful - lanyard, 0.0))
    first = np.array([float(straight_distance(edges, one.anchor, d_ring).min(initial=np.inf)) for one in paths])
    reach = np.minimum(np.maximum(first, lanyard) + _PAST, most + lanyard)
    near = [near_anchor(job, work, rig, one, far) for one, far in zip(paths, reach.tolist(), strict=True)]
    longest = np.full(len(near), -1)
    left = np.arange(len(near))
    while len(left):
        limit = np.maximum(np.minimum(reach - lanyard, most), 0.0)[left]
        longest[left] = longest_settings(job, work, rig, [near[i] for i in left], limit, known=longest[left])
        at_end = (longest[left] + 1) * step > limit
        left = left[at_end & (reach[left] < most[left] + lanyard - _NOISE)]
        reach[left] = np.minimum(reach[left] + _FURTHER, most[left] + lanyard)
        for i in left.tolist():
            near[i] = near_anchor(job, work, rig, paths[i], float(reach[i]))
    return near, longest


def _needs(gear: Gear, paths: Sequence[TautPaths], places: Places, stops: Floats) -> Floats:
    """Setting that each place takes from each anchor, shape (p, m): to stand there and to kneel there. [m]"""
    lanyard, d_ring = gear.rig.line.lanyard.length, gear.rig.worker.d_ring
    need = np.full((len(places.points), len(paths)), np.inf)
    for column, (one, stop) in enumerate(zip(paths, stops.tolist(), strict=True)):
        if stop < 0:
            continue
        away = straight_distance(places.points, one.anchor, d_ring)
        at = np.flatnonzero(gear.wanted & (away <= stop + lanyard + _NOISE))
        if len(at):
            need[at, column] = needs_at(one, places.points[at], d_ring) - lanyard
    return need


def needs_at(paths: TautPaths, points: Floats, d_ring: float) -> Floats:
    """Rope from an anchor to the D-ring of a worker who stands or lies at some places, the longer, shape (n,). [m]"""
    lengths = paths.lengths(np.concatenate([points, points + np.array([0.0, 0.0, d_ring])]))
    longer: Floats = lengths.reshape(2, -1).max(axis=0)
    return longer


def _clear_of_lines(job: Job, work: Work, gear: Gear, paths: Sequence[TautPaths], longest: Integers) -> Integers:
    """Settings shortened so that nobody gets too near an overhead line anywhere on the roof, in steps."""
    rig, lanyard, step = gear.rig, gear.rig.line.lanyard.length, STOP_STEPS[job.units]
    points, _ = work.grid(job)
    voltage = max(line.voltage for line in live_lines(job))
    found = rulings(job, "power_line_distance", {**rig.facts, "power_line_voltage": voltage})
    high = points[:, 2] + rig.worker.d_ring + HEAD
    away = np.min([upright_distance(points[:, :2], points[:, 2], high, one.points) for one in live_lines(job)], axis=0)
    away = np.maximum(away - job.person_reach, 0.0)
    bad = points[~judge(found, away, away, away).met] if found else points[:0]
    longest = longest.copy()
    for column, (one, steps) in enumerate(zip(paths, longest.tolist(), strict=True)):
        stop = steps * step
        near = bad[straight_distance(bad, one.anchor, rig.worker.d_ring) <= stop + lanyard + _NOISE]
        if steps >= 0 and len(near):
            least = float(nearest_over(one, near, rig.worker.d_ring)[0].min()) - lanyard
            longest[column] = max(min(steps, int(np.ceil(least / step - 1e-9)) - 1), -1)
    return longest
