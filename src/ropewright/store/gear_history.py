"""All that happened to a piece of gear, and to the ropes that it was cut from."""

from __future__ import annotations

from collections.abc import Iterator

from ropewright.store.entry import Entry
from ropewright.store.gear_piece import Piece, known_piece
from ropewright.store.gear_words import subject_of
from ropewright.store.reading import View

__all__ = ["history"]


def history(view: View, tag: str) -> list[Entry]:
    """Entries about a piece, oldest first; of the ropes it was cut from, those up to the cut and the cut itself.

    Parameters
    ----------
    view : View
    tag : str

    Raises
    ------
    InputError
        If the record has no such piece.
    """
    return [*_history(view, known_piece(view, tag))]


def _history(view: View, piece: Piece) -> Iterator[Entry]:
    own = list(view.entries(subject=piece.state.subject))
    parent = piece.body["cut_from"]
    if parent is not None:
        born = own[0].number
        rope = known_piece(view, parent["tag"])
        # up to the cut: what happened later to a rope that kept its tag is none of this piece's
        yield from (entry for entry in _history(view, rope) if entry.number < born and _before_cut(entry, rope, parent))
    yield from own


def _before_cut(entry: Entry, rope: Piece, parent: dict[str, object]) -> bool:
    """Whether an entry about a rope belongs to a piece cut from it as it stood after entry ``known``."""
    if entry.subject != subject_of(rope.tag):
        return True
    return entry.number <= int(str(parent["known"])) or entry.kind in ("gear.cut", "gear.cut-off")
