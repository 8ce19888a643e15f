"""The file of a cutting list: pieces that are needed and spools in stock, by the rope they are of."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from ropewright.errors import InputErrors
from ropewright.job.cut_lines import LineToCut, read_lines
from ropewright.job.reading import Faults, Table
from ropewright.job.toml_file import read_toml
from ropewright.quantity import Dimension, UnitSystem
from ropewright.rope.cutting import CuttingPlan, Piece, Spool, cutting_plan

__all__ = [
    "LENGTHS",
    "MOST",
    "CutFile",
    "RopeToCut",
    "cut_all",
    "named_alike",
    "read_cut_file",
    "read_entries",
    "read_entry",
]

_Entry = TypeVar("_Entry", Piece, Spool)

#: Pieces or spools of one entry at most, and of all entries. A list for a crew has tens of them.
MOST = 1000
#: Ends between which a length can be meant at all. [m]
LENGTHS = (0.05, 5000.0)
#: Rope that nobody has named is one rope.
UNNAMED = "rope"


@dataclass(frozen=True)
class RopeToCut:
    """Pieces and spools of one rope.

    Parameters
    ----------
    rope : str
    pieces : tuple of Piece
    spools : tuple of Spool
    """

    rope: str
    pieces: tuple[Piece, ...]
    spools: tuple[Spool, ...]


@dataclass(frozen=True)
class CutFile:
    """A cutting list as it was asked for.

    Parameters
    ----------
    units : UnitSystem
    ropes : tuple of RopeToCut
        In the order in which the pieces name them.
    per_cut : float
        Rope that each cut takes. [m]
    keep : float
        Rests at least so long go back into stock; infinite: none does. [m]
    lines : tuple of LineToCut
        Lines of a job among the pieces, with the parts of their length.
    """

    units: UnitSystem
    ropes: tuple[RopeToCut, ...]
    per_cut: float
    keep: float
    lines: tuple[LineToCut, ...] = ()


def read_cut_file(path: Path) -> CutFile:
    """Cutting list of a TOML file; docs/cut-file.md describes its fields.

    Raises
    ------
    FileError
        If the file can't be read.
    InputErrors
        All faults of the fields at once.
    """
    faults = Faults()
    top = Table(read_toml(path, "a cutting list"), "", faults)
    units = top.choice("units", [system.value for system in UnitSystem])
    per_cut = top.quantity("per_cut", Dimension.LENGTH, (0.0, 1.0)) or 0.0
    keep = top.quantity("keep", Dimension.LENGTH, LENGTHS)
    lines = read_lines(top, path.parent, faults)
    pieces = [
        *((line.rope, line.piece) for line in lines),
        *read_entries(top, "piece", Piece, needed=top.get("job") is None),
    ]
    named_alike(top, [piece.name for _, piece in pieces])
    spools = read_entries(top, "spool", Spool)
    top.close()
    if faults.found:
        raise InputErrors("the cutting list can't be used", [fault.located(str(path)) for fault in faults.found])
    ropes = tuple(_by_rope(pieces, spools))
    return CutFile(UnitSystem(units), ropes, per_cut, math.inf if keep is None else keep, lines)


def named_alike(top: Table, names: Sequence[str], key: str = "piece") -> None:
    """Keep a fault where two entries, lines of the job among them, are called alike."""
    for name in sorted({name for name in names if name and names.count(name) > 1}):
        top.fault(key, name, "give every one a name of its own, and 'count' where several are alike")


def read_entries(top: Table, key: str, kind: type[_Entry], *, needed: bool = True) -> list[tuple[str, _Entry]]:
    """Read the entries of one kind, each with the name of its rope."""
    if needed:
        top.require(key, f"give each {key} its own heading [[{key}]]")
    found = [read_entry(table, kind) for table in top.tables(key)]
    names = [entry.name for _, entry in found]
    if kind is Spool:
        named_alike(top, names, key)
    if sum(entry.count for _, entry in found) > MOST:
        top.fault(key, sum(entry.count for _, entry in found), f"give {MOST} at most in all")
    return found


def read_entry(table: Table, kind: type[_Entry]) -> tuple[str, _Entry]:
    """Read one piece or spool, with the name of its rope; nothing else may stand in its table."""
    rope = table.text("rope") or UNNAMED
    name = table.text("name", required="give it a name, to be found again on its label")
    length = table.quantity("length", Dimension.LENGTH, LENGTHS, required=True) or 1.0
    count = table.quantity("count", Dimension.COUNT, (1, MOST))
    table.close()
    return rope, kind(name, length, 1 if count is None else int(count))


def _by_rope(pieces: Sequence[tuple[str, Piece]], spools: Sequence[tuple[str, Spool]]) -> Iterator[RopeToCut]:
    for rope in dict.fromkeys(rope for rope, _ in pieces):
        own = tuple(piece for name, piece in pieces if name == rope)
        yield RopeToCut(rope, own, tuple(spool for name, spool in spools if name == rope))


def cut_all(asked: CutFile, *, seconds: float = 4.0) -> Mapping[str, CuttingPlan]:
    """Plan of each rope.

    Parameters
    ----------
    asked : CutFile
    seconds : float
        Time for all of them; see `cutting_plan`. [s]
    """
    share = seconds / max(len(asked.ropes), 1)
    return {
        rope.rope: cutting_plan(rope.pieces, rope.spools, per_cut=asked.per_cut, keep=asked.keep, seconds=share)
        for rope in asked.ropes
    }
