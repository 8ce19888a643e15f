"""Every pattern that fills its spool almost to the end: all that a cutting near the bound can be made of."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ropewright.rope.cutting_patterns import Pattern, Stock, doubling

__all__ = ["tight_patterns"]


def tight_patterns(stock: Stock, slack: int, *, most: int = 20_000) -> list[Pattern] | None:
    """All patterns that leave at most so much of their spool, if they are few.

    Parameters
    ----------
    stock : Stock
        Of which nothing goes back.
    slack : int
        Steps, 0 or more.
    most : int
        Patterns that are counted as few.

    Returns
    -------
    list of Pattern or None
        None if there are more.
    """
    found: list[Pattern] = []
    for kind, many in enumerate(stock.supply):
        if not many:
            continue
        room = stock.lengths[kind] + stock.per_cut
        reach = _counted_reach(stock, room)
        for counts in _fillings(stock, room, slack + stock.per_cut, reach, most):
            if len(found) >= most:
                return None
            found.append(stock.pattern(kind, counts))
    return found


def _counted_reach(stock: Stock, room: int) -> list[NDArray[np.int64]]:
    """For each size, how many sums up to each length can be made of it and the sizes after it, one entry more."""
    reach = np.zeros(room + 1, bool)
    reach[0] = True
    counted = [np.concatenate([[0], np.cumsum(reach)])]
    for size, need in zip(reversed(stock.sizes), reversed(stock.demand), strict=True):
        for many in doubling(min(need, room // size)):
            fuller = reach.copy()
            fuller[many * size :] |= reach[: -many * size]
            reach = fuller
        counted.append(np.concatenate([[0], np.cumsum(reach)]))
    return counted[::-1]


def _fillings(stock: Stock, room: int, slack: int, reach: list[NDArray[np.int64]], most: int) -> Iterator[list[int]]:
    """Yield counts of each size that leave at most `slack` of a length, one more than `most` at the latest."""
    waiting: list[tuple[list[int], int]] = [([], room)]
    while waiting and most >= 0:
        counts, left = waiting.pop()
        at = len(counts)
        if at == len(stock.sizes):
            most -= 1
            yield counts
            continue
        for many in range(min(stock.demand[at], left // stock.sizes[at]) + 1):
            rest = left - many * stock.sizes[at]
            sums = reach[at + 1]
            if sums[rest + 1] > sums[max(rest - slack, 0)]:  # the sizes after this can come so near
                waiting.append(([*counts, many], rest))
