"""What falls in three dimensions have come to: what each met, and where a body hangs once it is still."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest import motion_march as m
from ropewright.arrest import motion_rows as r
from ropewright.arrest.motion_blocks import MotionBlocks

__all__ = ["hang_of", "met_of"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Halvings of a stretch of edge in search of where a rope stays.
_HALVINGS = 60


def met_of(b: MotionBlocks) -> tuple[Integers, Integers, Floats, Floats]:
    """Outcome of each fall, the thing it met (-1: none; -2: its own floor), and where, shape (n, 3), and when.

    A thing is an index of the scene's things, or beyond those that of an edge of the rim.
    """
    whole, real = b.whole[b.lane], b.real[b.lane]
    hit, first = whole[:, m.HIT], whole[:, m.THINGS]
    met = [b.which[g][k - f] if k >= 0 else k for g, k, f in zip(b.group, hit, first, strict=True)]
    return whole[:, m.STATUS], np.array(met, np.int64), real[:, m.PLACE : m.PLACE + 3], real[:, m.WHEN]


def hang_of(b: MotionBlocks) -> tuple[Floats, Floats, Floats]:
    """Where each body hangs still, shape (n, 3), where its rope then bends, (n, 3), and how far round that is, (n,).

    From where the bend is now it moves to where friction holds it; the rope carries the weight with its first spring
    alone, as if the edge let it run freely.
    """
    windows, links = b.tables[:2]
    row, place = _settled(windows, links, b.whole[b.lane, m.WINDOW], b.get(r.BEND), b.get(r.EDGE_FRICTION))
    at = windows[row]
    c = at[:, 7]
    bend = at[:, :3] + place[:, None] * np.column_stack([at[:, 3] * c, at[:, 4] * c, at[:, 8]])
    p, weight = b.parts, b.parts.weight
    locked = np.maximum(weight - b.get(r.LOCK_FORCE), 0.0) * b.get(r.LOCK_GIVE)
    stretch = weight / p.stiffness + weight * p.compliance + locked + b.get(r.SLIP_1) + b.get(r.SLIP_2)
    beyond = at[:, 11] + np.hypot(place - at[:, 12], at[:, 13])
    body = bend - np.outer(b.get(r.LENGTH) + stretch - beyond, [0.0, 0.0, 1.0])
    # past the end of its edge it is counted to that end alone
    now = b.whole[b.lane, m.WINDOW]
    end = np.where(b.get(r.LEVEL) > 0.5 * windows[now, 18], windows[now, 18], 0.0)
    level = np.where(links[now, 2] == links[row, 2], place * c, end)
    return body, bend, b.get(r.ROUND_FROM) + level


def _settled(
    windows: Floats, links: Integers, row: Integers, place: Floats, friction: Floats
) -> tuple[Integers, Floats]:
    """Window and place at which the bend stays under a body that hangs plumb, from where it is."""
    row, place = row.copy(), place.copy()
    moving = np.arange(len(row))
    for _ in range(len(windows)):
        wants = _wants(windows[row[moving]], place[moving], friction[moving])
        moving, wants = moving[wants != 0.0], wants[wants != 0.0]
        if not len(moving):
            break
        here, mu = windows[row[moving]], friction[moving]
        end = np.where(wants > 0.0, here[:, 10], here[:, 9])
        stays = _wants(here, end, mu) * wants <= 0.0
        low, high = place[moving], end.copy()
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            on = _wants(here, middle, mu) * wants > 0.0
            low, high = np.where(on, middle, low), np.where(on, high, middle)
        other = np.where(wants > 0.0, links[row[moving], 0], links[row[moving], 1])
        there = np.where(wants > 0.0, windows[other, 9], windows[other, 10])
        goes = ~stays & (other >= 0) & (_wants(windows[other], there, mu) * wants > 0.0)
        place[moving] = np.where(stays, high, np.where(goes, there, end))
        row[moving] = np.where(goes, other, row[moving])
        moving = moving[goes]
    return row, place


def _wants(at: Floats, place: Floats, friction: Floats) -> Floats:
    """Which way the rope of a body that hangs plumb wants to move, and how much by a unit of its weight, shape (n,)."""
    side = np.maximum(np.hypot(place - at[:, 12], at[:, 13]), 1e-12)
    cos_n, cos_f, sin_f = at[:, 8], (place - at[:, 12]) / side, at[:, 13] / side
    across = 1.0 - cos_n**2 + sin_f**2 - 2.0 * at[:, 7] * at[:, 15] * sin_f
    drives = cos_n + cos_f
    wants: Floats = -np.copysign(np.maximum(np.abs(drives) - friction * np.sqrt(np.maximum(across, 0.0)), 0.0), drives)
    return wants
