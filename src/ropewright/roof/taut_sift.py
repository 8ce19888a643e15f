"""What of a window is clear, what is blocked, and what is not known. Plain code that numba compiles.

Paths by one sequence of edges do not cross: if two did, both would be the shortest between the places where they meet.
So the bends of all paths to a run of places lie between those of the paths to its ends, and each leg in the hull of
four points. A run whose legs are neither all clear nor all blocked is halved.
"""

from __future__ import annotations

from math import inf

from ropewright.roof.taut_chain import image_place, length_by, lie_beside, reckon_ends
from ropewright.roof.taut_rows import (
    BEND_ROW,
    BENDS,
    CONVEX,
    EDGE,
    EXACT,
    FULL,
    GOAL,
    HERE,
    HIGH,
    HULL,
    IS_OPEN,
    LAID,
    LAID_ROOM,
    LOW,
    NEXT,
    OFFSET,
    PARENT,
    PLACE,
    SENSE,
    SOURCE,
    SPAN,
    STACK,
    WORK,
    Counts,
    P,
    Q,
    Table,
)  # fmt: skip
from ropewright.roof.taut_space import copy, is_blocked, is_hull_open, is_shared, put
from ropewright.roof.taut_trim import NARROW, trim
from ropewright.roof.taut_windows import keep

__all__ = [
    "add", "finish", "hull_of", "is_family_blocked", "is_family_open", "lay", "list_part", "sift", "thickness",
    "told_apart",
]  # fmt: skip

#: Times that a run is halved whose paths are clear in part.
HALVED = 6
#: Runs of a window that are told apart at most.
PARTS = 40


def add(d: Table, n: Counts, w: int) -> None:
    """Keep the window just written down where it may be of use, and let it wait."""
    if d[w + HIGH] - d[w + LOW] <= NARROW or n[FULL] > 0:
        return
    reckon_ends(d, n, w)
    if trim(d, n, w, 0) == 0:
        return
    if d[w + IS_OPEN] > 0.0 or n[CONVEX] == 1:
        finish(d, n, w)
    else:
        sift(d, n, w)


def finish(d: Table, n: Counts, w: int) -> None:
    """Keep the window just written down where a fine look finds it of use."""
    reckon_ends(d, n, w)
    low, high = d[w + LOW], d[w + HIGH]
    if trim(d, n, w, 1) > 0:
        if d[w + LOW] > low or d[w + HIGH] < high:
            reckon_ends(d, n, w)
        keep(d, n, w)


def sift(d: Table, n: Counts, w: int) -> None:
    """Keep the parts of the window just written down that are clear, and those of which that is not known."""
    source, parent, e, sense = int(d[w + SOURCE]), int(d[w + PARENT]), int(d[w + EDGE]), d[w + SENSE]
    exact, offset, p, q = d[w + EXACT], d[w + OFFSET], d[w + P], d[w + Q]
    for part in range(n[LAID] + 2 * n[LAID_ROOM], n[LAID] + 2 * n[LAID_ROOM] + 3 * told_apart(d, n, w), 3):
        w = n[NEXT]
        if n[FULL] > 0:
            return
        d[w + SOURCE], d[w + PARENT], d[w + EDGE], d[w + SENSE] = source, parent, e, sense
        d[w + EXACT], d[w + OFFSET], d[w + P], d[w + Q] = exact, offset, p, q
        d[w + LOW], d[w + HIGH], d[w + IS_OPEN] = d[part], d[part + 1], d[part + 2]
        if d[w + HIGH] - d[w + LOW] > NARROW:
            finish(d, n, w)


def told_apart(d: Table, n: Counts, w: int) -> int:
    """List the runs of a window that are not blocked, with 1 if clear; returns how many."""
    parts, top, laid, legs = 0, STACK, inf, 0
    d[top], d[top + 1], d[top + 2] = d[w + LOW], d[w + HIGH], 0.0
    while top >= STACK:
        low, high, depth = d[top], d[top + 1], d[top + 2]
        top -= 3
        if low != laid:
            legs, laid = lay(d, n, w, low, n[LAID]), low
        lay(d, n, w, high, n[LAID] + n[LAID_ROOM])
        clear = is_family_open(d, n, legs)
        if not clear and is_family_blocked(d, n, legs):
            continue
        if not clear and depth < HALVED and high - low > 8.0 * NARROW:
            middle = 0.5 * (low + high)
            d[top + 3], d[top + 4], d[top + 5] = middle, high, depth + 1.0
            d[top + 6], d[top + 7], d[top + 8] = low, middle, depth + 1.0
            top += 6
        else:
            parts = list_part(d, n, parts, low, high, 1.0 if clear else 0.0)
    return parts


def list_part(d: Table, n: Counts, parts: int, low: float, high: float, clear: float) -> int:
    """List a run, joined to the one before it if they are of a kind; returns how many there are."""
    last = n[LAID] + 2 * n[LAID_ROOM] + 3 * (parts - 1)
    if parts > 0 and d[last + 1] == low and d[last + 2] == clear:
        d[last + 1] = high
        return parts
    if parts == PARTS:  # no room to tell more apart: what lies between counts as not known
        d[last + 1], d[last + 2] = high, 0.0
        return parts
    d[last + 3], d[last + 4], d[last + 5] = low, high, clear
    return parts + 1


def hull_of(d: Table, n: Counts, leg: int) -> None:
    """Put the ends of one leg of the two paths laid down at hand as a hull."""
    a = n[LAID] + 3 * leg
    b = a + n[LAID_ROOM]
    copy(d, HULL, a)
    copy(d, HULL + 3, b)
    copy(d, HULL + 6, a + 3)
    copy(d, HULL + 9, b + 3)


def is_family_open(d: Table, n: Counts, legs: int) -> bool:
    """True only if all paths between the two laid down are clear."""
    for leg in range(legs):
        hull_of(d, n, leg)
        if not is_hull_open(d, n):
            return False
    return True


def is_family_blocked(d: Table, n: Counts, legs: int) -> bool:
    """True only if all paths between the two laid down pass through one and the same piece with one of their legs.

    Seen from above, a leg between two that cross a convex piece crosses the line from one's place in it to the other's.
    That line lies in the piece's prism, and the leg no higher above it than the hull of both legs is thick.
    """
    for leg in range(legs):
        a = n[LAID] + 3 * leg
        b = a + n[LAID_ROOM]
        if is_shared(d, n, a, b, thickness(d, a, b)):
            return True
        hull_of(d, n, leg)
        if is_blocked(d, n):
            return True
    return False


def thickness(d: Table, a: int, b: int) -> float:
    """Greatest height within the hull of two legs, where its diagonals cross in plan; inf where they do not."""
    ux, uy = d[b + 3] - d[a], d[b + 4] - d[a + 1]
    vx, vy = d[a + 3] - d[b], d[a + 4] - d[b + 1]
    x, y = d[b] - d[a], d[b + 1] - d[a + 1]
    area = ux * vy - uy * vx
    if abs(area) <= 1e-12 * (abs(ux * vx) + abs(uy * vy)):
        return inf
    s, t = (x * vy - y * vx) / area, (x * uy - y * ux) / area
    if s < 0.0 or s > 1.0 or t < 0.0 or t > 1.0:
        return inf
    return abs(d[a + 2] + s * (d[b + 5] - d[a + 2]) - d[b + 2] - t * (d[a + 5] - d[b + 2]))


def lay(d: Table, n: Counts, w: int, place: float, to: int) -> int:
    """Lay down the path to a place on a window's edge, backward until all that is left is clear; returns its legs."""
    put(d, GOAL, int(d[w + EDGE]), place)
    copy(d, to, GOAL)
    legs, source, w = 0, int(d[w + SOURCE]), int(d[w + PARENT])
    if w > 0:
        length_by(d, n, w)
    while w > 0:
        e = int(d[w + EDGE])
        if legs < n[BENDS]:
            place = d[n[WORK] + BEND_ROW * legs + PLACE]
        else:
            copy(d, HERE, to)
            a, r = lie_beside(d, HERE, e)
            place = min(max(image_place(d[w + P], d[w + Q], a, r), 0.0), d[e + SPAN])
        legs += 1
        to += 3
        put(d, to, e, place)
        if d[w + IS_OPEN] > 0.0:
            return legs
        w = int(d[w + PARENT])
    copy(d, to + 3, source)
    return legs + 1
