"""Drops onto a lower part of the same roof that the rules do not ask to arrest, and the falls that go on from there.

Rules say from which height above a lower level protection is due. A cheek or a step of less than that is no fall to be
arrested; but who falls there lands on a slope, with speed and slack, and may go on over the next edge. What that adds
is put to the falls over that edge, so that these are judged for whoever comes from above as well.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.parts import GRAVITY
from ropewright.arrest.slide import slide_speed
from ropewright.field import EdgePoints, FallGeometry, Hang, RopeOver, highest_on_way
from ropewright.field.landing import MOST_DROP, Landing
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.sliding import Sliding
from ropewright.quantity import Range
from ropewright.rules import Limit
from ropewright.rules.facts import assume, read_facts
from ropewright.rules.limits import Kind

__all__ = ["MOST_STEPS", "StepRule", "Steps", "step_rule", "steps_of", "with_steps"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Where the pack settles no trigger height, a person is asked of drops of less than this: 4 ft, the lowest trigger of
#: all that were read (29 CFR 1910.28(b)(1)(i)). Above it every drop counts as a fall. [m] Judgement.
LEAST_TRIGGER = 1.2192
#: A body comes aside no farther than this and what it makes at the speed of a stumble while it slides. [m], [m/s]
_ASIDE, _STUMBLE = 0.5, 2.0
#: Falls go on over at most so many steps one after the other. [-]
MOST_STEPS = 4
#: Nobody slides down roof that rises by less for each metre: it has no way down. [-]
_FLAT = 1e-3
#: Rounding. [m]
_NOISE = 1e-9


@dataclass(frozen=True)
class StepRule:
    """From which drop on a fall onto a lower part of the roof counts as one to be arrested."""

    bound: float  #: 0: every drop counts [m]
    limit: Limit | None  #: trigger of the pack; None: it carries none that could be told
    settled: bool  #: False: the pack's law does not settle a height, so that a person must

    def is_under(self, height: Floats) -> Bools:
        """True where a drop is less than what counts, shape (n,)."""
        under: Bools = height < self.bound - _NOISE
        return under


def step_rule(job: Job) -> StepRule:
    """Return what the job's pack says of low drops.

    Parameters
    ----------
    job : Job
        Where its facts tell of dangerous equipment below the edges, every drop counts.
    """
    limit = job.pack.governing("edge_height", job.facts)
    told = assume(read_facts(job.facts))
    if told.get("above_dangerous_equipment") is True:
        return StepRule(0.0, limit, settled=True)
    if limit is None or limit.figure is None or limit.kind is not Kind.TRIGGER:
        return StepRule(LEAST_TRIGGER, None, settled=False)
    figure = limit.figure.value
    if figure <= 0.0 or not limit.settles or limit.applies(told) is not True:
        return StepRule(min(LEAST_TRIGGER, figure) if figure > 0.0 else LEAST_TRIGGER, limit, settled=False)
    return StepRule(min(figure, MOST_DROP), limit, settled=True)


@dataclass(frozen=True)
class Steps:
    """Drops onto a lower part of the roof that are not held against an arrest, of n edge points."""

    is_step: Bools  #: (n,)
    height: Floats  #: (n,) greatest drop within a body's width; inf where no lower roof is [m]
    depth: Floats  #: (n,) greatest drop that a body may land at, with the speed it may have [m]
    blow: Floats  #: (n,) height of free fall after which anybody would land as hard as they may there [m]
    rule: StepRule
    start: Integers  #: (m,) points from which a fall may go on ...
    end: Integers  #: (m,) ... and those over which it does

    @classmethod
    def none(cls, n: int) -> Steps:
        """Return those of n points of which nothing is known: every drop is a fall."""
        nowhere, no_pairs = np.full(n, np.inf), np.empty(0, np.int64)
        return cls(np.zeros(n, bool), nowhere, nowhere, nowhere, StepRule(0.0, None, settled=True), no_pairs, no_pairs)


def with_steps(
    job: Job, rig: Rig, over: RopeOver, landing: Landing, sliding: Sliding, friction: Range, full: float | Floats
) -> tuple[Sliding, tuple[Integers, Integers]]:
    """Slides over each edge point, with those of whoever comes there over a step further up.

    Parameters
    ----------
    job : Job
    rig : Rig
    over : RopeOver
    landing : Landing
    sliding : Sliding
        Without steps. All of the same n edge points.
    friction : Range
        Of the body on the roof. [-]
    full : float or array, shape (n,)
        Rope to the stop and lanyard. [m]

    Returns
    -------
    tuple of Sliding and (m,) indices of the points from which falls go on, (m,) and of those over which they do
        A body keeps the speed that it had on the step, and gains that of the whole way down from it; it has the rope
        out that was out there, more if its grab is dragged. Blows as it lands take nothing: errs high.
    """
    one, other = landing.beyond
    if not len(one):
        return sliding, (one, other)
    rule, n = step_rule(job), len(landing.height)
    full = np.broadcast_to(np.asarray(full, float), (n,))
    at_least = over.stances[1].min(axis=1)
    leads = np.zeros(len(one), bool)
    for _ in range(MOST_STEPS):
        depth, out = landing.lands(sliding.speed)
        stepped = rule.is_under(landing.height) & np.isfinite(depth) & (at_least <= sliding.length + _NOISE)
        rope = _rope_on(rig, over, sliding, full, one, other)
        high, likely = (_height(landing, sliding, out, one, other, mu) for mu in (friction.low, friction.likely))
        goes = stepped[one] & (high > 0.0) & (at_least[other] <= rope + _NOISE)
        leads |= goes
        before, sliding = sliding, _joined(sliding, other[goes], rope[goes], high[goes], likely[goes])
        # what comes to one step goes on over the next
        if (sliding.speed <= before.speed + _NOISE).all() and (sliding.length <= before.length + _NOISE).all():
            break
    return sliding, (one[leads], other[leads])


def _rope_on(rig: Rig, over: RopeOver, sliding: Sliding, full: Floats, one: Integers, other: Integers) -> Floats:
    """Rope out over the second point of each pair of whoever fell over the first, shape (m,). [m]"""
    if rig.line.grab is None or not rig.line.grab.follows:
        return full[other]
    return np.maximum(sliding.length[one], np.minimum(full[other], over.to_edge[other]))


def _height(landing: Landing, sliding: Sliding, out: Floats, one: Integers, other: Integers, friction: float) -> Floats:
    """Height of free fall that the speed over the second point of each pair stands for; 0 where nobody comes. [m]"""
    way = landing.points[other] - landing.points[one]
    uphill = landing.uphill[other]
    steep = np.hypot(*uphill.T)
    cosine = 1.0 / np.sqrt(1.0 + steep**2)
    unit = np.divide(uphill, steep[:, None], out=np.zeros_like(uphill), where=steep[:, None] > _FLAT)
    down, aside = -(way[:, :2] * unit).sum(axis=1), np.abs(way[:, 0] * unit[:, 1] - way[:, 1] * unit[:, 0])
    far = np.hypot(*way[:, :2].T)
    lands_there = landing.landed[one, landing.facet[other]] & (steep > _FLAT)
    # friction takes mu g cos(q) for each metre of slope; on other slopes than the first the steepest cosine errs high
    metres = np.where(lands_there, np.hypot(down, aside * cosine), far * cosine.min(initial=1.0))
    slid = metres * np.maximum(1.0 - out[one] / np.maximum(far, 1e-9), 0.0)  # none of it in the air
    height = _height_of(sliding.speed)[one] - way[:, 2] - friction * slid
    sideways = np.abs(sliding.down[one, 0] * unit[:, 1] - sliding.down[one, 1] * unit[:, 0]) * sliding.speed[one]
    gains = GRAVITY * (steep - friction) * cosine  # along the slope [m/s2]
    time = np.sqrt(2.0 * np.maximum(down, 0.0) / cosine / np.maximum(gains, 1e-9))
    within = (aside <= out[one] + _ASIDE + (_STUMBLE + sideways) * time) & (down >= -out[one])
    return np.where(~lands_there | (gains <= 0.0) | within, np.maximum(height, 0.0), 0.0)


def _joined(sliding: Sliding, at: Integers, rope: Floats, high: Floats, likely: Floats) -> Sliding:
    """Slides over each point together with others over some points `at`, which may stand there more than once."""
    n = len(sliding.length)
    length = sliding.length.copy()
    np.maximum.at(length, at, rope)
    grown = length - sliding.length
    worst, likeliest, fastest = sliding.high - grown, sliding.likely - grown, _height_of(sliding.speed)
    np.maximum.at(worst, at, high - (length[at] - rope))
    np.maximum.at(likeliest, at, likely - (length[at] - rope))
    np.maximum.at(fastest, at, high)
    # the one start that is worst in rope and speed together stands for all of them
    total = np.full(n, -np.inf)
    np.maximum.at(total, at, high + rope)
    chosen = high + rope >= total[at] - _NOISE
    ropes, heights = sliding.length.copy(), np.full(n, -np.inf)
    ropes[at[chosen]], heights[at[chosen]] = rope[chosen], high[chosen]
    return replace(
        sliding,
        length=length,
        high=np.maximum(worst, 0.0),
        likely=np.maximum(likeliest, 0.0),
        speed=slide_speed(fastest),
        ropes=np.column_stack([sliding.ropes, ropes]),
        heights=np.column_stack([sliding.heights, heights]),
    )


def _height_of(speed: Floats) -> Floats:
    """Height of free fall that a speed stands for. [m]"""
    height: Floats = speed**2 / (2.0 * GRAVITY)
    return height


def steps_of(
    job: Job,
    edges: EdgePoints,
    landing: Landing,
    sliding: Sliding,
    geometry: FallGeometry,
    hang: Hang,
    leads: tuple[Integers, Integers],
) -> Steps:
    """Drops onto a lower part of the roof that are not held against an arrest.

    Parameters
    ----------
    job : Job
    edges : EdgePoints
    landing : Landing
    sliding : Sliding
        With `with_steps`.
    geometry : FallGeometry
    hang : Hang
        Of the same n edge points.
    leads : tuple of arrays of int, shape (m,)
        From `with_steps`.

    Returns
    -------
    Steps
        Not where a rope that may catch the body on its way down lets it swing to where the drop counts.
    """
    rule, depth = step_rule(job), landing.lands(sliding.speed)[0]
    low = rule.is_under(landing.height) & np.isfinite(depth)
    may_catch = ~(-geometry.taut >= landing.height)  # nan: not reached
    swings_off = ~low[highest_on_way(edges, hang, np.where(low, 0.0, 1.0))]
    is_step = low & geometry.reached & ~(may_catch & swings_off)
    return Steps(is_step, landing.height, depth, depth + _plunge(landing, sliding), rule, *leads)


def _plunge(landing: Landing, sliding: Sliding) -> Floats:
    """Height of free fall that the plumb part of the speed stands for of whoever slides over each point. [m]

    Who came across a valley has the speed of the slope beyond it, which mostly runs on as the lower roof does: theirs
    is left out.
    """
    steep = (landing.uphill**2).sum(axis=1)
    own = np.maximum(sliding.heights.max(axis=1), 0.0)
    plunge: Floats = own * steep / (1.0 + steep)
    return plunge
