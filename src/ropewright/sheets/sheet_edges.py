"""Fall edges as they lie on the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.sheets.canvas import Canvas
from ropewright.sheets.runs import Run, Track

__all__ = ["BAND_IN", "BAND_OUT", "EdgeOnSheet", "edges_on_sheet", "straight_sides"]

Floats = NDArray[np.float64]

#: Band of verdicts: its near and far side, from the edge outward. [mm]
BAND_IN, BAND_OUT = 0.7, 3.9
_SAME_CORNER = 4e-3  #: grid on which corners are told apart, in m


@dataclass(frozen=True, eq=False)
class EdgeOnSheet:
    """A straight fall edge on the sheet.

    Parameters
    ----------
    track : Track
    start, end : array, shape (2,)
        [mm]
    along, outward : array, shape (2,)
        Unit vectors on the sheet. [-]
    turns : tuple of float
        Tangent of half the turn of the roof's outline at start and end; above 0 at a corner that sticks out. [-]
    """

    track: Track
    start: Floats
    end: Floats
    along: Floats
    outward: Floats
    turns: tuple[float, float]

    @property
    def size(self) -> float:
        """Length on paper, in mm."""
        return float(np.linalg.norm(self.end - self.start))

    def point(self, station: float, out: float = 0.0) -> Floats:
        """Place on the sheet of a distance along the edge [m] and a distance outward [mm]."""
        share = station / self.track.length if self.track.length else 0.0
        placed: Floats = self.start + share * (self.end - self.start) + out * self.outward
        return placed

    def strip(self, run: Run, near: float, far: float) -> Floats:
        """Corners of the strip outside a run, mitred at the ends of the edge, shape (4, 2), in mm."""
        ends = []
        for station, turn, way in ((run.start, self.turns[0], -1), (run.end, self.turns[1], 1)):
            at_corner = abs(station - (0.0 if way < 0 else self.track.length)) < 1e-9
            for out in (near, far):
                slide = way * out * turn if at_corner else 0.0
                ends.append(self.point(station, out) + slide * self.along)
        return np.array([ends[0], ends[2], ends[3], ends[1]])


def edges_on_sheet(tracks: Sequence[Track], canvas: Canvas) -> tuple[EdgeOnSheet, ...]:
    """Straight fall edges as they lie on the sheet; those that stand plumb in plan are left out.

    Parameters
    ----------
    tracks : sequence of Track
        Rims are passed over.
    canvas : Canvas

    Returns
    -------
    tuple of EdgeOnSheet
    """
    plain = [track for track in tracks if not track.is_rim]
    begins = {_corner(track.corners[0]): track for track in plain}
    ends = {_corner(track.corners[-1]): track for track in plain}
    edges = []
    for track in plain:
        start, end = canvas.place(track.corners[0]), canvas.place(track.corners[-1])
        size = float(np.linalg.norm(end - start))
        if size < 1e-6:
            continue
        before, after = ends.get(_corner(track.corners[0])), begins.get(_corner(track.corners[-1]))
        along = (end - start) / size
        # on paper y runs down, so the right of the walk is the left turn of the numbers
        outward = np.array([-along[1], along[0]])
        edges.append(
            EdgeOnSheet(track, start, end, along, outward, (_half_turn(before, track), _half_turn(track, after)))
        )
    return tuple(edges)


def _corner(point: Floats) -> tuple[int, ...]:
    """Return a key that corners nearer than a few millimetres share."""
    # shifted by an odd amount: on a grid that starts at 0, round numbers would lie on the border of two fields
    return tuple(np.rint((point + 0.2718 * _SAME_CORNER) / _SAME_CORNER).astype(int).tolist())


def _half_turn(first: Track | None, second: Track | None) -> float:
    """Tangent of half the left turn from one edge to the next in plan, kept short at sharp corners."""
    if first is None or second is None:
        return 0.0
    a, b = ((track.corners[-1] - track.corners[0])[:2] for track in (first, second))
    turn = np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)
    return float(np.clip(np.tan(turn / 2), -1.5, 1.5))


def straight_sides(edges: Sequence[EdgeOnSheet]) -> list[list[EdgeOnSheet]]:
    """Return edges that run on in one line in plan, such as the two halves of a gable, taken together."""
    free = _by_start([[edge] for edge in edges])
    sides: list[list[EdgeOnSheet]] = []
    after: dict[str, EdgeOnSheet] = {}
    for edge in edges:
        for (other,) in free.get(_corner(edge.track.corners[-1]), []):
            if other is not edge and edge.along @ other.along > 1 - 1e-6:
                after[edge.track.name] = other
                free[_corner(other.track.corners[0])].remove([other])  # it goes on from one edge alone
                break
    goes_on = {edge.track.name for edge in after.values()}
    for edge in (edge for edge in edges if edge.track.name not in goes_on):
        side = [edge]
        while side[-1].track.name in after:
            side.append(after[side[-1].track.name])
        sides.append(side)
    return _in_walking_order(sides)


def _by_start(sides: Sequence[list[EdgeOnSheet]]) -> dict[tuple[int, ...], list[list[EdgeOnSheet]]]:
    """Sides by the corner at which they start; where roofs meet, several may."""
    found: dict[tuple[int, ...], list[list[EdgeOnSheet]]] = {}
    for side in sides:
        found.setdefault(_corner(side[0].track.corners[0]), []).append(side)
    return found


def _in_walking_order(sides: Sequence[list[EdgeOnSheet]]) -> list[list[EdgeOnSheet]]:
    """Put each side behind one that ends where it begins, as far as there is one."""
    left = _by_start(sides)
    ordered: list[list[EdgeOnSheet]] = []
    for begin in list(left):
        while left[begin]:
            at = begin
            while left.get(at):
                ordered.append(left[at].pop(0))
                at = _corner(ordered[-1][-1].track.corners[-1])
    return ordered
