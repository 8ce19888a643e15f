"""The search for every window that may carry a shortest path, nearest first. Plain code that numba compiles.

The least length that waits comes next: a saddle whose way is known, or a window that is then cut to what is of use and
grown across its edge. Lengths only grow along a path, so a saddle's way is final when its turn comes.
"""

from __future__ import annotations

from math import inf, sqrt

from ropewright.roof.taut_chain import is_clear, length_by, lie_beside, reckon, reckon_ends
from ropewright.roof.taut_rows import (
    ALL,
    ALONG,
    APART,
    APEX,
    CAME,
    CHORD,
    COPLANAR,
    DONE,
    EDGE,
    EDGE_COUNT,
    EDGE_ROW,
    EDGES,
    EXACT,
    FAR,
    FIRST_MARK,
    FROM_HIGH,
    FROM_LOW,
    FULL,
    GOAL,
    HERE,
    HIGH,
    HULL,
    IN_SIGHT,
    IS_OPEN,
    KEY,
    KNOWN,
    LAST_MARK,
    LINK_ROW,
    LINKED,
    LOW,
    MARK_ROW,
    MOST,
    ON_FACE,
    OTHERS,
    PARENT,
    PLACE,
    SENSE,
    SLOPE,
    SOME,
    SOURCE,
    SOURCE_COUNT,
    SOURCE_ROW,
    SOURCES,
    SPAN,
    STRETCH,
    TO,
    TO_HIGH,
    TO_LOW,
    TO_SENSE,
    VIEW,
    VIEW_ROW,
    WAITING,
    WORK,
    Counts,
    P,
    Q,
    Table,
)  # fmt: skip
from ropewright.roof.taut_sift import add
from ropewright.roof.taut_space import copy, far_apart, is_blocked, is_hull_open, is_open, look, over, put
from ropewright.roof.taut_trim import BEYOND, NARROW, SLACK, bound, cut_cone, is_past, least_by, trim
from ropewright.roof.taut_windows import follow, next_event, wait

__all__ = [
    "between_cones", "carry", "cross", "grow", "has_passed", "leave", "leave_over", "open_by",
    "open_from", "reach_saddles", "search", "see", "sees_all", "spread", "turns_away",
]  # fmt: skip

#: A path that turns so little at an edge that its legs span less than this with it goes straight on, if both ends of
#: the legs are well off the edge: next to a corner where edges meet a span tells nothing. [m2], [m]
STRAIGHT, AWAY = 1e-10, 1e-3


def search(d: Table, n: Counts) -> None:
    """Find all windows from the first source; stops short with ``n[FULL]`` set where they find no room."""
    look(d, n, n[SOURCES])
    d[n[SOURCES] + FAR] = 0.0
    wait(d, n, 0.0, -n[SOURCES])
    while n[WAITING] > 0 and n[FULL] == 0:
        event = next_event(d, n)
        if event < 0:
            if d[-event + DONE] == 0.0:
                d[-event + DONE] = 1.0
                see(d, n, -event)
                leave(d, n, -event)
        elif trim(d, n, event, 0) > 0:
            reckon_ends(d, n, event)
            reach_saddles(d, n, event)
            grow(d, n, event)
        else:
            d[event + KEY] = inf


def see(d: Table, n: Counts, source: int) -> None:
    """Note the straight ways from a source to other sources and to marks."""
    other = n[SOURCES]
    for j in range(n[SOURCE_COUNT]):
        far = d[source + FAR] + far_apart(d, source, other)
        if far < d[other + FAR] - SLACK:
            seen = d[int(d[source + OTHERS]) + j]  # below 0: not looked at yet
            if seen > 0.0 or (seen < 0.0 and is_open(d, n, source, other)):
                d[other + FAR], d[other + CAME] = far, -source
                wait(d, n, far, -other)
        other += SOURCE_ROW
    view, e = int(d[source + VIEW]), n[EDGES]
    for _ in range(n[EDGE_COUNT]):
        view = spread(d, source, view, e)
        e += EDGE_ROW


def spread(d: Table, source: int, view: int, e: int) -> int:
    """Note the straight ways from a source to the marks of an edge that it sees; returns where its view goes on."""
    better, before = 0, inf
    for m in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]) + 1, MARK_ROW):
        if d[view] > 0.0:
            put(d, GOAL, e, d[m])
            far = d[source + FAR] + far_apart(d, GOAL, source)
            if far < d[m + KNOWN]:
                d[m + KNOWN] = far
                better = 1
            c = m - MARK_ROW + CHORD
            if before < inf and d[view - VIEW_ROW + STRETCH] == ALL and before + far < d[c] + d[c + 1]:
                d[c], d[c + 1] = before, far
                better = 1
            before = far
        else:
            before = inf
        view += VIEW_ROW
    if better > 0:
        bound(d, e)
    return view


def leave(d: Table, n: Counts, source: int) -> None:
    """Open windows that a source sees straight."""
    view, e = int(d[source + VIEW]), n[EDGES]
    for _ in range(n[EDGE_COUNT]):
        p, q = lie_beside(d, source, e)
        out = max(0.0, -p, p - d[e + SPAN])
        # no bend on an edge that starts at the source or points at it
        if q > SLACK and d[source + FAR] + sqrt(q * q + out * out) <= d[e + MOST] + SLACK:
            for sense in range(2):
                if over(d, source, e, sense) >= -d[ON_FACE] and over(d, source, e, 1 - sense) <= d[ON_FACE]:
                    leave_over(d, n, source, view, e, sense)
        view += (int(d[e + LAST_MARK] - d[e + FIRST_MARK]) // MARK_ROW + 1) * VIEW_ROW
        e += EDGE_ROW


def leave_over(d: Table, n: Counts, source: int, view: int, e: int, sense: int) -> None:
    """Open windows that a source sees straight on one edge: one for each run that is clear, more where part is."""
    first = d[e + FIRST_MARK]
    for m in range(int(d[e + FIRST_MARK]), int(d[e + LAST_MARK]), MARK_ROW):
        kind, goes_on = d[view + STRETCH], m + MARK_ROW < d[e + LAST_MARK] and d[view + VIEW_ROW + STRETCH] == ALL
        if kind != ALL or not goes_on:
            if kind == ALL:
                open_from(d, n, source, e, sense, d[int(first)], d[m + MARK_ROW], 1.0)
            elif kind == SOME:
                open_from(d, n, source, e, sense, d[m], d[m + MARK_ROW], 0.0)
            first = m + MARK_ROW
        view += VIEW_ROW


def open_from(d: Table, n: Counts, source: int, e: int, sense: int, low: float, high: float, clear: float) -> None:
    """Open the window by which a source sees a run on an edge."""
    w = follow(d, n, source, 0, e, sense, low, high)
    d[w + EXACT], d[w + IS_OPEN] = 1.0, clear
    d[w + P], d[w + Q] = lie_beside(d, source, e)
    add(d, n, w)


def reach_saddles(d: Table, n: Counts, w: int) -> None:
    """Shorten the ways to saddles by a window."""
    e, sense, key = int(d[w + EDGE]), int(d[w + SENSE]), d[w + KEY]
    saddle = n[SOURCES]
    for _ in range(n[SOURCE_COUNT] - 1):
        saddle += SOURCE_ROW
        if d[saddle + FAR] <= key or not is_past(d, saddle, e, sense):
            continue
        a, r = lie_beside(d, saddle, e)
        if least_by(d, w, a, r) >= d[saddle + FAR] - SLACK:
            continue
        copy(d, GOAL, saddle)
        far, place = length_by(d, n, w), d[n[WORK] + PLACE]
        if far >= d[saddle + FAR] - SLACK or place < d[w + LOW] - BEYOND or place > d[w + HIGH] + BEYOND:
            continue
        if is_clear(d, n, w):
            d[saddle + FAR], d[saddle + CAME] = far, w
            wait(d, n, far, -saddle)


def grow(d: Table, n: Counts, w: int) -> None:
    """Open the windows that follow a window across its edge."""
    linked = int(d[w + EDGE]) + LINKED + int(d[w + SENSE])
    for link in range(int(d[linked]), int(d[linked + 1]), LINK_ROW):
        e = int(d[link + TO])
        if d[w + KEY] + d[link + APART] >= d[e + MOST] + SLACK:
            continue
        low, high = max(d[w + LOW], d[link + FROM_LOW]), min(d[w + HIGH], d[link + FROM_HIGH])
        if high - low > NARROW and not has_passed(d, w, e):
            cross(d, n, w, link, low, high)


def has_passed(d: Table, w: int, e: int) -> bool:
    """True if an edge is in a window's sequence: a shortest path bends on no edge twice."""
    while w > 0:
        if int(d[w + EDGE]) == e:
            return True
        w = int(d[w + PARENT])
    return False


def cross(d: Table, n: Counts, w: int, link: int, low: float, high: float) -> None:
    """Open the windows that follow a window by a link, bent between low and high."""
    e = int(d[link + TO])
    first, last = between_cones(d, n, w, e, low, high, d[link + TO_LOW], d[link + TO_HIGH])
    if last - first > NARROW and not turns_away(d, w, e, first, last):
        clear = d[link + IN_SIGHT] > 0.0 or sees_all(d, n, w, e, low, high, first, last)
        if clear or not is_blocked(d, n):
            open_by(d, n, w, link, first, last, d[w + IS_OPEN] if clear else 0.0)


def sees_all(d: Table, n: Counts, w: int, e: int, low: float, high: float, first: float, last: float) -> bool:
    """True only if everything between a run on a window's edge and a run on another edge is clear."""
    put(d, HULL, int(d[w + EDGE]), low)
    put(d, HULL + 3, int(d[w + EDGE]), high)
    put(d, HULL + 6, e, max(first, 0.0))
    put(d, HULL + 9, e, min(last, d[e + SPAN]))
    return is_hull_open(d, n)


def between_cones(
    d: Table, n: Counts, w: int, e: int, low: float, high: float, first: float, last: float
) -> tuple[float, float]:
    """The part of first..last on an edge between the cones that leave low and high on a window's edge.

    Where a path leaves an edge it makes the angle it came by, so from each place it goes on along a cone round the
    edge; places beyond the cone of an end bend outside low..high.
    """
    here, place, end = int(d[w + EDGE]), low, -1.0
    for k in range(2):
        slope = d[w + SLOPE + k] if place == d[w + LOW + k] else reckon(d, n, w, place, end)[1]
        put(d, APEX, here, place)
        a, b = cut_cone(d, here, slope, -end, e, first, last)
        first, last, place, end = max(first, a), min(last, b), high, 1.0
        if last - first <= NARROW:
            break
    return first, last


def open_by(d: Table, n: Counts, w: int, link: int, first: float, last: float, clear: float) -> None:
    """Open the window by which a window goes on to a run on the next edge."""
    new = follow(d, n, int(d[w + SOURCE]), w, int(d[link + TO]), int(d[link + TO_SENSE]), first, last)
    d[new + IS_OPEN], d[new + EXACT] = clear, d[w + EXACT] * d[link + COPLANAR]
    if d[new + EXACT] > 0.0:
        carry(d, w, new)
    add(d, n, new)


def turns_away(d: Table, w: int, e: int, first: float, last: float) -> bool:
    """True where every path by a window to a run on an edge would go straight on, or bend on its edge's open side."""
    here, parent, sign = int(d[w + EDGE]), int(d[w + PARENT]), 1.0 - 2.0 * d[w + SENSE]
    ux, uy, uz = d[here + ALONG], d[here + ALONG + 1], d[here + ALONG + 2]
    for end in range(2):
        if parent > 0:
            put(d, HERE, int(d[parent + EDGE]), d[parent + LOW + end])
        else:
            copy(d, HERE, int(d[w + SOURCE]))
        x, y, z = d[HERE] - d[here], d[HERE + 1] - d[here + 1], d[HERE + 2] - d[here + 2]
        # what lies on the side of this vector has turned the right way
        x, y, z = uy * z - uz * y, uz * x - ux * z, ux * y - uy * x
        is_far, place = x * x + y * y + z * z > AWAY * AWAY, first
        for _ in range(2):
            put(d, GOAL, e, place)
            turn = x * (d[GOAL] - d[here]) + y * (d[GOAL + 1] - d[here + 1]) + z * (d[GOAL + 2] - d[here + 2])
            goes_on = is_far and sign * turn > -STRAIGHT and lie_beside(d, GOAL, here)[1] > AWAY
            if sign * turn <= SLACK and not goes_on:
                return False
            place = last
    return True


def carry(d: Table, w: int, new: int) -> None:
    """Lay a window's image about the edge of the next one, that lies in one plane with it, on the far side."""
    here, e = int(d[w + EDGE]), int(d[new + EDGE])
    span = d[e + SPAN]
    a0, r0 = lie_beside(d, e, here)
    put(d, HERE, e, span)
    a1, r1 = lie_beside(d, HERE, here)
    ux, uy = (a1 - a0) / span, (r1 - r0) / span
    x, y = d[w + P] - a0, -d[w + Q] - r0
    d[new + P], d[new + Q] = x * ux + y * uy, abs(x * uy - y * ux)
