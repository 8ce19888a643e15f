"""What lies just beyond a roof's edge: a wall that goes up, the same roof going on, a lower roof, or nothing.

wall        meets        below        open

___|                                             upper facet
|        ___.___       ___                        edge looked at: '.' or end of line
___|                         |___      ___           lower facet
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.mending.plan import right_of, segments

__all__ = ["Beside", "Neighbours", "Stretch"]

Points = NDArray[np.float64]

#: How far beyond an edge is looked, and how much higher or lower counts as a step. The least dimension that makes a
#: gap a hole: 29 CFR 1926.500(b), 2 in (5.1 cm), from memory. [m]
PROBE = 0.05
#: Shorter than this a stretch is part of the one beside it: nobody falls through there. [m]
_SHORTEST = 0.1
#: Below this a share of an edge or a turn of two edges is rounding.
_NOTHING = 1e-12
#: Edges looked at in one go, times edges that they may cross: bounds the memory.
_CELLS = 200_000


class Beside(StrEnum):
    """What lies beyond a stretch of edge."""

    WALL = "wall"
    MEETS = "meets"
    BELOW = "below"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Part of an edge, from share `start` to share `end` of its length, with what lies beyond it.

    ``under`` is true where another facet hangs over both sides of the edge: a canopy, or a part the edge is buried in.
    """

    start: float
    end: float
    beside: Beside
    facet: int  #: index of the facet that lies there, -1 for none
    under: bool = False


class Neighbours:
    """All facets of a roof, ready to be looked up from any edge.

    Parameters
    ----------
    outlines : sequence of sequences of arrays, shape (n, 3)
        Rings of each of f facets. [m]
    planes : array, shape (f, 3)
        a, b and c of z = a x + b y + c.
    """

    def __init__(self, outlines: Sequence[Sequence[Points]], planes: Points) -> None:
        edges = [segments(rings) for rings in outlines]
        self._edges = np.vstack(edges)
        self._first = np.cumsum([0, *(len(one) for one in edges[:-1])])
        self._planes = planes
        corners = self._edges.reshape(-1, 2, 2)
        self._low = np.minimum.reduceat(corners.min(axis=1), self._first)
        self._high = np.maximum.reduceat(corners.max(axis=1), self._first)

    def along(self, starts: Points, ends: Points) -> list[tuple[Stretch, ...]]:
        """Stretches of edges by what lies beyond, to the right of the walk from start to end.

        Parameters
        ----------
        starts, ends : array, shape (e, 3)
            [m]

        Returns
        -------
        list of e tuples of Stretch
            Each from share 0 to share 1.
        """
        found: list[tuple[Stretch, ...]] = []
        at_once = max(1, _CELLS // len(self._edges))
        for first in range(0, len(starts), at_once):
            found += self._along(starts[first : first + at_once], ends[first : first + at_once])
        return found

    def _along(self, starts: Points, ends: Points) -> list[tuple[Stretch, ...]]:
        runs = ends - starts
        level = runs[:, :2] / np.maximum(np.hypot(runs[:, 0], runs[:, 1]), 1e-12)[:, None]
        right = PROBE * np.column_stack((level[:, 1], -level[:, 0]))
        steps = np.stack([self._above(starts), self._above(ends)])
        edge, low, high = self._pieces(starts[:, :2], runs[:, :2], right, steps)
        middle = 0.5 * (low + high)
        on_edge = starts[edge, :2] + middle[:, None] * runs[edge, :2]
        step = steps[0, edge] + middle[:, None] * (steps[1, edge] - steps[0, edge])
        # what hangs over this side of the edge too has no wall here that one could see
        over = self._inside(on_edge - right[edge]) & (step > PROBE)
        step = np.where(self._inside(on_edge + right[edge]) & ~over, step, -np.inf)
        facet = step.argmax(axis=1)
        shortest = _SHORTEST / np.sqrt((runs * runs).sum(axis=1))
        pieces: list[list[Stretch]] = [[] for _ in starts]
        under = over.any(axis=1) & (high - low >= shortest[edge])  # beside a corner a probe soon meets a neighbour
        columns = (edge, low, high, facet, step.max(axis=1), under)
        for number, start, end, there, height, is_under in zip(*(column.tolist() for column in columns), strict=True):
            kind = _kind(height)
            pieces[number].append(Stretch(start, end, kind, -1 if kind is Beside.OPEN else there, is_under))
        return [_without_short(some, short) for some, short in zip(pieces, shortest.tolist(), strict=True)]

    def _above(self, points: Points) -> Points:
        """How much higher [m] the plane of each facet is than each point, shape (e, f)."""
        return points[:, :2] @ self._planes[:, :2].T + self._planes[:, 2] - points[:, 2:]

    def _inside(self, points: Points) -> NDArray[np.bool_]:
        """Tell which facets points lie in, shape (n, f)."""
        counted: NDArray[np.bool_] = np.add.reduceat(right_of(self._edges, points), self._first, axis=1) % 2 == 1
        return counted

    def _pieces(
        self, starts: Points, runs: Points, right: Points, steps: Points
    ) -> tuple[NDArray[np.int64], Points, Points]:
        """Parts of each edge beyond which nothing changes: number of the edge, first and last share of its length."""
        every = np.arange(len(starts))
        numbers = [every, every]
        shares = [np.zeros(len(starts)), np.ones(len(starts))]
        for side in (right, -right):
            number, share = _crossings(starts + side, runs, self._edges)
            numbers.append(number)
            shares.append(share)
        near = self._near(starts + right, runs)
        for height in (PROBE, -PROBE):
            first, last = steps - height
            number, facet = np.nonzero(near & (first * last < 0))
            numbers.append(number)
            shares.append(first[number, facet] / (first - last)[number, facet])
        number, share = np.concatenate(numbers), np.concatenate(shares)
        order = np.lexsort((share, number))
        number, share = number[order], share[order]
        real = (number[1:] == number[:-1]) & (share[1:] - share[:-1] > _NOTHING)
        return number[:-1][real], share[:-1][real], share[1:][real]

    def _near(self, starts: Points, runs: Points) -> NDArray[np.bool_]:
        """Tell which facets' boxes in plan come near each strip, shape (e, f)."""
        low, high = np.minimum(starts, starts + runs), np.maximum(starts, starts + runs)
        near = (self._low[None] <= high[:, None]) & (self._high[None] >= low[:, None])
        both: NDArray[np.bool_] = near[..., 0] & near[..., 1]
        return both


def _kind(step: float) -> Beside:
    if step > PROBE:
        return Beside.WALL
    if step >= -PROBE:
        return Beside.MEETS
    return Beside.BELOW if step > -np.inf else Beside.OPEN


def _crossings(starts: Points, runs: Points, edges: Points) -> tuple[NDArray[np.int64], Points]:
    """Where lines in plan cross edges: number of the line and share of its length."""
    run_x, run_y = runs[:, 0, None], runs[:, 1, None]
    side_x, side_y = edges[:, 2] - edges[:, 0], edges[:, 3] - edges[:, 1]
    away_x, away_y = edges[:, 0] - starts[:, 0, None], edges[:, 1] - starts[:, 1, None]
    turn = run_x * side_y - run_y * side_x
    real = np.abs(turn) > _NOTHING
    turn[~real] = 1.0
    share = (away_x * side_y - away_y * side_x) / turn
    on_side = (away_x * run_y - away_y * run_x) / turn
    number, edge = np.nonzero(real & (share > 0) & (share < 1) & (on_side >= 0) & (on_side <= 1))
    return number, share[number, edge]


def _without_short(pieces: list[Stretch], shortest: float) -> tuple[Stretch, ...]:
    """Join like neighbours, then let each short stretch become part of the longer one beside it."""
    joined = _joined(pieces)
    while len(joined) > 1:
        i = min(range(len(joined)), key=lambda k: joined[k].end - joined[k].start)
        short = joined[i]
        if short.end - short.start >= shortest:
            break
        around = [k for k in (i - 1, i + 1) if 0 <= k < len(joined)]
        host = joined[max(around, key=lambda k: joined[k].end - joined[k].start)]
        joined[i] = Stretch(short.start, short.end, host.beside, host.facet, host.under)
        joined = _joined(joined)
    return tuple(joined)


def _joined(pieces: Sequence[Stretch]) -> list[Stretch]:
    joined: list[Stretch] = []
    for piece in pieces:
        last = joined[-1] if joined else None
        if last and last.beside == piece.beside and (last.facet == piece.facet or piece.beside is not Beside.MEETS):
            joined[-1] = Stretch(last.start, piece.end, last.beside, last.facet, last.under or piece.under)
        else:
            joined.append(piece)
    return joined
