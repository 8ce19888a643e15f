"""Which edges a line lets a worker reach, and where it comes taut in a fall over them.

::

        D   D-ring of the standing worker, h above the edge
        |
        E---- edge        l(A, E): taut rope from the anchor A to the edge
        |
        x   D-ring where the rope comes taut: l(A, x) = L
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.path import TautPaths

__all__ = ["FallGeometry", "RopeOver", "fall_geometry", "rope_over"]

Floats = NDArray[np.float64]

#: Heights at which the D-ring is looked at, from the edge (lying) to standing; 9 leave 2 cm after one refinement.
_STANCES = 9


@dataclass(frozen=True)
class RopeOver:
    """Taut rope from one anchor to one worker's D-ring above each of n edge points; depends on no line length."""

    heights: Floats  #: (k,) D-ring above the edge, from 0 to standing [m]
    lengths: Floats  #: (n, k) taut rope from the anchor to a D-ring there [m]
    turn: Floats  #: (n,) angle by which the rope bends over the edge when a body hangs below it [rad]

    @property
    def to_edge(self) -> Floats:
        """Taut rope from the anchor to the edge itself, shape (n,). [m]"""
        edge: Floats = self.lengths[:, 0]
        return edge

    @property
    def nearest(self) -> Floats:
        """Shortest rope with which the worker gets to the edge, standing or bent, shape (n,). [m]"""
        nearest: Floats = self.lengths.min(axis=1)
        return nearest


@dataclass(frozen=True)
class FallGeometry:
    """A fall over each of n edge points on a given length of rope; nan where the edge is not reached."""

    reached: NDArray[np.bool_]  #: (n,)
    start: Floats  #: (n,) D-ring above the edge as the fall begins [m]
    taut: Floats  #: (n,) D-ring above the edge where the rope comes taut, negative below it [m]

    @property
    def free_fall(self) -> Floats:
        """Drop of the D-ring until the rope is taut, shape (n,). [m]"""
        drop: Floats = self.start - self.taut
        return drop


def rope_over(paths: TautPaths, points: Floats, d_ring: float) -> RopeOver:
    """Taut rope to the D-ring over each edge point, at stances from lying to standing.

    Parameters
    ----------
    paths : TautPaths
        Of the anchor.
    points : array, shape (n, 3)
        On the edges. [m]
    d_ring : float
        Dorsal D-ring above the soles, standing, above 0. [m]

    Returns
    -------
    RopeOver
    """
    heights = np.linspace(0.0, d_ring, _STANCES)
    raised = points[:, None, :] + heights[None, :, None] * np.array([0.0, 0.0, 1.0])
    lengths = paths.lengths(raised.reshape(-1, 3)).reshape(len(points), _STANCES)
    return RopeOver(heights=heights, lengths=lengths, turn=_turn_at_edge(paths, points))


def _turn_at_edge(paths: TautPaths, points: Floats) -> Floats:
    """Angle between the rope coming down to the edge and a rope hanging plumb from it, shape (n,). [rad]"""
    coming = points - paths.last_bends(points)
    length = np.linalg.norm(coming, axis=1)
    down = np.divide(-coming[:, 2], length, out=np.ones_like(length), where=length > 1e-9)
    turn: Floats = np.arccos(np.clip(down, -1.0, 1.0))
    return turn


def fall_geometry(rope: RopeOver, length: Floats) -> FallGeometry:
    """Where each fall begins and where its rope comes taut.

    Parameters
    ----------
    rope : RopeOver
    length : array, shape (n,)
        Anchor to D-ring, everything out, unstretched. [m]

    Returns
    -------
    FallGeometry
        The D-ring starts as high as the rope lets it; errs to the longer fall by at most one step of height.

    Notes
    -----
    An edge counts as reached as soon as one stance between lying and standing gets there, not only when the rope
    reaches the edge itself: a rope from a high anchor is shorter to the back of a standing worker than to the feet.
    Below the edge the rope grows by what the body drops, l(A, E - s z) = l(A, E) + s.
    """
    allowed = rope.lengths <= length[:, None]
    reached: NDArray[np.bool_] = np.asarray(allowed.any(axis=1))
    last = len(rope.heights) - 1
    top = last - np.argmax(allowed[:, ::-1], axis=1)
    start = np.where(reached, rope.heights[top], np.nan)
    # The fall goes down from `top` until a stance is not allowed any more: the rope is taut between the two.
    below_top = np.arange(last + 1) < top[:, None]
    barred = below_top & ~allowed
    first_barred = last - np.argmax(barred[:, ::-1], axis=1)
    hangs_above = barred.any(axis=1)
    taut = np.where(hangs_above, rope.heights[first_barred], rope.to_edge - length)
    return FallGeometry(reached=reached, start=start, taut=np.where(reached, taut, np.nan))
