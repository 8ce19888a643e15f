"""What can be done with gear: each action decides on the record as it is and writes all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ropewright.store.entry import Draft, Entry
from ropewright.store.gear_inspect import inspection, user_check
from ropewright.store.gear_kit import put_in, take_out
from ropewright.store.gear_out import destruction, fall, quarantine, release, retirement
from ropewright.store.gear_piece import Act, Piece, known_piece, known_pieces
from ropewright.store.gear_points import Answer
from ropewright.store.gear_receive import correction, intervals_set, new_piece
from ropewright.store.gear_rope import CutPiece, cutting, new_end, washing
from ropewright.store.gear_use import Override, Use, issue, start, take_back
from ropewright.store.gear_words import ENDED, FAMILY, GearKind
from ropewright.store.reading import Record, View

__all__ = [
    "check",
    "correct",
    "cut",
    "destroy",
    "give_out",
    "inspect",
    "put_in_kit",
    "quarantine_gear",
    "re_end",
    "receive",
    "record_fall",
    "release_gear",
    "retire",
    "return_gear",
    "set_intervals",
    "start_use",
    "take_out_of_kit",
    "wash",
]


def receive(
    record: Record,
    kind: GearKind,
    tag: str | None,
    told: Mapping[str, Any],
    act: Act,
    *,
    intervals: Mapping[str, Any] | None = None,
) -> list[Entry]:
    """Take a piece into the record.

    Parameters
    ----------
    record : Record
    kind : GearKind
        As `gear_words.read_kind` gives it.
    tag : str or None
        None: the next free code of its kind.
    told : mapping
        As `gear_fields.read_told` gives it.
    act : Act
        Who does it, and when; so with all actions of this module.
    intervals : mapping, optional
        Intervals of inspection in force, as `rules.intervals.intervals_in_force` gives them.

    Returns
    -------
    list of Entry
        What was written; so do all actions of this module.

    Raises
    ------
    InputError, InputErrors
        If something can't be as told; nothing is written then. It is a `NotAllowedError` where the piece, as it
        stands, doesn't allow it. So do all actions of this module.
    """
    return record.write(lambda view: new_piece(view, kind, tag, told, act, intervals=intervals))


def correct(record: Record, tag: str, changes: Mapping[str, Any], reason: str, act: Act) -> list[Entry]:
    """Set what was told of a piece anew, by a new entry; None takes back what was told."""
    return record.write(lambda view: correction(known_piece(view, tag), changes, reason, act))


def set_intervals(
    record: Record, tags: Sequence[str], intervals: Mapping[str, Mapping[str, Any]], act: Act
) -> list[Entry]:
    """Put other intervals of inspection in force, for pieces by tag or, with no tag, for all that can hold a person.

    Parameters
    ----------
    intervals : mapping
        Kind of gear to its intervals, as `rules.intervals.intervals_in_force` gives them.
    """

    def decide(view: View) -> list[Draft]:
        if tags:
            pieces = known_pieces(view, tags)
        else:
            pieces = [Piece(state) for state in view.states(FAMILY) if state.standing not in ENDED]
        drafts = []
        for piece in pieces:
            if piece.kind.in_chain:
                piece.may("intervals-set")
                drafts.append(intervals_set(piece.tag, intervals[piece.kind.name], act))
        return drafts

    return record.write(decide)


def start_use(record: Record, tags: Iterable[str], act: Act) -> list[Entry]:
    """Put pieces into use."""
    wanted = list(tags)
    return record.write(lambda view: [draft for piece in known_pieces(view, wanted) for draft in start(piece, act)])


def give_out(
    record: Record, tags: Iterable[str], to: str, job: str, act: Act, *, override: Override | None = None
) -> list[Entry]:
    """Hand gear, or a kit with its parts, to a person for a job; what is late only with an override."""
    wanted = list(tags)
    return record.write(lambda view: issue(view, known_pieces(view, wanted), to, job, act, override=override))


def return_gear(
    record: Record, tags: Iterable[str], use: Use, act: Act, *, fault: str = "", note: str = ""
) -> list[Entry]:
    """Take gear, or a kit with its parts, back, with its use; a fault told sends it to quarantine."""
    wanted = list(tags)
    return record.write(lambda view: take_back(view, known_pieces(view, wanted), use, act, fault=fault, note=note))


def inspect(
    record: Record,
    tag: str,
    answers: Sequence[Answer],
    act: Act,
    *,
    wear: str | None = None,
    competent: str = "",
    note: str = "",
) -> list[Entry]:
    """Record an inspection, point by point; any fault takes the piece out of service in the same write."""
    return record.write(
        lambda view: inspection(view, known_piece(view, tag), answers, act, wear=wear, competent=competent, note=note)
    )


def check(record: Record, tag: str, answers: Sequence[Answer], act: Act, *, note: str = "") -> list[Entry]:
    """Record the look that its user takes at a piece before use; any fault takes it out of service."""
    return record.write(lambda view: user_check(known_piece(view, tag), answers, act, note=note))


def wash(record: Record, tags: Iterable[str], act: Act, *, note: str = "") -> list[Entry]:
    """Record that pieces were washed."""
    wanted = list(tags)
    return record.write(
        lambda view: [draft for piece in known_pieces(view, wanted) for draft in washing(piece, act, note=note)]
    )


def cut(
    record: Record, tag: str, pieces: Sequence[CutPiece], act: Act, *, kept: float | None = None, loss: float = 0.0
) -> list[Entry]:
    """Cut a rope; each piece has a tag of its own and all that the rope went through. Lengths in metres."""
    return record.write(lambda view: cutting(view, known_piece(view, tag), pieces, act, kept=kept, loss=loss))


def re_end(
    record: Record, tag: str, end: int, termination: str, act: Act, *, taken: float = 0.0, note: str = ""
) -> list[Entry]:
    """Give a rope a new end; `taken` is the length cut off for it, in metres."""
    return record.write(lambda view: new_end(known_piece(view, tag), end, termination, act, taken=taken, note=note))


def record_fall(
    record: Record, act: Act, *, tags: Sequence[str] = (), person: str = "", kit: str = "", note: str = ""
) -> list[Entry]:
    """Record a fall: the pieces named, and all that a person or a kit had in the chain, go to quarantine at once."""

    def decide(view: View) -> list[Draft]:
        pieces = known_pieces(view, tags) if tags else []
        whole = known_piece(view, kit, "kit") if kit else None
        return fall(view, act, pieces=pieces, person=person, kit=whole, note=note)

    return record.write(decide)


def quarantine_gear(record: Record, tags: Iterable[str], why: str, act: Act) -> list[Entry]:
    """Take pieces out of service till somebody decides."""
    wanted = list(tags)
    return record.write(lambda view: quarantine(known_pieces(view, wanted), why, act))


def release_gear(
    record: Record, tag: str, act: Act, *, finding: str, reason: str, competent: str = "", signed: str = ""
) -> list[Entry]:
    """Let a piece back into service, by a competent person; textile gear that arrested a fall only if signed."""
    return record.write(
        lambda view: release(
            view, known_piece(view, tag), act, finding=finding, reason=reason, competent=competent, signed=signed
        )
    )


def retire(record: Record, tags: Iterable[str], why: str, act: Act) -> list[Entry]:
    """Take pieces out of service for good."""
    wanted = list(tags)
    return record.write(lambda view: retirement(known_pieces(view, wanted), why, act))


def destroy(record: Record, tags: Iterable[str], how: str, act: Act) -> list[Entry]:
    """Record that pieces were destroyed, and how."""
    wanted = list(tags)
    return record.write(lambda view: destruction(known_pieces(view, wanted), how, act))


def put_in_kit(record: Record, kit: str, parts: Iterable[str], act: Act) -> list[Entry]:
    """Put parts into a kit."""
    wanted = list(parts)

    def decide(view: View) -> list[Draft]:
        whole = known_piece(view, kit, "kit")
        return [draft for part in known_pieces(view, wanted, "part") for draft in put_in(whole, part, act)]

    return record.write(decide)


def take_out_of_kit(record: Record, kit: str, parts: Iterable[str], act: Act) -> list[Entry]:
    """Take parts out of a kit."""
    wanted = list(parts)

    def decide(view: View) -> list[Draft]:
        whole = known_piece(view, kit, "kit")
        return [draft for part in known_pieces(view, wanted, "part") for draft in take_out(whole, part, act)]

    return record.write(decide)
