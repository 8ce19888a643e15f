"""Looking at gear: inspections and looks before use, decided without writing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from ropewright.errors import InputError
from ropewright.store.crew_words import read_line
from ropewright.store.entry import Draft, JsonValue
from ropewright.store.gear_people import competence
from ropewright.store.gear_piece import Act, Piece
from ropewright.store.gear_points import Answer, Looked, looked
from ropewright.store.reading import View

__all__ = ["inspection", "user_check"]


def inspection(
    view: View,
    piece: Piece,
    answers: Sequence[Answer],
    act: Act,
    *,
    wear: str | None = None,
    competent: str = "",
    note: str = "",
) -> list[Draft]:
    """Entries of an inspection; a fault takes the piece out of service in the same write.

    Parameters
    ----------
    view : View
    piece : Piece
    answers : sequence of Answer
        As `gear_points.read_answers` gives them; what is not answered is not in order.
    act : Act
    wear : str, optional
        What the inspector calls it: ``new``, ``good`` or ``worn``. Without it a worn piece stays worn.
    competent : str
        Grounds on which the inspector is a competent person, where the crew's record does not say so. Without them
        the inspection renews the maker's interval and none of the rules', which ask for a competent person.
    note : str

    Raises
    ------
    InputError
        If the piece can't be inspected as it stands, or was used and is called new.
    """
    piece.may("inspected")
    if wear == "new" and piece.body["uses"] != 0:
        raise InputError("wear", wear, "it was used, or may have been; give good or worn")
    result = looked(piece.kind, answers)
    body: dict[str, JsonValue] = {
        "answers": [asdict(answer) for answer in answers],
        "passed": result.passed,
        "missing": list(result.missing),
        "found": list(result.found) if piece.kind.name == "rope" else [],
        "wear": wear,
        "competent": competence(view, act.by, competent),
        "note": read_line(note, "note"),
    }
    return [act.draft("inspected", piece.tag, **body), *_outcome(piece, result, "inspection", act)]


def user_check(piece: Piece, answers: Sequence[Answer], act: Act, *, note: str = "") -> list[Draft]:
    """Entries of the look that its user takes at a piece before use; a fault takes it out of service at once."""
    piece.may("checked")
    result = looked(piece.kind, answers, before_use=True)
    told: list[JsonValue] = [asdict(answer) for answer in answers]
    body = {"answers": told, "ok": result.passed, "missing": list(result.missing), "note": read_line(note, "note")}
    return [act.draft("checked", piece.tag, **body), *_outcome(piece, result, "look before use", act)]


def _outcome(piece: Piece, result: Looked, what: str, act: Act) -> list[Draft]:
    """Taking a faulty piece out, for good where a point says so."""
    if not result.faults:
        return []
    why = f"{what} of {act.day}: fault at {', '.join(point.key for point in result.faults)}"
    sources: list[JsonValue] = [str(source) for source in dict.fromkeys(point.source for point in result.faults)]
    return [act.draft("retired" if result.retires else "quarantined", piece.tag, why=why, sources=sources)]
