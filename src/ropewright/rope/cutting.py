"""Cutting pieces off spools with the least waste, and how far from the least any cutting could leave it."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import mul

from ropewright.rope.cutting_fill import good_start, least_consumed, rounded
from ropewright.rope.cutting_patterns import Pattern, Stock, bound_and_patterns, chosen, price
from ropewright.rope.cutting_tight import tight_patterns

__all__ = ["Cut", "CuttingPlan", "Piece", "Spool", "cutting_plan"]

#: Lengths are counted in whole steps: the coarsest of these that all of them are multiples of. [m]
_STEPS = (0.0254, 0.01, 0.00635, 0.005, 0.001)
#: Step of lengths that fit none; pieces then count up and spools down, so that no piece comes out short. [m]
_ODD = 0.005
#: Time that choosing among patterns takes at least. [s]
_LEAST = 0.2
#: Rounding of lengths, in steps.
_WHOLE = 1e-6


@dataclass(frozen=True, slots=True)
class Piece:
    """So many pieces of one length that are needed.

    Parameters
    ----------
    name : str
    length : float
        Ready to be cut: ends, tails and spare counted in. [m]
    count : int
    """

    name: str
    length: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Spool:
    """So many spools of one length that are in stock.

    Parameters
    ----------
    name : str
    length : float
        Rope left on it. [m]
    count : int
    """

    name: str
    length: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Cut:
    """What is cut off one spool.

    Parameters
    ----------
    spool : str
    number : int
        Of the spools of this name, from 1.
    pieces : tuple of (str, float)
        Name and length of each, longest first. [m]
    rest : float
        Left on the spool after the cuts. [m]
    """

    spool: str
    number: int
    pieces: tuple[tuple[str, float], ...]
    rest: float


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """How to cut, what is wasted, and what no cutting can better.

    Parameters
    ----------
    cuts : tuple of Cut
        Of the spools that are opened, in the order of the stock.
    uncut : tuple of (str, float)
        Pieces that the stock does not give. [m]
    waste : float
        Rope on opened spools that ends in no piece: rests too short to keep, and what each cut takes. [m]
    bound : float
        Waste that no cutting of these pieces off this stock can go below; nan if the stock does not give them all. [m]
    kept : float
        Rests long enough to go back into stock. [m]
    """

    cuts: tuple[Cut, ...]
    uncut: tuple[tuple[str, float], ...]
    waste: float
    bound: float
    kept: float

    @property
    def proven(self) -> bool:
        """True if all pieces are cut and no cutting wastes less."""
        return not self.uncut and self.waste <= self.bound + _ODD / 2


@dataclass(frozen=True)
class _Counted(Stock):
    """Stock that knows how long its steps are."""

    step: float  #: [m]


def cutting_plan(
    pieces: Sequence[Piece],
    spools: Sequence[Spool],
    *,
    per_cut: float = 0.0,
    keep: float = math.inf,
    seconds: float = 4.0,
) -> CuttingPlan:
    """Cut pieces off spools so that the least rope is wasted.

    Parameters
    ----------
    pieces : sequence of Piece
    spools : sequence of Spool
        Of the same rope.
    per_cut : float
        Rope that each cut takes, such as ends sealed twice, 0 or more. [m]
    keep : float
        Rests at least so long go back into stock and are no waste; without it every rest of an opened spool is. [m]
    seconds : float
        Time after which the best found is given, with its bound. [s]

    Returns
    -------
    CuttingPlan
        The same for the same pieces and stock unless the time runs out.

    Raises
    ------
    ValueError
        If a length is not above 0, a count is below 0, or two pieces or two spools have one name.

    Notes
    -----
    Patterns by column generation (Gilmore and Gomory 1961, from memory): the least cost of fractional patterns bounds
    every cutting from below. The integer program over the patterns found gives the plan. Lengths that are multiples
    of no usual step count in whole half centimetres, pieces up and spools down, and the bound is of those.

    Examples
    --------
    >>> plan = cutting_plan([Piece("eave", 12.0, 3), Piece("rake", 8.0, 3)], [Spool("new", 20.0, 10)])
    >>> len(plan.cuts), plan.waste, plan.proven
    (3, 0.0, True)
    """
    _check(pieces, spools, per_cut)
    pieces, spools = [p for p in pieces if p.count], [s for s in spools if s.count]
    if not pieces or not spools:
        uncut = tuple((piece.name, piece.length) for piece in pieces for _ in range(piece.count))
        return CuttingPlan((), uncut, 0.0, math.nan if uncut else 0.0, 0.0)
    end = time.monotonic() + seconds
    stock, members = _counted(pieces, spools, per_cut, keep)
    plain = good_start(stock, until=time.monotonic() + seconds / 3)
    if stock.is_short:
        return _plan(plain, stock, members, spools, per_cut, keep, math.nan)
    bound, patterns, fractions = bound_and_patterns(
        stock, plain, at_least=least_consumed(stock), until=time.monotonic() + seconds / 3
    )
    best = min((plain, rounded(stock, patterns, fractions)), key=lambda cutting: price(stock, cutting))
    best = chosen(stock, [*patterns, *best], best, at_least=bound, seconds=max((end - time.monotonic()) / 2, _LEAST))
    slack = bound - sum(map(mul, stock.sizes, stock.demand))
    tight = (
        None if math.isfinite(keep) or price(stock, best) < bound + 0.5 else tight_patterns(stock, max(int(slack), 0))
    )
    if tight is not None:
        best = chosen(stock, [*tight, *best], best, at_least=bound, seconds=max(end - time.monotonic(), _LEAST))
    return _plan(best, stock, members, spools, per_cut, keep, bound)


def _check(pieces: Sequence[Piece], spools: Sequence[Spool], per_cut: float) -> None:
    for kind, things in (("piece", pieces), ("spool", spools)):
        for thing in things:
            if not (math.isfinite(thing.length) and thing.length > 0) or thing.count < 0:
                raise ValueError(f"{kind} {thing.name!r}: length must be above 0 and count 0 or more, got {thing}")
        names = [thing.name for thing in things]
        if len(set(names)) < len(names):
            raise ValueError(f"every {kind} needs a name of its own")
    if not (math.isfinite(per_cut) and per_cut >= 0):
        raise ValueError(f"per_cut must be 0 m or more, got {per_cut}")


def _counted(
    pieces: Sequence[Piece], spools: Sequence[Spool], per_cut: float, keep: float
) -> tuple[_Counted, dict[int, list[tuple[str, float]]]]:
    """Lengths in steps, the longest piece first, and which pieces have each size; a cut's loss goes to its piece."""
    step = _step([*(piece.length for piece in pieces), *(spool.length for spool in spools), per_cut])
    members: dict[int, list[tuple[str, float]]] = {}
    for piece in pieces:
        size = math.ceil((piece.length + per_cut) / step - _WHOLE)
        members.setdefault(size, []).extend([(piece.name, piece.length)] * piece.count)
    sizes = sorted((size for size, those in members.items() if those), reverse=True)
    stock = _Counted(
        sizes=sizes,
        demand=[len(members[size]) for size in sizes],
        lengths=[math.floor(spool.length / step + _WHOLE) for spool in spools],
        supply=[spool.count for spool in spools],
        per_cut=math.floor(per_cut / step + _WHOLE),
        keep=keep / step,
        step=step,
    )
    return stock, members


def _step(lengths: Sequence[float]) -> float:
    """Coarsest step that all lengths are multiples of."""

    def fits(step: float) -> bool:
        return all(abs(length / step - round(length / step)) < _WHOLE for length in lengths)

    return next((step for step in _STEPS if fits(step)), _ODD)


def _plan(
    best: Sequence[Pattern],
    stock: _Counted,
    members: dict[int, list[tuple[str, float]]],
    spools: Sequence[Spool],
    per_cut: float,
    keep: float,
    bound: float,
) -> CuttingPlan:
    left = {size: sorted(those, key=lambda piece: -piece[1]) for size, those in members.items()}
    cuts = list(_cuts(best, stock, left, spools, per_cut))
    whole = sum(_length(cut, spools) for cut in cuts)
    kept = sum(cut.rest for cut in cuts if cut.rest >= keep)
    cut_off = sum(length for cut in cuts for _, length in cut.pieces)
    waste = max(whole - kept - cut_off, 0.0)
    uncut = tuple(piece for size in stock.sizes for piece in left[size])
    # what is consumed at least, less the pieces themselves; never above what was found
    least = math.nan if uncut else min(max(bound * stock.step - cut_off, 0.0), waste)
    return CuttingPlan(tuple(cuts), uncut, waste, least, kept)


def _length(cut: Cut, spools: Sequence[Spool]) -> float:
    return next(spool.length for spool in spools if spool.name == cut.spool)


def _cuts(
    best: Sequence[Pattern],
    stock: _Counted,
    left: dict[int, list[tuple[str, float]]],
    spools: Sequence[Spool],
    per_cut: float,
) -> Iterator[Cut]:
    """Name the pieces of each pattern, in the order of the stock."""
    opened = [0] * len(spools)
    for pattern in sorted(best, key=lambda pattern: (pattern.spool, [-count for count in pattern.counts])):
        taken = tuple(_taken(pattern, stock.sizes, left))
        if taken:  # none where other patterns cut more of a size than is needed
            opened[pattern.spool] += 1
            spool = spools[pattern.spool]
            used = sum(length + per_cut for _, length in taken)
            yield Cut(spool.name, opened[pattern.spool], taken, max(spool.length - used, 0.0))


def _taken(
    pattern: Pattern, sizes: Sequence[int], left: dict[int, list[tuple[str, float]]]
) -> Iterator[tuple[str, float]]:
    """Pieces for one pattern, fewer where it cuts more of a size than is needed."""
    for size, count in zip(sizes, pattern.counts, strict=True):
        for _ in range(min(count, len(left[size]))):
            yield left[size].pop(0)
