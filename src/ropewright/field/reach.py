"""Which edges a line lets a worker reach, and where it comes taut in a fall over them.

::

        D   D-ring of the standing worker, h above the edge
        |
        E---- edge        l(A, E): taut rope from the anchor A to the edge
        |
        x   D-ring where the rope comes taut: l(A, x) = L
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.field.bends import upstream_turns
from ropewright.roof.path import TautPaths

__all__ = ["STEP_DOWN", "FallGeometry", "RopeOver", "fall_geometry", "nearest_over", "rope_over"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Heights of the D-ring at which the rope is measured, from the edge (lying) to standing.
_STANCES = 5
#: And below the edge. [m] A fall that is still free 6 m down is past every limit; at the edge itself the rope's growth
#: has a kink, so that it is also measured just below.
_DEPTHS = (6.0, 5.0, 4.0, 3.2, 2.5, 1.9, 1.4, 0.9, 0.5, 0.2, 0.02)
#: Between two of them the square of the rope's length is a parabola as long as the rope bends over the same edges.
_BETWEEN = 16
#: Nobody falls over an edge with nothing but the roof's own lower part so near below: they step down, or stumble on to
#: the edges of that part, which are asked for themselves. [m] Judgement: a stair riser is about 0.2 m.
STEP_DOWN = 0.25
#: Rope this much short still reaches: rounding. [m]
_NOISE = 1e-9
#: A last piece of rope shorter than this has no direction that could be trusted: a bend on the spot itself. [m]
_LEAST_LEG = 1e-3
#: The rope grows by at least this share of a body's drop deep below an edge; bounds the last stretch. [-]
_LEAST_GROWTH = 0.2


@dataclass(frozen=True)
class RopeOver:
    """Taut rope from one anchor to one worker's D-ring over each of n edge points; depends on no line length."""

    heights: Floats  #: (k,) D-ring above the edge, rising from below it (negative) over 0 to standing [m]
    lengths: Floats  #: (n, k) taut rope from the anchor to a D-ring there [m]
    slopes: Floats  #: (n, k) how fast that grows with height [-]
    turn: Floats  #: (n,) angle by which the rope bends over the edge when a body hangs below it [rad]
    #: (n,) What it turns before that, as a mean over its length; see `ropewright.field.bends.mean_turn`. [rad]
    upstream: Floats = field(default_factory=lambda: np.zeros(1))
    #: (n,) True where the edge is no more than a step down to a lower part of the roof, which nobody falls over.
    is_step: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(1, bool))

    @cached_property
    def edge(self) -> int:
        """Which of the heights is that of the edge itself."""
        return int(np.searchsorted(self.heights, 0.0))

    @property
    def to_edge(self) -> Floats:
        """Taut rope from the anchor to the edge itself, shape (n,). [m]"""
        edge: Floats = self.lengths[:, self.edge]
        return edge

    @property
    def standing(self) -> Floats:
        """Taut rope to the D-ring of a worker who stands on the edge, shape (n,). [m]"""
        standing: Floats = self.lengths[:, -1]
        return standing

    @cached_property
    def stances(self) -> tuple[Floats, Floats]:
        """Heights from lying to standing, shape (m,), close together, and the rope to each, shape (n, m). [m]"""
        at = self.edge
        return _refined(self.heights[at:], self.lengths[:, at:], self.slopes[:, at:])

    @cached_property
    def nearest(self) -> Floats:
        """Shortest rope with which the worker gets to the edge, standing or bent, shape (n,); infinite over a step."""
        nearest: Floats = np.where(self.is_step, np.inf, self.stances[1].min(axis=1))
        return nearest


@dataclass(frozen=True)
class FallGeometry:
    """A fall over each of n edge points on a given length of rope; nan where the edge is not reached."""

    reached: NDArray[np.bool_]  #: (n,)
    start: Floats  #: (n,) D-ring above the edge as the fall begins [m]
    taut: Floats  #: (n,) D-ring above the edge where the rope, held at E, comes taut; negative below it [m]
    taut_sliding: Floats  #: (n,) the same for a rope that slides along the edge as it likes: never higher [m]
    #: (n,) Height of free fall that the speed at the edge stands for, from a slide down the roof; 0 without one. It is
    #: energy alone: neither the D-ring's drop nor the free fall of any rule has it in. [m]
    slide: Floats = field(default_factory=lambda: np.zeros(1))

    @property
    def free_fall(self) -> Floats:
        """Drop of the D-ring until a rope that is held at E is taut, shape (n,). [m]"""
        drop: Floats = self.start - self.taut
        return drop

    @property
    def longest_free_fall(self) -> Floats:
        """The same for a rope that slides along the edge, shape (n,). [m]"""
        drop: Floats = self.start - self.taut_sliding
        return drop


def rope_over(
    paths: TautPaths,
    points: Floats,
    d_ring: float,
    *,
    room: Floats | None = None,
    steps: NDArray[np.bool_] | None = None,
    reach: float = np.inf,
) -> RopeOver:
    """Taut rope to the D-ring over each edge point, at stances from lying to standing and below the edge.

    Parameters
    ----------
    paths : TautPaths
        Of the anchor.
    points : array, shape (n, 3)
        On the edges. [m]
    d_ring : float
        Dorsal D-ring above the soles, standing, above 0. [m]
    room : array, shape (n,), optional
        How far below each point the space is open, down to a lower part of the same roof; infinite where nothing is
        given. Deeper down the rope is taken as held at E. [m]
    steps : array of bool, shape (n,), optional
        Where the edge is a mere step to a lower part of the roof; see `STEP_DOWN`.
    reach : float
        Longest rope that will be asked about: below edges further away than that nothing is measured. [m]

    Returns
    -------
    RopeOver
    """
    heights = np.concatenate([np.negative(_DEPTHS), np.linspace(0.0, d_ring, _STANCES)])
    n, edge = len(points), len(_DEPTHS)
    to_stance, slopes_above = _measured(paths, points, heights[edge:], np.ones((n, _STANCES), bool))
    to_edge = to_stance[:, :1]
    is_open = np.broadcast_to(to_edge <= reach, (n, edge))
    if room is not None:
        is_open = is_open & (heights[:edge] >= -np.maximum(room, 0.0)[:, None])
    below, slopes_below = _measured(paths, points, heights[:edge], is_open)
    slopes = np.concatenate([np.where(is_open, slopes_below, -1.0), slopes_above], axis=1)
    return RopeOver(
        heights=heights,
        lengths=np.concatenate([np.where(is_open, below, to_edge - heights[:edge]), to_stance], axis=1),
        slopes=slopes,
        turn=np.arccos(np.clip(-slopes[:, edge], -1.0, 1.0)),
        upstream=upstream_turns(paths, points, to_edge[:, 0] <= reach),
        is_step=np.zeros(n, bool) if steps is None else steps,
    )


def _measured(paths: TautPaths, points: Floats, heights: Floats, wanted: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Rope to some heights over each point and how fast it grows with height, shape (n, k); 0 where not wanted."""
    at = points[:, None, :] + heights[None, :, None] * np.array([0.0, 0.0, 1.0])
    lengths, slopes = np.zeros(wanted.shape), np.zeros(wanted.shape)
    if wanted.any():
        found, bends = paths.reach(at[wanted])
        # No path found is no proof that there is none: a straight line is never longer, which errs to the worse.
        lost = ~np.isfinite(found)
        found[lost] = np.linalg.norm(at[wanted][lost] - paths.anchor, axis=1)
        lengths[wanted], bends = found, np.where(lost[:, None], paths.anchor, bends)
        legs = at[wanted] - bends
        leg = np.linalg.norm(legs, axis=1)
        with np.errstate(invalid="ignore"):
            slopes[wanted] = np.where(leg > _LEAST_LEG, legs[:, 2] / leg, np.nan)
        nowhere = np.isnan(slopes)
        if nowhere.any():
            slopes[nowhere] = np.gradient(lengths, heights, axis=1)[nowhere]
    return lengths, slopes


def nearest_over(paths: TautPaths, points: Floats, d_ring: float) -> tuple[Floats, Floats]:
    """Shortest rope with which a worker gets to points on the roof, standing or bent, and that to stand there.

    Parameters
    ----------
    paths : TautPaths
    points : array, shape (n, 3)
        On the roof. [m]
    d_ring : float
        [m]

    Returns
    -------
    tuple of two arrays, shape (n,)
        [m]
    """
    heights = np.array([0.0, d_ring])
    lengths, slopes = _measured(paths, points, heights, np.ones((len(points), 2), bool))
    return _refined(heights, lengths, slopes)[1].min(axis=1), lengths[:, 1]


def fall_geometry(rope: RopeOver, length: Floats, slide: Floats | None = None) -> FallGeometry:
    """Where each fall begins and where its rope comes taut.

    Parameters
    ----------
    rope : RopeOver
    length : array, shape (n,)
        Anchor to D-ring, everything out, unstretched. [m]
    slide : array, shape (n,), optional
        Height of free fall that the speed at the edge stands for. [m]

    Returns
    -------
    FallGeometry
        The D-ring starts as high as the rope lets it.

    Notes
    -----
    An edge counts as reached as soon as one stance between lying and standing gets there, not only when the rope
    reaches the edge itself: a rope from a high anchor is shorter to the back of a standing worker than to the feet.
    Below the edge a rope that is held at E grows by what the body drops; one that slides along the edge to where it
    is shortest grows by less, and lets the body fall further before it is taut. Derived in docs/derivations.md.
    """
    heights, to_stance = rope.stances
    allowed = (to_stance <= length[:, None] + _NOISE) & ~rope.is_step[:, None]
    reached: NDArray[np.bool_] = np.asarray(allowed.any(axis=1))
    last = len(heights) - 1
    top = last - np.argmax(allowed[:, ::-1], axis=1)
    start = _crossing(heights, to_stance, length, top, np.minimum(top + 1, last))
    # The fall goes down from `top` until a stance is not allowed any more: the rope is taut between the two.
    barred = (np.arange(last + 1) < top[:, None]) & ~allowed
    first_barred = last - np.argmax(barred[:, ::-1], axis=1)
    hangs_above = barred.any(axis=1)
    above = _crossing(heights, to_stance, length, np.minimum(first_barred + 1, last), first_barred)
    taut = np.where(hangs_above, above, np.minimum(rope.to_edge - length, 0.0))
    # A rope that just reaches the edge, or one kept from sliding by what lies below, is no shorter than a held one.
    sliding = np.where(hangs_above, above, np.minimum(_taut_below(rope, length), taut))
    speed = np.zeros(len(length)) if slide is None else slide
    return FallGeometry(reached, *(np.where(reached, values, np.nan) for values in (start, taut, sliding, speed)))


def _crossing(heights: Floats, lengths: Floats, length: Floats, inside: Integers, outside: Integers) -> Floats:
    """Height between two neighbouring stances at which the rope is just long enough; `inside` if they are one."""
    rows = np.arange(len(length))
    near, far = lengths[rows, inside], lengths[rows, outside]
    grows = far > near
    share = np.divide(length - near, far - near, out=np.zeros_like(length), where=grows)
    crossing: Floats = heights[inside] + np.clip(share, 0.0, 1.0) * (heights[outside] - heights[inside])
    return crossing


def _taut_below(rope: RopeOver, length: Floats) -> Floats:
    """Height below the edge, 0 or less, at which a rope that slides along the edge comes taut, shape (n,). [m]"""
    edge = rope.edge
    longer = rope.lengths[:, edge::-1] > length[:, None]  # from the edge down
    ends = longer.any(axis=1)
    rows = np.flatnonzero(ends)
    low = edge - np.argmax(longer[rows], axis=1)
    high = np.minimum(low + 1, edge)
    span = rope.heights[high] - rope.heights[low]
    square = _squares(span, *(table[rows, at] for table in (rope.lengths, rope.slopes) for at in (low, high)))
    u0, u1 = np.zeros(len(rows)), np.ones(len(rows))
    for _ in range(24):  # halving: a metre down to less than a tenth of a micrometre
        middle = (u0 + u1) / 2
        is_short = _polynomial(square, middle) <= length[rows] ** 2
        u0, u1 = np.where(is_short, u0, middle), np.where(is_short, middle, u1)
    grows = np.maximum(-rope.slopes[:, 0], _LEAST_GROWTH)
    beyond: Floats = rope.heights[0] - np.maximum(length - rope.lengths[:, 0], 0.0) / grows
    beyond[rows] = rope.heights[low] + u0 * span
    return beyond


def _refined(heights: Floats, lengths: Floats, slopes: Floats) -> tuple[Floats, Floats]:
    """More heights between those at which the rope was measured, shape (m,), and the rope there, shape (n, m). [m]"""
    span, share = np.diff(heights), np.arange(_BETWEEN) / _BETWEEN
    at = (heights[:-1, None] + span[:, None] * share).ravel()
    square = _squares(span, lengths[:, :-1], lengths[:, 1:], slopes[:, :-1], slopes[:, 1:])
    fine = np.sqrt(np.maximum(_polynomial(tuple(part[..., None] for part in square), share), 0.0))
    return np.append(at, heights[-1]), np.concatenate([fine.reshape(len(lengths), len(at)), lengths[:, -1:]], axis=1)


def _squares(span: Floats, l0: Floats, l1: Floats, slope0: Floats, slope1: Floats) -> tuple[Floats, ...]:
    """Coefficients of the cubic through the squares of the rope at two heights `span` apart, by the share of the span.

    As long as the rope bends over the same edges its square is a parabola in height, and this is exact.
    """
    q0, q1 = l0 * l0, l1 * l1
    m0, m1 = 2 * l0 * slope0 * span, 2 * l1 * slope1 * span
    return q0, m0, 3 * (q1 - q0) - 2 * m0 - m1, 2 * (q0 - q1) + m0 + m1


def _polynomial(coefficients: tuple[Floats, ...], u: Floats) -> Floats:
    a, b, c, d = coefficients
    value: Floats = a + u * (b + u * (c + u * d))
    return value
