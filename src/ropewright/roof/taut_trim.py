"""What of a window may still carry a shortest path. Plain code that numba compiles.

The length along a window is convex: nowhere below its tangents. The shortest length known is, from mark to mark, at
most the length to either mark and the way from it, and at most the straight line between the lengths at both if all
paths between them are clear. Where the first lies above the second the window is of no use.
"""

from __future__ import annotations

from math import inf, sqrt

from ropewright.roof.taut_chain import image_place, is_clear, length_by, reckon
from ropewright.roof.taut_rows import (
    ALONG,
    APEX,
    AT,
    CHORD,
    CONVEX,
    EDGE,
    EXACT,
    FIRST_MARK,
    GOAL,
    HIGH,
    HULL,
    IS_OPEN,
    KEY,
    KNOWN,
    LAST_MARK,
    LENGTH,
    LINE,
    LOW,
    MARK_ROW,
    MIDDLE,
    MOST,
    OFFSET,
    ON_FACE,
    PARENT,
    PLACE,
    SLOPE,
    SOURCE,
    START,
    WORK,
    Counts,
    P,
    Q,
    Table,
)  # fmt: skip
from ropewright.roof.taut_space import copy, far_apart, is_hull_open, over, put

__all__ = [
    "below", "bound", "crossing", "cut_cone", "is_mark_clear", "is_past", "least_by", "least_of_waves", "note",
    "set_key", "stretch", "trim",
]  # fmt: skip

#: As in `ropewright.roof.links` and `ropewright.roof.windows`. [m]
SLACK, NARROW, BEYOND = 1e-9, 1e-8, 1e-7
#: A path shorter than this has no direction. [m]
SHORT = 1e-6


def trim(d: Table, n: Counts, w: int, fine: int) -> int:
    """Cut a window to what may be of use; 0 if that is nothing. If `fine`, look at, and note, every mark inside."""
    e, low, high = int(d[w + EDGE]), d[w + LOW], d[w + HIGH]
    u, at_u, slope_u, first, last = low, d[w + LENGTH], d[w + SLOPE], high, low
    for m in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]), MARK_ROW):
        left, right = d[m], d[m + MARK_ROW]
        if right <= low or left >= high:
            continue
        near, far = max(left, low), min(right, high)
        v, at_v, slope_v = high, d[w + LENGTH + 1], d[w + SLOPE + 1]
        if fine > 0 and right < high:
            v = right
            at_v, slope_v = reckon(d, n, w, v, 0.0)
        if u == left:
            d[m + AT] = at_u
        if v == right:
            d[m + MARK_ROW + AT] = at_v
        d[LINE], d[LINE + 1] = at_u + slope_u * (near - u), at_u + slope_u * (far - u)
        d[LINE + 2], d[LINE + 3] = at_v + slope_v * (near - v), at_v + slope_v * (far - v)
        a, b = below(d, m, near, far)
        if b - a > NARROW:
            first, last = min(first, a), max(last, b)
        if fine > 0:
            u, at_u, slope_u = v, at_v, slope_v
    d[w + LOW], d[w + HIGH] = first, last
    return 1 if last - first > NARROW else 0


def below(d: Table, m: int, u: float, v: float) -> tuple[float, float]:
    """The part of u..v, between a mark and the next, on which both lines at hand are below all that is known."""
    left, right = d[m], d[m + MARK_ROW]
    a, b = u, v
    for j in range(3):
        if j == 0:
            top_u = d[m + KNOWN] + (u - left)
            top_v = top_u + (v - u)
        elif j == 1:
            top_v = d[m + MARK_ROW + KNOWN] + (right - v)
            top_u = top_v + (v - u)
        else:
            top_u, rise = d[m + CHORD], (d[m + CHORD + 1] - d[m + CHORD]) / (right - left)
            top_u, top_v = top_u + rise * (u - left), top_u + rise * (v - left)
        if not top_u < inf:
            continue
        for line in range(LINE, LINE + 4, 2):
            over_u, over_v = d[line] - top_u - SLACK, d[line + 1] - top_v - SLACK
            if over_u > 0.0 and over_v > 0.0:
                return v, u
            if over_u > 0.0:
                a = max(a, u + (v - u) * over_u / (over_u - over_v))
            elif over_v > 0.0:
                b = min(b, u + (v - u) * over_u / (over_u - over_v))
    return a, b


def note(d: Table, n: Counts, w: int) -> None:
    """Note the lengths of a window just trimmed finely as known, where its paths are clear."""
    e, low, high, is_whole = int(d[w + EDGE]), d[w + LOW], d[w + HIGH], d[w + IS_OPEN] > 0.0
    better, before = 0, inf
    for m in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]) + 1, MARK_ROW):
        length = d[m + AT]
        if d[m] < low or d[m] > high:
            before = inf
            continue
        if length < d[m + KNOWN] - SLACK and (is_whole or is_mark_clear(d, n, w, d[m])):
            d[m + KNOWN] = length
            better = 1
            stretch(d, n, w, e, m)
        c = m - MARK_ROW + CHORD
        if is_whole and before < inf and before + length < d[c] + d[c + 1]:
            d[c], d[c + 1] = before, length
            better = 1
        before = length
    if better > 0:
        bound(d, e)


def stretch(d: Table, n: Counts, w: int, e: int, m: int) -> None:
    """Note what the last bend of the path to a mark, on the way by a window, bounds on both sides of the mark.

    From that bend a straight leg goes to every place on a stretch if nothing stands in the triangle between.
    """
    put(d, GOAL, e, d[m])
    parent = int(d[w + PARENT])
    if parent > 0:
        length_by(d, n, parent)
        put(d, HULL, int(d[parent + EDGE]), d[n[WORK] + PLACE])
    else:
        copy(d, HULL, int(d[w + SOURCE]))
    copy(d, HULL + 3, HULL)
    copy(d, HULL + 6, GOAL)
    way = d[m + KNOWN] - far_apart(d, HULL, GOAL)
    for side in range(-1, 2, 2):
        if (side < 0 and m == int(d[e + FIRST_MARK])) or (side > 0 and m == int(d[e + LAST_MARK])):
            continue
        put(d, HULL + 9, e, d[m + side * MARK_ROW])
        far = way + far_apart(d, HULL, HULL + 9)
        c = m + CHORD if side > 0 else m - MARK_ROW + CHORD
        if far + d[m + KNOWN] < d[c] + d[c + 1] - SLACK and (n[CONVEX] == 1 or is_hull_open(d, n)):
            d[c], d[c + 1] = (d[m + KNOWN], far) if side > 0 else (far, d[m + KNOWN])


def is_mark_clear(d: Table, n: Counts, w: int, place: float) -> bool:
    """True if the path by a window to a place on its edge is clear; what is seen straight has been looked at."""
    parent = int(d[w + PARENT])
    if parent == 0:
        return False
    put(d, GOAL, int(d[w + EDGE]), place)
    length_by(d, n, parent)
    return is_clear(d, n, parent)


def bound(d: Table, e: int) -> None:
    """Set the length that no shortest path to a place on an edge exceeds."""
    most = 0.0
    for m in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]), MARK_ROW):
        tent = 0.5 * (d[m + KNOWN] + d[m + MARK_ROW + KNOWN] + d[m + MARK_ROW] - d[m])
        most = max(most, min(tent, max(d[m + CHORD], d[m + CHORD + 1])))
    d[e + MOST] = most


def set_key(d: Table, n: Counts, w: int) -> None:
    """Set a length that no path by a window falls short of; and an image, right near the middle, if it is skew."""
    low, high, left, right = d[w + LOW], d[w + HIGH], d[w + SLOPE], d[w + SLOPE + 1]
    if left >= 0.0:
        d[w + KEY] = d[w + LENGTH]
    elif right <= 0.0:
        d[w + KEY] = d[w + LENGTH + 1]
    elif d[w + EXACT] > 0.0:
        d[w + KEY] = d[w + OFFSET] + d[w + Q]
    else:  # where the tangents at both ends meet
        meet = d[w + LENGTH + 1] - d[w + LENGTH] + left * low - right * high
        d[w + KEY] = d[w + LENGTH] + left * (meet / (left - right) - low)
    if d[w + EXACT] == 0.0:
        middle = 0.5 * (low + high)
        length, slant = reckon(d, n, w, middle, 0.0)
        away = length - d[w + OFFSET]
        d[w + MIDDLE], d[w + P] = middle, middle - away * slant
        d[w + Q] = away * sqrt(max(0.0, 1.0 - slant * slant))


def is_past(d: Table, point: int, e: int, sense: int) -> bool:
    """True if a path that crosses an edge can go on straight to a point."""
    return over(d, point, e, 1 - sense) >= -d[ON_FACE] and over(d, point, e, sense) <= d[ON_FACE]


def least_of_waves(d: Table, w: int, a: float, r: float, off: float) -> float:
    """As `least_by` of a skew window, inf only if the point is beyond one of its cones by more than `off`.

    From a convex length's tangent at a place a wave goes out that no path by the window is ahead of.
    """
    least, place, sign = 0.0, d[w + LOW], 1.0
    for end in range(2):
        slope = min(max(d[w + SLOPE + end], -1.0), 1.0)
        if sign * (a - place - slope * sqrt((a - place) * (a - place) + r * r)) < -BEYOND - off:
            return inf
        wave = d[w + LENGTH + end] + slope * (a - place) + r * sqrt(1.0 - slope * slope)
        least, place, sign = max(least, wave - 1e-12), d[w + HIGH], -1.0
    t, q = d[w + MIDDLE] - d[w + P], d[w + Q]
    away = sqrt(t * t + q * q)
    if away > SHORT:
        wave = d[w + OFFSET] + away + (t * (a - d[w + MIDDLE]) + r * q) / away
        least = max(least, wave - 1e-12)
    return least


def least_by(d: Table, w: int, a: float, r: float) -> float:
    """A length that no path by a window to a point at (a, r) from its edge falls short of; inf if there is none."""
    low, high = d[w + LOW], d[w + HIGH]
    if d[w + EXACT] > 0.0:
        p, q = d[w + P], d[w + Q]
        place = image_place(p, q, a, r)
        if place < low - BEYOND or place > high + BEYOND:
            return inf
        return d[w + OFFSET] + sqrt((a - p) * (a - p) + (r + q) * (r + q))
    return least_of_waves(d, w, a, r, 0.0)


def cut_cone(d: Table, axis: int, c: float, sign: float, e: int, low: float, high: float) -> tuple[float, float]:
    """Least run in low..high that holds all of an edge beyond a cone round another edge, its apex at hand.

    That is where ``sign * (cos(y - apex, axis) - c) >= 0``: at the run's ends that holds, or the edge meets the cone.
    """
    vu, yu, yv, yy = 0.0, 0.0, 0.0, 0.0
    for k in range(3):
        u, v, y = d[axis + ALONG + k], d[e + ALONG + k], d[e + START + k] - d[APEX + k]
        vu += v * u
        yu += y * u
        yv += y * v
        yy += y * y
    first, last, t = high, low - 1.0, low
    for _ in range(2):
        if sign * (yu + t * vu - c * sqrt(max(0.0, yy + 2.0 * t * yv + t * t))) >= -SLACK:
            first, last = min(first, t), max(last, t)
        t = high
    qa, qb, qc = vu * vu - c * c, vu * yu - c * c * yv, yu * yu - c * c * yy
    root = sqrt(max(0.0, qb * qb - qa * qc))
    big = -qb - root if qb > 0.0 else -qb + root
    for k in range(2):
        t = crossing(big, qa, low) if k == 0 else crossing(qc, big, low)
        if low <= t and t <= high and (yu + t * vu) * c >= -SLACK:
            first, last = min(first, t), max(last, t)
    return first - SLACK, last + SLACK


def crossing(top: float, under: float, low: float) -> float:
    """A ratio, or what is below every place where there is none."""
    return top / under if under != 0.0 else low - 1.0
