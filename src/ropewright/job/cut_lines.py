"""Lines of a job as pieces to be cut: each part of their length told, so that a person can check the sum."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from ropewright.errors import FileError, InputErrors
from ropewright.job.file import read_job
from ropewright.job.line_ends import Part, end_parts, stopper_parts, tied_end
from ropewright.job.line_strength import line_strength
from ropewright.job.model import Job, Line
from ropewright.job.reading import Faults, Table, nearest_name
from ropewright.job.rig import Rig, rigs_of
from ropewright.job.work import Work
from ropewright.quantity import Dimension
from ropewright.rope.cutting import Piece
from ropewright.rope.names import canonical_termination
from ropewright.rope.strength import StrengthChain

__all__ = ["LineAsked", "LineToCut", "LinesAsked", "lines_to_cut", "read_lines"]

_REACHES = ("stop", "edge", "ground")
_SPARE = (0.0, 100.0)


@dataclass(frozen=True, slots=True)
class LineToCut:
    """One line of a job, ready to be cut.

    Parameters
    ----------
    name : str
    rope : str
        What the spools of its rope are called in the cutting list.
    parts : tuple of Part
    termination : str
        How it is ended.
    strength : StrengthChain
        Of its rope as it is today with that end, under the job's rules.
    differs : bool
        True if the job's plan has it ended otherwise.
    """

    name: str
    rope: str
    parts: tuple[Part, ...]
    termination: str
    strength: StrengthChain
    differs: bool = False

    @property
    def length(self) -> float:
        """All parts together. [m]"""
        return sum(part.length for part in self.parts)

    @property
    def piece(self) -> Piece:
        """Piece of the cutting list."""
        return Piece(self.name, self.length)


@dataclass(frozen=True, slots=True)
class LineAsked:
    """How a line of a job is to be cut.

    Parameters
    ----------
    reach : str
        ``stop``: anchor to the stop; ``edge``: at least to the farthest edge point that the line reaches;
        ``ground``: from there at least down to what lies below.
    end : float, optional
        Rope that one end takes, in place of the knot's own. [m]
    tail : float, optional
        Left standing out at each end, in place of the knot's own. [m]
    spare : float
        Added to each line. [m]
    termination : str, optional
        How it is ended, in place of what the job says.
    """

    reach: str = "stop"
    end: float | None = None
    tail: float | None = None
    spare: float = 0.0
    termination: str | None = None


@dataclass(frozen=True, slots=True)
class LinesAsked:
    """How all lines of a job are to be cut.

    Parameters
    ----------
    common : LineAsked
        For every line that is not told of by itself.
    own : mapping of str to LineAsked
        Of single lines, by name.
    """

    common: LineAsked = field(default_factory=LineAsked)
    own: Mapping[str, LineAsked] = field(default_factory=dict)

    def of(self, line: str) -> LineAsked:
        """How one line is to be cut."""
        return self.own.get(line, self.common)


def read_lines(top: Table, folder: Path, faults: Faults) -> tuple[LineToCut, ...]:
    """Lines of the job that a cutting list names, none if it names none; faults are kept.

    Parameters
    ----------
    top : Table
        The cutting list.
    folder : Path
        Where the job's file is looked for.
    faults : Faults
    """
    told, single = top.table("lines"), top.tables("line")
    common = LineAsked() if told is None else _asked(told, LineAsked())
    if told is not None:
        told.close()
    own = _own_lines(single, common)
    if top.get("job") is None:
        if told is not None or single:
            top.fault("job", None, "give the file of the job whose lines [lines] and [[line]] speak of")
        return ()
    path = top.file("job", folder)
    return () if path is None else _read(path, common, own, top, faults)


def _asked(table: Table, common: LineAsked) -> LineAsked:
    end, tail, spare = (table.quantity(key, Dimension.LENGTH, _SPARE) for key in ("end", "tail", "spare"))
    return LineAsked(
        reach=table.choice("reach", _REACHES, default=common.reach),
        end=common.end if end is None else end,
        tail=common.tail if tail is None else tail,
        spare=common.spare if spare is None else spare,
    )


def _own_lines(tables: Sequence[Table], common: LineAsked) -> dict[str, tuple[Table, LineAsked]]:
    """Read what is told of single lines, by name; each line once."""
    own: dict[str, tuple[Table, LineAsked]] = {}
    for table in tables:
        name = table.text("name", required="give the name of a line of the job")
        if name in own:
            table.fault("name", name, "this line has a heading already; give each line one")
        own[name] = table, _own(table, common)
    return own


def _own(table: Table, common: LineAsked) -> LineAsked:
    """One line's own; rope that an end takes is that of another end where the line is ended otherwise."""
    ended = table.word("termination", canonical_termination) if table.get("termination") is not None else None
    asked = replace(_asked(table, replace(common, end=None) if ended else common), termination=ended)
    table.close()
    return asked


_Own = Mapping[str, tuple[Table, LineAsked]]


def _read(path: Path, common: LineAsked, own: _Own, top: Table, faults: Faults) -> tuple[LineToCut, ...]:
    try:
        job = read_job(path)
    except (FileError, InputErrors) as error:
        top.fault("job", str(path), f"give a job that 'ropewright plan' can use ({error})")
        return ()
    names = [line.name for line in job.lines]
    for name, (table, _) in own.items():
        if name and name not in names:
            table.fault("name", name, f"the job has no line of this name, {nearest_name(name, names)}")
    asked = LinesAsked(common, {name: one for name, (_, one) in own.items()})
    for line in job.lines:
        one = asked.of(line.name)
        ended = _ended(line, one)
        if one.end is None and tied_end(ended) is None:
            where = f"line {line.name!r}"
            expected = f"give the rope that its end takes ('{ended.termination}'), from its maker, as end"
            faults.add(where, ended.termination, f"{expected}, in [lines] or in a [[line]] of its own")
    return () if faults.found else tuple(lines_to_cut(job, asked))


def _ended(line: Line, asked: LineAsked) -> Line:
    """Line with the end that is asked for."""
    return line if asked.termination is None else replace(line, termination=asked.termination)


def lines_to_cut(job: Job, asked: LinesAsked) -> Iterator[LineToCut]:
    """Lines of a job with all parts of their length.

    Parameters
    ----------
    job : Job
    asked : LinesAsked
        With `end` where a line is ended with no knot that is drawn.

    Yields
    ------
    LineToCut

    Raises
    ------
    ValueError
        If the rope that an end takes is neither told nor known from a knot.

    Notes
    -----
    A line is never cut shorter than its stop is set. Where `edge` and `ground` are asked for, it is long enough for
    the worst of all points that it reaches with its lanyard. Errs long.
    """
    work, rigs = Work(), rigs_of(job)
    for planned in job.lines:
        told = asked.of(planned.name)
        line = _ended(planned, told)
        own = [rig for rig in rigs if rig.line.name == line.name]
        rope = line.rope
        name = f"{rope.fibre}, {rope.construction}, {rope.diameter * 1000:.1f} mm"
        parts = tuple(_parts(job, line, own, told, work))
        differs = line.termination != planned.termination
        yield LineToCut(line.name, name, parts, line.termination, line_strength(line, job.pack), differs)


def _parts(job: Job, line: Line, rigs: list[Rig], asked: LineAsked, work: Work) -> Iterator[Part]:
    yield Part("anchor to stop", line.length)
    if asked.reach != "stop":
        down = asked.reach == "ground"
        need = max((_needed(job, rig, work, down=down) for rig in rigs), default=0.0)
        yield Part(f"on to the {'ground' if down else 'edge'}", max(0.0, need - line.length))
    yield from end_parts("end at the anchor", line, end=asked.end, tail=asked.tail)
    if line.grab is None:  # the lanyard is fixed to the far end
        yield from end_parts("end at the lanyard", line, end=asked.end, tail=asked.tail)
    else:
        yield from stopper_parts(line, tail=asked.tail)
    if asked.spare:
        yield Part("spare", asked.spare)


def _needed(job: Job, rig: Rig, work: Work, *, down: bool) -> float:
    """Rope to the worst edge point that the line reaches with its lanyard, or on from there down to what is below."""
    over, edges = work.over(job, rig), work.edges(job)
    drop = edges.points[:, 2] - work.below(job).tops if down else 0.0
    reached = over.to_edge <= rig.line.reach
    return float(np.max(over.to_edge + drop, where=reached, initial=0.0))
