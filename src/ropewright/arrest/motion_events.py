"""Where the rope of a fall in three dimensions bends next, what the body can touch, and how the edge rubs.

One fall at a time, with branches; looked at every few steps by `ropewright.arrest.motion_march`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.motion_rows import USED

__all__ = [
    "AT_CORNER", "AT_END", "FACETS", "WALLS", "WINDOW", "aim", "drive", "face", "follow", "is_inside", "pass_on", "rub",
    "set_window", "wish",
]  # fmt: skip

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Columns of the table of whole numbers, one row a fall: window; first and last wall; first and last facet.
WINDOW, WALLS, FACETS = 0, 1, 3

#: A bend this near the end of its window is at it. [m]
AT_END = 1e-12
#: A body this near the level of a corner of its wall is at it: it may lie against the wall round the corner. [m]
AT_CORNER = 1e-6
#: Friction is worked out anew when the cosine of the turn has changed by this.
_SAME_TURN = 1e-3


def drive(s: Floats, j: int, windows: Floats, k: int, place: float) -> tuple[float, float, float]:
    """What pulls a rope along window k that bends at a place there; what holds it, per friction; way to the shortest.

    The first is the gain of both sides' lengths per move, times their forces.
    """
    x, y, z = s[r.X + j] - windows[k, 0], s[r.Y + j] - windows[k, 1], s[r.Z + j] - windows[k, 2]
    level, out = x * windows[k, 3] + y * windows[k, 4], x * windows[k, 5] + y * windows[k, 6]
    past, short = level - windows[k, 17], windows[k, 16] - level
    if (past >= -AT_CORNER or short >= -AT_CORNER) and out < 0.0:
        beyond = max(0.0, past) - max(0.0, short)
        level += (1.0 if past >= -AT_CORNER else -1.0) * math.hypot(beyond, out) - beyond
        out = 0.0
    u, w = level * windows[k, 7] + z * windows[k, 8], z * windows[k, 7] - level * windows[k, 8]
    p, q = windows[k, 12], windows[k, 13]
    across = math.hypot(out, w)
    f, beyond_force = s[r.FORCE + j], s[r.FAR_FORCE + j]
    near, side = max(math.hypot(u - place, across), 1e-9), max(math.hypot(place - p, q), 1e-12)
    cos_n, cos_f, sin_f = (place - u) / near, (place - p) / side, q / side
    cross = (out * windows[k, 14] + w * windows[k, 15]) / near * sin_f
    holds = f * f * (1.0 - cos_n * cos_n) + beyond_force * beyond_force * sin_f * sin_f + 2.0 * f * beyond_force * cross
    shortest = (p * across + u * q) / max(across + q, 1e-12)
    return f * cos_n + beyond_force * cos_f, math.sqrt(max(holds, 0.0)), shortest - place


def wish(s: Floats, j: int, windows: Floats, k: int, place: float) -> float:
    """Where the rope would go from a place on window k: the way it wants to move there, 0 if friction holds it."""
    drives, holds, shorter = drive(s, j, windows, k, place)
    if s[r.IS_BENT + j] == 0.0 or s[r.FORCE + j] <= 0.0:
        return shorter
    excess = max(0.0, abs(drives) - s[r.EDGE_FRICTION + j] * holds)
    return -math.copysign(excess, drives)


def is_inside(s: Floats, j: int) -> float:
    """1 where a fall's bend is inside its window, 0 at one of the ends."""
    return 1.0 if (s[r.LOW + j] + AT_END < s[r.BEND + j]) & (s[r.BEND + j] < s[r.HIGH + j] - AT_END) else 0.0


def set_window(s: Floats, j: int, windows: Floats, k: int, place: float) -> None:
    """Put a fall's bend on window k."""
    for column in range(18):
        s[r.EDGE_X + 16 * column + j] = float(windows[k, column])
    s[r.BEND + j] = place


def follow(s: Floats, j: int, whole: Integers, i: int, windows: Floats, links: Integers) -> bool:
    """Move the bend on to the next window while it stands at the end of its own and wants to go on."""
    moved = False
    for _ in range(len(windows)):
        k, place = whole[i, WINDOW], s[r.BEND + j]
        ahead = place >= s[r.HIGH + j] - AT_END
        if not ahead and place > s[r.LOW + j] + AT_END:
            break
        if ahead and place <= s[r.LOW + j] + AT_END:  # a window of no length
            ahead = wish(s, j, windows, k, place) > 0.0
        other = links[k, 0] if ahead else links[k, 1]
        if other < 0:
            break
        there = windows[other, 9] if ahead else windows[other, 10]
        wants = wish(s, j, windows, other, there)
        if wants <= 0.0 if ahead else wants >= 0.0:
            break
        if links[k, 2] != links[other, 2]:
            s[r.ROUND_FROM + j] += windows[k, 18] if ahead else -windows[other, 18]
        if s[r.MOVED + j] != 0.0 and s[r.FORCE + j] > 0.0:  # what the way to the corner has cost
            drives, _, _ = drive(s, j, windows, k, place)
            s[r.LOST_ALONG + j] -= 0.5 * (s[r.PULLED + j] + drives) * s[r.MOVED + j]
        whole[i, WINDOW], s[r.MOVED + j] = other, 0.0
        set_window(s, j, windows, other, there)
        moved = True
    return moved


def pass_on(s: Floats, first: int, whole: Integers, windows: Floats, links: Integers) -> None:
    """Move on the bends of a block that have come to an end of their windows: a rope that snaps round does not wait."""
    ends = 0.0
    for j in range(USED):
        ends += 1.0 - is_inside(s, j)
    if ends > 0.0:
        for j in range(USED):
            if s[r.ON + j] > 0.0 and is_inside(s, j) == 0.0:
                follow(s, j, whole, first + j, windows, links)


def aim(s: Floats, j: int, whole: Integers, i: int, windows: Floats, links: Integers) -> bool:
    """Lay the rope of a body on the roof toward the edge that the body is nearest to; True if that is another one.

    The rope runs straight there, from the same image for all edges of a facet.
    """
    current = whole[i, WINDOW]
    best, chosen = -np.inf, current
    for k in range(len(windows)):
        x, y = s[r.X + j] - windows[k, 0], s[r.Y + j] - windows[k, 1]
        level, out = x * windows[k, 3] + y * windows[k, 4], x * windows[k, 5] + y * windows[k, 6]
        if best < out <= 0.0 and 0.0 <= level <= windows[k, 18] and links[k, 3] == links[current, 3]:
            best, chosen = out, k
    if links[chosen, 2] == links[current, 2]:
        return False
    last = chosen
    while last + 1 < len(windows) and links[last + 1, 2] == links[chosen, 2]:
        last += 1
    place = wish(s, j, windows, chosen, 0.0)
    while chosen < last and place > windows[chosen, 10]:
        chosen += 1
        place = wish(s, j, windows, chosen, 0.0)
    x, y = s[r.X + j] - windows[chosen, 0], s[r.Y + j] - windows[chosen, 1]
    s[r.ROUND_FROM + j] += s[r.LEVEL + j] - x * windows[chosen, 3] - y * windows[chosen, 4]
    whole[i, WINDOW], s[r.MOVED + j] = chosen, 0.0
    set_window(s, j, windows, chosen, min(windows[chosen, 10], max(windows[chosen, 9], place)))
    return True


def face(s: Floats, j: int, walls: Floats, facets: Floats, first: int, last: int, low: int, high: int) -> bool:
    """Make the wall and the facet that the body is furthest in front of the ones it can touch; True if they change."""
    x, y, z = s[r.X + j], s[r.Y + j], s[r.Z + j]
    best, wall = -np.inf, first
    for k in range(first, last):
        away = walls[k, 0] * x + walls[k, 1] * y - walls[k, 2]
        if away > best:
            best, wall = away, k
    best, facet = -np.inf, low
    for k in range(low, high):
        away = facets[k, 0] * x + facets[k, 1] * y + facets[k, 2] * z - facets[k, 3]
        if away > best:
            best, facet = away, k
    if s[r.WALL_ROW + j] == wall and s[r.FACET_ROW + j] == facet:
        return False
    s[r.WALL_ROW + j], s[r.FACET_ROW + j] = wall, facet
    s[r.WALL_X + j], s[r.WALL_Y + j] = float(walls[wall, 0]), float(walls[wall, 1])
    s[r.WALL_AT + j] = float(walls[wall, 2])
    s[r.FACET_X + j], s[r.FACET_Y + j] = float(facets[facet, 0]), float(facets[facet, 1])
    s[r.FACET_Z + j], s[r.FACET_AT + j] = float(facets[facet, 2]), float(facets[facet, 3])
    return True


def rub(s: Floats, j: int) -> None:
    """Friction over the edge at the turn that the rope makes now."""
    turn = 1.0
    if s[r.IS_BENT + j] > 0.0 and s[r.EDGE_FRICTION + j] > 0.0:
        turn = min(1.0, max(-1.0, -(s[r.COS_F + j] * s[r.COS_N + j] + s[r.CROSS + j])))
    if abs(turn - s[r.TURN_COS + j]) < _SAME_TURN:
        return
    s[r.TURN_COS + j] = turn
    ratio = math.exp(-s[r.EDGE_FRICTION + j] * math.acos(turn))
    side_n, side_f, lock = s[r.SIDE_N + j], s[r.SIDE_F + j], s[r.LOCK_GIVE + j]
    give_in, give_out = side_n + ratio * side_f, side_n + side_f / ratio
    s[r.RATIO_IN + j], s[r.GIVE_IN + j] = ratio, give_in
    s[r.RATE_IN + j], s[r.SPENT_RATE_IN + j] = 1.0 / give_in, 1.0 / (give_in + lock)
    s[r.RATIO_OUT + j], s[r.GIVE_OUT + j] = 1.0 / ratio, give_out
    s[r.RATE_OUT + j], s[r.SPENT_RATE_OUT + j] = 1.0 / give_out, 1.0 / (give_out + lock)
    s[r.RATE_STAY + j], s[r.SPENT_RATE_STAY + j] = 1.0 / side_n, 1.0 / (side_n + lock)
