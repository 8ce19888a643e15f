"""The sides of a plan outline as they were given: checked, put in order, and told by their corners."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from ropewright.errors import RoofError
from ropewright.roof.outline_rings import Points, corner_text, first_crossing, grown, inside_ring, signed_area, turn_at

__all__ = ["Outline", "read_outline", "without_straight_corners"]

#: Corners nearer than this are one. [m]
SAME_CORNER = 1e-6
#: An outline smaller than this is no roof. [m2]
LEAST_AREA = 1e-6
#: A corner that turns by less than this lies on a straight side. [rad]
STRAIGHT = 1e-7
#: Farther from the origin than this no map puts a house. [m]
FARTHEST = 1e8


@dataclass(frozen=True)
class Outline:
    """Rings of a plan, the outer one first and counterclockwise, holes clockwise.

    Parameters
    ----------
    rings : tuple of arrays, shape (n, 2)
        Corners. [m]
    given : tuple of int
        For each side, through all rings, its number as it was given.
    count : int
        How many sides were given.
    notes : tuple of str
        What was put right.
    """

    rings: tuple[Points, ...]
    given: tuple[int, ...]
    count: int
    notes: tuple[str, ...] = ()

    @property
    def sizes(self) -> list[int]:
        """How many sides each ring has."""
        return [len(ring) for ring in self.rings]

    def vectors(self) -> Points:
        """Sides as vectors, shape (sides, 2), in metres."""
        return np.concatenate([np.roll(ring, -1, axis=0) - ring for ring in self.rings])

    def turns(self) -> Points:
        """Sine of the turn at the start of each side; negative at inner corners."""
        return np.concatenate([turn_at(ring) for ring in self.rings])

    def neighbours(self) -> list[tuple[int, int]]:
        """Each side with the one after it on its ring."""
        pairs, first = [], 0
        for size in self.sizes:
            pairs += [(first + i, first + (i + 1) % size) for i in range(size)]
            first += size
        return pairs

    def side_text(self, side: int) -> str:
        """One side told by its corners."""
        for ring in self.rings:
            if side < len(ring):
                start, end = corner_text(ring[side]), corner_text(ring[(side + 1) % len(ring)])
                return f"the side from {start.removesuffix(' m')} to {end}"
            side -= len(ring)
        raise IndexError(side)

    def sides_text(self, sides: Iterable[int]) -> str:
        """Several sides told by their corners."""
        return " and ".join(self.side_text(side) for side in sides)


def read_outline(outline: ArrayLike, holes: Sequence[ArrayLike] = ()) -> Outline:
    """Check an outline with its holes and put their corners in order.

    Parameters
    ----------
    outline : array, shape (n, 2)
        Corners of the walls, either way round. [m]
    holes : sequence of arrays, shape (k, 2)
        Courtyards and shafts, either way round. [m]

    Raises
    ------
    RoofError
        If there are fewer than three corners, a number is not finite, corners repeat, sides cross or touch, there is
        no area, or a hole is not inside.
    """
    rings, given, notes, first = [], [], [], 0
    for k, corners in enumerate((outline, *holes)):
        name = "outline" if k == 0 else f"holes[{k - 1}]"
        ring = _corners(name, corners)
        n = len(ring)
        numbers = list(range(first, first + n))
        first += n
        is_turned = (signed_area(ring) < 0.0) == (k == 0)
        if is_turned:
            ring = ring[::-1]
            numbers = [numbers[(n - 2 - i) % n] for i in range(n)]
        if is_turned and k == 0:
            notes.append("the outline was given clockwise; its sides keep their numbers")
        rings.append(ring)
        given += numbers
    found = Outline(tuple(rings), tuple(given), first, tuple(notes))
    _check_apart(found, "outline")
    for k, ring in enumerate(found.rings):
        if abs(signed_area(ring)) < LEAST_AREA:
            name = "outline" if k == 0 else f"holes[{k - 1}]"
            raise RoofError(name, "corners that enclose no area", "give corners in the order in which one walks round")
    _check_holes(found)
    return found


def _corners(name: str, given: ArrayLike) -> Points:
    try:
        ring = np.array(given, float)
    except (TypeError, ValueError) as error:
        raise RoofError(name, given, "give a pair of lengths for each corner") from error
    if ring.ndim != 2 or ring.shape[1] != 2:
        raise RoofError(name, f"an array of shape {ring.shape}", "give a pair of lengths for each corner")
    if len(ring) < 3:
        raise RoofError(name, f"{len(ring)} corners", "give three corners or more")
    if not (np.abs(ring) <= FARTHEST).all():  # also catches nan
        worst = int(np.argmin((np.abs(ring) <= FARTHEST).all(axis=1)))
        raise RoofError(f"{name}[{worst}]", tuple(ring[worst].tolist()), "give lengths in metres that a map can hold")
    gaps = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    if gaps.min() < SAME_CORNER:
        where = corner_text(ring[int(np.argmin(gaps))])
        hint = "; the outline closes by itself" if np.argmin(gaps) == len(ring) - 1 else ""
        raise RoofError(name, f"the corner {where} twice running", f"give each corner once{hint}")
    return ring


def _check_apart(outline: Outline, field: str) -> None:
    crossing = first_crossing(outline.rings)
    if crossing is None:
        return
    i, j, point = crossing
    sides = outline.sides_text((i, j))
    found = f"sides that cross or touch near {corner_text(point)}: {sides}"
    raise RoofError(field, found, "give corners in the order in which one walks round, so that no sides meet")


def _check_holes(outline: Outline) -> None:
    outer, *holes = outline.rings
    for k, hole in enumerate(holes):
        spot = hole[:1]
        if not inside_ring(outer, spot)[0]:
            raise RoofError(f"holes[{k}]", f"a hole at {corner_text(hole[0])} outside the outline", "move it inside")
        if any(inside_ring(other, spot)[0] for i, other in enumerate(holes) if i != k):
            raise RoofError(f"holes[{k}]", f"a hole at {corner_text(hole[0])} inside another", "leave it out")


def without_straight_corners(outline: Outline, kinds: Sequence[object], field: str) -> tuple[Outline, list[int]]:
    """Outline without the corners that lie on a straight side, and for each side left the first side it came from.

    Parameters
    ----------
    outline : Outline
    kinds : sequence
        What stands over each side; only sides of one kind may be joined.
    field : str
        Who is to blame if they are not.

    Raises
    ------
    RoofError
        If two sides in one line are of unlike kinds.
    """
    vectors = outline.vectors()
    units = vectors / np.linalg.norm(vectors, axis=1)[:, None]
    turns = outline.turns()
    following = dict(outline.neighbours())
    before = {after: side for side, after in following.items()}
    straight = [
        bool(abs(turns[side]) < STRAIGHT and np.dot(units[side], units[before[side]]) > 0.0)
        for side in range(len(units))
    ]
    if not any(straight):
        return outline, list(range(len(units)))
    starts = np.concatenate(outline.rings)
    rings, kept, first, notes = [], [], 0, list(outline.notes)
    for ring in outline.rings:
        keep = [i for i in range(first, first + len(ring)) if not straight[i]]
        first += len(ring)
        rings.append(starts[keep])
        kept += keep
    for side in np.flatnonzero(straight).tolist():
        if kinds[side] != kinds[before[side]]:
            found = f"{kinds[before[side]]} and {kinds[side]} over {outline.sides_text((before[side], side))}"
            raise RoofError(field, found, "give sides in one line the same slope, or a corner between them")
        notes.append(f"the corner {corner_text(starts[side])} lies on a straight side and was left out")
    merged = replace(outline, rings=tuple(rings), given=tuple(outline.given[i] for i in kept), notes=tuple(notes))
    return merged, kept


def overhung(outline: Outline, overhangs: Sequence[float]) -> Outline:
    """Outline of the roof's edge: every side of the walls' outline moved outward, into the courtyards too.

    Parameters
    ----------
    outline : Outline
        Without straight corners.
    overhangs : sequence of float
        Level distance for each side as the outline now runs, 0 or more. [m]

    Raises
    ------
    RoofError
        If the edges would meet each other, or a courtyard would be closed.
    """
    if not any(overhangs):
        return outline
    ends = np.cumsum(outline.sizes)
    far = np.split(np.asarray(overhangs, float), ends[:-1])
    moved = replace(outline, rings=tuple(grown(ring, own) for ring, own in zip(outline.rings, far, strict=True)))
    reversed_sides = np.flatnonzero((moved.vectors() * outline.vectors()).sum(axis=1) <= 0.0)
    if len(reversed_sides):
        found = f"{max(overhangs):g} m, which leaves no edge over {outline.side_text(int(reversed_sides[0]))}"
        raise RoofError("overhang", found, "give a smaller overhang")
    crossing = first_crossing(moved.rings)
    if crossing is not None:
        i, j, point = crossing
        sides = outline.sides_text((i, j))
        found = f"{max(overhangs):g} m, with which the edges over {sides} meet near {corner_text(point)}"
        raise RoofError("overhang", found, "give a smaller overhang")
    return moved
