"""What a falling or swinging body meets: the ground, lower roofs and obstacles, and overhead lines near it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise, product
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.field.edges import EdgePoints

if TYPE_CHECKING:
    from ropewright.field.landing import Landing

__all__ = ["Below", "Surroundings", "Thing", "below_edges", "level_distance", "lower_roof", "upright_distance"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: How far out from an edge a lower part of the same roof is looked for: a body is that wide. [m]
_OUT = (0.02, 0.1, 0.2, 0.3)
#: And this far along the edge on both sides, since the end of an edge may lie on the rim of what is below. [m]
_ASIDE = (-0.1, 0.0, 0.1)
#: Roof beside an edge counts as below it from this step on. [m]
_STEP = 0.05
#: Roof this near the plane of the edge's own facet is the same slope going on round a corner, not a lower one. [m]
_SAME_SLOPE = 0.01


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


def upright_distance(points: Floats, low: Floats, high: Floats, line: Floats) -> Floats:
    """Distance in space from upright bodies to a line of straight pieces.

    Parameters
    ----------
    points : array, shape (n, 2)
        Where each body stands or hangs, in plan. [m]
    low, high : array, shape (n,)
        Its lowest and its highest point. [m]
    line : array, shape (k, 3)
        Corners, at least one. [m]

    Returns
    -------
    array, shape (n,)
        [m]

    Notes
    -----
    With the level distance d(u) and the height z(u) at share u of a piece, d^2 + max(0, z - high, low - z)^2 is convex
    in u; its least is that of d^2, of d^2 + (z - high)^2 or of d^2 + (z - low)^2, so that three tries are exact.

    Examples
    --------
    >>> line = np.array([[-5.0, 0, 8], [5, 0, 8]])
    >>> upright_distance(np.array([[0.0, 3.0], [0.0, 3.0]]), np.array([0.0, 0.0]), np.array([4.0, 9.0]), line)
    array([5., 3.])
    """
    nearest = _to_piece(points, low, high, line[0], line[0])
    for a, b in pairwise(line):
        nearest = np.minimum(nearest, _to_piece(points, low, high, a, b))
    return nearest


def _to_piece(points: Floats, low: Floats, high: Floats, a: Floats, b: Floats) -> Floats:
    run, level = b - a, (points - a[:2]) @ (b - a)[:2]
    across, whole = float(run[:2] @ run[:2]), float(run @ run)
    nearest = np.full(len(points), np.inf)
    for along, squared in (
        (level, across),
        (level + (high - a[2]) * run[2], whole),
        (level + (low - a[2]) * run[2], whole),
    ):
        share = np.clip(along / squared, 0.0, 1.0) if squared > 0 else np.zeros(len(points))
        at = a + share[:, None] * run
        over = np.maximum(np.maximum(at[:, 2] - high, low - at[:, 2]), 0.0)
        nearest = np.minimum(nearest, np.hypot(np.linalg.norm(points - at[:, :2], axis=1), over))
    return nearest


@dataclass(frozen=True)
class Below:
    """What lies plumb below each of n edge points."""

    tops: Floats  #: (n,) its height; never above the edge point's own [m]
    names: tuple[str, ...]
    #: What lies there where it is a lower part of the same roof; None: not looked at, and every drop is a fall.
    landing: Landing | None = None

    def at(self, index: Integers, group: Integers) -> Below:
        """Return the same of some of the points, (m,) indices, in groups that have nothing to do with each other."""
        names = tuple(self.names[i] for i in index)
        return Below(self.tops[index], names, None if self.landing is None else self.landing.at(index, group))


def below_edges(edges: EdgePoints, around: Surroundings, roof: Floats, landing: Landing | None = None) -> Below:
    """What a body that falls over each edge point meets first: the surroundings, or a lower part of the same roof.

    Parameters
    ----------
    edges : EdgePoints
    around : Surroundings
    roof : array, shape (n,)
        From `lower_roof`. [m]
    landing : Landing, optional
        From `ropewright.field.landing.landings`.
    """
    tops, names = around.first_below(edges.points)
    on_roof = roof > tops
    told = tuple("lower roof" if own else name for own, name in zip(on_roof, names, strict=True))
    return Below(np.maximum(tops, roof), told, landing)


def lower_roof(edges: EdgePoints, heights: Callable[[Floats], Floats]) -> Floats:
    """Height of the roof's own surface just outside each edge point, -inf where there is none below it.

    Parameters
    ----------
    edges : EdgePoints
    heights : callable
        Height of the roof's surface at plan points, shape (m, 2); -inf beside the building. [m]

    Returns
    -------
    array, shape (n,)
        The highest within a body's width; the slope that the edge belongs to, going on round a corner, is none. [m]
    """
    below = np.full(len(edges.points), -np.inf)
    outer = np.flatnonzero(~edges.is_opening)  # beyond the rim of a small opening lies the roof it is cut into
    away = edges.outward[outer]
    along = np.column_stack([-away[:, 1], away[:, 0]])
    for out, aside in product(_OUT, _ASIDE):
        step = out * away + aside * along
        at = heights(edges.points[outer, :2] + step)
        is_lower = at <= edges.points[outer, 2] - _STEP
        if edges.slope is not None:
            own = edges.points[outer, 2] + (edges.slope[outer] * step).sum(axis=1)
            is_lower &= ~(np.abs(at - own) < _SAME_SLOPE)
        below[outer] = np.maximum(below[outer], np.where(is_lower, at, -np.inf))
    return below


def _to_segment(points: Floats, a: Floats, b: Floats) -> Floats:
    run = b - a
    squared = float(run @ run)
    share = np.clip((points - a) @ run / squared, 0.0, 1.0) if squared > 0 else np.zeros(len(points))
    away: Floats = np.linalg.norm(points - (a + share[:, None] * run), axis=1)
    return away
