"""Taking gear out of service, after a fall or for a fault, and letting it back: decisions, no writing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus
from ropewright.store.crew_words import read_line
from ropewright.store.entry import Draft
from ropewright.store.gear_people import competence, names_of
from ropewright.store.gear_piece import Act, Piece, known_piece
from ropewright.store.gear_steps import NotAllowedError, standing_after
from ropewright.store.gear_words import FAMILY, ISSUED, QUARANTINED
from ropewright.store.reading import View

__all__ = ["AFTER_FALL", "NEVER_AGAIN", "destruction", "fall", "held_by", "quarantine", "release", "retirement"]

#: Out at once, back only after a competent person has looked; and in general industry.
AFTER_FALL = (
    Source("29 CFR 1926.502", "(d)(19)", SourceStatus.READ),
    Source("29 CFR 1910.140", "(c)(17)", SourceStatus.READ),
)
#: Never back for people after it was loaded in service.
NEVER_AGAIN = Source("29 CFR 1926.104", "(a)", SourceStatus.READ)


def held_by(view: View, person: str) -> list[Piece]:
    """Pieces that a person has, those in quarantine too; under any name that the crew's record knows of them."""
    found: dict[str, Piece] = {}
    for name in sorted(names_of(view, person)):
        for standing in (ISSUED, QUARANTINED):
            for state in view.states(FAMILY, standing=standing, search=f"with:{name}"):
                piece = Piece(state)
                if (piece.holder or "").casefold() == name:
                    found[piece.tag] = piece
    return list(found.values())


def fall(
    view: View,
    act: Act,
    *,
    pieces: Sequence[Piece] = (),
    person: str = "",
    kit: Piece | None = None,
    note: str = "",
) -> list[Draft]:
    """Entries of a fall: all that was in the chain goes to quarantine in one write.

    Parameters
    ----------
    view : View
    act : Act
    pieces : sequence of Piece
        Those named.
    person : str
        All that was issued to this person, but bags and kits themselves.
    kit : Piece, optional
        All parts of it that could hold the fall.
    note : str

    Raises
    ------
    InputError
        If nothing was in the chain. `NotAllowedError` for a piece named that is no more.
    """
    chain: dict[str, Piece] = {}
    for piece in pieces:
        piece.may("fell")
        parts = _parts(view, piece) if piece.kind.name == "kit" else [piece]
        chain.update((part.tag, part) for part in parts)
    if kit is not None:
        chain.update((part.tag, part) for part in _parts(view, kit))
    if person.strip():
        held = held_by(view, person)
        chain.update((piece.tag, piece) for piece in held if piece.kind.in_chain)
    if not chain:
        raise InputError("fall", person or None, "nothing is known to have been in the chain; name the pieces by tag")
    said, who = read_line(note, "note"), read_line(person, "person")
    return [
        act.draft("fell", tag, who=who or piece.holder, chain=[other for other in chain if other != tag], note=said)
        for tag, piece in chain.items()
    ]


def _parts(view: View, kit: Piece) -> list[Piece]:
    """Parts of a kit that can have held a fall and can still be taken out of service."""
    if kit.kind.name != "kit":
        raise InputError("kit", kit.tag, f"it is a {kit.kind.name}, not a kit")
    parts = [known_piece(view, tag) for tag in kit.body["parts"]]
    return [part for part in parts if part.kind.in_chain and standing_after(f"{FAMILY}.fell", part.standing)]


def quarantine(pieces: Iterable[Piece], why: str, act: Act) -> list[Draft]:
    """Entries that take pieces out of service till somebody decides."""
    reason = read_line(why, "reason", needed="say why it is taken out of service")
    drafts = []
    for piece in pieces:
        piece.may("quarantined")
        drafts.append(act.draft("quarantined", piece.tag, why=reason))
    return drafts


def release(
    view: View, piece: Piece, act: Act, *, finding: str, reason: str, competent: str = "", signed: str = ""
) -> list[Draft]:
    """Entry by which a competent person lets a piece back into service.

    Parameters
    ----------
    view : View
    piece : Piece
    act : Act
        `by` is the competent person.
    finding, reason : str
        What was found, and why that is enough.
    competent : str
        Grounds on which the person is competent, where the crew's record does not say so.
    signed : str
        For textile gear that arrested a fall: the same name again, as a signature.

    Raises
    ------
    InputError
        If something is missing; `NotAllowedError` if it can't be, with both texts of the rules.
    """
    piece.may("released")
    found = read_line(finding, "finding", needed="say what the competent person found")
    why = read_line(reason, "reason", needed="say why that is enough to let it back")
    grounds = competence(view, act.by, competent)
    if grounds is None:
        unknown = f"the crew's record has no grounds on which {act.by} is one"
        mend = f"only a competent person releases gear; {unknown}: say the grounds"
        raise InputError("competent", None, mend)
    since = piece.body["quarantine"]["since"]
    if act.day.isoformat() < since:
        raise InputError("on", act.day.isoformat(), f"it was quarantined on {since}; no release comes before that")
    sources = _after_fall(piece, act, signed) if piece.body["fallen"] else []
    body = {"finding": found, "why": why, "competent": grounds, "signed": signed.strip(), "sources": sources}
    return [act.draft("released", piece.tag, **body)]


def _after_fall(piece: Piece, act: Act, signed: str) -> list[str]:
    """Texts that a release after a fall rests on; textile gear needs a signature, since they don't agree."""
    if not piece.kind.textile:
        return [str(source) for source in AFTER_FALL]
    if not signed.strip():
        allowed = " and ".join(map(str, AFTER_FALL))
        told = (
            f"it arrested a fall and its strength lies in fibres: retire it. {NEVER_AGAIN} never lets such gear be used"
            f" for people again; {allowed} do once a competent person has found it undamaged. Who takes that upon"
            " themselves signs with their name (--signed)"
        )
        raise NotAllowedError(piece.tag, piece.standing, told)
    if signed.strip().casefold() != act.by.strip().casefold():
        raise InputError("signed", signed, f"the one who releases it signs: {act.by}")
    return [str(source) for source in (NEVER_AGAIN, *AFTER_FALL)]


def retirement(pieces: Iterable[Piece], why: str, act: Act) -> list[Draft]:
    """Entries that take pieces out of service for good."""
    return _ended(pieces, "retired", read_line(why, "reason", needed="say why it is retired"), act)


def destruction(pieces: Iterable[Piece], how: str, act: Act) -> list[Draft]:
    """Entries that say that pieces were destroyed, and how."""
    return _ended(pieces, "destroyed", read_line(how, "how", needed="say how, such as 'cut in short lengths'"), act)


def _ended(pieces: Iterable[Piece], kind: str, why: str, act: Act) -> list[Draft]:
    drafts = []
    for piece in pieces:
        piece.may(kind)
        drafts.append(act.draft(kind, piece.tag, why=why))
    return drafts
