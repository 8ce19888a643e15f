"""Patterns of cuts: which are worth having (a knapsack for each spool), and how many of each (a program)."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from operator import mul

import numpy as np
from numpy.typing import NDArray

from ropewright.programs import quiet_solver

__all__ = [
    "Pattern",
    "Stock",
    "bound_and_patterns",
    "chosen",
    "doubling",
    "first_fit",
    "price",
    "uncut",
]

Floats = NDArray[np.float64]

#: A pattern that gains less than this share of a spool is no gain but rounding. [-]
_NO_GAIN = 1e-7


@dataclass(frozen=True, slots=True)
class Pattern:
    """What may be cut off one spool.

    Parameters
    ----------
    spool : int
        Index of its kind.
    counts : tuple of int
        How many of each size.
    consumed : int
        Steps of rope that do not go back into stock.
    """

    spool: int
    counts: tuple[int, ...]
    consumed: int


@dataclass(frozen=True)
class Stock:
    """Sizes that are needed and spools to cut them off, all in whole steps.

    Parameters
    ----------
    sizes, demand : sequence of int
        Length that a piece takes with its cut, longest first, and how many are needed.
    lengths, supply : sequence of int
        Of the kinds of spool, and how many there are.
    per_cut : int
        Taken by each cut; the last cut off a spool that leaves nothing takes none.
    keep : float
        Rests at least so long go back.
    """

    sizes: Sequence[int]
    demand: Sequence[int]
    lengths: Sequence[int]
    supply: Sequence[int]
    per_cut: int
    keep: float

    def consumed(self, spool: int, used: int) -> int:
        """Steps of a spool that do not go back once so many are used."""
        rest = max(self.lengths[spool] - used, 0)
        return self.lengths[spool] - (rest if rest >= self.keep else 0)

    def pattern(self, spool: int, counts: Sequence[int]) -> Pattern:
        """Return the pattern with these counts."""
        used = sum(size * count for size, count in zip(self.sizes, counts, strict=True))
        return Pattern(spool, tuple(counts), self.consumed(spool, used))

    @cached_property
    def is_short(self) -> bool:
        """True if the stock has not the room for all pieces, however they are cut."""
        room = sum(many * (length + self.per_cut) for length, many in zip(self.lengths, self.supply, strict=True))
        longest = max((length for length, many in zip(self.lengths, self.supply, strict=True) if many), default=0)
        return sum(map(mul, self.sizes, self.demand)) > room or any(
            size > longest + self.per_cut for size in self.sizes
        )

    @cached_property
    def copies(self) -> list[tuple[int, int]]:
        """Each size's demand in bundles of 1, 2, 4, ... pieces: index of the size, and how many."""
        return [(i, many) for i, need in enumerate(self.demand) for many in doubling(min(need, self._most(i)))]

    def _most(self, i: int) -> int:
        return int((max(self.lengths) + self.per_cut) // self.sizes[i])

    @cached_property
    def price_uncut(self) -> int:
        """More than any cutting of one piece can consume: the price of leaving it uncut."""
        return 10 * max(self.lengths)


def uncut(stock: Stock, patterns: Sequence[Pattern]) -> NDArray[np.int64]:
    """Return how many of each size are missing from a cutting."""
    made = sum((np.asarray(pattern.counts) for pattern in patterns), np.zeros(len(stock.sizes), np.int64))
    missing: NDArray[np.int64] = np.maximum(np.asarray(stock.demand) - made, 0)
    return missing


def price(stock: Stock, patterns: Sequence[Pattern]) -> int:
    """Return steps that a cutting consumes, what it leaves uncut at a price that nothing else comes to."""
    return sum(pattern.consumed for pattern in patterns) + stock.price_uncut * int(uncut(stock, patterns).sum())


def doubling(count: int) -> list[int]:
    """Return bundles whose sums are all the numbers up to a count.

    Examples
    --------
    >>> doubling(6)
    [1, 2, 3]
    """
    bundles, next_one = [], 1
    while count > 0:
        bundles.append(min(next_one, count))
        count -= bundles[-1]
        next_one *= 2
    return bundles


def first_fit(stock: Stock) -> list[Pattern]:
    """Patterns of a plain cutting: longest pieces first, each off the first opened spool with room, else a new one."""
    left = list(stock.supply)
    opened: list[tuple[int, int, list[int]]] = []  # kind, room, counts
    order = sorted(range(len(stock.lengths)), key=lambda k: -stock.lengths[k])
    for i, need in enumerate(stock.demand):
        for _ in range(need):
            place = next((at for at, (_, room, _) in enumerate(opened) if room >= stock.sizes[i]), None)
            if place is None:
                fitting = [k for k in order if left[k] and stock.lengths[k] + stock.per_cut >= stock.sizes[i]]
                if not fitting:
                    continue
                left[fitting[0]] -= 1
                opened.append((fitting[0], stock.lengths[fitting[0]] + stock.per_cut, [0] * len(stock.sizes)))
                place = len(opened) - 1
            kind, room, counts = opened[place]
            counts[i] += 1
            opened[place] = (kind, room - stock.sizes[i], counts)
    return [stock.pattern(kind, counts) for kind, _, counts in opened]


def bound_and_patterns(
    stock: Stock, patterns: Sequence[Pattern], *, at_least: float, until: float
) -> tuple[float, list[Pattern], list[float]]:
    """Least rope that any cutting can consume, the patterns that led there, and the cutting in fractions of them.

    Parameters
    ----------
    stock : Stock
    patterns : sequence of Pattern
        A cutting to begin with; if it meets the bound there is nothing left to look for.
    at_least : float
        A bound that is known already, in steps.
    until : float
        Of the monotonic clock. [s]

    Returns
    -------
    tuple of float, list of Pattern and list of float
        The bound in steps, the price of what no stock gives counted in.

    Notes
    -----
    With any prices pi >= 0 of the sizes, sum pi d + sum_k s_k min(0, best reduced cost of spool k) is a bound
    (Lagrange), so one that is stopped early is a bound too.
    """
    found = list(dict.fromkeys(patterns))
    program = _Program(stock, found)
    best = at_least
    consumed = price(stock, patterns)
    while best < consumed - 0.5:
        prices, limits = program.duals()
        fresh, reduced = _worth_having(stock, prices, limits)
        supply = np.asarray(stock.supply, float)
        free = np.minimum(reduced + limits, 0.0)  # reduced cost without the dual of the spools' number
        best = max(best, float(prices @ np.asarray(stock.demand, float) + supply @ free))
        fresh = [pattern for pattern in fresh if pattern not in program.known]
        if not fresh or time.monotonic() > until:
            break
        program.add(fresh)
    return max(_rounded_up(stock, best), at_least), program.patterns, program.fractions()


def _rounded_up(stock: Stock, bound: float) -> float:
    """Bound raised to what whole spools can come to, where nothing goes back into stock."""
    if math.isfinite(stock.keep):
        return bound
    whole = reduce(math.gcd, [*stock.lengths, stock.price_uncut])
    return whole * math.ceil(bound / whole - 1e-6)


def _worth_having(stock: Stock, prices: Floats, limits: Floats) -> tuple[list[Pattern], Floats]:
    """Return the best pattern of each kind of spool at these prices if it gains, and each kind's reduced cost."""
    most = max(stock.lengths) + stock.per_cut
    value = np.full(most + 1, -np.inf)
    value[0] = 0.0
    taken: list[NDArray[np.bool_]] = []
    for i, many in stock.copies:
        width, worth = many * stock.sizes[i], many * prices[i]
        took = np.zeros(most + 1, bool)
        if worth > 0.0 and width <= most:
            with_it = value[:-width] + worth
            took[width:] = with_it > value[width:]
            value[width:] = np.maximum(value[width:], with_it)
        taken.append(took)
    patterns, reduced = [], np.zeros(len(stock.lengths))
    for kind, length in enumerate(stock.lengths):
        used = np.arange(length + stock.per_cut + 1)
        rest = np.maximum(length - used, 0)
        gain = value[: len(used)] - (length - np.where(rest >= stock.keep, rest, 0))
        at = int(gain.argmax())
        reduced[kind] = -float(gain[at]) - limits[kind]
        if reduced[kind] < -_NO_GAIN * length:
            patterns.append(stock.pattern(kind, _counts(stock, taken, at)))
    return patterns, reduced


def _counts(stock: Stock, taken: Sequence[NDArray[np.bool_]], used: int) -> list[int]:
    """Trace back how many of each size fill a length exactly."""
    counts = [0] * len(stock.sizes)
    for (i, many), took in zip(reversed(stock.copies), reversed(taken), strict=True):
        if took[used]:
            counts[i] += many
            used -= many * stock.sizes[i]
    return counts


class _Program:
    """Least rope consumed by fractions of the known patterns; grows by columns."""

    def __init__(self, stock: Stock, patterns: Sequence[Pattern]) -> None:
        self.stock = stock
        self.patterns: list[Pattern] = []
        self.known: set[Pattern] = set()
        self.solver = quiet_solver()
        for need in stock.demand:
            self.solver.addRow(float(need), np.inf, 0, np.empty(0, np.int32), np.empty(0))
        for many in stock.supply:
            self.solver.addRow(-np.inf, float(many), 0, np.empty(0, np.int32), np.empty(0))
        for i, need in enumerate(stock.demand):
            price = float(stock.price_uncut)
            self.solver.addCol(price, 0.0, float(need), 1, np.array([i], np.int32), np.array([1.0]))
        self.add(patterns)

    def add(self, patterns: Sequence[Pattern]) -> None:
        """Take in further patterns; those that are known already are left out."""
        for pattern in dict.fromkeys(patterns):
            if pattern in self.known:
                continue
            rows = [i for i, count in enumerate(pattern.counts) if count]
            index = np.array([*rows, len(self.stock.sizes) + pattern.spool], np.int32)
            values = np.array([*(pattern.counts[i] for i in rows), 1.0], float)
            self.solver.addCol(float(pattern.consumed), 0.0, np.inf, len(index), index, values)
            self.patterns.append(pattern)
            self.known.add(pattern)

    def fractions(self) -> list[float]:
        """How many of each known pattern the least takes."""
        self.solver.run()
        values: list[float] = list(self.solver.getSolution().col_value)
        return values[len(self.stock.sizes) :]

    def duals(self) -> tuple[Floats, Floats]:
        """Prices of the sizes, 0 or more, and of the spools' numbers, 0 or less."""
        self.solver.run()
        duals = np.asarray(self.solver.getSolution().row_dual, float)
        sizes = len(self.stock.sizes)
        return np.maximum(duals[:sizes], 0.0), np.minimum(duals[sizes:], 0.0)


def chosen(
    stock: Stock, patterns: Sequence[Pattern], start: Sequence[Pattern], *, at_least: float, seconds: float
) -> list[Pattern]:
    """Whole numbers of the patterns that consume least, as a list with repeats.

    Parameters
    ----------
    stock : Stock
    patterns : sequence of Pattern
        To choose among.
    start : sequence of Pattern
        A cutting to begin with; what is given is never worse.
    at_least : float
        What no cutting goes below, in steps: if the start meets it, nothing is looked for.
    seconds : float
        Time it may take. [s]
    """
    if price(stock, start) < at_least + 0.5:
        return list(start)
    import highspy

    program = _Program(stock, patterns)
    solver, first = program.solver, len(stock.sizes)
    columns = first + len(program.patterns)
    kinds = np.full(columns, int(highspy.HighsVarType.kInteger), np.uint8)
    solver.changeColsIntegrality(columns, np.arange(columns, dtype=np.int32), kinds)
    # the start is not handed to the solver: HiGHS 1.16 was seen to prove a better cutting and give the start back
    solver.setOptionValue("time_limit", seconds)
    solver.run()
    values = np.asarray(solver.getSolution().col_value, float)
    if len(values) != columns:
        return list(start)
    repeats = np.rint(values[first:]).astype(int)
    found = [pattern for pattern, times in zip(program.patterns, repeats, strict=True) for _ in range(times)]
    return found if price(stock, found) < price(stock, start) else list(start)
