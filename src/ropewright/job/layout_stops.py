"""The longest setting of one worker's line on each of many anchors at which every fall that it allows holds.

The falls over all anchors' edge points are worked out in one go: what `falls_over` and `edge_answers` cost is mostly
the same for a hundred points and for ten thousand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from ropewright.field import EdgePoints, RopeOver, rope_over
from ropewright.field.near import Joined, joined, near_edges, straight_distance
from ropewright.field.slide import SlideLines
from ropewright.job.ask_falls import edge_answers
from ropewright.job.clearance import Clearances, clearances
from ropewright.job.doubt import draws_that_hold
from ropewright.job.edge_answer import EdgeAnswer
from ropewright.job.falls import Falls, falls_over
from ropewright.job.longest import STOP_STEPS
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.sliding import SlideStarts, slide_starts
from ropewright.job.work import Work
from ropewright.roof.path import TautPaths

__all__ = ["Judged", "Near", "draws_held", "judge_settings", "longest_settings", "near_anchor", "slides_of"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Rounding: rope that is longer by less does not reach. [m]
_NOISE = 1e-9
#: First step past a setting that holds, a third of it; most lines hold little past the nearest edge. [steps]
_LEAP = 3.0
#: Answers whose margin is a length, so that it says how far a setting is off.
_IN_METRES = ("free-fall", "clearance-book", "clearance-simulated", "swing")


@dataclass(frozen=True)
class Near:
    """Edge points that a rope of some length from one anchor can have to do with, and the rope over them."""

    paths: TautPaths
    edges: EdgePoints
    over: RopeOver
    slides: SlideStarts
    index: Integers  #: (n,) which of all edge points of the job each is
    reach: float  #: longest rope, anchor to D-ring, that they are enough for [m]


@dataclass(frozen=True)
class Judged:
    """What the falls on each of k anchors come to, each line at one setting."""

    met: Bools  #: (k,) every figure is met at every edge point reached, and no restraint is cut fine
    reached: Bools  #: (k,) is any edge reached
    spare: Floats  #: (k,) least margin that is a length; nan where no edge is reached [m]
    swing: Floats  #: (k,) greatest swing drop, 0 where no edge is reached [m]
    kind: tuple[str, ...]  #: (k,) a question that is not met; empty where all are met
    edge: tuple[str, ...]  #: (k,) and an edge where


def near_anchor(job: Job, work: Work, rig: Rig, paths: TautPaths, reach: float) -> Near:
    """Edge points near an anchor, and the rope over them.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
        Whose D-ring is meant.
    paths : TautPaths
        Of the anchor.
    reach : float
        Longest rope that will be asked about, anchor to D-ring. [m]
    """
    edges = work.edges(job)
    away = straight_distance(edges.points, paths.anchor, rig.worker.d_ring)
    part, index = near_edges(edges, away <= reach + job.restraint_margin + _NOISE)
    heights, d_ring = part.points[:, 2], rig.worker.d_ring
    room = heights - work.lower_roof(job, edges)[index]
    over = rope_over(paths, part.points, d_ring, room=room, steps=work.mere_steps(job)[index], reach=reach)
    slides = slide_starts(_some(work.slide_lines(job), index), over, paths, reach, d_ring, heights)
    return Near(paths, part, over, slides, index, reach)


def _some(lines: SlideLines, at: Integers) -> SlideLines:
    """Return the lines of some of the edge points."""
    return SlideLines(**{item.name: getattr(lines, item.name)[at] for item in fields(SlideLines)})


def slides_of(near: Sequence[Near], at: Integers) -> SlideStarts:
    """Starts of slides over some of the points near several anchors, taken one behind the other."""
    parts = [one.slides for one in near]
    lines = {
        item.name: np.concatenate([getattr(part.lines, item.name) for part in parts])[at] for item in fields(SlideLines)
    }
    heights = np.concatenate([np.full(len(one.index), float(one.paths.anchor[2])) for one in near])
    return SlideStarts(
        SlideLines(**lines),
        np.concatenate([part.standing for part in parts])[at],
        heights[at],
        parts[0].d_ring,
        np.concatenate([part.edge_height for part in parts])[at],
    )


def judge_settings(job: Job, work: Work, rig: Rig, near: Sequence[Near], stops: Floats) -> Judged:
    """Put every question about falls to the line at one setting on each anchor, as a plan does.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
        The worker and the line; its own anchor and length count for nothing.
    near : sequence of k Near
        Each with a reach of at least its setting and the lanyard.
    stops : array, shape (k,)
        Settings, anchor to stop. [m]

    Returns
    -------
    Judged
    """
    return _Falls(job, work, rig, near).at(stops)


def draws_held(job: Job, work: Work, rig: Rig, near: Near, stop: float, draws: int) -> Bools:
    """Draws of the inputs in which every fall that a setting allows holds, shape (draws,).

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    near : Near
        With a reach of at least the setting and the lanyard.
    stop : float
        Anchor to stop. [m]
    draws : int
    """
    falls, clear, over = _Falls(job, work, rig, [near]).worked_out(np.array([stop]))
    return np.asarray(draws_that_hold(job, rig, over, falls, clear, draws=draws).all(axis=1))


class _Falls:
    """Falls near several anchors, to be judged at one setting after the other."""

    def __init__(self, job: Job, work: Work, rig: Rig, near: Sequence[Near]) -> None:
        self._job, self._rig = job, rig
        self._all: Joined = joined([(one.edges, one.over) for one in near])
        index = np.concatenate([one.index for one in near])[self._all.source]
        self._slides = slides_of(near, self._all.source)
        self._below = work.below(job).at(index, self._all.owner)
        self._floors = work.floors(job)[index]

    def at(self, stops: Floats) -> Judged:
        """Judge one setting on each anchor, shape (k,). [m]"""
        falls, clear, over = self.worked_out(stops)
        answers = edge_answers(self._job, self._rig, self._all.edges, over, falls, clear)
        return _judged(self._job, self._rig, self._all, falls, answers, stops)

    def worked_out(self, stops: Floats) -> tuple[Falls, Clearances, RopeOver]:
        """Falls at one setting on each anchor, the clearance that they need, and the rope."""
        over, stop = self._all.over, stops[self._all.owner]
        falls = falls_over(self._job, self._rig, self._all.edges, over, self._below, stop=stop, slides=self._slides)
        return falls, clearances(self._job, self._rig, falls, self._floors), over


def _judged(job: Job, rig: Rig, near: Joined, falls: Falls, answers: tuple[EdgeAnswer, ...], stops: Floats) -> Judged:
    k, reached, owner, edges = len(stops), falls.geometry.reached, near.owner, near.edges
    bad = ~np.logical_and.reduce([answer.met for answer in answers])
    first = np.full(k, -1)
    wrong = np.flatnonzero(bad)[::-1]
    first[owner[wrong]] = wrong
    any_reached = np.bincount(owner[reached], minlength=k) > 0
    nearest, spare, swing = np.full(k, np.inf), np.full(k, np.inf), np.zeros(k)
    np.minimum.at(nearest, owner, near.over.nearest)
    margins = np.min([_counted(answer) for answer in answers if answer.kind in _IN_METRES], axis=0)
    np.minimum.at(spare, owner[reached], margins[reached])
    np.maximum.at(swing, owner[reached], falls.swing_drop[reached])
    # Short of every edge, but by less than the margin: not held by anything that was judged.
    fine = ~any_reached & (nearest - (stops + rig.line.lanyard.length) < job.restraint_margin - _NOISE)
    told = [next(answer.kind for answer in answers if not answer.met[at]) if at >= 0 else "" for at in first.tolist()]
    return Judged(
        met=(first < 0) & ~fine,
        reached=any_reached,
        spare=np.where(any_reached, spare, np.nan),
        swing=swing,
        kind=tuple(one or ("reach" if cut else "") for one, cut in zip(told, fine.tolist(), strict=True)),
        edge=tuple(edges.names[edges.edge[at]] if at >= 0 else "" for at in first.tolist()),
    )


def _counted(answer: EdgeAnswer) -> Floats:
    """Margin as far as it decides: one below nothing may belong to a figure that is asked, not met."""
    return np.where(answer.met & (answer.margin < 0), np.inf, answer.margin)


def longest_settings(
    job: Job, work: Work, rig: Rig, near: Sequence[Near], most: Floats, *, known: Integers | None = None
) -> Integers:
    """Longest setting on each anchor at which every question about falls is met, in whole steps.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    near : sequence of k Near
    most : array, shape (k,)
        Longest setting to look at; the edge points near the anchor must be enough for it. [m]
    known : array of int, shape (k,), optional
        Settings that are known to be met, in steps.

    Returns
    -------
    array of int, shape (k,)
        In steps; -1 where even a line of no length is not met. The setting found has been tried; what is met at one
        setting is taken to be met at every shorter one.
    """
    step = STOP_STEPS[job.units]
    nearest = np.array([one.over.nearest.min(initial=np.inf) for one in near]) - rig.line.lanyard.length
    search = _Search(
        most=_whole(most / step),
        short=_whole((nearest - job.restraint_margin) / step),
        first=_whole(nearest / step + 1.0),  # the shortest setting that surely reaches an edge
    )
    if known is not None:
        search.start_from(known)
    at_hand = np.arange(len(near))
    falls = _Falls(job, work, rig, near) if len(near) else None
    while falls is not None and len(now := search.active()):
        if len(now) <= len(at_hand) / 2:  # fewer points are worth joining them again
            at_hand, falls = now, _Falls(job, work, rig, [near[i] for i in now])
        tried = search.guess(at_hand)
        search.learn(at_hand, tried, falls.at(np.asarray(tried * step, np.float64)), step)
    return search.low


def _whole(steps: Floats) -> Integers:
    """Whole steps, not above; without end where there is none."""
    return np.floor(np.clip(steps + 1e-9, -1.0, 1e9)).astype(np.int64)


class _Search:
    """The greatest whole number of steps that is met for each of k anchors, from -1 to `most`.

    Up to `short` no edge is reached with the margin kept, so that all is met.  The first to be tried is the shortest
    that reaches an edge; if that is not met, no longer one is.  From there settings grow until one is not met.  Between
    a setting that is met and one that is not, the next to try is where a straight line between their margins comes to
    nothing; the end that stays has its margin halved, so that the other end moves too (the Illinois rule).
    """

    def __init__(self, most: Integers, short: Integers, first: Integers) -> None:
        self.low = np.minimum(short, most)
        self.high = most + 1  # the first that is known not to be met, or is of no use
        self._first = np.clip(first, self.low + 1, None)
        self._good = np.full(len(most), np.nan)  # margin at the ends, in steps
        self._bad = np.full(len(most), np.nan)
        self._side = np.zeros(len(most), np.int64)
        self._failed = np.zeros(len(most), bool)  # was any setting tried and not met
        self._tries = 0

    def start_from(self, known: Integers) -> None:
        """Take settings as met that were tried before."""
        self.low = np.maximum(self.low, np.minimum(known, self.high - 1))
        self._first = np.maximum(self._first, self.low + 1)

    def active(self) -> Integers:
        """Those that are not found yet."""
        return np.flatnonzero(self.high - self.low > 1)

    def guess(self, at: Integers) -> Integers:
        """Next setting to try for each of some anchors; of one that is found, the setting found."""
        low, high = self.low[at], self.high[at]
        if self._tries == 0:
            tried = np.minimum(self._first[at], high - 1)
        else:
            good, bad = self._good[at], self._bad[at]
            known = np.isfinite(good) & np.isfinite(bad)
            share = np.divide(good, good + bad, out=np.full(len(at), 0.5), where=known & (good + bad > 0))
            if self._tries % 4 == 0:  # never slower than halving
                share = np.full(len(at), 0.5)
            ahead = np.where(self._failed[at], low + share * (high - low), low + _LEAP * 3.0**self._tries)
            tried = np.clip(ahead.astype(np.int64), low + 1, high - 1)
        return np.where(high - low > 1, tried, np.maximum(low, 0))

    def learn(self, at: Integers, tried: Integers, judged: Judged, step: float) -> None:
        """Note what was met."""
        is_open = self.high[at] - self.low[at] > 1
        margin, met = np.abs(judged.spare) / step, judged.met
        for side, ends, mine, other in ((1, met, self._good, self._bad), (-1, ~met, self._bad, self._good)):
            here = at[ends & is_open]
            mine[here] = margin[ends & is_open]
            other[here] = np.where(self._side[here] == side, other[here] / 2, other[here])
            self._side[here] = side
        # a margin that is a length and is kept does not say how far off a setting is that another question refuses
        self._bad[at[~met & is_open & ~(judged.spare < 0)]] = np.nan
        good, bad = at[met & is_open], at[~met & is_open]
        # nothing between a restraint and the first edge reached is held by either
        self.high[bad] = self.low[bad] + 1 if self._tries == 0 else tried[~met & is_open]
        self.low[good] = tried[met & is_open]
        self._failed[bad] = True
        self._tries += 1
