"""Which sides of an outline end in a gable."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ropewright.errors import RoofError
from ropewright.roof.outline_sides import Outline

__all__ = ["gables_of"]

#: Two sides whose lengths differ by less per metre are equally long. [-]
EQUAL = 1e-6
#: Sine below which two sides are parallel, or cosine below which they are at right angles. [-]
SQUARE = 1e-3


def gables_of(outline: Outline, chosen: Sequence[int]) -> tuple[frozenset[int], tuple[str, ...]]:
    """Sides that end in a gable as the outline now runs, and notes of what was chosen for the user.

    Parameters
    ----------
    outline : Outline
    chosen : sequence of int
        Sides as they were given; empty to find them.

    Raises
    ------
    RoofError
        If a number is no side, no side can be found, no slope is left, or two gables share a corner.
    """
    if not chosen:
        return _found(outline)
    for side in chosen:
        if not 0 <= side < outline.count:
            raise RoofError("gable_sides", side, f"give the numbers of sides, 0 to {outline.count - 1}")
    gables = frozenset(outline.given.index(side) for side in chosen)
    if len(gables) == outline.count:
        raise RoofError("gable_sides", tuple(chosen), "leave at least one side to slope")
    turns = outline.turns()
    for side, after in outline.neighbours():
        # at an inner corner, as of a shaft, the slopes beside them close the roof
        if side in gables and after in gables and turns[after] > SQUARE:
            found = f"gables that share a corner, over {outline.sides_text((side, after))}"
            raise RoofError("gable_sides", found, "put a slope between two gables, or give one of them as a wall")
    return gables, ()


def _found(outline: Outline) -> tuple[frozenset[int], tuple[str, ...]]:
    """Short sides of a rectangle, or the ends of the wings of a plan of right angles."""
    vectors, turns = outline.vectors(), outline.turns()
    wanted = "say which sides end in a gable"
    if not (np.abs(np.abs(turns) - 1.0) < SQUARE).all():
        raise RoofError("gable_sides", None, f"{wanted}: the outline has corners other than right angles")
    lengths = np.linalg.norm(vectors, axis=1)
    if len(vectors) == 4:
        one, other = lengths[0] + lengths[2], lengths[1] + lengths[3]
        if abs(one - other) < EQUAL * (one + other):
            raise RoofError("gable_sides", None, f"{wanted}: a square has no short sides")
        gables = frozenset((0, 2) if one < other else (1, 3))
        return gables, _note(outline, gables)
    gables = _wing_ends(outline, turns)
    if not gables:
        raise RoofError("gable_sides", None, f"{wanted}: the plan has no wings whose ends could be told")
    return gables, _note(outline, gables)


def _wing_ends(outline: Outline, turns: np.typing.NDArray[np.float64]) -> frozenset[int]:
    """Sides between two outer corners, beside a side that runs to an inner corner."""
    outer = len(outline.rings[0])  # the sides of a courtyard have no outer corners at both ends
    ends = set()
    for side in range(outer):
        before, after = (side - 1) % outer, (side + 1) % outer
        is_end = turns[side] > 0.0 and turns[after] > 0.0
        if is_end and (turns[before] < 0.0 or turns[(after + 1) % outer] < 0.0):
            ends.add(side)
    return frozenset(ends)


def _note(outline: Outline, gables: frozenset[int]) -> tuple[str, ...]:
    return (f"gables taken over {outline.sides_text(sorted(gables))}",)
