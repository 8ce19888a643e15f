"""Handing gear out and taking it back: decisions, no writing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from ropewright.errors import InputError, InputErrors
from ropewright.findings import Verdict
from ropewright.store.crew_words import read_line
from ropewright.store.entry import Draft
from ropewright.store.gear_fitness import fitness
from ropewright.store.gear_kit import with_parts
from ropewright.store.gear_piece import Act, Piece
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_words import DESTROYED, ENDED
from ropewright.store.reading import View

__all__ = ["Override", "Use", "issue", "start", "take_back"]

_DAY = 86400.0


@dataclass(frozen=True, slots=True)
class Override:
    """A named person who lets late gear out, and why."""

    who: str
    why: str


@dataclass(frozen=True, slots=True)
class Use:
    """What gear went through while it was out; None where nobody told, which counts as the most it can have been.

    Parameters
    ----------
    days : int or None
        Days on which it was used.
    sun : float or None
        Time in the sun. [s]
    """

    days: int | None = None
    sun: float | None = None


def start(piece: Piece, act: Act) -> list[Draft]:
    """Entry that puts a piece into use."""
    piece.may("started")
    _made_by(piece, act)
    return [act.draft("started", piece.tag)]


def _made_by(piece: Piece, act: Act) -> None:
    """Refuse a use before the piece was made."""
    made = piece.told.get("made")
    if made and act.day.isoformat() < made:
        raise InputError("on", act.day.isoformat(), f"{piece.tag} was made on {made}; give that day or a later one")


def issue(
    view: View, pieces: Iterable[Piece], to: str, job: str, act: Act, *, override: Override | None = None
) -> list[Draft]:
    """Entries that hand gear to a person for a job; a kit takes its parts along.

    Parameters
    ----------
    view : View
    pieces : iterable of Piece
    to, job : str
        Who gets it, and for which job.
    act : Act
    override : Override, optional
        Lets out what is late or else unfit; nothing lets out what is quarantined, retired or no more.

    Raises
    ------
    NotAllowedError, InputErrors
        For every piece that can't be let out.
    """
    person = read_line(to, "to", needed="say who gets it")
    work = read_line(job, "job", needed="say for which job")
    let_out = _signed(override)
    drafts, faults = [], []
    for piece in with_parts(view, pieces):
        try:
            piece.may("issued")
            _made_by(piece, act)
            drafts += _against(piece, let_out, act)
        except InputError as fault:
            faults.append(fault)
        drafts.append(act.draft("issued", piece.tag, to=person, job=work))
    _refuse(faults)
    return drafts


def _signed(override: Override | None) -> Override | None:
    if override is None:
        return None
    who = read_line(override.who, "override-by", needed="name the person who lets late gear out")
    return Override(who, read_line(override.why, "override-reason", needed="say why late gear is let out"))


def _against(piece: Piece, override: Override | None, act: Act) -> list[Draft]:
    """Entry by which a named person lets out what is late or else unfit; none where nothing speaks against it."""
    unfit = [one.text for one in fitness(piece.state, act.day).reasons if one.verdict is Verdict.FAILS]
    if not unfit:
        return []
    if override is None:
        mend = "see to it first, or name who lets it out and why (--override-by, --override-reason)"
        raise NotAllowedError(piece.tag, "late" if piece.late(act.day) else "unfit", f"{'; '.join(unfit)}; {mend}")
    return [act.draft("overridden", piece.tag, who=override.who, why=override.why, against=unfit)]


def take_back(
    view: View, pieces: Sequence[Piece], use: Use, act: Act, *, fault: str = "", note: str = ""
) -> list[Draft]:
    """Entries that take gear back, with its use; a kit brings its parts along.

    Parameters
    ----------
    view : View
    pieces : sequence of Piece
    use : Use
        Of each piece.
    act : Act
    fault : str
        What is wrong with it; the pieces named, not the parts of a kit, go to quarantine in the same write.
    note : str

    Raises
    ------
    InputError, InputErrors
        If nobody has a piece, or it can't have been used so much while it was out.
    """
    wrong, said = read_line(fault, "fault"), read_line(note, "note")
    named = {piece.tag for piece in pieces}
    drafts, faults = [], []
    for piece in with_parts(view, pieces):
        if piece.tag not in named and (piece.holder is None or piece.standing == DESTROYED):
            continue  # a part that was not out with its kit, or is no more
        try:
            drafts.append(act.draft("returned", piece.tag, **_used(piece, use, act), note=said))
        except InputError as error:
            faults.append(error)
        if wrong and piece.tag in named and piece.standing not in ENDED:
            drafts.append(act.draft("quarantined", piece.tag, why=f"returned with a fault: {wrong}"))
    _refuse(faults)
    return drafts


def _used(piece: Piece, use: Use, act: Act) -> dict[str, Any]:
    """What a piece went through, and whether it was told."""
    piece.may("returned")
    if piece.holder is None:
        raise NotAllowedError(piece.tag, piece.standing, "it can't be taken back; nobody has it")
    since = date.fromisoformat(piece.body["out_since"])
    out = (act.day - since).days + 1
    if out < 1:
        raise InputError("on", act.day.isoformat(), f"{piece.tag} went out on {since}; give that day or a later one")
    if use.days is not None and not 0 <= use.days <= out:
        raise InputError("uses", use.days, f"days that {piece.tag} was out: {out}; give 0 to {out}")
    if use.sun is not None and not 0 <= use.sun <= out * _DAY:
        raise InputError("sun", use.sun / 3600, f"days that {piece.tag} was out: {out}; give 0 to {out * 24} hours")
    return {
        "uses": out if use.days is None else use.days,
        "sun_s": use.sun,
        "days_out": out,
        "uses_told": use.days is not None,
    }


def _refuse(faults: Sequence[InputError]) -> None:
    if faults:
        raise faults[0] if len(faults) == 1 else InputErrors(f"{len(faults)} pieces stand in the way", faults)
