"""What a falling or swinging body meets: the ground, lower roofs and obstacles, and overhead lines near it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

__all__ = ["Surroundings", "Thing", "distance_to_polyline", "level_distance"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Thing:
    """Something to land on or swing into: solid from `base` up to `top`; `outline` None means everywhere."""

    name: str
    top: float  #: [m]
    base: float = -np.inf  #: [m]
    outline: Floats | None = None  #: shape (k, 2) [m]


@dataclass(frozen=True)
class Surroundings:
    """All things round a building; at least one of them is everywhere, so that a fall ends somewhere."""

    things: tuple[Thing, ...]
    #: A body is this wide: what lies nearer in plan is met. [m]
    body_radius: float = 0.3

    def first_below(self, points: Floats) -> tuple[Floats, tuple[str, ...]]:
        """Height and name of the first thing a body falling plumb from each point meets.

        Parameters
        ----------
        points : array, shape (n, 3)
            [m]

        Returns
        -------
        tuple of array, shape (n,), and tuple of n names
            Height of the thing's top; the point's own height where it stands inside something. [m]
        """
        tops = np.full((len(self.things), len(points)), -np.inf)
        for row, thing in enumerate(self.things):
            near = self._near(thing, points) & (thing.base < points[:, 2])
            tops[row, near] = np.minimum(thing.top, points[near, 2])
        highest = tops.argmax(axis=0) if self.things else np.zeros(len(points), int)
        names = tuple(self.things[i].name for i in highest)
        return tops[highest, np.arange(len(points))], names

    def met_between(self, points: Floats, feet: Floats, head: Floats) -> NDArray[np.int64]:
        """Index of the first bounded thing that an upright body over each point overlaps, -1 for none.

        Parameters
        ----------
        points : array, shape (n, 3)
        feet, head : array, shape (n,)
            Lowest and highest point of the body there. [m]
        """
        met = np.full(len(points), -1)
        for i, thing in enumerate(self.things):
            if thing.outline is None:
                continue
            overlap = self._near(thing, points) & (feet < thing.top) & (head > thing.base)
            met[overlap & (met < 0)] = i
        return met

    def _near(self, thing: Thing, points: Floats) -> NDArray[np.bool_]:
        if thing.outline is None:
            return np.ones(len(points), bool)
        return level_distance(points[:, :2], thing.outline) <= self.body_radius


def level_distance(points: Floats, outline: Floats) -> Floats:
    """Level distance from points to a polygon, 0 inside.

    Parameters
    ----------
    points : array, shape (n, 2)
    outline : array, shape (k, 2)
        [m]

    Returns
    -------
    array, shape (n,)
        [m]

    Examples
    --------
    >>> square = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    >>> level_distance(np.array([[0.5, 0.5], [2.0, 0.5]]), square)
    array([0., 1.])
    """
    ends = np.roll(outline, -1, axis=0)
    nearest = np.full(len(points), np.inf)
    inside = np.zeros(len(points), bool)
    for a, b in zip(outline, ends, strict=True):
        nearest = np.minimum(nearest, _to_segment(points, a, b))
        crosses = (a[1] > points[:, 1]) != (b[1] > points[:, 1])
        rise = b[1] - a[1]
        at = a[0] + (points[:, 1] - a[1]) / (rise or 1.0) * (b[0] - a[0])
        inside ^= crosses & (points[:, 0] < at)
    return np.where(inside, 0.0, nearest)


def distance_to_polyline(points: Floats, line: Sequence[Floats] | Floats) -> Floats:
    """Distance in space from points to a polyline.

    Parameters
    ----------
    points : array, shape (n, 3)
    line : array, shape (k, 3)
        Corners, at least one. [m]

    Returns
    -------
    array, shape (n,)
        [m]

    Examples
    --------
    >>> distance_to_polyline(np.array([[0.0, 3.0, 4.0]]), np.array([[-5.0, 0, 0], [5, 0, 0]]))
    array([5.])
    """
    corners = np.asarray(line, float)
    nearest: Floats = np.linalg.norm(points - corners[0], axis=1)
    for a, b in pairwise(corners):
        nearest = np.minimum(nearest, _to_segment(points, a, b))
    return nearest


def _to_segment(points: Floats, a: Floats, b: Floats) -> Floats:
    run = b - a
    squared = float(run @ run)
    share = np.clip((points - a) @ run / squared, 0.0, 1.0) if squared > 0 else np.zeros(len(points))
    away: Floats = np.linalg.norm(points - (a + share[:, None] * run), axis=1)
    return away
