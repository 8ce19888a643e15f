"""The march of falls in three dimensions: some steps, then a look at what was met and whether the fall is over."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.motion_events import FACETS, WALLS, WINDOW, aim, face, follow, is_inside, pass_on, rub
from ropewright.arrest.motion_kernel import contact, kick, measure, place, place_folded, run_straight, slip, turn_back
from ropewright.arrest.motion_pull import pull
from ropewright.arrest.motion_rows import USED

__all__ = [
    "COLUMNS", "FACETS", "HIT", "OWN_FLOOR", "PLACE", "RUNNING", "STATUS", "STOOD_IN", "THINGS", "WALLS", "WHEN",
    "WINDOW", "begin", "beside", "close", "hit", "judge", "look", "march", "meet", "note", "overlaps", "still",
]  # fmt: skip

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Further columns of the table of whole numbers: first and last thing; state; thing met; how many columns there are.
THINGS, STATUS, HIT, COLUMNS = 5, 7, 8, 9
#: Columns of the table of numbers: place (3) and time where a thing was met; the thing below, -2 if it is the fall's
#: own floor; height of that floor; 1 for each thing that the body has stood in since the start.
PLACE, WHEN, BELOW, OWN_FLOOR, STOOD_IN = 0, 3, 4, 5, 6
#: What a fall has come to: still running; hangs at rest; lies at rest on the roof; met a thing; swings on with nothing
#: to stop it; the time is over.
RUNNING, HANGS, LIES, MET, SWINGS, TIMES_OUT = 0, 1, 2, 3, 4, 5

#: A body that lies slack and slow for this long stays there. [s]
_LIES_AFTER = 1.0
#: A body that has been slow for less is not looked at. [s]
_SLOW = 0.5
#: A body this near a corner of its wall may pass it before the next look. [m]
_NEAR = 0.5
#: A body this far behind a wall is over the roof. [m]
_ON_ROOF = 1e-6
#: Kinds of thing: everywhere, with no outline; with one, that can be stood in at the start; a wall of the building,
#: which is met from beside the roof alone.
_OUTLINED, _WALL = 1.0, 2.0


def close(x: float, y: float, things: Floats, first: int, last: int) -> bool:
    """True where a place in plan is in the box of one of the things that have an outline."""
    for k in range(first, last):
        if things[k, 8] > 0.0 and things[k, 0] < x < things[k, 1] and things[k, 2] < y < things[k, 3]:
            return True
    return False


def beside(x: float, y: float, things: Floats, rings: Floats, k: int, radius: float) -> bool:
    """True where a body this wide stands over or beside thing k, in plan."""
    if not (things[k, 0] <= x <= things[k, 1] and things[k, 2] <= y <= things[k, 3]):
        return False
    first, last = int(things[k, 6]), int(things[k, 7])
    inside = first == last  # no outline: everywhere
    for i in range(first, last):
        n = i + 1 if i + 1 < last else first
        ax, ay, bx, by = rings[i, 0] - x, rings[i, 1] - y, rings[n, 0] - x, rings[n, 1] - y
        ex, ey = bx - ax, by - ay
        share = min(1.0, max(0.0, -(ax * ex + ay * ey) / max(ex * ex + ey * ey, 1e-300)))
        if math.hypot(ax + share * ex, ay + share * ey) <= radius:
            return True
        if (ay > 0.0) != (by > 0.0) and (ax - ay / ey * ex) > 0.0:
            inside = not inside
    return inside


def overlaps(x: float, y: float, z: float, body: Floats, i: int, things: Floats, rings: Floats, k: int) -> bool:
    """True where an upright body at a place (below it, above it, its half width) is inside thing k."""
    if not (z - body[i, 0] < things[k, 5] and z + body[i, 1] > things[k, 4]):
        return False
    return beside(x, y, things, rings, k, body[i, 2])


def meet(s: Floats, j: int, whole: Integers, i: int, real: Floats, body: Floats, things: Floats, rings: Floats) -> None:
    """Find what the body has run into since the last look, and how far down it can go from here."""
    x, y, z = s[r.X + j], s[r.Y + j], s[r.Z + j]
    if s[r.ON + j] == 0.0:  # stopped by what was below
        whole[i, STATUS], whole[i, HIT] = MET, int(real[i, BELOW])
        real[i, 0], real[i, 1], real[i, 2], real[i, WHEN] = x, y, z, s[r.TIME + j]
        return
    floor, real[i, BELOW] = float(real[i, OWN_FLOOR]), -2.0
    for k in range(whole[i, THINGS], whole[i, THINGS + 1]):
        stood_in = STOOD_IN + k - whole[i, THINGS]
        # a body on the roof lies there: what stands no higher than that is under the roof
        if s[r.WALL_AWAY + j] < 0.0 and (things[k, 8] == _WALL or (things[k, 8] > 0.0 and things[k, 5] <= z)):
            continue
        if not overlaps(x, y, z, body, i, things, rings, k):
            real[i, stood_in] = 0.0
            if floor < things[k, 5] <= z - body[i, 0] and beside(x, y, things, rings, k, body[i, 2]):
                floor, real[i, BELOW] = float(things[k, 5]), k
        elif real[i, stood_in] == 0.0:
            hit(s, j, whole, i, real, body, things, rings, k)
            return
    s[r.FLOOR + j] = floor
    s[r.BEFORE_X + j], s[r.BEFORE_Y + j], s[r.BEFORE_Z + j], s[r.BEFORE_TIME + j] = x, y, z, s[r.TIME + j]


def hit(
    s: Floats, j: int, whole: Integers, i: int, real: Floats, body: Floats, things: Floats, rings: Floats, k: int
) -> None:
    """Stop a body in thing k, and find where on its way since the last look it met it."""
    x, y, z = s[r.X + j], s[r.Y + j], s[r.Z + j]
    bx, by, bz = s[r.BEFORE_X + j], s[r.BEFORE_Y + j], s[r.BEFORE_Z + j]
    low, high = 0.0, 1.0
    for _ in range(20):
        t = 0.5 * (low + high)
        if overlaps(bx + t * (x - bx), by + t * (y - by), bz + t * (z - bz), body, i, things, rings, k):
            high = t
        else:
            low = t
    whole[i, STATUS], whole[i, HIT] = MET, k
    s[r.ON + j] = 0.0
    real[i, 0], real[i, 1], real[i, 2] = bx + high * (x - bx), by + high * (y - by), bz + high * (z - bz)
    real[i, WHEN] = s[r.BEFORE_TIME + j] + high * (s[r.TIME + j] - s[r.BEFORE_TIME + j])


def note(s: Floats, j: int) -> None:
    """Keep what need not be kept at every step."""
    time = s[r.TIME + j]
    speed_2 = s[r.VX + j] ** 2 + s[r.VY + j] ** 2 + s[r.VZ + j] ** 2
    if speed_2 > s[r.REST_SPEED_2 + j]:
        s[r.LAST_FAST + j] = time
    s[r.MOTION_MOST + j] = max(s[r.MOTION_MOST + j], 0.5 * s[r.MASS + j] * speed_2)
    if s[r.WALL_AWAY + j] >= 0.0:
        s[r.IS_OVER + j] = 1.0
    if s[r.TAUT_TIME + j] < 0.0 and s[r.PEAK + j] > 0.0:
        s[r.TAUT_TIME + j] = s[r.SWING_FROM + j] = time


def judge(s: Floats, j: int, whole: Integers, i: int, least_loss: float) -> None:
    """Stop a fall that is at rest, that nothing slows any more, or whose time is over."""
    time = s[r.TIME + j]
    slow_for = time - s[r.LAST_FAST + j]
    if s[r.FORCE + j] > 0.0 and slow_for > 0.5 * s[r.SWING_TIME + j]:
        whole[i, STATUS] = HANGS
    elif s[r.FORCE + j] <= 0.0 and slow_for > _LIES_AFTER:
        whole[i, STATUS] = LIES
    elif s[r.TAUT_TIME + j] >= 0.0 and time - s[r.SWING_FROM + j] > s[r.SWING_TIME + j]:
        lost = s[r.DAMPED + j] + s[r.LOST_OVER + j] + s[r.LOST_ALONG + j] + s[r.LOST_CONTACT + j]
        lost += s[r.FORCE_1 + j] * s[r.SLIP_1 + j] + s[r.FORCE_2 + j] * s[r.SLIP_2 + j]
        if s[r.SWING_LOSS + j] > 0.0 and lost - s[r.SWING_LOSS + j] < least_loss * s[r.MOTION_MOST + j]:
            whole[i, STATUS] = SWINGS
        s[r.SWING_LOSS + j], s[r.SWING_FROM + j], s[r.MOTION_MOST + j] = lost, time, 0.0
    if whole[i, STATUS] == RUNNING and time >= s[r.TIME_LIMIT + j]:
        whole[i, STATUS] = TIMES_OUT
    if whole[i, STATUS] != RUNNING:
        s[r.ON + j] = 0.0


def look(
    s: Floats, first: int, whole: Integers, real: Floats, body: Floats, windows: Floats, links: Integers,
    walls: Floats, facets: Floats, things: Floats, rings: Floats, least_loss: float,
) -> tuple[bool, bool]:  # fmt: skip
    """Look after the falls of one block, whose first is fall `first`.

    Parameters
    ----------
    s : array, shape (BLOCK,)
    first : int
    whole : array of int, shape (n, COLUMNS)
    real : array, shape (n, 6 + things)
    body : array, shape (n, 3)
        Body below and above x, and half its width.
    windows : array, shape (w, 19)
    links : array of int, shape (w, 4)
        Next window, the one before, the edge, and the walk.
    walls, facets : array, shape (k, 3) and (f, 4)
    things : array, shape (t, 9)
        Box in plan (4), base, top, first and last corner, kind.
    rings : array, shape (v, 2)
    least_loss : float
        Share of its greatest motion energy that a swing loses at least, or else goes on for ever.

    Returns
    -------
    tuple of bool
        Does one of them run; is one of them near or past a corner of its wall.
    """
    changed, folds = False, False
    for j in range(USED):
        i = first + j
        if whole[i, STATUS] != RUNNING or s[r.ON + j] == 0.0:
            continue
        near = not s[r.CORNER_LOW + j] + _NEAR < s[r.LEVEL + j] < s[r.CORNER_HIGH + j] - _NEAR
        folds |= near
        if near or s[r.WALL_AWAY + j] < -_ON_ROOF:  # else the wall under the bend is the one
            changed |= face(
                s, j, walls, facets, whole[i, WALLS], whole[i, WALLS + 1], whole[i, FACETS], whole[i, FACETS + 1]
            )
        if s[r.IS_BENT + j] == 0.0 and s[r.WALL_AWAY + j] < -_ON_ROOF:
            changed |= aim(s, j, whole, i, windows, links)
        if is_inside(s, j) == 0.0:
            changed |= follow(s, j, whole, i, windows, links)
    if changed:
        still(s)
    running = False
    for j in range(USED):
        i = first + j
        if whole[i, STATUS] != RUNNING:
            continue
        note(s, j)
        rub(s, j)
        # calls with many tables cost more than all that is done here, so none is made without need
        x, y, z, time = s[r.X + j], s[r.Y + j], s[r.Z + j], s[r.TIME + j]
        alone = s[r.ON + j] > 0.0 and s[r.FLOOR + j] == s[r.GROUND + j]
        if alone and not close(x, y, things, whole[i, THINGS], whole[i, THINGS + 1]):
            s[r.BEFORE_X + j], s[r.BEFORE_Y + j], s[r.BEFORE_Z + j], s[r.BEFORE_TIME + j] = x, y, z, time
        else:
            meet(s, j, whole, i, real, body, things, rings)
        slow = time - s[r.LAST_FAST + j] > _SLOW or time - s[r.SWING_FROM + j] > s[r.SWING_TIME + j]
        if whole[i, STATUS] == RUNNING and (slow or time >= s[r.TIME_LIMIT + j]):
            judge(s, j, whole, i, least_loss)
        running |= whole[i, STATUS] == RUNNING
    return running, folds


def still(s: Floats) -> None:
    """Work the geometry out anew with no time passing."""
    for j in range(USED):
        s[r.TOUCH + j], s[r.ON + j] = s[r.ON + j], 0.0
    place_folded(s)
    measure(s)
    turn_back(s)
    for j in range(USED):
        s[r.ON + j] = s[r.TOUCH + j]


def begin(s: Floats, first: int, whole: Integers, real: Floats, body: Floats, things: Floats, rings: Floats) -> None:
    """Find what the bodies of a block stand in and over as their falls begin, and how their ropes rub."""
    for j in range(USED):
        i = first + j
        rub(s, j)
        x, y, z = s[r.X + j], s[r.Y + j], s[r.Z + j]
        s[r.BEFORE_X + j], s[r.BEFORE_Y + j], s[r.BEFORE_Z + j] = x, y, z
        s[r.BEYOND_BEFORE + j] = s[r.BEYOND + j]  # no rope has run over the edge yet
        s[r.GROUND + j] = float(real[i, OWN_FLOOR])
        for k in range(whole[i, THINGS], whole[i, THINGS + 1]):
            if things[k, 8] > 0.0 and overlaps(x, y, z, body, i, things, rings, k):
                real[i, STOOD_IN + k - whole[i, THINGS]] = 1.0
            if things[k, 8] == 0.0 and things[k, 5] <= z - body[i, 0]:
                s[r.GROUND + j] = max(s[r.GROUND + j], float(things[k, 5]))
        if s[r.WALL_AWAY + j] >= 0.0:
            s[r.OVER_SPEED_2 + j] = s[r.VX + j] ** 2 + s[r.VY + j] ** 2 + s[r.VZ + j] ** 2
        meet(s, j, whole, i, real, body, things, rings)


def march(
    blocks: Floats, steps: Integers, looks: int, whole: Integers, real: Floats, body: Floats, first: int, last: int,
    windows: Floats, links: Integers, walls: Floats, facets: Floats, things: Floats, rings: Floats, least_loss: float,
) -> None:  # fmt: skip
    """Carry the falls of some blocks on until each is over, or so many looks are done; see `look`.

    Between two looks lie `steps` of each block; without a look they are done once. A fall that is fresh first takes up
    the force its rope has at the start.
    """
    for b in range(first, last):
        s, done, folds, runs = blocks[b], 0, True, True
        rubs, relaxes = s[r.EDGE_FRICTION] > 0.0, s[r.ARM_GIVE_N] > 0.0  # the same for all falls of a block
        if s[r.IS_FRESH] > 0.0:
            still(s)
            begin(s, b * r.LANES, whole, real, body, things, rings)
            pull(s, rubs, relaxes)
            s[r.IS_FRESH] = 0.0
        while runs:
            for _ in range(steps[b]):
                kick(s, 0.5 if s[r.TIME] == 0.0 else 1.0)
                straight = 0.0
                for j in range(USED):
                    straight += 1.0 - s[r.IS_BENT + j]
                    if s[r.TOUCH + j] > 0.0:
                        contact(s, j)
                slip(s)
                pass_on(s, b * r.LANES, whole, windows, links)
                if folds:
                    place_folded(s)
                else:
                    place(s)
                if straight > 0.0:
                    run_straight(s)
                measure(s)
                if folds:
                    turn_back(s)
                pull(s, rubs, relaxes)
            done += 1
            if done > looks:
                break
            runs, folds = look(
                s, b * r.LANES, whole, real, body, windows, links, walls, facets, things, rings, least_loss
            )
