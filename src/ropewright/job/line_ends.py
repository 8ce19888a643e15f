"""How a line is ended and stopped and what rope that takes: one sum for cutting, for what is left over, for sheets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ropewright.job.model import Line
from ropewright.rope.knots import TiedKnot, find_knot, knots, tie

__all__ = ["STOPPER", "Part", "end_parts", "knot_parts", "rope_needed", "stopper_parts", "tied_end"]

#: Knot at the free end, so that a grab does not run off it.
STOPPER = "double overhand stopper"


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


def tied_end(line: Line) -> TiedKnot | None:
    """Knot that a line is ended with; None where it is ended with no knot that is drawn."""
    # the row of knots that nobody has tested names none: which of them it is, is not told
    drawn = ({knot.end.name for knot in knots().values()} | set(knots())) - {"other knot"}
    return tie(find_knot(line.termination, "termination"), line.rope.diameter) if line.termination in drawn else None


def end_parts(name: str, line: Line, *, end: float | None = None, tail: float | None = None) -> Iterator[Part]:
    """One end: the knot with its loop, its backup and its tail, or what was told of it.

    Parameters
    ----------
    name : str
        Which end.
    line : Line
    end, tail : float, optional
        Rope that one end takes, and what is left standing out, in place of the knot's own. [m]

    Yields
    ------
    Part

    Raises
    ------
    ValueError
        If the rope that the end takes is neither told nor known from a knot.
    """
    tied = tied_end(line)
    if end is not None:
        yield Part(f"{name}, {line.termination}, as told", end)
    elif tied is not None:
        yield Part(f"{name}, {line.termination}", tied.rope)
    else:
        raise ValueError(f"no rope is known for an end of {line.termination!r}")
    if tied is not None:
        yield from _standing_out(name, tied, tail)


def knot_parts(name: str, tied: TiedKnot, *, tail: float | None = None) -> Iterator[Part]:
    """One end that is tied: the knot with its loop, its backup and its tail.

    Parameters
    ----------
    name : str
        Which end.
    tied : TiedKnot
    tail : float, optional
        What is left standing out, in place of the knot's own. [m]
    """
    yield Part(f"{name}, {tied.knot.name}", tied.rope)
    yield from _standing_out(name, tied, tail)


def _standing_out(name: str, tied: TiedKnot, tail: float | None) -> Iterator[Part]:
    if tied.backup:
        yield Part(f"backup, {name}", tied.backup)
    if left := tied.tail if tail is None else tail:  # a hitch is of closed cord
        yield Part(f"tail, {name}", left)


def stopper_parts(line: Line, *, tail: float | None = None) -> Iterator[Part]:
    """Stopper at the free end of a line with a grab, with its tail."""
    stopper = tie(knots()[STOPPER], line.rope.diameter)
    yield Part(STOPPER, stopper.rope)
    yield Part("tail of the stopper", stopper.tail if tail is None else tail)


def rope_needed(line: Line) -> float:
    """Rope that a line needs as it is set, so far as it is known: to its stop, ends, stopper, tails. [m]

    Notes
    -----
    An end that is no drawn knot counts nothing: the length of a line with a made-up end is measured from that end.
    What is left over then errs long.
    """
    ended = tied_end(line) is not None
    ends = sum(part.length for part in end_parts("", line)) if ended else 0.0
    if line.grab is None:
        return line.length + 2 * ends
    return line.length + ends + sum(part.length for part in stopper_parts(line))
