"""Kits: a bag with its line, grab and lanyard as one thing to take. Decisions, no writing."""

from __future__ import annotations

from collections.abc import Iterable

from ropewright.errors import InputError
from ropewright.store.entry import Draft
from ropewright.store.gear_piece import Act, Piece, known_piece
from ropewright.store.reading import View

__all__ = ["put_in", "take_out", "with_parts"]


def put_in(kit: Piece, part: Piece, act: Act) -> list[Draft]:
    """Entries that put a part into a kit.

    Raises
    ------
    InputError
        If the one is no kit, the other is one, or it is in a kit already. `NotAllowedError` as they stand.
    """
    _is_kit(kit)
    if part.kind.name == "kit":
        raise InputError("part", part.tag, "a kit can't be part of a kit")
    if part.body["kit"]:
        raise InputError("part", part.tag, f"it is in {part.body['kit']}; take it out there first ('gear kit take')")
    for piece in (kit, part):
        piece.may("put-in")
    return [act.draft("put-in", kit.tag, part=part.tag), act.draft("put-in", part.tag, kit=kit.tag)]


def take_out(kit: Piece, part: Piece, act: Act) -> list[Draft]:
    """Entries that take a part out of a kit."""
    _is_kit(kit)
    if part.tag not in kit.body["parts"]:
        there = ", ".join(kit.body["parts"]) or "nothing"
        raise InputError("part", part.tag, f"it is not in {kit.tag}, which holds {there}")
    for piece in (kit, part):
        piece.may("taken-out")
    return [act.draft("taken-out", kit.tag, part=part.tag), act.draft("taken-out", part.tag, kit=kit.tag)]


def _is_kit(piece: Piece) -> None:
    if piece.kind.name != "kit":
        raise InputError("kit", piece.tag, f"it is a {piece.kind.name}, not a kit")


def with_parts(view: View, pieces: Iterable[Piece]) -> list[Piece]:
    """Pieces with the parts of those that are kits, each once.

    Raises
    ------
    InputError
        For a kit that holds nothing.
    """
    found: dict[str, Piece] = {}
    for piece in pieces:
        found.setdefault(piece.tag, piece)
        if piece.kind.name != "kit":
            continue
        if not piece.body["parts"]:
            raise InputError("tag", piece.tag, "this kit holds nothing; put its parts in first ('gear kit put')")
        for tag in piece.body["parts"]:
            found.setdefault(tag, known_piece(view, tag))
    return list(found.values())
