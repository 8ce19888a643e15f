"""The shortest polyline from a point over given edges to an image of the source, many at once.

With places t along m edges the length is

    |x - y_0| + |y_0 - y_1| + ... + |y_(m-2) - y_(m-1)| + hypot(t_(m-1) - p, q),    y_k = start_k + t_k along_k,

a convex function of t, whose matrix of second derivatives has three diagonals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Chains", "shortest"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: A leg shorter than this has no direction. [m]
_POINT = 1e-12
#: Share of the length below which a step gains nothing that rounding would not eat.
_ENOUGH = 1e-15
_STEPS, _HALVINGS = 60, 30
#: Least pivot, as a share of what stands on the diagonal. [1/m]
_FLAT = 1e-13
#: Bends nearer to each other than this are at one point, and smaller steps lead nowhere. [m]
_TOUCH = 1e-10
#: Share of an edge by which a first guess keeps off a corner that it has in common with the next edge.
_OFF = 1e-2


@dataclass(frozen=True)
class Chains:
    """b chains of m edges each, the one next to the point x first.

    ``start``, ``along`` (b, m, 3); ``length`` (b, m): places run from 0 to it; ``x`` (b, 3); image ``p``, ``q`` (b,).
    """

    start: Floats
    along: Floats
    length: Floats
    x: Floats
    p: Floats
    q: Floats

    def take(self, rows: NDArray[np.bool_] | NDArray[np.int64]) -> Chains:
        """Some of the chains."""
        return Chains(self.start[rows], self.along[rows], self.length[rows], self.x[rows], self.p[rows], self.q[rows])

    def sum(self, t: Floats) -> Floats:
        """Lengths at places t, shape (b, m)."""
        legs, last = self._legs(t)
        total: Floats = np.sqrt(np.einsum("bki,bki->bk", legs, legs)).sum(axis=1) + last
        return total

    def at(self, t: Floats) -> Floats:
        """Points at places, shape (b, m, 3)."""
        points: Floats = self.start + t[..., None] * self.along
        return points

    def _legs(self, t: Floats) -> tuple[Floats, Floats]:
        y = self.at(t)
        before = np.concatenate([self.x[:, None], y[:, :-1]], axis=1)
        return before - y, np.hypot(t[:, -1] - self.p, self.q)

    def slopes(self, t: Floats) -> tuple[Floats, Floats, Floats]:
        """First derivatives (b, m), and the main (b, m) and upper (b, m - 1) diagonals of the second ones."""
        legs, last = self._legs(t)
        size = np.maximum(np.sqrt(np.einsum("bki,bki->bk", legs, legs)), _POINT)
        unit = legs / size[..., None]
        last = np.maximum(last, _POINT)
        here = np.einsum("bki,bki->bk", unit, self.along)
        there = np.einsum("bki,bki->bk", unit[:, 1:], self.along[:, :-1])
        first, main = -here, (1.0 - here**2) / size
        first[:, :-1] += there
        main[:, :-1] += (1.0 - there**2) / size[:, 1:]
        first[:, -1] += (t[:, -1] - self.p) / last
        main[:, -1] += (self.q / last) ** 2 / last
        dots = np.einsum("bki,bki->bk", self.along[:, 1:], self.along[:, :-1])
        return first, main, (here[:, 1:] * there - dots) / size[:, 1:]


def shortest(chains: Chains, t: Floats) -> tuple[Floats, Floats]:
    """Least lengths, shape (b,), and the places that give them, shape (b, m), from a first guess at the places.

    Projected Newton steps, halved until they gain; a place that wants past an end of its edge is held there.
    """
    t = _apart(chains, t)
    total = chains.sum(t)
    busy = np.arange(len(t), dtype=np.int64)
    for _ in range(_STEPS):
        if not len(busy):
            break
        part, here = chains.take(busy), t[busy]
        step, fall = _step(part, here)
        moved, length = _gained(part, here, step, total[busy], fall)
        t[busy] = moved
        done = (fall < _ENOUGH * total[busy]) | (length >= total[busy]) | (np.abs(step).max(axis=1) < _TOUCH)
        total[busy] = length
        busy = busy[~done]
    return total, t


def _apart(chains: Chains, t: Floats) -> Floats:
    """A first guess with no two bends at one corner: there the length has a kink, and Newton's method would stick."""
    y = chains.at(t)
    meet = np.linalg.norm(y[:, 1:] - y[:, :-1], axis=2) < _TOUCH
    meet = np.concatenate([meet, np.zeros((len(t), 1), dtype=bool)], axis=1) | np.concatenate(
        [np.zeros((len(t), 1), dtype=bool), meet], axis=1
    )
    length = np.minimum(chains.length, 1.0)
    return np.where(meet, np.where(t < 0.5 * chains.length, t + _OFF * length, t - _OFF * length), t)


def _step(chains: Chains, t: Floats) -> tuple[Floats, Floats]:
    """Newton steps, and how fast the length falls along them.

    A place at an end of its edge is held there if the length pulls it out, or if the step of the others would push
    it out: else the clipped step need not gain.
    """
    first, main, upper = chains.slopes(t)
    at_low, at_high = t <= 0.0, t >= chains.length
    held = (at_low & (first > 0.0)) | (at_high & (first < 0.0))
    # a place at the point x itself can't gain: what it takes from the other legs it adds to the one to x
    held[:, 0] |= np.linalg.norm(chains.at(t)[:, 0] - chains.x, axis=1) < _TOUCH
    for _ in range(t.shape[1] + 1):
        free = ~held
        step = _solved(np.where(held, 1.0, main), np.where(free[:, 1:] & free[:, :-1], upper, 0.0), -first * free)
        out = (at_low & (step < 0.0)) | (at_high & (step > 0.0))
        if not out.any():
            break
        held |= out
    return step, -(step * first).sum(axis=1)


def _solved(main: Floats, upper: Floats, right: Floats) -> Floats:
    """Solution of symmetric systems with three diagonals, none of them negative.

    Where legs run straight on, the length does not change to second order and a pivot is nothing but rounding: it is
    kept above zero, and the step that comes of it is halved until it gains.
    """
    x, m = right.copy(), right.shape[1]
    pivot = main + _FLAT
    for k in range(1, m):
        share = upper[:, k - 1] / pivot[:, k - 1]
        pivot[:, k] = np.maximum(pivot[:, k] - share * upper[:, k - 1], _FLAT * (1.0 + main[:, k]))
        x[:, k] -= share * x[:, k - 1]
    x[:, m - 1] /= pivot[:, m - 1]
    for k in range(m - 2, -1, -1):
        x[:, k] = (x[:, k] - upper[:, k] * x[:, k + 1]) / pivot[:, k]
    return x


def _gained(chains: Chains, t: Floats, step: Floats, total: Floats, fall: Floats) -> tuple[Floats, Floats]:
    """Places after the steps, each halved until it gains, and the lengths there."""
    moved = np.clip(t + step, 0.0, chains.length)
    length = chains.sum(moved)
    share, size = np.ones(len(t)), np.abs(step).max(axis=1)
    for _ in range(_HALVINGS):
        worse = (length >= total) & (fall >= _ENOUGH * total) & (share * size > _TOUCH)
        if not worse.any():
            break
        share[worse] *= 0.5
        moved[worse] = np.clip(t + share[:, None] * step, 0.0, chains.length)[worse]
        length[worse] = chains.take(worse).sum(moved[worse])
    return moved, length
