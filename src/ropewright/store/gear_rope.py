"""Cutting rope, giving it new ends, washing gear: decisions, no writing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_words import read_line
from ropewright.store.entry import Draft
from ropewright.store.gear_piece import Act, Piece
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_words import next_tag, read_tag, subject_of
from ropewright.store.reading import View

__all__ = ["CutPiece", "cutting", "new_end", "washing"]

#: Lengths that differ by less are the same length: noise of floats and of unit conversion. [m]
_NOISE = 1e-6
#: What a piece has of its own, and so does not take over from the rope it was cut from.
_OWN = frozenset({"due", "asks", "pieces", "parts", "kit", "holder", "job", "out_since", "cut_from", "ended"})


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece to cut: its code, None for the next free one, and its length; None: whatever is left. [m]"""

    tag: str | None
    length: float | None


def cutting(
    view: View, rope: Piece, pieces: Sequence[CutPiece], act: Act, *, kept: float | None = None, loss: float = 0.0
) -> list[Draft]:
    """Entries that cut a rope: each piece has all that the rope went through, and a tag of its own.

    Parameters
    ----------
    view : View
    rope : Piece
    pieces : sequence of CutPiece
    act : Act
    kept : float, optional
        Length that keeps the rope's tag; None: the tag ends with the rope. [m]
    loss : float
        Most that may be missing between the rope and its pieces. [m]

    Raises
    ------
    InputError, InputErrors
        If the lengths don't add up, or a code is taken.
    """
    rope.may("cut" if kept is None else "cut-off")
    length = _length_of(rope, "cut")
    if kept is not None and not kept > 0:
        raise InputError("keep", kept, "give a length above 0, or leave it out")
    count = len(pieces) + (kept is not None)
    if count < 2:
        raise InputError("piece", count, "one rope becomes two or more; to trim an end use 'gear re-end'")
    lengths = _lengths(length, pieces, kept or 0.0, loss)
    missing = _missing(length, sum(lengths) + (kept or 0.0), loss)
    tags = _codes(view, rope, pieces)
    told = [{"tag": tag, "length_m": cut_to} for tag, cut_to in zip(tags, lengths, strict=True)]
    rest = {} if kept is None else {"kept_m": kept}
    whole = act.draft(
        "cut" if kept is None else "cut-off", rope.tag, pieces=told, length_m=length, loss_m=missing, **rest
    )
    inherits = {key: value for key, value in rope.state.body.items() if key not in _OWN}
    parent = {"tag": rope.tag, "known": rope.state.number}
    cut = [
        act.draft(
            "cut-from",
            tag,
            kind=rope.kind.name,
            parent=parent,
            standing=rope.standing,
            inherits=inherits,
            length_m=cut_to,
        )
        for tag, cut_to in zip(tags, lengths, strict=True)
    ]
    return [whole, *cut]


def _length_of(rope: Piece, verb: str) -> float:
    if rope.kind.name != "rope":
        raise InputError("tag", rope.tag, f"it is a {rope.kind.name}; only rope is {verb}")
    if rope.length is None:
        mend = f"its length is not told; measure it, then 'gear correct {rope.tag} --set length_m=...'"
        raise NotAllowedError(rope.tag, rope.standing, f"it can't be {verb}; {mend}")
    return rope.length


def _lengths(length: float, pieces: Sequence[CutPiece], kept: float, loss: float) -> list[float]:
    """Lengths of the pieces; one of them may be what the others leave. [m]"""
    if not loss >= 0:
        raise InputError("loss", loss, "give 0 or more")
    told = [piece.length for piece in pieces if piece.length is not None]
    if len(told) < len(pieces) - 1:
        raise InputError("piece", "rest", "only one piece can be the rest; give the others their length")
    lengths = [length - sum(told) - kept - loss if piece.length is None else piece.length for piece in pieces]
    if not min(lengths) > 0:
        raise InputError(
            "piece", f"{min(lengths):.6g} m", f"give each piece a length above 0; the rope has {length:g} m"
        )
    return lengths


def _missing(length: float, total: float, loss: float) -> float:
    """What is lost between a rope and its pieces. [m]"""
    missing = length - total
    if missing < -_NOISE:
        raise InputError(
            "piece", f"{total:.6g} m in all", f"the pieces are {-missing:.3f} m longer than the rope ({length:g} m)"
        )
    if missing > loss + _NOISE:
        mend = "measure again, or state the loss"
        raise InputError("loss", f"{loss:.6g} m", f"{missing:.3f} m are missing between rope and pieces; {mend}")
    return max(missing, 0.0)


def _codes(view: View, rope: Piece, pieces: Sequence[CutPiece]) -> list[str]:
    """Codes of the pieces; free ones where none is given."""
    taken = {read_tag(piece.tag, "piece") for piece in pieces if piece.tag is not None}
    faults = [
        InputError("piece", tag, f"this code is taken; {next_tag(view, rope.kind, frozenset(taken))} is free")
        for tag in sorted(taken)
        if view.state(subject_of(tag)) is not None
    ]
    found: list[str] = []
    for piece in pieces:
        code = (
            next_tag(view, rope.kind, frozenset(taken) | frozenset(found))
            if piece.tag is None
            else read_tag(piece.tag, "piece")
        )
        if code in found:
            faults.append(InputError("piece", piece.tag, "two pieces can't have one code"))
        found.append(code)
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{len(faults)} codes can't be given", faults)
    return found


def new_end(rope: Piece, end: int, termination: str, act: Act, *, taken: float = 0.0, note: str = "") -> list[Draft]:
    """Entry that gives a rope a new end.

    Parameters
    ----------
    rope : Piece
    end : int
        1 the working end, 2 the other.
    termination : str
        Canonical name, as `rope.canonical_termination` gives it.
    act : Act
    taken : float
        Length cut off for it. [m]
    note : str

    Raises
    ------
    InputError
        If nothing of the rope would be left, or its length is not known.
    """
    rope.may("re-ended")
    length = _length_of(rope, "re-ended") if taken or rope.kind.name != "rope" else rope.length
    if end not in (1, 2):
        raise InputError("end", end, "give 1 for the working end or 2 for the other")
    if not 0 <= taken < (length or 1.0):
        raise InputError("taken", taken, f"give 0 or more, and less than the rope's {length} m")
    left = None if length is None else length - taken
    body: dict[str, Any] = {"end": end, "termination": termination, "taken_m": taken, "length_m": left}
    return [act.draft("re-ended", rope.tag, **body, note=read_line(note, "note"))]


def washing(piece: Piece, act: Act, *, note: str = "") -> list[Draft]:
    """Entry that says that a piece was washed."""
    piece.may("washed")
    return [act.draft("washed", piece.tag, note=read_line(note, "note"))]
