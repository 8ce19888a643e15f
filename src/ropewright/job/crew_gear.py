"""What the gear that a person was given says of its user: greatest mass and size of harness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ropewright.job.crew_missing import Task
from ropewright.store.gear_piece import Piece

__all__ = ["with_gear"]


def with_gear(task: Task, pieces: Sequence[Piece]) -> Task:
    """Return the task with what the pieces say that are out with this person."""
    marked = [piece for piece in pieces if piece.told.get("user_mass_kg") is not None]
    limits = {f"{piece.kind.name} {piece.tag}": piece.told["user_mass_kg"] for piece in marked}
    sizes = [str(piece.told["size"]) for piece in pieces if piece.kind.name == "harness" and piece.told.get("size")]
    return replace(task, gear_limits={**task.gear_limits, **limits}, harness_size=sizes[0] if sizes else "")
