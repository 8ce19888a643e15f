"""Measured facets joined into one surface: corners shared, edges matched.

Neighbours that were measured apart seldom agree to the millimetre.  Here corners within the tolerance become one,
a corner that stands in the middle of a neighbour's edge splits that edge, and corners in a straight line that no
neighbour needs go.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.mending.checks import Piece, is_narrow
from ropewright.roof.mending.notes import Mendings

__all__ = ["JoinedFacets", "clusters", "drop_straight_corners", "join_edges", "welded"]

Points = NDArray[np.float64]
Ring = list[int]

#: Off a straight line by less than this a corner is no corner. [m]
_STRAIGHT = 1e-3


@dataclass
class JoinedFacets:
    """Facets as rings of indices into shared corners; the first ring of a facet is its outline."""

    points: Points  #: shape (m, 3) [m]
    rings: list[list[Ring]] = field(default_factory=list)
    ids: list[str] = field(default_factory=list)
    steep: list[bool] = field(default_factory=list)

    @property
    def roofs(self) -> Iterator[int]:
        """Indices of the facets that one can stand on."""
        return (i for i, steep in enumerate(self.steep) if not steep)

    def ring_points(self, facet: int) -> list[Points]:
        """Corners of a facet, ring by ring; a hole that was closed has none and is left out."""
        return [self.points[ring] for ring in self.rings[facet] if ring]


def welded(pieces: Sequence[Piece], *, tolerance: float, notes: Mendings) -> JoinedFacets:
    """Pieces joined where corners lie within `tolerance` [m] of each other; slivers are left out."""
    wide = []
    for piece in pieces:
        if not is_narrow(piece.rings[0], tolerance):
            wide.append(piece)
        else:
            notes.mend(f"slivers no wider than {tolerance:g} m dropped", piece.id)
    corners = np.vstack([ring for piece in wide for ring in piece.rings]) if wide else np.empty((0, 3))
    index, points, apart = clusters(corners, tolerance)
    if apart > _STRAIGHT:
        notes.mend(f"corners up to {apart:.3f} m apart joined")
    joined = JoinedFacets(points)
    outlines: set[frozenset[int]] = set()
    at = 0
    for piece in wide:
        rings = []
        for ring in piece.rings:
            rings.append(_without_spikes(index[at : at + len(ring)]))
            at += len(ring)
        _add(joined, piece, rings, outlines, notes)
    return joined


def _add(
    joined: JoinedFacets, piece: Piece, rings: Sequence[Ring], outlines: set[frozenset[int]], notes: Mendings
) -> None:
    """Take a welded piece in, unless nothing is left of it or it is there already."""
    outline = frozenset(rings[0])
    if not outline:
        notes.mend("facets that collapse when their corners are joined dropped", piece.id)
    elif outline in outlines:
        notes.mend("facets that stood twice dropped", piece.id)
    else:
        outlines.add(outline)
        joined.rings.append([ring for ring in rings if ring])
        joined.ids.append(piece.id)
        joined.steep.append(piece.steep)


def _without_spikes(ring: Ring) -> Ring:
    """Ring without repeats and without runs there and straight back; empty if fewer than three corners are left."""
    kept: Ring = []
    for corner in ring:
        if kept and kept[-1] == corner:
            continue
        if len(kept) > 1 and kept[-2] == corner:
            kept.pop()
            continue
        kept.append(corner)
    while len(kept) > 2 and (kept[0] == kept[-1] or kept[1] == kept[-1] or kept[0] == kept[-2]):
        kept = kept[1:] if kept[1] == kept[-1] else kept[:-1]
    return kept if len(kept) > 2 else []


def clusters(corners: Points, tolerance: float) -> tuple[list[int], Points, float]:
    """Corners nearer each other than a tolerance taken as one.

    Parameters
    ----------
    corners : array, shape (n, 3)
        [m]
    tolerance : float
        [m]

    Returns
    -------
    list of int
        Index of the cluster of each corner.
    array, shape (m, 3)
        A corner of each cluster: the first, so that corners which agree already do not move. [m]
    float
        How far the farthest corner was moved. [m]

    Examples
    --------
    >>> clusters(np.array([[0.0, 0, 0], [5, 0, 0], [0, 0, 0.01]]), 0.02)
    ([0, 1, 0], array([[0., 0., 0.],
           [5., 0., 0.]]), 0.01)
    """
    exact: dict[tuple[float, ...], int] = {}
    first = [exact.setdefault(tuple(corner), len(exact)) for corner in corners.tolist()]
    unique = list(exact)
    order = sorted(range(len(unique)), key=lambda i: unique[i])
    xs = [unique[i][0] for i in order]
    home = [-1] * len(unique)
    apart = 0.0
    for i, (x, y, z) in enumerate(unique):
        if home[i] >= 0:
            continue
        home[i] = i
        for j in order[bisect_left(xs, x - tolerance) : bisect_right(xs, x + tolerance)]:
            if home[j] < 0:
                u, v, w = unique[j]
                distance = ((u - x) ** 2 + (v - y) ** 2 + (w - z) ** 2) ** 0.5
                if distance <= tolerance:
                    home[j], apart = i, max(apart, distance)
    number = {i: n for n, i in enumerate(sorted(set(home)))}
    points = np.array([unique[i] for i in number], float).reshape(-1, 3)
    return [number[home[i]] for i in first], points, apart


def join_edges(joined: JoinedFacets, *, tolerance: float, notes: Mendings) -> None:
    """Split each edge at corners of other facets that stand on it within `tolerance` [m]."""
    used = np.array(sorted({corner for facet in joined.roofs for ring in joined.rings[facet] for corner in ring}), int)
    farthest = 0.0
    for rings in joined.rings:
        own = {corner for ring in rings for corner in ring}
        box = joined.points[sorted(own)]
        here = joined.points[used]
        near = ((here >= box.min(axis=0) - tolerance) & (here <= box.max(axis=0) + tolerance)).all(axis=1)
        others = [corner for corner in used[near].tolist() if corner not in own]
        if others:
            for number, ring in enumerate(rings):
                rings[number], off = _split(joined.points, ring, np.array(others), tolerance)
                farthest = max(farthest, off)
    if farthest > _STRAIGHT:
        notes.mend(f"edges that missed a neighbour's corner by up to {farthest:.3f} m joined to it")


def _split(points: Points, ring: Ring, others: NDArray[np.int64], tolerance: float) -> tuple[Ring, float]:
    """Ring with those other corners put in that stand on its edges, and how far off the farthest stands."""
    starts = points[ring]
    runs = np.concatenate((starts[1:], starts[:1])) - starts
    lengths = np.sqrt((runs * runs).sum(axis=1))[:, None]
    away = points[others] - starts[:, None]
    along = (away * runs[:, None]).sum(axis=2) / lengths
    off = np.sqrt(np.maximum((away * away).sum(axis=2) - along * along, 0.0))
    on = (off <= tolerance) & (along > tolerance) & (along < lengths - tolerance)
    if not on.any():
        return ring, 0.0
    split: Ring = []
    for corner, row, distance in zip(ring, on, along, strict=True):
        between = np.flatnonzero(row)
        split += [corner, *others[between[np.argsort(distance[between])]].tolist()]
    return split, float(off[on].max())


def drop_straight_corners(joined: JoinedFacets) -> None:
    """Take out corners in a straight line that every facet round them can do without."""
    places: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for facet, rings in enumerate(joined.rings):
        for number, ring in enumerate(rings):
            for corner in ring:
                places[corner].append((facet, number))
    for corner, found in places.items():
        rings_here = [joined.rings[facet][number] for facet, number in found]
        if len(found) > len(set(found)) or any(len(ring) < 4 for ring in rings_here):
            continue
        sides = {frozenset(_beside(ring, corner)) for ring in rings_here}
        if len(sides) == 1 and _is_straight(joined.points, corner, next(iter(sides))):
            for ring in rings_here:
                ring.remove(corner)


def _beside(ring: Ring, corner: int) -> tuple[int, int]:
    at = ring.index(corner)
    return ring[at - 1], ring[(at + 1) % len(ring)]


def _is_straight(points: Points, corner: int, sides: frozenset[int]) -> bool:
    if len(sides) != 2:
        return False
    a, b = (points[side] for side in sides)
    run, away = b - a, points[corner] - a
    squared = float(run @ run)
    share = float(away @ run) / squared if squared > 0 else -1.0
    off = away - share * run
    return 0 < share < 1 and float(off @ off) <= _STRAIGHT * _STRAIGHT
