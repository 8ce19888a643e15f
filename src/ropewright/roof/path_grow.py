"""Compiled growth of the windows of one anchor: every sequence of edges that may carry a shortest path, and no guess.

Windows are taken up shortest first, and saddles in between as new sources as soon as nothing shorter is left that
could lead there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.path_kernel import DEPTH, about, attempt, clear, compiled, solve
from ropewright.roof.path_windows import NARROW, SLACK, at, in_cone, open_run, over_face, turns_away

__all__ = ["FULL", "MARKS", "TOO_DEEP", "grow"]

F = NDArray[np.float64]
I = NDArray[np.int64]  # noqa: E741

#: Places on an edge at which the shortest clear length so far is kept.
MARKS = 9
#: What `grow` returns when the arrays given are full, or a sequence is longer than any path should need.
FULL, TOO_DEEP = -1, -2


@compiled
def _slope(n: int, t: float, whole: I, real: F, edges: F, places: F) -> tuple[float, float]:
    """Length of the path to place t on the edge of window n, and how fast it grows with t."""
    if whole[n, 4] == 1:
        p = t - real[n, 6]
        away = np.sqrt(p * p + real[n, 7] ** 2)
        return real[n, 5] + away, p / away
    edge = edges[whole[n, 2]]
    x = at(edge, t)
    length = solve(whole[n, 1], x, whole, real, edges, places)
    before = at(edges[whole[whole[n, 1], 2]], places[0])
    along, away = 0.0, 0.0
    for i in range(3):
        along += (x[i] - before[i]) * edge[3 + i]
        away += (x[i] - before[i]) ** 2
    return length, along / max(np.sqrt(away), 1e-12)


@compiled
def _trim(n: int, places: F, whole: I, real: F, edges: F, spots: F, marks: F) -> bool:
    """Cut from the ends of window n what a known path beats for certain; False if nothing is left.

    Length along an edge changes by no more than the way walked on it, so beside a mark the known path is at most the
    mark's length plus the way, and the window's path at least its length at the end less the way.
    """
    e = whole[n, 2]
    again = True
    while again:
        again = False
        for k in range(marks.shape[1]):
            s, known = spots[e, k], marks[e, k] + SLACK
            lo, hi = real[n, 0], real[n, 1]
            if s > lo and real[n, 8] > known + (s - lo):
                if s >= hi:
                    return False
                real[n, 0] = s
                real[n, 8], real[n, 2] = _slope(n, s, whole, real, edges, places)
                again = True
            elif s < hi and real[n, 9] > known + (hi - s):
                if s <= lo:
                    return False
                real[n, 1] = s
                real[n, 9], real[n, 3] = _slope(n, s, whole, real, edges, places)
                again = True
    return real[n, 1] - real[n, 0] > NARROW


@compiled
def _settle(n: int, places: F, whole: I, real: F, edges: F) -> None:
    """Set the key of window n, a length none of its paths falls short of, and the image of one that has no exact one."""
    lo, hi, a, b = real[n, 0], real[n, 1], real[n, 2], real[n, 3]
    if a >= 0.0:
        real[n, 4] = real[n, 8]
    elif b <= 0.0:
        real[n, 4] = real[n, 9]
    elif whole[n, 4] == 1:
        real[n, 4] = real[n, 5] + real[n, 7]
    else:
        meet = (real[n, 9] - real[n, 8] + a * lo - b * hi) / (a - b)
        real[n, 4] = real[n, 8] + a * (meet - lo)
    if whole[n, 4] == 0:
        middle = 0.5 * (lo + hi)
        length, slope = _slope(n, middle, whole, real, edges, places)
        away = length - real[n, 5]
        real[n, 6], real[n, 7] = middle - away * slope, away * np.sqrt(max(0.0, 1.0 - slope * slope))


@compiled
def _open_window(n: int, lo: float, hi: float, whole: I, real: F, edges: F, spots: F, marks: F, places: F) -> bool:
    """Work out window n over lo..hi; False if it can be given up."""
    edge = edges[whole[n, 2]]
    lo, hi = max(0.0, lo), min(edge[6], hi)
    if hi - lo < NARROW:
        return False
    real[n, 0], real[n, 1] = lo, hi
    real[n, 8], real[n, 2] = _slope(n, lo, whole, real, edges, places)
    real[n, 9], real[n, 3] = _slope(n, hi, whole, real, edges, places)
    if not _trim(n, places, whole, real, edges, spots, marks):
        return False
    _settle(n, places, whole, real, edges)
    return True


@compiled
def _see(
    s: int, edges: F, sources: F, saddles_open: I, came: I, spots: F, marks: F, tops: F, first: I, halves: F, give: float
) -> None:
    """Shorten what is known of marks and saddles by straight ways from source s."""
    start = sources[s, :3].copy()
    for e in range(edges.shape[0]):
        for k in range(marks.shape[1]):
            x = at(edges[e], spots[e, k])
            away = sources[s, 3] + np.sqrt(np.sum((x - start) ** 2))
            if away < marks[e, k] - SLACK and clear(start, x, tops, first, halves, give):
                marks[e, k] = away
    for v in range(1, sources.shape[0]):
        if saddles_open[v] == 1:
            away = sources[s, 3] + np.sqrt(np.sum((sources[v, :3] - start) ** 2))
            if away < sources[v, 3] and clear(start, sources[v, :3], tops, first, halves, give):
                sources[v, 3], came[v] = away, -1 - s


@compiled
def _from_source(
    s: int, count: int, whole: I, real: F, edges: F, creases: F, sources: F, spots: F, marks: F, give: float, slack: float,
    places: F,
) -> int:
    """Open the windows that source s sees; returns how many windows there are then."""
    start = sources[s, :3].copy()
    for e in range(edges.shape[0]):
        p, q = about(edges[e], start)
        if q < SLACK:
            continue
        for sense in range(2):
            if over_face(edges[e], sense, start) < -slack or over_face(edges[e], 1 - sense, start) > slack:
                continue
            if count == whole.shape[0]:
                return FULL
            lo, hi = open_run(start, start, edges[e], 0.0, edges[e, 6], creases, give + 1e-6)
            whole[count, 0], whole[count, 1], whole[count, 2], whole[count, 3] = s, -1, e, sense
            whole[count, 4], whole[count, 5] = 1, 1
            real[count, 5], real[count, 6], real[count, 7] = sources[s, 3], p, q
            if _open_window(count, lo, hi, whole, real, edges, spots, marks, places):
                count += 1
    return count


@compiled
def _in_sequence(n: int, edge: int, whole: I) -> bool:
    while n >= 0:
        if whole[n, 2] == edge:
            return True
        n = whole[n, 1]
    return False


@compiled
def _child_run(
    n: int, row: F, lo: float, hi: float, whole: I, real: F, edges: F, creases: F, sources: F, give: float, places: F
) -> tuple[float, float]:
    """Run of places on the edge of a link that paths by window n, bent between lo and hi, may reach."""
    edge, after = edges[whole[n, 2]], edges[int(row[2])]
    s0, s1 = row[6], row[7]
    for end in range(2):
        t = lo if end == 0 else hi
        slope = real[n, 2 + end] if t == real[n, end] else _slope(n, t, whole, real, edges, places)[1]
        a, b = in_cone(at(edge, t), edge[3:6], slope, 1.0 - 2.0 * end, after, s0, s1)
        s0, s1 = max(s0, a), min(s1, b)
        if s1 - s0 < NARROW:
            return s0, s0
    parent = whole[n, 1]
    p0, p1 = sources[whole[n, 0], :3], sources[whole[n, 0], :3]
    if parent >= 0:
        p0, p1 = at(edges[whole[parent, 2]], real[parent, 0]), at(edges[whole[parent, 2]], real[parent, 1])
    if turns_away(edge, whole[n, 3], p0, p1, at(after, s0), at(after, s1)):
        return s0, s0
    return open_run(at(edge, lo), at(edge, hi), after, s0, s1, creases, give + 1e-6)


@compiled
def _coplanar_image(e: F, g: F, p: float, q: float) -> tuple[float, float]:
    """The image (p, q) about edge e carried over to edge g, which lies in one plane with it on the far side."""
    a0, r0 = about(e, g[:3])
    a1, r1 = about(e, at(g, g[6]))
    ux, uy = (a1 - a0) / g[6], (r1 - r0) / g[6]
    x, y = p - a0, -q - r0
    return x * ux + y * uy, abs(x * uy - y * ux)


@compiled
def _from_window(
    n: int, count: int, whole: I, real: F, edges: F, creases: F, links: F, link_first: I, sources: F, spots: F, marks: F,
    tops: F, first: I, halves: F, give: float, places: F,
) -> int:
    """Open the windows that follow window n; returns how many windows there are then."""
    here = 2 * whole[n, 2] + whole[n, 3]
    for k in range(link_first[here], link_first[here + 1]):
        row = links[k]
        lo, hi, e = max(real[n, 0], row[4]), min(real[n, 1], row[5]), int(row[2])
        if hi - lo < NARROW or _in_sequence(n, e, whole):
            continue
        s0, s1 = _child_run(n, row, lo, hi, whole, real, edges, creases, sources, give, places)
        if s1 - s0 < NARROW:
            continue
        if count == whole.shape[0]:
            return FULL
        if whole[n, 5] + 1 >= DEPTH:
            return TOO_DEEP
        whole[count, 0], whole[count, 1], whole[count, 2], whole[count, 3] = whole[n, 0], n, e, int(row[3])
        whole[count, 4], whole[count, 5] = whole[n, 4] * int(row[8]), whole[n, 5] + 1
        real[count, 5] = real[n, 5]
        if whole[count, 4] == 1:
            real[count, 6], real[count, 7] = _coplanar_image(edges[whole[n, 2]], edges[e], real[n, 6], real[n, 7])
        if not _open_window(count, s0, s1, whole, real, edges, spots, marks, places):
            continue
        for m in range(marks.shape[1]):
            if real[count, 0] <= spots[e, m] <= real[count, 1]:
                x = at(edges[e], spots[e, m])
                length = attempt(
                    n, x, marks[e, m] - SLACK, whole, real, edges, sources, tops, first, halves, give, places
                )
                marks[e, m] = min(marks[e, m], length)
        count += 1
    return count


@compiled
def grow(
    whole: I, real: F, edges: F, creases: F, links: F, link_first: I, sources: F, came: I, spots: F, tops: F, first: I,
    halves: F, give: float, slack: float,
) -> int:
    """Fill `whole` and `real` with windows from ``sources[0]``, and the lengths to the other sources.

    Returns how many windows there are, `FULL` or `TOO_DEEP`. A window given up after it was opened has an infinite
    key. ``came[v]`` is the window the path to source v ends by, or -1 - s if it runs straight from source s.
    """
    places, marks = np.empty(DEPTH), np.full(spots.shape, np.inf)
    waiting, opened = np.ones(sources.shape[0], np.int64), np.ones(whole.shape[0], np.int64)
    sources[1:, 3] = np.inf
    sources[0, 3] = 0.0
    count = 0
    while True:
        s, n, least = -1, -1, np.inf
        for k in range(count):
            if opened[k] == 1 and real[k, 4] < least:
                n, least = k, real[k, 4]
        for k in range(sources.shape[0]):
            if waiting[k] == 1 and sources[k, 3] <= least:
                s, least = k, sources[k, 3]
        if s >= 0:
            waiting[s] = 0
            if not np.isfinite(sources[s, 3]):
                continue
            _see(s, edges, sources, waiting, came, spots, marks, tops, first, halves, give)
            count = _from_source(
                s, count, whole, real, edges, creases, sources, spots, marks, give, slack, places
            )
        elif n >= 0:
            opened[n] = 0
            if not _trim(n, places, whole, real, edges, spots, marks):
                real[n, 4] = np.inf
                continue
            for v in range(sources.shape[0]):
                if waiting[v] == 1:
                    length = attempt(
                        n, sources[v, :3], sources[v, 3], whole, real, edges, sources, tops, first, halves, give, places
                    )
                    if length < sources[v, 3]:
                        sources[v, 3], came[v] = length, n
            count = _from_window(
                n, count, whole, real, edges, creases, links, link_first, sources, spots, marks, tops, first, halves, give,
                places,
            )
        else:
            return count
        if count < 0:
            return count
