"""Compiled inner loops of the taut path: is a segment clear, and how long is the path by one sequence of edges.

Arrays shared by all functions, one row each:

- tops (p, 8): plane (3) and box (5) of a piece; first, halves: its half-planes (see `Pieces`); give: depth of touch
- edges (e, 13): start (3), along (3), length, left normal (3), right normal (3)
- sources (s, 4): a point and the length of the path to it; the first is the anchor
- whole (n, 6): source, parent, edge, sense, exact, edges so far, of a window
- real (n, 10): low, high, slope at low, slope at high, key, offset, p, q, length at low, length at high

A window is a run of places on an edge that taut paths by one sequence of edges reach from one source. With the image
(p, q) the length at place t is ``offset + hypot(t - p, q)``: exactly so if every edge lies in one plane with the one
before it, else near the window's middle. Sense 0 crosses an edge from its left face to its right one, 1 back.
The places on the edges of a path are kept in `places`, the one nearest its end first.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

__all__ = ["DEPTH", "attempt", "clear", "compiled", "query", "solve"]

F = NDArray[np.float64]
I = NDArray[np.int64]  # noqa: E741

#: Most edges in one sequence.
DEPTH = 96


def compiled(function: Any) -> Any:
    """Compile for this machine, once; results are the same on every run (no fast-math)."""
    return njit(cache=True, error_model="numpy", nogil=True)(function)


@compiled
def clear(p: F, q: F, tops: F, first: I, halves: F, give: float) -> bool:
    """True if the segment p-q goes nowhere deeper than `give` into the solid."""
    low = min(p[2], q[2])
    for k in range(tops.shape[0]):
        if low > tops[k, 7] or max(p[0], q[0]) < tops[k, 3] or min(p[0], q[0]) > tops[k, 4]:
            continue
        if max(p[1], q[1]) < tops[k, 5] or min(p[1], q[1]) > tops[k, 6]:
            continue
        s0, s1 = 0.0, 1.0
        for h in range(first[k], first[k + 1]):
            a = halves[h, 0] * p[0] + halves[h, 1] * p[1] + halves[h, 2]
            b = halves[h, 0] * q[0] + halves[h, 1] * q[1] + halves[h, 2]
            if a <= 0.0:
                if b <= 0.0:
                    s1 = -1.0
                    break
                s0 = max(s0, a / (a - b))
            elif b < 0.0:
                s1 = min(s1, a / (a - b))
        if s1 <= s0:
            continue
        da = tops[k, 0] * p[0] + tops[k, 1] * p[1] + tops[k, 2] - p[2]
        db = tops[k, 0] * q[0] + tops[k, 1] * q[1] + tops[k, 2] - q[2]
        if da + s0 * (db - da) > give or da + s1 * (db - da) > give:
            return False
    return True


@compiled
def about(edge: F, x: F) -> tuple[float, float]:
    """Place along an edge's line next to x, and the distance of x from that line."""
    a = 0.0
    for i in range(3):
        a += (x[i] - edge[i]) * edge[3 + i]
    r = 0.0
    for i in range(3):
        w = x[i] - edge[i] - a * edge[3 + i]
        r += w * w
    return a, np.sqrt(r)


@compiled
def _step_back(k: int, n: int, x: F, whole: I, real: F, edges: F, places: F) -> None:
    """Places on the edges of window n and of all before it, each by its image, for a path that ends at x."""
    target = x.copy()
    while n >= 0:
        edge = edges[whole[n, 2]]
        a, r = about(edge, target)
        p, q = real[n, 6], real[n, 7]
        t = (p * r + a * q) / (q + r) if q + r > 0.0 else p
        t = min(max(t, 0.0), edge[6])
        places[k] = t
        for i in range(3):
            target[i] = edge[i] + t * edge[3 + i]
        n, k = whole[n, 1], k + 1


@compiled
def _leg(edge: F, t: float, before: F, tb: float, w: F) -> float:
    """Length of the leg from place tb of one edge to place t of the next, and its unit vector in w."""
    total = 0.0
    for i in range(3):
        w[i] = edge[i] + t * edge[3 + i] - before[i] - tb * before[3 + i]
        total += w[i] * w[i]
    total = max(np.sqrt(total), 1e-12)
    for i in range(3):
        w[i] /= total
    return total


@compiled
def _slopes(n: int, m: int, x: F, whole: I, real: F, edges: F, t: F, ghc: F) -> float:
    """Length over the last m edges back from window n by the places t; gradient and second derivatives in ghc (3, m)."""
    ghc[:] = 0.0
    w, end = np.empty(3), np.zeros(7)
    end[:3] = x
    after, ta, total = end, 0.0, real[n, 5]
    for k in range(m):
        edge = edges[whole[n, 2]]
        ell = _leg(after, ta, edge, t[k], w)
        here, there, dot = 0.0, 0.0, 0.0
        for i in range(3):
            here += w[i] * edge[3 + i]
            there += w[i] * after[3 + i]
            dot += edge[3 + i] * after[3 + i]
        total += ell
        ghc[0, k] -= here
        ghc[1, k] += (1.0 - here * here) / ell
        if k > 0:
            ghc[0, k - 1] += there
            ghc[1, k - 1] += (1.0 - there * there) / ell
            ghc[2, k - 1] = -(dot - here * there) / ell
        if k == m - 1:
            p, q = t[k] - real[n, 6], real[n, 7]
            ell = max(np.sqrt(p * p + q * q), 1e-12)
            total += ell
            ghc[0, k] += p / ell
            ghc[1, k] += (q / ell) ** 2 / ell
        after, ta, n = edge, t[k], whole[n, 1]
    return total


@compiled
def _newton_step(n: int, m: int, whole: I, edges: F, t: F, ghc: F, step: F) -> float:
    """The step toward the least length, places at an end held there; returns how fast the length falls along it."""
    for k in range(m):
        at_low = t[k] <= 0.0 and ghc[0, k] > 0.0
        at_high = t[k] >= edges[whole[n, 2], 6] and ghc[0, k] < 0.0
        if at_low or at_high:
            ghc[0, k], ghc[1, k], ghc[2, k] = 0.0, 1.0, 0.0
            if k > 0:
                ghc[2, k - 1] = 0.0
        ghc[1, k] += 1e-14
        n = whole[n, 1]
    fall = 0.0
    for k in range(m):
        step[k] = -ghc[0, k]
        if k > 0:
            f = ghc[2, k - 1] / ghc[1, k - 1]
            ghc[1, k] -= f * ghc[2, k - 1]
            step[k] -= f * step[k - 1]
    for k in range(m - 1, -1, -1):
        if k < m - 1:
            step[k] -= ghc[2, k] * step[k + 1]
        step[k] /= ghc[1, k]
        fall -= step[k] * ghc[0, k]
    return fall


@compiled
def _newton(n: int, m: int, x: F, whole: I, real: F, edges: F, t: F) -> float:
    """Least length from the image m windows back, over the edges after it, to x; places in t.

    The length is convex in the places, so a projected Newton step, halved until it gains, finds the least one.
    """
    ghc, step, trial = np.empty((3, m)), np.empty(m), np.empty(m)
    total = _slopes(n, m, x, whole, real, edges, t, ghc)
    for _ in range(60):
        fall = _newton_step(n, m, whole, edges, t, ghc, step)
        share, node = 1.0, n
        while share > 1e-9:
            node = n
            for k in range(m):
                trial[k] = min(max(t[k] + share * step[k], 0.0), edges[whole[node, 2], 6])
                node = whole[node, 1]
            length = _slopes(n, m, x, whole, real, edges, trial, ghc)
            if length < total or fall < 1e-15 * total:
                break
            share *= 0.5
        t[:m] = trial
        total = length
        if fall < 1e-15 * total or share <= 1e-9:
            break
    return total


@compiled
def solve(n: int, x: F, whole: I, real: F, edges: F, places: F) -> float:
    """Length of the shortest path to x by the edges of window n, clear or not; where it bends in `places`."""
    _step_back(0, n, x, whole, real, edges, places)
    if whole[n, 4] == 1:
        a, r = about(edges[whole[n, 2]], x)
        p, q = a - real[n, 6], r + real[n, 7]
        return real[n, 5] + np.sqrt(p * p + q * q)
    m, root = 1, n
    while whole[root, 4] == 0:
        root, m = whole[root, 1], m + 1
    # real[n, 5] is the same offset for every window of one source; the image is that of the last exact window
    total = _newton(n, m, x, whole, real, edges, places)
    if whole[root, 1] >= 0:
        edge = edges[whole[root, 2]]
        _step_back(m, whole[root, 1], edge[:3] + places[m - 1] * edge[3:6], whole, real, edges, places)
    return total


@compiled
def attempt(
    n: int, x: F, bound: float, whole: I, real: F, edges: F, sources: F, tops: F, first: I, halves: F, give: float,
    places: F,
) -> float:
    """Length of the path to x by window n if it is clear and shorter than `bound`, else inf; bends in `places`."""
    if not solve(n, x, whole, real, edges, places) < bound:
        return np.inf
    if places[0] < real[n, 0] - 1e-6 or places[0] > real[n, 1] + 1e-6:
        return np.inf
    total, k, here, there = sources[whole[n, 0], 3], 0, x.copy(), np.empty(3)
    source = whole[n, 0]
    while True:
        for i in range(3):
            if n >= 0:
                there[i] = edges[whole[n, 2], i] + places[k] * edges[whole[n, 2], 3 + i]
            else:
                there[i] = sources[source, i]
        total += np.sqrt((here[0] - there[0]) ** 2 + (here[1] - there[1]) ** 2 + (here[2] - there[2]) ** 2)
        if not total < bound or not clear(here, there, tops, first, halves, give):
            return np.inf
        if n < 0:
            return total
        here[:] = there
        n, k = whole[n, 1], k + 1


@compiled
def query(
    points: F, order: I, whole: I, real: F, edges: F, sources: F, tops: F, first: I, halves: F, give: float,
    lengths: F, bends: F, winners: I,
) -> None:
    """Shortest length to each point, its last bend, and the window that won (or -1 - source where it runs straight)."""
    places = np.empty(DEPTH)
    for j in range(points.shape[0]):
        x, best, won = points[j], np.inf, 0
        for s in range(sources.shape[0]):
            away = sources[s, 3] + np.sqrt(
                (x[0] - sources[s, 0]) ** 2 + (x[1] - sources[s, 1]) ** 2 + (x[2] - sources[s, 2]) ** 2
            )
            if away < best and clear(x, sources[s, :3], tops, first, halves, give):
                best, won = away, -1 - s
                bends[j] = sources[s, :3]
        for k in range(order.shape[0]):
            n = order[k]
            if real[n, 4] >= best:
                break
            edge = edges[whole[n, 2]]
            if _least(n, edge, x, whole, real) >= best:
                continue
            length = attempt(n, x, best, whole, real, edges, sources, tops, first, halves, give, places)
            if length < best:
                best, won = length, n
                for i in range(3):
                    bends[j, i] = edge[i] + places[0] * edge[3 + i]
        lengths[j], winners[j] = best, won


@compiled
def _least(n: int, edge: F, x: F, whole: I, real: F) -> float:
    """A length that no path to x by window n falls short of."""
    a, r = about(edge, x)
    p, q = real[n, 6], real[n, 7]
    if whole[n, 4] == 1:
        t = (p * r + a * q) / (q + r) if q + r > 0.0 else p
        if t < real[n, 0] - 1e-7 or t > real[n, 1] + 1e-7:
            return np.inf
        return real[n, 5] + np.sqrt((a - p) ** 2 + (q + r) ** 2)
    # the length along the edge is convex, so it lies above its tangents at both ends of the window
    return max(_wave(n, 0, a, r, real), _wave(n, 1, a, r, real))


@compiled
def _wave(n: int, end: int, a: float, r: float, real: F) -> float:
    c = real[n, 2 + end]
    return real[n, 8 + end] + c * (a - real[n, end]) + r * np.sqrt(max(0.0, 1.0 - c * c)) - 1e-12
