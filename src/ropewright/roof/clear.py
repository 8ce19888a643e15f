"""Which straight segments go clear of the building."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.pieces import Pieces

__all__ = ["ClearTest"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: Segments times pieces looked at in one go; larger arrays fall out of the cache.
_BATCH = 60_000
#: A stretch inside one piece shorter than this is a corner touched: seams reach past corners by some 1e-9 m. [m]
_CHORD = 1e-6


class ClearTest:
    """Tells which segments go nowhere deeper than touching into the solid under some pieces of roof.

    Parameters
    ----------
    pieces : Pieces
    """

    def __init__(self, pieces: Pieces) -> None:
        counts = np.diff(pieces.first)
        # pieces with fewer half-planes than the most are filled up with one that is true everywhere
        self._halves = np.zeros((int(counts.max()), 3, len(counts)))
        self._halves[:, 2, :] = 1.0
        for k, (start, count) in enumerate(zip(pieces.first, counts, strict=False)):
            self._halves[:count, :, k] = pieces.halves[start : start + count]
        self._planes = pieces.planes.T.copy()
        self._boxes = pieces.boxes
        self._give = pieces.give

    def __call__(self, p: Floats, q: Floats) -> Bools:
        """True for each segment p-q, shape (n, 3) each, that stays outside."""
        step = max(1, _BATCH // self._planes.shape[1])
        if len(p) <= step:
            return self._batch(p, q)
        return np.concatenate([self._batch(p[k : k + step], q[k : k + step]) for k in range(0, len(p), step)])

    def _batch(self, p: Floats, q: Floats) -> Bools:
        """Clip every segment to every piece in plan; the depth is linear along it, so its ends tell."""
        low, high = np.zeros((len(p), self._planes.shape[1])), np.ones((len(p), self._planes.shape[1]))
        px, py, qx, qy = p[:, 0, None], p[:, 1, None], q[:, 0, None], q[:, 1, None]
        for a, b, c in self._halves:
            at_p, at_q = a * px + b * py + c, a * qx + b * qy + c
            cut = at_p / np.where(at_p == at_q, 1.0, at_p - at_q)
            low = np.where(at_p < 0.0, np.maximum(low, cut), low)
            high = np.where(at_q < 0.0, np.minimum(high, cut), high)
            high[(at_p <= 0.0) & (at_q <= 0.0)] = -1.0
        a, b, c = self._planes
        deep_p, deep_q = a * px + b * py + c - p[:, 2, None], a * qx + b * qy + c - q[:, 2, None]
        rise = deep_q - deep_p
        deepest = np.maximum(deep_p + low * rise, deep_p + high * rise)
        inside = (high - low) * np.sqrt(((q - p) ** 2).sum(axis=1))[:, None]
        clear: Bools = ~((inside > _CHORD) & (deepest > self._give)).any(axis=1)
        return clear
