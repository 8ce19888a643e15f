"""The shortest path by one window to one point. Plain code that numba compiles.

With places t along m edges the length is

    |x - y_0| + |y_0 - y_1| + ... + |y_(m-2) - y_(m-1)| + hypot(t_(m-1) - p, q),    y_k = start_k + t_k along_k,

a convex function of t, whose matrix of second derivatives has three diagonals. Projected Newton steps, halved until
they gain, find where it is least; a place that wants past an end of its edge is held there. Over facets that unfold the
image (p, q) tells it at once.
"""

from __future__ import annotations

from math import sqrt

from ropewright.roof.taut_rows import (
    ALONG,
    BEND,
    BEND_ROW,
    BENDS,
    BLOCKED,
    CONVEX,
    EDGE,
    EXACT,
    FIRST,
    GOAL,
    HELD,
    HERE,
    HIGH,
    IS_OPEN,
    LENGTH,
    LOW,
    MAIN,
    MOVED,
    OFFSET,
    PARENT,
    PIVOT,
    PLACE,
    SLOPE,
    SOURCE,
    SPAN,
    SPOT,
    START,
    STEP,
    THERE,
    UPPER,
    WORK,
    Counts,
    P,
    Q,
    Table,
)  # fmt: skip
from ropewright.roof.taut_space import copy, far_apart, is_still_open, put

__all__ = [
    "gain", "guess", "image_place", "is_clear", "length_by", "lie_beside", "part", "press", "reckon", "reckon_ends",
    "settle", "shortest", "slopes", "solve", "total",
]  # fmt: skip

#: A leg shorter than POINT has no direction [m]; ENOUGH: share of the length below which a step gains nothing that
#: rounding would not eat; FLAT: least pivot [1/m]; bends NEAR each other are at one point [m]; OFF: share of an edge by
#: which a first guess keeps off a corner that it has in common with the next one.
POINT, ENOUGH, FLAT, NEAR, OFF = 1e-12, 1e-15, 1e-13, 1e-10, 1e-2
STEPS, HALVINGS = 60, 30
#: A leg shorter than this has no direction to tell a slope by; and a height of nothing. [m]
SHORT, NOTHING = 1e-6, 1e-9


def lie_beside(d: Table, point: int, e: int) -> tuple[float, float]:
    """Place on an edge's line next to a point, and the distance from that line."""
    x, y, z = d[point] - d[e + START], d[point + 1] - d[e + START + 1], d[point + 2] - d[e + START + 2]
    ux, uy, uz = d[e + ALONG], d[e + ALONG + 1], d[e + ALONG + 2]
    a = x * ux + y * uy + z * uz
    x, y, z = x - a * ux, y - a * uy, z - a * uz
    return a, sqrt(x * x + y * y + z * z)


def image_place(p: float, q: float, a: float, r: float) -> float:
    """Place where the straight line from an image to a point on the other side crosses the edge."""
    return (p * r + a * q) / (q + r) if q + r > 0.0 else p


def total(d: Table, n: Counts, which: int, p: float, q: float) -> float:
    """Length of the polyline from the goal over the places in a column of the bends to the image."""
    x, y, z = d[GOAL], d[GOAL + 1], d[GOAL + 2]
    length, t, b = 0.0, 0.0, n[WORK]
    for _ in range(n[BENDS]):
        e, t = int(d[b + BEND]), d[b + which]
        u, v, w = d[e] + t * d[e + ALONG], d[e + 1] + t * d[e + ALONG + 1], d[e + 2] + t * d[e + ALONG + 2]
        x, y, z = x - u, y - v, z - w
        length += sqrt(x * x + y * y + z * z)
        x, y, z = u, v, w
        b += BEND_ROW
    t -= p
    return length + sqrt(t * t + q * q)


def settle(d: Table, n: Counts) -> None:
    """Work out the points of the bends at their places."""
    b = n[WORK]
    for _ in range(n[BENDS]):
        put(d, b + SPOT, int(d[b + BEND]), d[b + PLACE])
        b += BEND_ROW


def part(d: Table, n: Counts) -> None:
    """Move bends that meet at a corner off it: there the length has a kink, and Newton's method would stick."""
    settle(d, n)
    b, last = n[WORK], n[WORK] + BEND_ROW * (n[BENDS] - 1)
    for _ in range(n[BENDS]):
        meets = b > n[WORK] and far_apart(d, b + SPOT, b - BEND_ROW + SPOT) < NEAR
        if meets or (b < last and far_apart(d, b + SPOT, b + BEND_ROW + SPOT) < NEAR):
            span = d[int(d[b + BEND]) + SPAN]
            off = OFF * min(span, 1.0)
            d[b + PLACE] += off if d[b + PLACE] < 0.5 * span else -off
        b += BEND_ROW


def slopes(d: Table, n: Counts, p: float, q: float) -> None:
    """First derivatives of the length, and the diagonals of the second ones."""
    settle(d, n)
    b, before = n[WORK], GOAL
    for k in range(n[BENDS]):
        e, size = int(d[b + BEND]), max(far_apart(d, before, b + SPOT), POINT)
        x, y, z = d[before] - d[b + SPOT], d[before + 1] - d[b + SPOT + 1], d[before + 2] - d[b + SPOT + 2]
        here = (x * d[e + ALONG] + y * d[e + ALONG + 1] + z * d[e + ALONG + 2]) / size
        d[b + FIRST], d[b + MAIN] = -here, (1.0 - here * here) / size
        if k > 0:
            c, a = int(d[b - BEND_ROW + BEND]), b - BEND_ROW
            there = (x * d[c + ALONG] + y * d[c + ALONG + 1] + z * d[c + ALONG + 2]) / size
            d[a + FIRST] += there
            d[a + MAIN] += (1.0 - there * there) / size
            both = d[e + ALONG] * d[c + ALONG] + d[e + ALONG + 1] * d[c + ALONG + 1]
            d[a + UPPER] = (here * there - both - d[e + ALONG + 2] * d[c + ALONG + 2]) / size
        before = b + SPOT
        b += BEND_ROW
    b -= BEND_ROW
    t = d[b + PLACE] - p
    size = max(sqrt(t * t + q * q), POINT)
    d[b + FIRST] += t / size
    d[b + MAIN] += (q / size) * (q / size) / size


def solve(d: Table, n: Counts) -> None:
    """Newton steps of the places that are not held, with pivots kept above rounding."""
    b = n[WORK]
    for k in range(n[BENDS]):
        held, a = d[b + HELD] > 0.0, b - BEND_ROW
        d[b + STEP] = 0.0 if held else -d[b + FIRST]
        main = 1.0 if held else d[b + MAIN]
        d[b + PIVOT] = main + FLAT
        if k > 0 and not held and d[a + HELD] == 0.0:
            share = d[a + UPPER] / d[a + PIVOT]
            d[b + PIVOT] = max(main + FLAT - share * d[a + UPPER], FLAT * (1.0 + main))
            d[b + STEP] -= share * d[a + STEP]
        b += BEND_ROW
    b -= BEND_ROW
    d[b + STEP] /= d[b + PIVOT]
    for _ in range(n[BENDS] - 1):
        b -= BEND_ROW
        if d[b + HELD] == 0.0 and d[b + BEND_ROW + HELD] == 0.0:
            d[b + STEP] -= d[b + UPPER] * d[b + BEND_ROW + STEP]
        d[b + STEP] /= d[b + PIVOT]


def press(d: Table, n: Counts) -> float:
    """Steps with the places held that want past an end of their edge; returns how fast the length falls along them.

    A place at the goal itself is held too: what it takes from the other legs it adds to the one to the goal.
    """
    b = n[WORK]
    for _ in range(n[BENDS]):
        t, slope = d[b + PLACE], d[b + FIRST]
        held = (t <= 0.0 and slope > 0.0) or (t >= d[int(d[b + BEND]) + SPAN] and slope < 0.0)
        d[b + HELD] = 1.0 if held else 0.0
        b += BEND_ROW
    if far_apart(d, GOAL, n[WORK] + SPOT) < NEAR:
        d[n[WORK] + HELD] = 1.0
    out = True
    while out:
        solve(d, n)
        out, fall, b = False, 0.0, n[WORK]
        for _ in range(n[BENDS]):
            t, step = d[b + PLACE], d[b + STEP]
            if (t <= 0.0 and step < 0.0) or (t >= d[int(d[b + BEND]) + SPAN] and step > 0.0):
                d[b + HELD] = 1.0
                out = True
            fall -= step * d[b + FIRST]
            b += BEND_ROW
    return fall


def gain(d: Table, n: Counts, p: float, q: float, length: float, fall: float) -> float:
    """Go the step, halved until it gains; returns the length there, less than nothing if the step was no step."""
    size, share, found = 0.0, 1.0, length
    b = n[WORK]
    for _ in range(n[BENDS]):
        size = max(size, abs(d[b + STEP]))
        b += BEND_ROW
    for _ in range(HALVINGS + 1):
        b = n[WORK]
        for _ in range(n[BENDS]):
            d[b + MOVED] = min(max(d[b + PLACE] + share * d[b + STEP], 0.0), d[int(d[b + BEND]) + SPAN])
            b += BEND_ROW
        found = total(d, n, MOVED, p, q)
        if found < length or fall < ENOUGH * length or share * size <= NEAR:
            break
        share *= 0.5
    b = n[WORK]
    for _ in range(n[BENDS]):
        d[b + PLACE] = d[b + MOVED]
        b += BEND_ROW
    return found if size >= NEAR else -found


def shortest(d: Table, n: Counts, p: float, q: float) -> float:
    """Least length from the goal over the bends to an image, from a guess at their places; the best ones are left."""
    part(d, n)
    length = total(d, n, PLACE, p, q)
    for _ in range(STEPS):
        slopes(d, n, p, q)
        fall = press(d, n)
        found = gain(d, n, p, q, length, fall)
        done = found < 0.0 or fall < ENOUGH * length or found >= length
        length = abs(found)
        if done:
            break
    return length


def guess(d: Table, n: Counts, w: int) -> int:
    """Set the bends of a window back to its last exact one, at places by their images; returns the exact one."""
    b = n[WORK]
    n[BENDS] = 0
    copy(d, HERE, GOAL)
    while True:
        e = int(d[w + EDGE])
        a, r = lie_beside(d, HERE, e)
        d[b + BEND] = e
        d[b + PLACE] = min(max(image_place(d[w + P], d[w + Q], a, r), 0.0), d[e + SPAN])
        put(d, HERE, e, d[b + PLACE])
        n[BENDS] += 1
        b += BEND_ROW
        if d[w + EXACT] > 0.0:
            return w
        w = int(d[w + PARENT])


def length_by(d: Table, n: Counts, w: int) -> float:
    """Length of the shortest path by a window to the goal; the places of bends up to the exact one are left."""
    if d[w + EXACT] > 0.0:
        e = int(d[w + EDGE])
        a, r = lie_beside(d, GOAL, e)
        p, q = d[w + P], d[w + Q]
        d[n[WORK] + PLACE] = min(max(image_place(p, q, a, r), 0.0), d[e + SPAN])
        n[BENDS] = 1
        return d[w + OFFSET] + sqrt((a - p) * (a - p) + (r + q) * (r + q))
    root = guess(d, n, w)
    return d[w + OFFSET] + shortest(d, n, d[root + P], d[root + Q])


def is_clear(d: Table, n: Counts, w: int) -> bool:
    """True if the path by a window just measured is clear, leg by leg; only the last leg counts where all else is.

    A leg starts on a face and goes on above that face's plane, under which a building lies that is convex.
    """
    if n[CONVEX] == 1:
        return True
    copy(d, HERE, GOAL)
    k, source, last = 0, 0, w
    while w > 0:
        e = int(d[w + EDGE])
        if k < n[BENDS]:
            place = d[n[WORK] + BEND_ROW * k + PLACE]
        else:
            a, r = lie_beside(d, HERE, e)
            place = min(max(image_place(d[w + P], d[w + Q], a, r), 0.0), d[e + SPAN])
        put(d, THERE, e, place)
        if not is_still_open(d, n, HERE, THERE, last + BLOCKED):
            return False
        if d[w + IS_OPEN] > 0.0:
            return True
        copy(d, HERE, THERE)
        source, w, k = int(d[w + SOURCE]), int(d[w + PARENT]), k + 1
    return is_still_open(d, n, HERE, source, last + BLOCKED)


def reckon(d: Table, n: Counts, w: int, place: float, end: float) -> tuple[float, float]:
    """Length to a place on a window's edge, and how fast it grows along it; `end` where that is noise."""
    if d[w + EXACT] > 0.0:
        t, q = place - d[w + P], d[w + Q]
        away = sqrt(t * t + q * q)
        return d[w + OFFSET] + away, t / max(away, NOTHING)
    e, parent = int(d[w + EDGE]), int(d[w + PARENT])
    put(d, GOAL, e, place)
    length = length_by(d, n, parent)
    put(d, THERE, int(d[parent + EDGE]), d[n[WORK] + PLACE])
    away, slant = far_apart(d, GOAL, THERE), 0.0
    for c in range(3):
        slant += (d[GOAL + c] - d[THERE + c]) * d[e + ALONG + c]
    return length, end if away < SHORT else slant / away


def reckon_ends(d: Table, n: Counts, w: int) -> None:
    """Work out lengths and slopes at both ends of a window."""
    d[w + LENGTH], d[w + SLOPE] = reckon(d, n, w, d[w + LOW], -1.0)
    d[w + LENGTH + 1], d[w + SLOPE + 1] = reckon(d, n, w, d[w + HIGH], 1.0)
