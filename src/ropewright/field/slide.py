"""Where on a roof a body can slip so that it slides over each edge point: up the line of steepest descent.

::

        ridge ----+----        A body slides along the line of steepest descent; followed upward from the edge
                  :            point E it ends at a ridge or hip, at the top of the roof, or at an opening that
        --- eave -E----        nothing covers. Over a break of slope it goes on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.field.edges import EdgePoints
from ropewright.roof.facets import facet_normal
from ropewright.roof.surface import Facet, Roof

__all__ = ["SlideLines", "slide_lines"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Starts on each facet that a line crosses, evenly spaced up to its end.
_STARTS = 12
#: Slopes that a line is followed over at most.
_FACETS = 6
#: A line begins this far inside its facet: next to the edge, or half a body's width away, since a body that slides past
#: so near may go over. [m] The line that leads higher counts.
_INSETS = (1e-4, 0.3)
#: A place this near an edge of the roof is on it. [m]
_ON_EDGE = 2e-3
#: A line goes on this far past the edge between two slopes. [m]
_PAST = 1e-6
#: Nobody slides where the roof rises by less than this for each metre. [-]
_LEVEL = 1e-3


@dataclass(frozen=True)
class SlideLines:
    """Starts of slides over each of n edge points, further and further up; of a flat roof all lie at the edge."""

    points: Floats  #: (n, k, 3) on the roof [m]
    drop: Floats  #: (n, k) height over the edge point [m]
    run: Floats  #: (n, k) level way to it [m]
    #: (n,) Height over the edge point of the highest place from which a body can come across a valley; 0: none. [m]
    across: Floats
    steepest: Floats  #: (n,) rise for each level metre, of the steepest slope on the way there [-]


def slide_lines(roof: Roof, edges: EdgePoints) -> SlideLines:
    """Lines of steepest descent that end at each edge point, followed upward.

    Parameters
    ----------
    roof : Roof
    edges : EdgePoints
        Of the same roof; the openings among them are those that nothing covers, and stop a slide.

    Returns
    -------
    SlideLines
    """
    slopes = _Slopes(roof, {name for name, open_ in zip(edges.edge_names, edges.is_opening, strict=True) if open_})
    facet = slopes.beside(roof, edges)
    near, far = (_followed(slopes, slopes.inside(roof, edges, facet, inset), facet) for inset in _INSETS)
    starts, run = (_padded(one, other) for one, other in zip(near, far, strict=True))
    higher = starts[1][:, -1, 2] > starts[0][:, -1, 2] + 1e-3  # else rounding would choose
    points = np.where(higher[:, None, None], starts[1], starts[0])
    across, steepest = slopes.across(facet, edges.points[:, 2])
    drop = np.maximum(points[:, :, 2] - edges.points[:, None, 2], 0.0)
    return SlideLines(points, drop, np.where(higher[:, None], run[1], run[0]), across, steepest)


def _followed(slopes: _Slopes, place: Floats, facet: Integers) -> tuple[Floats, Floats]:
    """Starts up the line from each place, shape (n, k, 3), and the level way to each, shape (n, k)."""
    run = np.zeros(len(place))
    points, runs = [], []
    share = np.linspace(0.0, 1.0, _STARTS + 1)[1:]
    for _ in range(_FACETS):
        way, facet = slopes.climb(place, facet)
        points.append(place[:, None] + share[:, None] * way[:, None])
        runs.append(run[:, None] + share * np.hypot(way[:, 0], way[:, 1])[:, None])
        place, run = points[-1][:, -1], runs[-1][:, -1]
        if (facet < 0).all():
            break
    return np.concatenate(points, axis=1), np.concatenate(runs, axis=1)


def _padded(one: Floats, other: Floats) -> tuple[Floats, Floats]:
    """Both with as many starts, the last repeated."""
    most = max(one.shape[1], other.shape[1])
    longer = (np.concatenate([v, np.repeat(v[:, -1:], most - v.shape[1], axis=1)], axis=1) for v in (one, other))
    first, second = longer
    return first, second


class _Slopes:
    """Facets of a roof in plan, with the way up each and what bounds them."""

    def __init__(self, roof: Roof, open_rims: set[str]) -> None:
        self.facets = roof.facets
        self.number = {facet.id: k for k, facet in enumerate(roof.facets)}
        normals = np.array([facet_normal(facet) for facet in roof.facets])
        rise = -normals[:, :2] / np.maximum(normals[:, 2:], 1e-9)
        steep = np.hypot(rise[:, 0], rise[:, 1])
        #: Level vector up each slope, as long as what it rises for each metre; 0 where it is level or stands upright.
        self.rise = np.where(((steep > _LEVEL) & (normals[:, 2] > 1e-6))[:, None], rise, 0.0)
        self.steep = np.hypot(self.rise[:, 0], self.rise[:, 1])
        self.rings = [list(_sides(facet)) for facet in roof.facets]
        for edge in roof.edges:
            if edge.name in open_rims:
                self.rings[self.number[edge.facets[0]]].append((edge.start, edge.end))
        self.joints = [edge for edge in roof.edges if len(edge.facets) == 2]

    def beside(self, roof: Roof, edges: EdgePoints) -> Integers:
        """Facet that each point's edge bounds, -1 for none."""
        owner = {edge.name: self.number[edge.facets[0]] for edge in roof.boundary if edge.facets}
        return np.array([owner.get(name, -1) for name in edges.names], np.int64)[edges.edge]

    def inside(self, roof: Roof, edges: EdgePoints, facet: Integers, inset: float) -> Floats:
        """Places on the facets a little way in from each point, and from the ends of its edge; shape (n, 3)."""
        ends = {edge.name: (edge.start, edge.end) for edge in roof.boundary}
        middle = np.array([0.5 * (ends[name][0] + ends[name][1]) for name in edges.names]).reshape(-1, 3)[edges.edge]
        toward = (middle - edges.points)[:, :2]
        far = np.linalg.norm(toward, axis=1)[:, None]
        moved = np.divide(toward, far, out=np.zeros_like(toward), where=far > 0) * np.minimum(2.0 * inset, far)
        moved -= inset * edges.outward
        rise = np.where((facet >= 0)[:, None], self.rise[facet], 0.0)
        place: Floats = edges.points + np.column_stack([moved, (rise * moved).sum(axis=1)])
        return place

    def climb(self, place: Floats, facet: Integers) -> tuple[Floats, Integers]:
        """Way from each place to the end of its slope, shape (n, 3), and the slope it goes on to, -1 for none."""
        way, after = np.zeros((len(place), 3)), np.full(len(place), -1)
        for k in np.unique(facet[facet >= 0]).tolist():
            at = np.flatnonzero(facet == k)
            if self.steep[k] == 0.0:
                continue
            up = self.rise[k] / self.steep[k]
            far = self._exit(k, place[at, :2], up)
            way[at] = far[:, None] * np.array([*up, self.steep[k]])
            ends = place[at] + way[at]
            for one, end in zip(at[far > 0.0].tolist(), ends[far > 0.0], strict=True):
                after[one] = self._beyond(k, end, up)
            goes_on = at[after[at] >= 0]
            way[goes_on, :2] += _PAST * up  # off the side it has come over, so that this is not met again
        return way, after

    def _exit(self, k: int, places: Floats, up: Floats) -> Floats:
        """How far up places in plan lie from the end of facet k; 0 for a place beside it, shape (n,)."""
        starts, ends = (np.array([side[i][:2] for side in self.rings[k]]) for i in (0, 1))
        run, gap = ends - starts, starts - places[:, None]
        cross = up[0] * run[:, 1] - up[1] * run[:, 0]
        level = np.abs(cross) < 1e-12
        safe = np.where(level, 1.0, cross)
        ahead = (gap[:, :, 0] * run[:, 1] - gap[:, :, 1] * run[:, 0]) / safe
        side = (gap[:, :, 0] * up[1] - gap[:, :, 1] * up[0]) / safe
        hits = ~level & (ahead > 0.0) & (side >= 0.0) & (side < 1.0)
        # inside the facet a ray meets its sides an odd number of times
        far: Floats = np.where(hits.sum(axis=1) % 2 == 1, np.where(hits, ahead, np.inf).min(axis=1), 0.0)
        return far

    def _beyond(self, k: int, end: Floats, up: Floats) -> int:
        """Slope from which a body slides over a place at the top of facet k; -1 for none."""
        for edge in self.joints:
            numbers = [self.number[name] for name in edge.facets]
            run = (edge.end - edge.start)[:2]
            if k not in numbers or _from_segment(end, edge.start, edge.end) > _ON_EDGE:
                continue
            other = numbers[1 - numbers.index(k)]
            out = np.array([run[1], -run[0]])
            # both ways up lead across the joint to the same side: the other slope comes down onto this one
            if float(up @ out) * float(self.rise[other] @ out) > 1e-9 * float(out @ out):
                return other
        return -1

    def across(self, first: Integers, height: Floats) -> tuple[Floats, Floats]:
        """Greatest height over each point from which a valley brings bodies onto its facet, and the steepest slope."""
        top, steep = np.zeros(len(first)), np.zeros(len(first))
        for k in np.unique(first[first >= 0]).tolist():
            basin = self._basin(k)
            if len(basin) > 1:
                at = first == k
                highest = max(float(self.facets[i].ring[:, 2].max()) for i in basin)
                top[at], steep[at] = np.maximum(highest - height[at], 0.0), max(float(self.steep[i]) for i in basin)
        return top, steep

    def _basin(self, k: int) -> set[int]:
        """Facet k and all from which bodies come down into it over valleys and breaks, one after the other."""
        basin, waiting = {k}, [k]
        while waiting:
            here = waiting.pop()
            for edge in self.joints:
                numbers = [self.number[name] for name in edge.facets]
                other = numbers[1 - numbers.index(here)] if here in numbers else here
                if other not in basin and edge.type == "valley":
                    basin.add(other)
                    waiting.append(other)
        return basin


def _sides(facet: Facet) -> Iterator[tuple[Floats, Floats]]:
    for ring in (facet.ring, *facet.holes):
        yield from zip(ring, np.roll(ring, -1, axis=0), strict=True)


def _from_segment(point: Floats, start: Floats, end: Floats) -> float:
    run = end - start
    share = np.clip((point - start) @ run / max(float(run @ run), 1e-12), 0.0, 1.0)
    return float(np.linalg.norm(point - start - share * run))
