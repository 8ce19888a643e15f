"""Taut ropes to many points by the windows of a search. Plain code that numba compiles."""

from __future__ import annotations

from math import inf, sqrt

from ropewright.roof.taut_chain import is_clear, length_by, lie_beside
from ropewright.roof.taut_rows import (
    ANSWER_BEND,
    ANSWER_BY,
    ANSWER_ROW,
    EDGE,
    EDGE_COUNT,
    EDGE_ROW,
    EDGES,
    EVENT,
    EVENT_ROW,
    FAR,
    GOAL,
    HEAP,
    HIGH,
    KEY,
    LOW,
    ON_FACE,
    PLACE,
    SENSE,
    SOURCE_COUNT,
    SOURCE_ROW,
    SOURCES,
    SPAN,
    THERE,
    USED,
    USED_KEY,
    WORK,
    Counts,
    Table,
)  # fmt: skip
from ropewright.roof.taut_space import copy, far_apart, is_open, over, put
from ropewright.roof.taut_trim import BEYOND, is_past, least_by

__all__ = ["answer", "ends_there", "gather", "gather_over", "nearest", "try_again", "try_straight", "try_window"]

#: Handicap of a path that bends at the point itself: the same path without a last leg of no length is wanted. [m]
ON_EDGE = 1e-10
#: Ways longer than one that is known by more than this are not looked at. [m]
LOOSE = 1e-8


def answer(d: Table, n: Counts, goals: Table, answers: Table, count: int) -> None:
    """Find the shortest clear path to each goal.

    Parameters
    ----------
    goals : flat array or list of 3 numbers a goal
        [m]
    answers : flat array or list of 5 numbers a goal
        Written: length, last bend, and by what: the window, or less the source if straight from it.
    count : int
        Goals.
    """
    by = -n[SOURCES]
    for k in range(count):
        d[GOAL], d[GOAL + 1], d[GOAL + 2] = goals[3 * k], goals[3 * k + 1], goals[3 * k + 2]
        # neighbours often have the same way; only a bound is taken from it, so that a goal's answer is its own
        waiting = gather(d, n, (try_again(d, n, by) if by > 0 else try_straight(d, n, -by)) + LOOSE)
        best, by, place, length = inf, -n[SOURCES], 0.0, inf
        while waiting > 0:
            h, last = nearest(d, n, waiting), n[HEAP] + EVENT_ROW * (waiting - 1)
            if d[h] >= best:
                break
            event = int(d[h + EVENT])
            d[h], d[h + EVENT] = d[last], d[last + EVENT]
            waiting -= 1
            far = try_window(d, n, event, best) if event > 0 else try_straight(d, n, -event)
            late = far + (ON_EDGE if event > 0 and ends_there(d, n, event) else 0.0)
            if late < best:
                best, by, place, length = late, event, d[n[WORK] + PLACE], far
        if by > 0:
            put(d, GOAL, int(d[by + EDGE]), place)
        else:
            copy(d, GOAL, -by)
        a = ANSWER_ROW * k
        answers[a], answers[a + ANSWER_BY] = length, by
        for c in range(3):
            answers[a + ANSWER_BEND + c] = d[GOAL + c]


def gather(d: Table, n: Counts, limit: float) -> int:
    """List what may lead to the goal within a limit, each with a length it can't fall short of; returns how many."""
    h, source, e = n[HEAP], n[SOURCES], n[EDGES]
    for _ in range(n[SOURCE_COUNT]):
        if d[source + FAR] < limit:
            far = d[source + FAR] + far_apart(d, GOAL, source)
            if far < limit:
                d[h], d[h + EVENT] = far, -source
                h += EVENT_ROW
        source += SOURCE_ROW
    for _ in range(n[EDGE_COUNT]):
        if d[e + USED_KEY] < limit:
            h = gather_over(d, e, h, limit)
        e += EDGE_ROW
    return (h - n[HEAP]) // EVENT_ROW


def gather_over(d: Table, e: int, h: int, limit: float) -> int:
    """List what may lead to the goal over an edge; returns where the list goes on."""
    left, right = over(d, GOAL, e, 0), over(d, GOAL, e, 1)
    if min(left, right) > d[ON_FACE] or max(left, right) < -d[ON_FACE]:
        return h
    a, r = lie_beside(d, GOAL, e)
    out = max(0.0, -a, a - d[e + SPAN])
    near = sqrt(out * out + r * r)
    if d[e + USED_KEY] + near >= limit:
        return h
    # beyond one face and behind the other, so of one sense only, or on both
    sense, senses = 0 if right > left else 1, 1
    if abs(left) <= d[ON_FACE] and abs(right) <= d[ON_FACE]:
        sense, senses = 0, 2
    for i in range(int(d[e + USED + sense]), int(d[e + USED + sense + senses])):
        w = int(d[i])
        if d[w + KEY] + near < limit:
            least = least_by(d, w, a, r)
            if least < limit:
                d[h], d[h + EVENT] = least, w
                h += EVENT_ROW
    return h


def try_again(d: Table, n: Counts, w: int) -> float:
    """Length of the path by a window that has not been listed for the goal, inf if there is none that is clear."""
    e = int(d[w + EDGE])
    a, r = lie_beside(d, GOAL, e)
    if not is_past(d, GOAL, e, int(d[w + SENSE])) or least_by(d, w, a, r) == inf:
        return inf
    return try_window(d, n, w, inf)


def ends_there(d: Table, n: Counts, w: int) -> bool:
    """True if the path just measured by a window bends at the goal itself."""
    put(d, THERE, int(d[w + EDGE]), d[n[WORK] + PLACE])
    return far_apart(d, GOAL, THERE) < ON_EDGE


def nearest(d: Table, n: Counts, waiting: int) -> int:
    """What of all that waits has the least key."""
    best, h = n[HEAP], n[HEAP]
    for _ in range(waiting):
        if d[h] < d[best]:
            best = h
        h += EVENT_ROW
    return best


def try_straight(d: Table, n: Counts, source: int) -> float:
    """Length of the path straight from a source, inf if it is not clear."""
    return d[source + FAR] + far_apart(d, GOAL, source) if is_open(d, n, GOAL, source) else inf


def try_window(d: Table, n: Counts, w: int, best: float) -> float:
    """Length of the path by a window, inf if it is not clear or not below a length."""
    far = length_by(d, n, w)
    place = d[n[WORK] + PLACE]
    if far >= best or place < d[w + LOW] - BEYOND or place > d[w + HIGH] + BEYOND:
        return inf
    return far if is_clear(d, n, w) else inf
