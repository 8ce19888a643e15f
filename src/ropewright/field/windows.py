"""Greatest value over stretches of a row of numbers, for all stretches at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Windows"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


class Windows:
    """Answers for any stretch of a row where its greatest value stands.

    Parameters
    ----------
    values : array, shape (n,)
        At least one, no nan.

    Notes
    -----
    Level j holds the place of the greatest of each 2**j neighbours (a sparse table): two of them, overlapping, cover
    any stretch. n log n numbers, no loop over the row.

    Examples
    --------
    >>> Windows(np.array([3.0, 1.0, 4.0, 1.0, 5.0])).greatest(np.array([0, 1]), np.array([2, 3])).tolist()
    [0, 2]
    """

    def __init__(self, values: Floats) -> None:
        self._values = values
        self._levels: list[Integers] = [np.arange(len(values))]
        width = 1
        while 2 * width <= len(values):
            last = self._levels[-1]
            self._levels.append(self._higher(last[:-width], last[width:]))
            width *= 2

    def _higher(self, one: Integers, other: Integers) -> Integers:
        """Of two places each, that with the greater value; the first where they are equal."""
        return np.where(self._values[one] >= self._values[other], one, other)

    def greatest(self, first: Integers, count: Integers) -> Integers:
        """Place of the greatest value among `count` (1 or more) from `first` on, shape (n,)."""
        found = np.empty(len(first), np.int64)
        level = np.log2(count).astype(np.int64)
        for j in np.unique(level):
            at = level == j
            begin, end = first[at], first[at] + count[at] - (1 << int(j))
            found[at] = self._higher(self._levels[j][begin], self._levels[j][end])
        return found

    def run(self, first: Integers, most: Floats, end: Integers) -> Integers:
        """How many values from `first` on, before `end`, are all at most `most`; shape (n,) each."""
        at = first.copy()
        for j in reversed(range(len(self._levels))):
            ahead = at + (1 << j)
            fits = ahead <= end
            place = self._levels[j][np.where(fits, at, 0)]
            at = np.where(fits & (self._values[place] <= most), ahead, at)
        # one pass down the levels takes each power of two once; a run is shorter than twice the greatest of them
        return at - first
