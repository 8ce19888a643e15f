"""Lines of a job as pieces to be cut: each part of their length told, so that a person can check the sum."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from ropewright.errors import FileError, InputErrors
from ropewright.job.file import read_job
from ropewright.job.model import Job, Line
from ropewright.job.reading import Faults, Table
from ropewright.job.rig import Rig, rigs_of
from ropewright.job.work import Work
from ropewright.quantity import Dimension
from ropewright.rope.cutting import Piece
from ropewright.rope.knots import TiedKnot, find_knot, knots, tie

__all__ = ["LineAsked", "LineToCut", "Part", "lines_to_cut", "read_lines"]

#: Knot at the free end, so that a grab does not run off it.
_STOPPER = "double overhand stopper"
_REACHES = ("stop", "edge", "ground")
_SPARE = (0.0, 100.0)


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a piece's length.

    Parameters
    ----------
    name : str
    length : float
        [m]
    """

    name: str
    length: float


@dataclass(frozen=True, slots=True)
class LineToCut:
    """One line of a job, ready to be cut.

    Parameters
    ----------
    name : str
    rope : str
        What the spools of its rope are called in the cutting list.
    parts : tuple of Part
    """

    name: str
    rope: str
    parts: tuple[Part, ...]

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
    """How the lines of a job are to be cut.

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
    """

    reach: str = "stop"
    end: float | None = None
    tail: float | None = None
    spare: float = 0.0


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
    told = top.table("lines")
    asked = LineAsked()
    if told is not None:
        end, tail = (told.quantity(key, Dimension.LENGTH, _SPARE) for key in ("end", "tail"))
        reach = told.choice("reach", _REACHES, default="stop")
        asked = LineAsked(reach, end, tail, told.quantity("spare", Dimension.LENGTH, _SPARE) or 0.0)
        told.close()
    if top.get("job") is None:
        if told is not None:
            top.fault("job", None, "give the file of the job whose lines [lines] speaks of")
        return ()
    path = top.file("job", folder)
    return () if path is None else _read(path, asked, top, faults)


def _read(path: Path, asked: LineAsked, top: Table, faults: Faults) -> tuple[LineToCut, ...]:
    try:
        job = read_job(path)
    except (FileError, InputErrors) as error:
        top.fault("job", str(path), f"give a job that 'ropewright plan' can use ({error})")
        return ()
    for line in job.lines:
        if asked.end is None and _tied(line) is None:
            expected = f"give the rope that its end takes ('{line.termination}'), from its maker, as lines.end"
            faults.add(f"line {line.name!r}", line.termination, expected)
    return () if faults.found else tuple(lines_to_cut(job, asked))


def lines_to_cut(job: Job, asked: LineAsked) -> Iterator[LineToCut]:
    """Lines of a job with all parts of their length.

    Parameters
    ----------
    job : Job
    asked : LineAsked
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
    for line in job.lines:
        own = [rig for rig in rigs if rig.line.name == line.name]
        rope = line.rope
        name = f"{rope.fibre}, {rope.construction}, {rope.diameter * 1000:.1f} mm"
        yield LineToCut(line.name, name, tuple(_parts(job, line, own, asked, work)))


def _parts(job: Job, line: Line, rigs: list[Rig], asked: LineAsked, work: Work) -> Iterator[Part]:
    yield Part("anchor to stop", line.length)
    if asked.reach != "stop":
        down = asked.reach == "ground"
        need = max((_needed(job, rig, work, down=down) for rig in rigs), default=0.0)
        yield Part(f"on to the {'ground' if down else 'edge'}", max(0.0, need - line.length))
    yield from _end("end at the anchor", line, asked)
    if line.grab is None:  # the lanyard is fixed to the far end
        yield from _end("end at the lanyard", line, asked)
    else:
        stopper = tie(knots()[_STOPPER], line.rope.diameter)
        yield Part(_STOPPER, stopper.rope)
        yield Part("tail of the stopper", stopper.tail if asked.tail is None else asked.tail)
    if asked.spare:
        yield Part("spare", asked.spare)


def _end(name: str, line: Line, asked: LineAsked) -> Iterator[Part]:
    """One end: the knot with its loop, its backup and its tail, or what was told of it."""
    tied = _tied(line)
    if asked.end is not None:
        yield Part(f"{name}, {line.termination}, as told", asked.end)
    elif tied is not None:
        yield Part(f"{name}, {line.termination}", tied.rope)
    else:
        raise ValueError(f"no rope is known for an end of {line.termination!r}")
    if tied is not None:
        if tied.backup:
            yield Part(f"backup, {name}", tied.backup)
        yield Part(f"tail, {name}", tied.tail if asked.tail is None else asked.tail)


def _tied(line: Line) -> TiedKnot | None:
    """Knot that a line is ended with; None where it is ended with no knot that is drawn."""
    drawn = {knot.end.name for knot in knots().values()} | set(knots())
    return tie(find_knot(line.termination, "termination"), line.rope.diameter) if line.termination in drawn else None


def _needed(job: Job, rig: Rig, work: Work, *, down: bool) -> float:
    """Rope to the worst edge point that the line reaches with its lanyard, or on from there down to what is below."""
    over, edges = work.over(job, rig), work.edges(job)
    drop = edges.points[:, 2] - work.below(job).tops if down else 0.0
    reached = over.to_edge <= rig.line.reach
    return float(np.max(over.to_edge + drop, where=reached, initial=0.0))
