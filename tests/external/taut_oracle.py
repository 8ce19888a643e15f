"""The shortest way round a roof by brute force, to hold taut ropes against.

Points are laid along every side of every facet and down every upright under a corner; Dijkstra's method (scipy) finds
the shortest way from point to point along segments that stay outside, then points are laid more densely round the way
found, and so on. Nothing is shared with the code under test but the facets: heights come from point-in-ring tests, and
a segment is looked at point by point.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import dijkstra

from ropewright.roof import Facet, Roof

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: Depth in the building that still counts as touching it, and how far beside a wall it is tried again. [m]
TOUCH, BESIDE = 1e-4, 2e-5
#: Points are this far apart along a segment that is looked at. [m]
STEP = 0.04


def height(roof: Roof, xy: Floats) -> Floats:
    """Height of the roof over plan points, -inf beside it and in openings. [m]"""
    top = np.full(len(xy), -np.inf)
    for facet in roof.facets:
        ring = np.asarray(facet.ring, float)
        area = np.cross(ring - ring[0], np.roll(ring, -1, axis=0) - ring[0]).sum(axis=0)
        if abs(area[2]) < 1e-3 * np.linalg.norm(area):
            continue
        within = _inside(ring, xy)
        for hole in _holes(roof, facet):
            within &= ~_inside(hole, xy)
        plane = ring[0, 2] - (xy - ring[0, :2]) @ area[:2] / area[2]
        top = np.where(within, np.maximum(top, plane), top)
    return top


def _holes(roof: Roof, facet: Facet) -> list[Floats]:
    cut = [opening.ring for opening in roof.openings if opening.facet == facet.id]
    return [np.asarray(ring, float) for ring in (*facet.holes, *cut)]


def _inside(ring: Floats, xy: Floats) -> Bools:
    """Even-odd rule."""
    odd = np.zeros(len(xy), dtype=bool)
    for (x1, y1), (x2, y2) in zip(ring[:, :2], np.roll(ring[:, :2], -1, axis=0), strict=True):
        if y1 != y2:
            crosses = (y1 > xy[:, 1]) != (y2 > xy[:, 1])
            odd ^= crosses & (xy[:, 0] < (x2 - x1) * (xy[:, 1] - y1) / (y2 - y1) + x1)
    return odd


def stays_outside(roof: Roof, p: Floats, q: Floats) -> Bools:
    """True for each segment p-q, shape (n, 3) each, none of whose points lies deeper inside than a touch."""
    far = float(np.linalg.norm(q - p, axis=1).max(initial=0.0))
    count = max(20, int(far / STEP))
    share = (np.arange(count) + 0.5) / count
    points = (p[:, None] + share[None, :, None] * (q - p)[:, None]).reshape(-1, 3)
    return np.asarray(~_buried(roof, points).reshape(len(p), count).any(axis=1))


def _buried(roof: Roof, points: Floats) -> Bools:
    """True for points deeper inside than a touch, however they are moved by a hair: on a wall they are outside."""
    deep = np.ones(len(points), dtype=bool)
    for x, y in ((0.0, 0.0), (BESIDE, 0.0), (-BESIDE, 0.0), (0.0, BESIDE), (0.0, -BESIDE)):
        left = np.flatnonzero(deep)
        deep[left] = height(roof, points[left, :2] + (x, y)) - points[left, 2] > TOUCH
    return deep


def _lines(roof: Roof, bottom: float) -> list[tuple[Floats, Floats]]:
    """Every side of every facet and opening, and the uprights under their corners down to a height."""
    rings = [np.asarray(facet.ring, float) for facet in roof.facets]
    rings += [hole for facet in roof.facets for hole in _holes(roof, facet)]
    sides = {tuple(sorted((tuple(a), tuple(b)))) for r in rings for a, b in zip(r, np.roll(r, -1, axis=0), strict=True)}
    lines = [(np.array(a), np.array(b)) for a, b in sorted(sides)]
    corners = sorted({tuple(c) for ring in rings for c in ring if c[2] > bottom})
    return lines + [(np.array(c), np.array([c[0], c[1], bottom])) for c in corners]


def _laid(lines: list[tuple[Floats, Floats]], step: float, near: Floats | None, reach: float) -> Floats:
    """Points along lines, only those near some points if such are given."""
    points = np.vstack([np.linspace(a, b, max(2, int(np.linalg.norm(b - a) / step) + 2)) for a, b in lines])
    if near is not None:
        points = points[(np.linalg.norm(points[:, None] - near[None], axis=2) < reach).any(axis=1)]
    return np.unique(np.round(points, 9), axis=0)


def shortest_way(roof: Roof, start: Floats, goal: Floats, step: float = 0.8) -> float:
    """Length of the shortest way found from start to goal, at least the true one less some 1e-4 m. [m]"""
    lines = _lines(roof, min(start[2], goal[2]) - 0.5)
    length, way = _dijkstra(roof, start, goal, _laid(lines, step, None, 0.0))
    for finer in (step / 4.0, step / 12.0, step / 36.0, step / 108.0):
        gain = 1.0
        while gain > 1e-7 and len(way) > 2:  # the best way may lie beyond the points laid round this one
            laid = np.vstack([_laid(lines, finer, way[1:-1], 4.0 * finer), way[1:-1]])
            better, way = _dijkstra(roof, start, goal, laid)
            gain, length = length - better, better
    return length


def _dijkstra(roof: Roof, start: Floats, goal: Floats, laid: Floats) -> tuple[float, Floats]:
    laid = laid[~_buried(roof, laid)]
    nodes = np.vstack([start, laid, goal])
    i, j = np.triu_indices(len(nodes), 1)
    free = np.concatenate(
        [stays_outside(roof, nodes[i[k : k + 2000]], nodes[j[k : k + 2000]]) for k in range(0, len(i), 2000)]
    )
    i, j = i[free], j[free]
    weights = np.zeros((len(nodes), len(nodes)))
    weights[i, j] = np.maximum(np.linalg.norm(nodes[i] - nodes[j], axis=1), 1e-9)
    lengths, before = dijkstra(weights, directed=False, indices=[0], return_predecessors=True)
    lengths, before = lengths[0], before[0]
    way = [len(nodes) - 1]
    while way[-1] != 0 and before[way[-1]] >= 0:
        way.append(before[way[-1]])
    points = nodes[way[::-1]]
    assert sum(float(np.linalg.norm(b - a)) for a, b in pairwise(points)) <= lengths[-1] + 1e-6
    return float(lengths[-1]), points
