"""Plain cuttings to begin with: spools filled to the last step one after the other, and which spools to open."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from operator import gt, mul

import numpy as np
from numpy.typing import NDArray

from ropewright.rope.cutting_patterns import Pattern, Stock, doubling, first_fit, price

__all__ = ["good_start", "least_consumed", "rounded", "spool_sets"]

Bools = NDArray[np.bool_]

#: Fractions are rounded up from one less these. [-]
_ROUND_UP = (0.0, 0.3, 0.5, 0.7)
#: Time for what a rounding leaves. [s]
_SHORT = 0.05


def good_start(stock: Stock, *, until: float) -> list[Pattern]:
    """A cutting that wastes little: the best of several plain ones.

    Parameters
    ----------
    stock : Stock
    until : float
        Of the monotonic clock. [s]

    Returns
    -------
    list of Pattern
        One a spool; it leaves uncut what did not fit.
    """
    best = min((first_fit(stock), *(_filled(stock, kinds) for kinds in _orders(stock))), key=partial(price, stock))
    for kinds in spool_sets(stock):
        # they come in order of length: what already consumes no more can't be bettered by them
        if time.monotonic() > until or price(stock, best) <= _length(stock, kinds):
            break
        best = min(best, _filled(stock, kinds), key=partial(price, stock))
    return best


def rounded(stock: Stock, patterns: Sequence[Pattern], fractions: Sequence[float]) -> list[Pattern]:
    """A cutting near one in fractions of patterns: whole ones first, then what is left cut as well as it can be.

    Parameters
    ----------
    stock : Stock
    patterns : sequence of Pattern
    fractions : sequence of float
        How many of each the cutting in fractions takes.

    Returns
    -------
    list of Pattern
        The best of several roundings; it may leave something uncut.
    """
    return min((_rounded(stock, patterns, fractions, up) for up in _ROUND_UP), key=partial(price, stock))


def _rounded(stock: Stock, patterns: Sequence[Pattern], fractions: Sequence[float], up: float) -> list[Pattern]:
    left, spools, taken = list(stock.demand), list(stock.supply), []
    for pattern, share in sorted(zip(patterns, fractions, strict=True), key=lambda pair: -(pair[1] % 1.0)):
        for _ in range(math.floor(share + up)):
            if not spools[pattern.spool] or any(map(gt, pattern.counts, left)):
                break  # never more of a size than is needed: the rest of this spool is better used
            spools[pattern.spool] -= 1
            left = [need - count for need, count in zip(left, pattern.counts, strict=True)]
            taken.append(pattern)
    rest = replace(stock, demand=left, supply=spools)
    return [*taken, *good_start(rest, until=time.monotonic() + _SHORT)] if any(left) else taken


def _length(stock: Stock, kinds: Sequence[int]) -> int:
    return sum(stock.lengths[kind] for kind in kinds)


def _orders(stock: Stock) -> Iterator[list[int]]:
    """Yield the whole stock, shortest spools first and longest first."""
    for sign in (1, -1):
        order = sorted(range(len(stock.lengths)), key=lambda kind: sign * stock.lengths[kind])
        yield [kind for kind in order for _ in range(stock.supply[kind])]


def _filled(stock: Stock, kinds: Sequence[int]) -> list[Pattern]:
    """Fill spools one after the other, each as full as the pieces left can fill it, with long pieces first."""
    left = list(stock.demand)
    patterns = []
    for kind in kinds:
        if not any(left):
            break
        counts = _fullest(stock, left, stock.lengths[kind] + stock.per_cut)
        if any(counts):
            patterns.append(stock.pattern(kind, counts))
            left = [need - count for need, count in zip(left, counts, strict=True)]
    return patterns


def _fullest(stock: Stock, left: Sequence[int], room: int) -> list[int]:
    """How many of each size come nearest to filling a length; of equals, those with long pieces."""
    bundles = [
        (i, many)
        for i in reversed(range(len(left)))  # short first, so that tracing back takes long ones first
        for many in doubling(min(left[i], room // stock.sizes[i]))
    ]
    reach = np.zeros(room + 1, bool)
    reach[0] = True
    before: list[Bools] = []
    for i, many in bundles:
        before.append(reach)
        width = many * stock.sizes[i]
        if width <= room:
            reach = reach.copy()
            reach[width:] |= before[-1][:-width]
    at = int(np.flatnonzero(reach)[-1])
    counts = [0] * len(left)
    for (i, many), was in zip(reversed(bundles), reversed(before), strict=True):
        width = many * stock.sizes[i]
        if width <= at and was[at - width]:
            counts[i] += many
            at -= width
    return counts


def least_consumed(stock: Stock) -> int:
    """Least rope that all pieces consume, however they are cut, in steps: a bound that costs little.

    Where nothing goes back into stock it is the least length of whole spools that has the room.
    """
    if math.isfinite(stock.keep):
        cuts = max(sum(stock.demand) - sum(stock.supply), 0)  # the last cut off a spool may take nothing
        pieces: int = sum(map(mul, stock.sizes, stock.demand))
        return pieces - stock.per_cut * (sum(stock.demand) - cuts)
    whole: int = sum(map(mul, stock.lengths, stock.supply))
    return next((_length(stock, kinds) for kinds in spool_sets(stock)), whole)


def spool_sets(stock: Stock, *, most: int = 60) -> Iterator[list[int]]:
    """Sets of spools with room for all pieces, the least length first: one for each length, longest spools first."""
    needed = sum(map(mul, stock.sizes, stock.demand))
    # room counts the cut that the last piece of each spool may go without
    bundles = [
        (kind, many)
        for kind in sorted(range(len(stock.lengths)), key=lambda kind: stock.lengths[kind])
        for many in doubling(stock.supply[kind])
    ]
    rooms = [many * (stock.lengths[kind] + stock.per_cut) for kind, many in bundles]
    limit = min(sum(rooms), needed + max(stock.lengths) + stock.per_cut)
    reach = np.zeros(limit + 1, bool)
    reach[0] = True
    before: list[Bools] = []
    for room in rooms:
        before.append(reach)
        if room <= limit:
            reach = reach.copy()
            reach[room:] |= before[-1][:-room]
    for total in np.flatnonzero(reach[needed:])[:most] + needed:
        at, kinds = int(total), []
        for (kind, many), room, was in zip(reversed(bundles), reversed(rooms), reversed(before), strict=True):
            if room <= at and was[at - room]:
                kinds += [kind] * many
                at -= room
        yield sorted(kinds, key=lambda kind: stock.lengths[kind])
