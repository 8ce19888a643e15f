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
    EXACT,
    FAR,
    GOAL,
    HEAP,
    HIGH,
    IN_WAY,
    KEY,
    LOW,
    OFFSET,
    ON_FACE,
    PLACE,
    SENSE,
    SOURCE_COUNT,
    SOURCE_ROW,
    SOURCES,
    SPAN,
    THERE,
    TRIED,
    TRIED_LENGTH,
    TRIED_WAY,
    USED,
    USED_KEY,
    WORK,
    Counts,
    P,
    Q,
    Table,
)  # fmt: skip
from ropewright.roof.taut_space import copy, far_apart, is_still_open, over, put
from ropewright.roof.taut_trim import BEYOND, SHORT, is_past, least_by, least_of_waves

__all__ = [
    "answer", "answer_run", "ends_there", "from_first", "gather_near", "gather_near_over", "gather_on",
    "gather_over", "least_near", "least_to_goal", "nearest", "note_try", "pick", "settle_on", "take", "try_again",
    "try_straight", "try_window",
]  # fmt: skip

#: Handicap of a path that bends at the point itself: the same path without a last leg of no length is wanted. [m]
ON_EDGE = 1e-10
#: Ways longer than one that is known by more than this are not looked at. [m]
LOOSE = 1e-8


def answer(d: Table, n: Counts, goals: Table, answers: Table, runs: Counts, count: int) -> None:
    """Find the shortest clear path to each goal.

    Parameters
    ----------
    goals : flat array or list of 3 numbers a goal
        Neighbours in runs. [m]
    answers : flat array or list of 5 numbers a goal
        Written: length, last bend, and by what: the window, or less the source if straight from it.
    runs : array or list of whole numbers
        Where each run of goals begins, and their number at the end.
    count : int
        Runs.
    """
    by = -n[SOURCES]
    for run in range(count):
        by = answer_run(d, n, goals, answers, runs[run], runs[run + 1], by)


def answer_run(d: Table, n: Counts, goals: Table, answers: Table, first: int, end: int, by: int) -> int:
    """Find the shortest clear paths to goals near each other: what may lead to any of them is listed once.

    A length that no path by a window falls short of changes by no more than its goal moves. Neighbours often have the
    same way, so that of the one before (`by`) is tried first; returns the last one.
    """
    take(d, goals, first)
    known = try_again(d, n, by)
    by = settle_on(d, n, answers, first, gather_on(d, n, known + LOOSE, n[HEAP]), n[HEAP], by, known)
    if end == first + 1:
        return by
    reach, best = 0.0, answers[ANSWER_ROW * first]
    for k in range(first + 1, end):
        reach = max(reach, from_first(goals, first, k))
    take(d, goals, first)
    listed, within = gather_near(d, n, best + 2.0 * reach + LOOSE, reach), best + reach
    heap = n[HEAP] + EVENT_ROW * listed
    for k in range(first + 1, end):
        take(d, goals, k)
        known = try_again(d, n, by)
        waiting = pick(d, n, listed, heap, min(known, within) + LOOSE, from_first(goals, first, k))
        by = settle_on(d, n, answers, k, waiting, heap, by, known)
        if answers[ANSWER_ROW * k] > within:  # more may lead there than is listed
            take(d, goals, k)
            by = settle_on(d, n, answers, k, gather_on(d, n, inf, heap), heap, -n[SOURCES], inf)
    return by


def from_first(goals: Table, first: int, k: int) -> float:
    """Distance between two goals."""
    x, y, z = goals[3 * k] - goals[3 * first], goals[3 * k + 1] - goals[3 * first + 1], goals[3 * k + 2]
    z -= goals[3 * first + 2]
    return sqrt(x * x + y * y + z * z)


def take(d: Table, goals: Table, k: int) -> None:
    """Put one of the goals at hand."""
    d[GOAL], d[GOAL + 1], d[GOAL + 2] = goals[3 * k], goals[3 * k + 1], goals[3 * k + 2]


def settle_on(d: Table, n: Counts, answers: Table, k: int, waiting: int, heap: int, again: int, known: float) -> int:
    """Write the shortest of the paths that are listed for a goal; returns by what it goes.

    What was just tried again for it has a known length, inf if it is not clear.
    """
    best, by, place, length = inf, -n[SOURCES], 0.0, inf
    again_place = d[n[WORK] + PLACE]
    while waiting > 0:
        h, last = nearest(d, heap, waiting), heap + EVENT_ROW * (waiting - 1)
        if d[h] >= best:
            break
        event = int(d[h + EVENT])
        d[h], d[h + EVENT] = d[last], d[last + EVENT]
        waiting -= 1
        if event == again and known < inf:
            far, d[n[WORK] + PLACE] = known, again_place
        else:
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
    return by


def gather_near(d: Table, n: Counts, limit: float, reach: float) -> int:
    """List what may lead, within a limit, to places that lie within a reach of the goal; returns how many."""
    h, source, e = n[HEAP], n[SOURCES], n[EDGES]
    for _ in range(n[SOURCE_COUNT]):
        far = d[source + FAR] + far_apart(d, GOAL, source)
        if far < limit:
            d[h], d[h + EVENT] = far, -source
            h += EVENT_ROW
        source += SOURCE_ROW
    for _ in range(n[EDGE_COUNT]):
        if d[e + USED_KEY] < limit:
            h = gather_near_over(d, e, h, limit, reach)
        e += EDGE_ROW
    return (h - n[HEAP]) // EVENT_ROW


def gather_near_over(d: Table, e: int, h: int, limit: float, reach: float) -> int:
    """List what may lead near the goal over an edge; returns where the list goes on."""
    left, right, off = over(d, GOAL, e, 0), over(d, GOAL, e, 1), d[ON_FACE] + reach
    if min(left, right) > off or max(left, right) < -off:
        return h
    a, r = lie_beside(d, GOAL, e)
    out = max(0.0, -a, a - d[e + SPAN])
    near = sqrt(out * out + r * r) - reach
    for sense in range(2):
        ahead, behind = (right, left) if sense == 0 else (left, right)
        if ahead < -off or behind > off:
            continue
        for i in range(int(d[e + USED + sense]), int(d[e + USED + sense + 1])):
            w = int(d[i])
            if d[w + KEY] + near < limit:
                least = least_near(d, w, a, r, reach)
                if least < limit:
                    d[h], d[h + EVENT] = least, w
                    h += EVENT_ROW
    return h


def least_near(d: Table, w: int, a: float, r: float, reach: float) -> float:
    """As `least_by`, for places within a reach of a point: not less than that by more than the reach, if not inf."""
    low, high = d[w + LOW], d[w + HIGH]
    if d[w + EXACT] > 0.0:
        p, q = d[w + P], d[w + Q]
        x, y = low - p, high - p
        first, last = sqrt(x * x + q * q) * (reach + BEYOND), sqrt(y * y + q * q) * (reach + BEYOND)
        if (a - p) * q - (r + q) * x < -first or (a - p) * q - (r + q) * y > last:
            return inf
        return d[w + OFFSET] + sqrt((a - p) * (a - p) + (r + q) * (r + q))
    return least_of_waves(d, w, a, r, 2.0 * reach)


def pick(d: Table, n: Counts, listed: int, to: int, limit: float, moved: float) -> int:
    """List what of the list, for a goal so far away, may lead to the goal at hand within a limit; returns how many."""
    h, edge, a, r, left, right = to, 0, 0.0, 0.0, 0.0, 0.0
    for i in range(n[HEAP], n[HEAP] + EVENT_ROW * listed, EVENT_ROW):
        if d[i] - moved >= limit:
            continue
        event = int(d[i + EVENT])
        if event < 0:
            least = d[-event + FAR] + far_apart(d, GOAL, -event)
        else:
            if int(d[event + EDGE]) != edge:
                edge = int(d[event + EDGE])
                left, right = over(d, GOAL, edge, 0), over(d, GOAL, edge, 1)
                a, r = lie_beside(d, GOAL, edge)
            ahead, behind = (right, left) if d[event + SENSE] == 0.0 else (left, right)
            is_there = ahead >= -d[ON_FACE] and behind <= d[ON_FACE]
            least = least_to_goal(d, event, a, r) if is_there else inf
        if least < limit:
            d[h], d[h + EVENT] = least, event
            h += EVENT_ROW
    return (h - to) // EVENT_ROW


def least_to_goal(d: Table, w: int, a: float, r: float) -> float:
    """As `least_by`, and no less than what the path by the window to the place it was last tried to tells.

    The shortest length to a point by given edges is convex, so it lies above its tangent planes.
    """
    least = least_by(d, w, a, r)
    if d[w + EXACT] > 0.0 or least == inf:
        return least
    plane = d[w + TRIED_LENGTH] - LOOSE
    for c in range(3):
        plane += d[w + TRIED_WAY + c] * (d[GOAL + c] - d[w + TRIED + c])
    return max(least, plane)


def gather_on(d: Table, n: Counts, limit: float, heap: int) -> int:
    """List what may lead to the goal within a limit, each with a length it can't fall short of; returns how many."""
    h, source, e = heap, n[SOURCES], n[EDGES]
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
    return (h - heap) // EVENT_ROW


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
            least = least_to_goal(d, w, a, r)
            if least < limit:
                d[h], d[h + EVENT] = least, w
                h += EVENT_ROW
    return h


def try_again(d: Table, n: Counts, by: int) -> float:
    """Length of the path by what led to another goal, inf if there is none that is clear."""
    if by < 0:
        return try_straight(d, n, -by)
    e = int(d[by + EDGE])
    a, r = lie_beside(d, GOAL, e)
    if not is_past(d, GOAL, e, int(d[by + SENSE])) or least_by(d, by, a, r) == inf:
        return inf
    return try_window(d, n, by, inf)


def ends_there(d: Table, n: Counts, w: int) -> bool:
    """True if the path just measured by a window bends at the goal itself."""
    put(d, THERE, int(d[w + EDGE]), d[n[WORK] + PLACE])
    return far_apart(d, GOAL, THERE) < ON_EDGE


def nearest(d: Table, heap: int, waiting: int) -> int:
    """What of all that waits has the least key."""
    best, h = heap, heap
    for _ in range(waiting):
        if d[h] < d[best]:
            best = h
        h += EVENT_ROW
    return best


def try_straight(d: Table, n: Counts, source: int) -> float:
    """Length of the path straight from a source, inf if it is not clear."""
    return d[source + FAR] + far_apart(d, GOAL, source) if is_still_open(d, n, GOAL, source, source + IN_WAY) else inf


def try_window(d: Table, n: Counts, w: int, best: float) -> float:
    """Length of the path by a window, inf if it is not clear or not below a length."""
    far = length_by(d, n, w)
    place = d[n[WORK] + PLACE]
    if d[w + EXACT] == 0.0:
        note_try(d, w, far, place)
    if far >= best or place < d[w + LOW] - BEYOND or place > d[w + HIGH] + BEYOND:
        return inf
    return far if is_clear(d, n, w) else inf


def note_try(d: Table, w: int, far: float, place: float) -> None:
    """Note the length and the last leg of a path just measured by a window."""
    put(d, THERE, int(d[w + EDGE]), place)
    leg = far_apart(d, GOAL, THERE)
    if leg > SHORT:
        d[w + TRIED_LENGTH] = far
        for c in range(3):
            d[w + TRIED + c], d[w + TRIED_WAY + c] = d[GOAL + c], (d[GOAL + c] - d[THERE + c]) / leg
