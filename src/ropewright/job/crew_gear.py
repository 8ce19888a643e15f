"""What the gear that a person was given says of its user: greatest mass and size of harness."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ropewright.job.crew_missing import Task
from ropewright.store.entry import State
from ropewright.store.gear_piece import Piece
from ropewright.store.gear_words import ISSUED
from ropewright.store.reading import View

__all__ = ["given_gear"]


def given_gear(view: View, person: State, task: Task) -> Task:
    """Return the task with what the gear says that is out with this person, by code or by name."""
    pieces = list(_pieces(view, person))
    limits = {f"{piece.kind.name} {piece.tag}": piece.told["user_mass_kg"] for piece in pieces if _has_limit(piece)}
    sizes = [str(piece.told["size"]) for piece in pieces if piece.kind.name == "harness" and piece.told.get("size")]
    return replace(task, gear_limits={**task.gear_limits, **limits}, harness_size=sizes[0] if sizes else "")


def _has_limit(piece: Piece) -> bool:
    return piece.told.get("user_mass_kg") is not None


def _pieces(view: View, person: State) -> Iterator[Piece]:
    code, name = person.subject.partition("/")[2].casefold(), str(person.body["name"]).strip().casefold()
    for one in {code, name}:
        for state in view.states("gear", standing=ISSUED, search=f"with:{one}"):
            piece = Piece(state)
            if (piece.holder or "").strip().casefold() == one:
                yield piece
