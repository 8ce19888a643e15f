"""Tables that falls over one rim share: stretches of edge, walls and facets, and the things that can be met."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.rim import Rim

__all__ = ["Scene", "Solid"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: A wall of another part of the building counts as this thick, inward from its edge. [m]
_WALL_THICK = 0.5
#: Kinds of thing in the last column of the table.
_EVERYWHERE, _OUTLINED, _WALL = 0.0, 1.0, 2.0


@dataclass(frozen=True)
class Solid:
    """Something to land on or to swing into: solid from `base` up to `top`; `outline` None means everywhere."""

    top: float  #: [m]
    base: float = -np.inf  #: [m]
    outline: Floats | None = None  #: corners, shape (k, 2) [m]


class Scene:
    """A rim and the things round it.

    Parameters
    ----------
    rim : Rim
    things : sequence of Solid
    """

    def __init__(self, rim: Rim, things: Sequence[Solid] = ()) -> None:
        self.rim = rim
        self.things = tuple(things)

    @cached_property
    def windows(self) -> Floats:
        """Stretches of edge for the kernel, shape (w, 19)."""
        rows = np.empty((len(self.rim.windows), 19))
        for k, (window, edge) in enumerate(zip(self.rim.windows, self.rim.window_edge, strict=True)):
            one = self.rim.edges[edge]
            level = (one.end - one.start)[:2] / one.level_length
            slope = (one.level_length / one.length, float(one.end[2] - one.start[2]) / one.length)
            rows[k, :9] = [*one.start, *level, *one.out[:2], *slope]
            rows[k, 9:16] = [window.low, window.high, window.offset, window.p, window.q, window.out, window.up]
            rows[k, 16:] = [*self.rim.corners[edge], one.level_length]
        return rows

    @cached_property
    def links(self) -> Integers:
        """Next stretch, the one before (-1: none), the edge and the walk that edge is on, shape (w, 4)."""
        edge, n = self.rim.window_edge, len(self.rim.windows)
        first = np.searchsorted(edge, np.arange(len(self.rim.edges)))
        last = np.searchsorted(edge, np.arange(len(self.rim.edges)), side="right") - 1
        after, before = self.rim.after[edge], self.rim.before[edge]
        here = np.arange(n)
        ahead = np.where(here < last[edge], here + 1, np.where(after >= 0, first[after], -1))
        back = np.where(here > first[edge], here - 1, np.where(before >= 0, last[before], -1))
        return np.column_stack([ahead, back, edge, self.rim.walks[edge]])

    def first_window(self, edges: Integers) -> Integers:
        """First stretch of each of n edges, shape (n,)."""
        found: Integers = np.searchsorted(self.rim.window_edge, edges)
        return found

    def surfaces(self, edges: Integers) -> tuple[Floats, Floats, Integers]:
        """Walls and facets behind the given edges, and first and last row of both for each, shape (e, 4)."""
        walls, facets = zip(*(self.rim.surfaces(int(edge)) for edge in edges), strict=True)
        return np.concatenate(walls), np.concatenate(facets), np.column_stack([_ranges(walls), _ranges(facets)])

    def solids(self, edges: Integers) -> tuple[Floats, Floats, Integers, list[Integers]]:
        """Things that falls over the given edges can meet.

        Returns
        -------
        tuple
            Things, shape (t, 9); corners of their outlines; first and last row for each edge, shape (e, 2); and for
            each edge which thing each of its rows is: an index of `things`, or beyond those of an edge of the rim.
        """
        rows: list[list[float]] = []
        corners: list[Floats] = []
        spans, which = [], []
        for edge in edges:
            others = self.rim.others(int(edge))
            solids = [*self.things, *(self._wall(k) for k in others)]
            kinds = [_EVERYWHERE if s.outline is None else _OUTLINED for s in self.things] + [_WALL] * len(others)
            start = len(rows)
            rows += [_row(solid, kind, corners) for solid, kind in zip(solids, kinds, strict=True)]
            spans.append([start, len(rows)])
            which.append(np.array([*range(len(self.things)), *(len(self.things) + k for k in others)], np.int64))
        table = np.array(rows).reshape(-1, 9)
        ring = np.concatenate(corners) if corners else np.empty((0, 2))
        return table, ring, np.array(spans, np.int64).reshape(-1, 2), which

    def _wall(self, k: int) -> Solid:
        """The wall below edge k as a slab."""
        edge = self.rim.edges[k]
        ends = np.array([edge.start[:2], edge.end[:2]])
        outline = np.vstack([ends, ends[::-1] - _WALL_THICK * edge.out[:2]])
        return Solid(top=float(min(edge.start[2], edge.end[2])), outline=outline)


def _ranges(parts: Sequence[Floats]) -> Integers:
    ends = np.cumsum([len(part) for part in parts])
    return np.column_stack([np.concatenate([[0], ends[:-1]]), ends])


def _row(solid: Solid, kind: float, corners: list[Floats]) -> list[float]:
    """Row of the table of things, with a box that is wide enough for any body; the corners are added to the list."""
    first = sum(len(ring) for ring in corners)
    if solid.outline is None:
        return [-np.inf, np.inf, -np.inf, np.inf, solid.base, solid.top, first, first, kind]
    ring = np.asarray(solid.outline, float)
    corners.append(ring)
    (x0, y0), (x1, y1) = ring.min(axis=0) - 1.0, ring.max(axis=0) + 1.0
    return [x0, x1, y0, y1, solid.base, solid.top, first, first + len(ring), kind]
