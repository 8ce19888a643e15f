"""Pieces of one rope with their ends, told in a form, cut off the spools in stock."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ropewright.errors import InputErrors
from ropewright.job.cut_file import LENGTHS, MOST, CutFile, RopeToCut, cut_all, named_alike, read_entries, read_entry
from ropewright.job.line_ends import STOPPER, Part, knot_parts
from ropewright.job.reading import Faults, Table
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.quantity.show import Toward
from ropewright.rope.cutting import CuttingPlan, Piece, Spool
from ropewright.rope.knots import knots, tie

__all__ = ["NO_KNOT", "BenchCut", "EndedPiece", "cut_bench", "end_knots"]

#: End that takes no rope, or whose rope is counted in the length told.
NO_KNOT = "none"
_ENDS = (("end", "first end"), ("far", "other end"))


@dataclass(frozen=True, slots=True)
class EndedPiece:
    """Pieces that are alike.

    Parameters
    ----------
    name : str
    parts : tuple of Part
    count : int
    """

    name: str
    parts: tuple[Part, ...]
    count: int

    @property
    def length(self) -> float:
        """All parts together. [m]"""
        return sum(part.length for part in self.parts)


@dataclass(frozen=True, slots=True)
class BenchCut:
    """A cutting list of one rope, and how it is cut.

    Parameters
    ----------
    asked : CutFile
    pieces : tuple of EndedPiece
    plans : mapping of str to CuttingPlan
        By rope: one.
    """

    asked: CutFile
    pieces: tuple[EndedPiece, ...]
    plans: Mapping[str, CuttingPlan]

    @property
    def plan(self) -> CuttingPlan:
        """Plan of the one rope."""
        return next(iter(self.plans.values()))

    def tape(self, length: float, toward: Toward) -> str:
        """Length as it is measured off by a tape, in the units of the list."""
        return show(length, Dimension.LENGTH, self.asked.units, toward=toward, style="feet-inches")


def end_knots() -> tuple[str, ...]:
    """Names of the knots that a line can be ended with: loops, and the stopper."""
    return tuple(name for name, knot in knots().items() if knot.has_loop or name == STOPPER)


def cut_bench(told: Mapping[str, object], *, seconds: float = 2.0) -> BenchCut:
    """Cut pieces of one rope with their ends.

    Parameters
    ----------
    told : mapping
        ``rope`` (its name), ``units``, ``diameter``, ``per_cut``, ``keep``, ``spare``; ``piece``, a list of
        ``name``, ``length`` between the ends, ``count``, ``end``, ``far``; ``spool``, a list of ``name``, ``length``,
        ``count``. All as text.
    seconds : float
        Time for the search; see `cutting_plan`. [s]

    Raises
    ------
    InputErrors
        All faults of the fields at once.
    """
    faults = Faults()
    top = Table(told, "", faults)
    units = UnitSystem(top.choice("units", [system.value for system in UnitSystem]))
    rope = top.text("rope") or "rope"
    diameter = top.quantity("diameter", Dimension.LENGTH, (0.003, 0.06), required=True) or 0.011
    per_cut = top.quantity("per_cut", Dimension.LENGTH, (0.0, 1.0)) or 0.0
    keep = top.quantity("keep", Dimension.LENGTH, LENGTHS)
    spare = top.quantity("spare", Dimension.LENGTH, (0.0, 100.0)) or 0.0
    top.require("piece", "give at least one line: its name and its length")
    top.require("spool", "give at least one spool: its name and the rope left on it")
    pieces = tuple(_ended(table, diameter, spare) for table in top.tables("piece"))
    named_alike(top, [piece.name for piece in pieces])
    if (wanted := sum(piece.count for piece in pieces)) > MOST:
        top.fault("piece", wanted, f"give {MOST} at most in all")
    spools = tuple(spool for _, spool in read_entries(top, "spool", Spool, needed=False))
    top.close()
    if faults.found:
        raise InputErrors("the cutting list can't be used", faults.found)
    cut = RopeToCut(rope, tuple(Piece(one.name, one.length, one.count) for one in pieces), spools)
    asked = CutFile(units, (cut,), per_cut, math.inf if keep is None else keep)
    return BenchCut(asked, pieces, cut_all(asked, seconds=seconds))


def _ended(table: Table, diameter: float, spare: float) -> EndedPiece:
    options = (NO_KNOT, *end_knots())
    ends = [(said, table.choice(key, options, default=NO_KNOT)) for key, said in _ENDS]
    _, piece = read_entry(table, Piece)
    parts = tuple(_parts(piece.length, ends, diameter, spare))
    return EndedPiece(piece.name, parts, piece.count)


def _parts(length: float, ends: list[tuple[str, str]], diameter: float, spare: float) -> Iterator[Part]:
    yield Part("between the ends", length)
    for said, knot in ends:
        if knot != NO_KNOT:
            yield from knot_parts(said, tie(knots()[knot], diameter))
    if spare:
        yield Part("spare", spare)
