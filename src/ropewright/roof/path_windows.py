"""Compiled search for every sequence of edges by which a taut path from one anchor can run.

It grows windows (see `path_kernel`) from the anchor outward, shortest first. A window is given up only for a reason
that holds for every path through it: it would turn away from the edge, its angles can't be equal, a crease of the
surface stands higher than all of it, or a path known to be clear is shorter wherever it reaches.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.path_kernel import about, compiled

__all__ = ["NARROW", "SLACK", "at", "in_cone", "link", "open_run", "over_face", "turns_away"]

F = NDArray[np.float64]
I = NDArray[np.int64]  # noqa: E741



#: Slack in tests that may only discard what is certainly useless. [m]
SLACK = 1e-9
#: A window narrower than this is no window: its paths run through the edge's end. [m]
NARROW = 1e-8


@compiled
def at(edge: F, t: float) -> F:
    """Point at place t on an edge."""
    point = np.empty(3)
    for i in range(3):
        point[i] = edge[i] + t * edge[3 + i]
    return point


@compiled
def over_face(edge: F, face: int, x: F) -> float:
    """Height of x above the plane of one face of an edge; 0 is the left face."""
    k = 7 + 3 * face
    return (x[0] - edge[0]) * edge[k] + (x[1] - edge[1]) * edge[k + 1] + (x[2] - edge[2]) * edge[k + 2]


@compiled
def _part_above(edge: F, lo: float, hi: float, other: F, face: int, sign: float, give: float) -> tuple[float, float]:
    """The part of lo..hi of an edge that lies above (sign +1) or below (-1) a face plane of another edge."""
    a, b = sign * over_face(other, face, at(edge, lo)) + give, sign * over_face(other, face, at(edge, hi)) + give
    if a < 0.0 and b < 0.0:
        return lo, lo - 1.0
    if a < 0.0:
        lo += (hi - lo) * a / (a - b)
    elif b < 0.0:
        hi = lo + (hi - lo) * a / (a - b)
    return lo, hi


@compiled
def _blocked(e0: F, e1: F, g0: F, g1: F, creases: F, depth: float) -> bool:
    """True if every segment from e0-e1 to g0-g1 passes deeper than `depth` under one and the same crease.

    Where a segment crosses the crease's upright plane, height and place along the crease are ratios of forms that
    are bilinear in its two ends, so what holds for the four segments between the ends holds for all.
    """
    a, along, up = np.empty(4), np.empty(4), np.empty(4)
    for c in range(creases.shape[0]):
        crease = creases[c]
        for k in range(4):
            point = e0 if k == 0 else e1 if k == 1 else g0 if k == 2 else g1
            x, y = point[0] - crease[0], point[1] - crease[1]
            a[k] = x * crease[4] - y * crease[3]
            along[k] = x * crease[3] + y * crease[4]
            up[k] = point[2] - crease[2] - crease[6] * along[k]
        sign = 1.0 if a[0] < 0.0 else -1.0
        if min(-sign * a[0], -sign * a[1]) < 1e-6 or min(sign * a[2], sign * a[3]) < 1e-6:
            continue
        under = True
        for i in range(2):
            for j in range(2, 4):
                near, far = -sign * a[i], sign * a[j]
                z = (far * up[i] + near * up[j]) / (far + near)
                place = (far * along[i] + near * along[j]) / (far + near)
                under = under and z < -depth and place > 1e-6 and place < crease[5] - 1e-6
        if under:
            return True
    return False


@compiled
def open_run(e0: F, e1: F, edge: F, lo: float, hi: float, creases: F, depth: float) -> tuple[float, float]:
    """Least run of places on an edge that holds all those seen from e0-e1 past every single crease."""
    cells = 4
    low, high = hi, lo
    for k in range(cells):
        s0, s1 = lo + (hi - lo) * k / cells, lo + (hi - lo) * (k + 1) / cells
        if not _blocked(e0, e1, at(edge, s0), at(edge, s1), creases, depth):
            low, high = min(low, s0), max(high, s1)
    return low, high


@compiled
def link(edges: F, creases: F, give: float) -> F:
    """Which edge can follow which: rows of edge, sense, next edge, next sense, runs of places on both, 1 if coplanar."""
    rows, count = np.empty((64, 9)), 0
    for e in range(edges.shape[0]):
        for sense in range(2):
            for g in range(edges.shape[0]):
                if g == e:
                    continue
                # the path leaves e under the face it came by and over the other one, and comes to g likewise
                g0, g1 = _part_above(edges[g], 0.0, edges[g, 6], edges[e], 1 - sense, 1.0, give)
                if g1 >= g0:
                    g0, g1 = _part_above(edges[g], g0, g1, edges[e], sense, -1.0, give)
                if g1 - g0 < NARROW:
                    continue
                for there in range(2):
                    e0, e1 = _part_above(edges[e], 0.0, edges[e, 6], edges[g], there, 1.0, give)
                    if e1 >= e0:
                        e0, e1 = _part_above(edges[e], e0, e1, edges[g], 1 - there, -1.0, give)
                    if e1 - e0 < NARROW:
                        continue
                    h0, h1 = open_run(at(edges[e], e0), at(edges[e], e1), edges[g], g0, g1, creases, give + 1e-6)
                    if h1 - h0 < NARROW:
                        continue
                    if count == rows.shape[0]:
                        rows = np.concatenate((rows, np.empty_like(rows)))
                    rows[count, 0], rows[count, 1], rows[count, 2], rows[count, 3] = e, sense, g, there
                    rows[count, 4], rows[count, 5], rows[count, 6], rows[count, 7] = e0, e1, h0, h1
                    rows[count, 8] = _coplanar(edges[e], edges[g])
                    count += 1
    return rows[:count].copy()


@compiled
def _coplanar(e: F, g: F) -> float:
    """1 if edge g lies in one half-plane that ends in the line of edge e, else 0."""
    r, s = np.empty(3), np.empty(3)
    a, b = about(e, g[:3])[0], about(e, at(g, g[6]))[0]
    for i in range(3):
        r[i] = g[i] - e[i] - a * e[3 + i]
        s[i] = g[i] + g[6] * g[3 + i] - e[i] - b * e[3 + i]
    apart = np.sqrt(np.sum(np.cross(r, s) ** 2))
    size = np.sqrt(np.sum(r * r) * np.sum(s * s))
    near = min(np.sum(r * r), np.sum(s * s)) < 1e-18
    return 1.0 if near or (apart < 1e-10 * size and np.sum(r * s) > 0.0) else 0.0


@compiled
def in_cone(apex: F, axis: F, c: float, sign: float, edge: F, lo: float, hi: float) -> tuple[float, float]:
    """Least run of places in lo..hi that holds all y on the edge with ``sign * (cos(y - apex, axis) - c) >= 0``."""
    vu, yu, yv, yy = 0.0, 0.0, 0.0, 0.0
    for i in range(3):
        y = edge[i] - apex[i]
        vu += edge[3 + i] * axis[i]
        yu += y * axis[i]
        yv += y * edge[3 + i]
        yy += y * y
    low, high = hi, lo - 1.0
    for s in (lo, hi):
        if sign * (yu + s * vu - c * np.sqrt(max(0.0, yy + 2.0 * s * yv + s * s))) >= -SLACK:
            low, high = min(low, s), max(high, s)
    qa, qb, qc = vu * vu - c * c, vu * yu - c * c * yv, yu * yu - c * c * yy
    root = np.sqrt(max(0.0, qb * qb - qa * qc))
    big = -qb - root if qb > 0.0 else -qb + root
    for k in range(2):
        over, under = (big, qa) if k == 0 else (qc, big)
        if under == 0.0:
            continue
        s = over / under
        if lo <= s <= hi and (yu + s * vu) * c >= -SLACK:
            low, high = min(low, s), max(high, s)
    return low - SLACK, high + SLACK


@compiled
def turns_away(edge: F, sense: int, p0: F, p1: F, q0: F, q1: F) -> bool:
    """True if every path from p0-p1 over the edge to q0-q1 would bend away from the solid."""
    sign = 1.0 if sense == 0 else -1.0
    for k in range(4):
        p, q = p0 if k < 2 else p1, q0 if k % 2 == 0 else q1
        px, py, pz = p[0] - edge[0], p[1] - edge[1], p[2] - edge[2]
        qx, qy, qz = q[0] - edge[0], q[1] - edge[1], q[2] - edge[2]
        turn = edge[3] * (py * qz - pz * qy) + edge[4] * (pz * qx - px * qz) + edge[5] * (px * qy - py * qx)
        if sign * turn <= SLACK:
            return False
    return True
