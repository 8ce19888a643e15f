"""One step of many falls in three dimensions, 16 falls side by side: kick, slip, and drift to the next place.

Each stage is a loop over the falls of a block without branches, which a compiler turns into vector instructions; what
needs branches is looked at every few steps in `ropewright.arrest.motion_march`. A fall's numbers depend on no other
fall and on no thread. The force is in `ropewright.arrest.motion_pull`. Written in plain Python, and compiled by
`ropewright.arrest.motion_compile`. Derived in docs/derivations-motion.md.

Frames. World: x, y level, z up. Edge: u along the edge, n level and outward, w up at right angles to both; the body's
place is taken from where s is 0 on the edge. Past a corner of the wall and behind its plane, the wall that the rope
bends round is unfolded: only then does the body's place in the edge's frame differ from the world's.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_rows as r
from ropewright.arrest.motion_rows import USED

__all__ = ["contact", "kick", "measure", "place", "place_folded", "run_straight", "slip", "turn_back"]

Floats = NDArray[np.float64]

GRAVITY = 9.80665  # [m/s2]; a literal here, so that the compiler sees a constant

#: A body this far inside a wall is still beside it. [m]
_BESIDE = 1e-6
#: A step that ends no deeper than this in a wall does not touch it. [m]
_TOUCHES = 1e-9
#: The bend moves no further in one step, under load and slack; the former where the rope snaps over a corner: further,
#: and the work of a step is no longer that of its mean force. [m]
_MOST_SLIP, _MOST_SHIFT = 0.05, 0.1


def kick(s: Floats, share: float) -> None:
    """Speed half a step beyond the place, and does it lead behind the wall; `share` of a step: a half at the start."""
    for j in range(USED):
        on = s[r.ON + j]
        on = on if s[r.Z + j] - s[r.BELOW + j] > s[r.FLOOR + j] else 0.0
        h = on * s[r.STEP + j]
        g, a = share * h * GRAVITY, share * h * s[r.INVERSE_MASS + j] * s[r.FORCE + j]
        vx, vy = s[r.VX + j] + a * s[r.PULL_X + j], s[r.VY + j] + a * s[r.PULL_Y + j]
        ends = s[r.WALL_AWAY + j] + h * (vx * s[r.WALL_X + j] + vy * s[r.WALL_Y + j])
        s[r.VX + j], s[r.VY + j] = vx, vy
        s[r.VZ + j] += a * s[r.PULL_Z + j] - g
        s[r.TOUCH + j] = on if ends < -_TOUCHES else 0.0
        s[r.ON + j] = on
        s[r.TIME + j] += h


def contact(s: Floats, j: int) -> None:
    """Stop a body at wall or roof where its next step would end behind both.

    A contact is plastic: of the speed into the surface as much stays as takes the body onto it, and friction takes up
    to mu times that blow from the speed along it.
    """
    h, vx, vy, vz = s[r.STEP + j], s[r.VX + j], s[r.VY + j], s[r.VZ + j]
    nx, ny, nz = s[r.FACET_X + j], s[r.FACET_Y + j], s[r.FACET_Z + j]
    wall, away = s[r.WALL_AWAY + j], nx * s[r.X + j] + ny * s[r.Y + j] + nz * s[r.Z + j] - s[r.FACET_AT + j]
    into, mu = vx * nx + vy * ny + vz * nz, s[r.ROOF_FRICTION + j]
    if away + h * into >= 0.0:
        return
    before = vx * vx + vy * vy + vz * vz
    on_roof = away >= wall
    if not on_roof:
        nx, ny, nz, away, mu = s[r.WALL_X + j], s[r.WALL_Y + j], 0.0, wall, s[r.WALL_FRICTION + j]
        into = vx * nx + vy * ny
        if -into > s[r.WALL_SPEED + j]:
            s[r.WALL_SPEED + j], s[r.WALL_HIT_TIME + j] = -into, s[r.TIME + j]
            s[r.WALL_HIT_X + j], s[r.WALL_HIT_Y + j], s[r.WALL_HIT_Z + j] = s[r.X + j], s[r.Y + j], s[r.Z + j]
    leaves = max(into, -away / h)
    tx, ty, tz = vx - into * nx, vy - into * ny, vz - into * nz
    along = math.sqrt(tx * tx + ty * ty + tz * tz)
    keeps = max(0.0, 1.0 - mu * (leaves - into) / max(along, 1e-12))
    vx, vy, vz = tx * keeps + leaves * nx, ty * keeps + leaves * ny, tz * keeps + leaves * nz
    after = vx * vx + vy * vy + vz * vz
    # speeds are half a step ahead: over that half, rope and weight work at the speed after the contact
    f, m = s[r.FORCE + j], s[r.MASS + j]
    works = f * (s[r.PULL_X + j] * (vx - s[r.VX + j]) + s[r.PULL_Y + j] * (vy - s[r.VY + j]))
    works += (f * s[r.PULL_Z + j] - m * GRAVITY) * (vz - s[r.VZ + j])
    s[r.LOST_CONTACT + j] += 0.5 * (m * (before - after) + h * works)
    s[r.VX + j], s[r.VY + j], s[r.VZ + j] = vx, vy, vz
    if on_roof and s[r.IS_OVER + j] == 0.0:
        s[r.OVER_SPEED_2 + j] = after


def slip(s: Floats) -> None:
    """Move the bend along the edge until friction holds it there at the end of the step.

    The sides pull it along the edge by ``-(F cos_n + F' cos_f)``; friction holds up to mu times the force across. A
    rope that has not been tight yet lies where it is shortest; one that is slack between two catches lies where the
    edge would hold it under even forces.
    """
    for j in range(USED):
        on, h, place, cos_n, cos_f = s[r.ON + j], s[r.STEP + j], s[r.BEND + j], s[r.COS_N + j], s[r.COS_F + j]
        f, beyond, mu, bent = s[r.FORCE + j], s[r.FAR_FORCE + j], s[r.EDGE_FRICTION + j], s[r.IS_BENT + j]
        loaded = 1.0 if f > 0.0 else 0.0
        # what the last move has cost, by the mean of what drove it before and after
        pulls, pulled_then, moved = bent * (f * cos_n + beyond * cos_f), s[r.PULLED + j], s[r.MOVED + j]
        s[r.LOST_ALONG + j] -= 0.5 * on * (pulled_then + pulls) * moved
        f, beyond = (f if f > 0.0 else 1.0), (beyond if f > 0.0 else 1.0)
        mu = mu if s[r.PEAK + j] > 0.0 else 0.0
        across = f * f * (1.0 - cos_n * cos_n) + beyond * beyond * s[r.ACROSS_F + j] + 2.0 * f * beyond * s[r.CROSS + j]
        across = max(0.0, across)
        drives = f * (cos_n + h * s[r.COS_RATE + j]) + beyond * cos_f
        size = abs(drives) - mu * math.sqrt(across)
        size = max(0.0, size)
        curve = f * s[r.CURVE_N + j] + beyond * s[r.CURVE_F + j]
        curve = max(1e-9, curve)
        move = (-size if drives > 0.0 else size) / curve
        most = loaded * _MOST_SLIP + (1.0 - loaded) * _MOST_SHIFT
        move = min(most, max(-most, move))
        low, high = s[r.LOW + j] - place, s[r.HIGH + j] - place
        move = on * bent * min(high, max(low, move))
        s[r.BEND + j] = place + move
        s[r.PULLED + j], s[r.MOVED + j] = pulled_then + on * (pulls - pulled_then), moved + on * (move - moved)
        way = loaded * abs(move)
        s[r.DRAG + j] += way
        s[r.DRAG_WORK + j] += way * f
        peak, pulled = s[r.DRAG_PEAK + j], (f if way > 1e-9 else 0.0)
        s[r.DRAG_PEAK + j] = max(pulled, peak)


def place(s: Floats) -> None:
    """Place and speed after the step, in the world and in the frame of the edge."""
    for j in range(USED):
        h, vx, vy, vz = s[r.ON + j] * s[r.STEP + j], s[r.VX + j], s[r.VY + j], s[r.VZ + j]
        x, y, z = s[r.X + j] + h * vx, s[r.Y + j] + h * vy, s[r.Z + j] + h * vz
        hx, hy, ox, oy = s[r.ALONG_X + j], s[r.ALONG_Y + j], s[r.OUT_X + j], s[r.OUT_Y + j]
        dx, dy, lowest = x - s[r.EDGE_X + j], y - s[r.EDGE_Y + j], s[r.LOWEST + j]
        s[r.X + j], s[r.Y + j], s[r.Z + j] = x, y, z
        s[r.LOWEST + j] = min(z, lowest)
        s[r.WALL_AWAY + j] = s[r.WALL_X + j] * x + s[r.WALL_Y + j] * y - s[r.WALL_AT + j]
        s[r.LEVEL + j], s[r.OUT + j], s[r.UP + j] = dx * hx + dy * hy, dx * ox + dy * oy, z - s[r.EDGE_Z + j]
        s[r.V_LEVEL + j], s[r.V_OUT + j] = vx * hx + vy * hy, vx * ox + vy * oy


def place_folded(s: Floats) -> None:
    """The same, with the wall unfolded round its corner: what lies beyond it and behind the plane becomes one way."""
    place(s)
    for j in range(USED):
        level, out, v_level, v_out = s[r.LEVEL + j], s[r.OUT + j], s[r.V_LEVEL + j], s[r.V_OUT + j]
        past, short = level - s[r.CORNER_HIGH + j], s[r.CORNER_LOW + j] - level
        # a body that lies against the wall round the corner is at it but for rounding
        at_high, at_low = (1.0 if past >= -_BESIDE else 0.0), (1.0 if short >= -_BESIDE else 0.0)
        past, short = max(0.0, past), max(0.0, short)
        beyond = past - short
        behind = min(0.0, out)
        way = math.sqrt(beyond * beyond + behind * behind)
        corner = max(1e-12, way)
        sense = 1.0 if at_high > 0.0 else -1.0
        folded = 1.0 if (at_high + at_low > 0.0) & (behind < 0.0) else 0.0
        flat = 1.0 - folded
        turn_h, turn_n = flat + folded * sense * beyond / corner, folded * sense * behind / corner
        s[r.LEVEL + j] = level + folded * (sense * corner - beyond)
        s[r.OUT + j] = flat * out
        s[r.V_LEVEL + j], s[r.V_OUT + j] = v_level * turn_h + v_out * turn_n, flat * v_out
        s[r.TURN_H + j], s[r.TURN_N + j] = turn_h, turn_n


def run_straight(s: Floats) -> None:
    """Put the bend of a rope that runs straight where it would bend, were it to touch the edge."""
    for j in range(USED):
        c, t, p, q, place = s[r.EDGE_COS + j], s[r.EDGE_SIN + j], s[r.IMAGE_S + j], s[r.IMAGE_Q + j], s[r.BEND + j]
        level, out, up = s[r.LEVEL + j], s[r.OUT + j], s[r.UP + j]
        u, w = level * c + up * t, up * c - level * t
        across = math.sqrt(out * out + w * w)
        one = 1.0 / max(across + q, 1e-12)
        taut = (p * across + u * q) * one
        taut = min(s[r.HIGH + j], max(s[r.LOW + j], taut))
        free = s[r.ON + j] * (1.0 - s[r.IS_BENT + j])
        s[r.BEND + j] = taut if free > 0.0 else place


def measure(s: Floats) -> None:
    """Lengths of both sides of the rope, its pull, and how they change as the bend moves.

    There is a bend unless the body is above the plane of edge and image; the rope then runs straight from the image.
    """
    for j in range(USED):
        c, t, place = s[r.EDGE_COS + j], s[r.EDGE_SIN + j], s[r.BEND + j]
        level, out, up, v_level, v_out = s[r.LEVEL + j], s[r.OUT + j], s[r.UP + j], s[r.V_LEVEL + j], s[r.V_OUT + j]
        # speed upward is the same in both frames
        vz = s[r.VZ + j]
        u, w = level * c + up * t, up * c - level * t
        vu, vw = v_level * c + vz * t, vz * c - v_level * t
        p, q, mn, mw = s[r.IMAGE_S + j], s[r.IMAGE_Q + j], s[r.IMAGE_OUT + j], s[r.IMAGE_UP + j]
        bent = 1.0 if (out * mw - w * mn < 0.0) & (s[r.WALL_AWAY + j] >= -_BESIDE) else 0.0
        straight = 1.0 - bent
        to_image = place - p
        side = math.sqrt(to_image * to_image + q * q)
        one_side = 1.0 / max(side, 1e-12)
        cos_f, sin_f = to_image * one_side, q * one_side
        du, dn, dw = u - place + straight * to_image, out - straight * q * mn, w - straight * q * mw
        near = math.sqrt(du * du + dn * dn + dw * dw)
        near = max(1e-9, near)
        one = 1.0 / near
        au, an, aw = -du * one, -dn * one, -dw * one
        lengthens = -(au * vu + an * v_out + aw * vw)
        level_pull = au * c - aw * t
        before, round_ = s[r.BEYOND + j], s[r.ROUND_FROM + j] + level
        least, most = s[r.ROUND_LOW + j], s[r.ROUND_HIGH + j]
        s[r.ROUND_LOW + j], s[r.ROUND_HIGH + j] = min(round_, least), max(round_, most)
        s[r.IS_BENT + j] = bent
        s[r.BEYOND_BEFORE + j] = before
        s[r.BEYOND + j] = s[r.OFFSET + j] + side
        s[r.NEAR + j] = near - straight * side
        s[r.PULL_X + j] = level_pull * s[r.ALONG_X + j] + an * s[r.OUT_X + j]
        s[r.PULL_Y + j] = level_pull * s[r.ALONG_Y + j] + an * s[r.OUT_Y + j]
        s[r.PULL_Z + j] = au * t + aw * c
        s[r.COS_N + j] = au
        s[r.COS_RATE + j] = -(vu + au * lengthens) * one
        s[r.COS_F + j] = cos_f
        s[r.CURVE_N + j] = (1.0 - au * au) * one
        s[r.CURVE_F + j] = sin_f * sin_f * one_side
        s[r.CROSS + j] = -(an * mn + aw * mw) * sin_f
        s[r.ACROSS_F + j] = sin_f * sin_f


def turn_back(s: Floats) -> None:
    """Turn the level part of the pull from the unfolded wall's frame into the world's."""
    for j in range(USED):
        px, py, turn_h, turn_n = s[r.PULL_X + j], s[r.PULL_Y + j], s[r.TURN_H + j], s[r.TURN_N + j]
        hx, hy, ox, oy = s[r.ALONG_X + j], s[r.ALONG_Y + j], s[r.OUT_X + j], s[r.OUT_Y + j]
        folded = 1.0 if turn_n != 0.0 else 0.0
        level, out = px * hx + py * hy, px * ox + py * oy
        along, aside = level * turn_h, level * turn_n + out
        s[r.PULL_X + j] = px + folded * (along * hx + aside * ox - px)
        s[r.PULL_Y + j] = py + folded * (along * hy + aside * oy - py)
