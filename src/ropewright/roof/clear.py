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
        self._boxes = pieces.boxes.T.copy()
        self._give = pieces.give

    def __call__(self, p: Floats, q: Floats) -> Bools:
        """True for each segment p-q, shape (n, 3) each, that stays outside."""
        step = max(1, _BATCH // self._planes.shape[1])
        if len(p) <= step:
            return self._batch(p, q)
        return np.concatenate([self._batch(p[k : k + step], q[k : k + step]) for k in range(0, len(p), step)])

    def _batch(self, p: Floats, q: Floats) -> Bools:
        """Clip segments to the pieces whose boxes they meet; the depth is linear along each, so its ends tell.

        A segment in the seam of two pieces, such as one below a ridge, lies on the border of both their boxes.
        """
        x0, x1, y0, y1, top = self._boxes
        low, high = np.minimum(p, q), np.maximum(p, q)
        meets = (low[:, 2, None] < top) & (low[:, 0, None] <= x1) & (high[:, 0, None] >= x0)
        of, piece = np.nonzero(meets & (low[:, 1, None] <= y1) & (high[:, 1, None] >= y0))
        (px, py, pz), (qx, qy, qz) = p[of].T, q[of].T
        start, end = np.zeros(len(of)), np.ones(len(of))
        for a, b, c in self._halves[:, :, piece]:
            at_p, at_q = a * px + b * py + c, a * qx + b * qy + c
            cut = at_p / np.where(at_p == at_q, 1.0, at_p - at_q)
            start = np.where(at_p < 0.0, np.maximum(start, cut), start)
            end = np.where(at_q < 0.0, np.minimum(end, cut), end)
            end[(at_p <= 0.0) & (at_q <= 0.0)] = -1.0
        a, b, c = self._planes[:, piece]
        deep_p = a * px + b * py + c - pz
        rise = a * qx + b * qy + c - qz - deep_p
        deepest = np.maximum(deep_p + start * rise, deep_p + end * rise)
        inside = (end - start) * np.sqrt(((q - p) ** 2).sum(axis=1))[of]
        clear = np.ones(len(p), dtype=bool)
        clear[of[(inside > _CHORD) & (deepest > self._give)]] = False
        return clear
