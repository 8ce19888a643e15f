"""Laying curves as ropes lie: drawn short against a tube that never runs into itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from ropewright.rope.curve import resampled

__all__ = ["Strand", "relaxed"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

#: Distance between points of a curve while it is laid. [diameters]
SPACING = 0.25

#: Least distance between middle lines, above 1 so that a smooth curve through the points keeps a full diameter. [-]
CLEAR = 1.05

#: Least radius of a bend: a rope of solid rubber could go down to half its diameter. [diameters]
LEAST_RADIUS = 0.75

#: Share of the way to the middle of its neighbours that a point goes at each round, and of the stiffness against it.
_PULL, _STIFF = 0.2, 0.018

#: Rounds without a pull at the end, in which the sharpest bends open.
_EASED = 150


@dataclass(frozen=True, slots=True)
class Strand:
    """One rope, cord, ring or post.

    Parameters
    ----------
    points : array, shape (n, 3)
        Middle line; its two ends stay where they are. [diameters of the rope]
    diameter : float
        Over that of the rope. [-]
    fixed : bool
        True for what doesn't move.
    shown : bool
        False for a post that only holds a loop open while it is laid.
    new_from : float
        Share of its length from which on it is new since the step before, 1 for nowhere.
    name : str
        ``rope``, ``other rope``, ``cord``, ``line`` or ``ring``.
    """

    points: Floats
    diameter: float = 1.0
    fixed: bool = False
    shown: bool = True
    new_from: float = 1.0
    name: str = "rope"


@dataclass
class _Laying:
    """All strands as one set of points while they move."""

    strands: Sequence[Strand]
    curves: list[Floats] = field(init=False)

    def __post_init__(self) -> None:
        self.curves = [resampled(strand.points, SPACING) for strand in self.strands]
        self.diameters = np.array([strand.diameter for strand in self.strands])
        self.gather()

    def gather(self) -> None:
        """Space the points evenly again and put them in one array."""
        self.curves = [
            curve if strand.fixed else resampled(curve, SPACING)
            for strand, curve in zip(self.strands, self.curves, strict=True)
        ]
        counts = [len(curve) for curve in self.curves]
        self.points = np.concatenate(self.curves)
        self.owner = np.repeat(np.arange(len(counts)), counts)
        self.place = np.concatenate([np.arange(count) for count in counts])
        self.step = np.array([np.linalg.norm(np.diff(curve, axis=0), axis=1).mean() for curve in self.curves])
        self.free = np.ones(len(self.points))
        self.parts = [slice(stop - count, stop) for count, stop in zip(counts, np.cumsum(counts), strict=True)]
        for strand, part in zip(self.strands, self.parts, strict=True):
            self.free[part.start : part.start + 2] = self.free[part.stop - 2 : part.stop] = 0.0
            if strand.fixed:
                self.free[part] = 0.0

    def round(self, pull: float) -> None:
        """Draw every curve a little shorter, then push apart what came too near."""
        for part in self.parts:
            x = self.points[part]
            second, fourth = np.zeros_like(x), np.zeros_like(x)
            second[1:-1] = x[:-2] - 2 * x[1:-1] + x[2:]
            fourth[1:-1] = second[:-2] - 2 * second[1:-1] + second[2:]
            x += self.free[part][:, None] * (pull * second - _STIFF * fourth)
        first, other, least = self._near()
        for _ in range(8):
            if not self._push_apart(first, other, least):
                break
        for count in (2, 4):
            for number, part in enumerate(self.parts):
                if not self.strands[number].fixed:
                    self._unbend(number, part, count)
        self.curves = [self.points[part] for part in self.parts]

    def _near(self) -> tuple[Ints, Ints, Floats]:
        """Pairs that may touch, with their least distance; neighbours along one rope are left to its bend."""
        reach = float(self.diameters.max()) * CLEAR + 0.15
        pairs = cKDTree(self.points).query_pairs(reach, output_type="ndarray")
        i, j = pairs[:, 0], pairs[:, 1]
        owner = self.owner[i]
        along = np.abs(self.place[i] - self.place[j]) * self.step[owner]
        apart = (owner != self.owner[j]) | (along >= np.pi / 2 * CLEAR * self.diameters[owner])
        kept = apart & (self.free[i] + self.free[j] > 0)
        i, j = i[kept], j[kept]
        return i, j, CLEAR * (self.diameters[self.owner[i]] + self.diameters[self.owner[j]]) / 2

    def _push_apart(self, first: Ints, other: Ints, least: Floats) -> bool:
        """Move pairs that are too near; False if there are none."""
        way = self.points[other] - self.points[first]
        far = np.linalg.norm(way, axis=1)
        near = far < least
        if not near.any():
            return False
        i, j = first[near], other[near]
        weight = self.free[i] + self.free[j]
        move = ((least[near] - far[near]) / np.maximum(far[near], 1e-9) / weight)[:, None] * way[near]
        n = len(self.points)
        times = np.bincount(i, minlength=n) + np.bincount(j, minlength=n)
        moved = np.stack(
            [np.bincount(j, self.free[j] * m, n) - np.bincount(i, self.free[i] * m, n) for m in move.T], axis=1
        )
        hit = times > 0
        self.points[hit] += moved[hit] * (np.minimum(times[hit], 1.5) / times[hit])[:, None]
        return True

    def _unbend(self, number: int, part: slice, count: int) -> None:
        """Open bends that are sharper than the least radius, by the chord over `count` steps."""
        x, free = self.points[part], self.free[part]
        radius = LEAST_RADIUS * self.diameters[number]
        least = 2 * radius * np.sin(count * self.step[number] / radius / 2)
        for offset in range(2 * count):
            a = np.arange(offset, len(x) - count, 2 * count)
            b = a + count
            way = x[b] - x[a]
            far = np.linalg.norm(way, axis=1)
            short = np.where(far < least, least - far, 0.0)
            move = (0.5 * short / np.maximum(far, 1e-9) / np.maximum(free[a] + free[b], 1.0))[:, None] * way
            x[a] -= free[a][:, None] * move
            x[b] += free[b][:, None] * move


def relaxed(strands: Sequence[Strand], rounds: int) -> list[Floats]:
    """Curves of strands after they were drawn shorter for so many rounds, their ends held.

    Parameters
    ----------
    strands : sequence of Strand
        No nearer to each other or to themselves than their diameters, or nearly so: what starts on the wrong side
        of another strand stays there, so that the knot stays the same.
    rounds : int
        More make a tighter knot.

    Returns
    -------
    list of array, shape (n, 3)
        In the order of `strands`. [diameters of the rope]

    Notes
    -----
    Each point goes toward the middle of its neighbours, as a stretched string does, and is pushed off every other
    point that is nearer than a diameter. A model of shape alone: no friction, no load. Ours; the idea of shrinking a
    curve inside its tube is that of ideal-knot computations (Pieranski 1998, from memory).

    Examples
    --------
    >>> sagging = np.array([[0.0, 0.0, 0.0], [2.0, 1.0, 0.0], [4.0, 0.0, 0.0]])
    >>> curve, = relaxed([Strand(sagging)], 300)
    >>> bool(np.ptp(curve[:, 1]) < 0.2)
    True
    """
    laying = _Laying(strands)
    for number in range(rounds + _EASED):
        if number % 5 == 0:
            laying.gather()
        laying.round(_PULL if number < rounds else 0.0)
    return laying.curves
