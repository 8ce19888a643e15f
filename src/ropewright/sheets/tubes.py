"""Ropes as tubes on paper: what is nearer to the eye covers what is behind it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.sheets import svg
from ropewright.sheets.ink import INK

__all__ = ["Tube", "crossing_range", "tubes_drawn"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Place = Callable[[Floats], Floats]

#: Points to a piece of tube that lies at one height.
_PIECE = 2

#: Where a tube turns end-on, steeper than this (cosine to the line of sight), its round section is drawn too.
_END_ON = 0.85


@dataclass(frozen=True, slots=True)
class Tube:
    """One rope to be drawn.

    Parameters
    ----------
    points : array, shape (n, 3)
        Middle line; z toward the eye.
    width : float
        In the unit of the points.
    fill : str
        Colour of its body.
    marked_from : float
        Share of its length from which on it is marked with short strokes across; 1 for nowhere.
    ended : bool
        True if its last point is a rope's end and not where the drawing stops.
    """

    points: Floats
    width: float
    fill: str
    marked_from: float = 1.0
    ended: bool = False


def _covered(tubes: Sequence[Tube]) -> list[Bools]:
    """For each point of each tube, whether another part of any tube lies over or under it."""
    found = []
    for number, tube in enumerate(tubes):
        flat, steps = tube.points[:, :2], np.linalg.norm(np.diff(tube.points, axis=0), axis=1)
        s = np.concatenate([[0.0], np.cumsum(steps)])
        hit = np.zeros(len(flat), bool)
        for other_number, other in enumerate(tubes):
            gap = np.linalg.norm(flat[:, None] - other.points[None, :, :2], axis=2)
            near = gap < (tube.width + other.width) / 2 + 0.15
            if other_number == number:
                near &= np.abs(s[:, None] - s[None, :]) > 1.6 * tube.width
            hit |= near.any(1)
        found.append(hit)
    return found


def crossing_range(tubes: Sequence[Tube]) -> list[tuple[int, int] | None]:
    """First and last point of each tube that another part lies over or under; None where there is none.

    Examples
    --------
    >>> along, up = np.array([[-3.0, 0, 0], [0, 0, 0], [3, 0, 0]]), np.array([[0, -3.0, 2], [0, 0, 2], [0, 3, 2]])
    >>> crossing_range([Tube(along, 1.0, "none"), Tube(up, 1.0, "none")])
    [(1, 1), (1, 1)]
    """
    places = [np.flatnonzero(hit) for hit in _covered(tubes)]
    return [(int(place[0]), int(place[-1])) if len(place) else None for place in places]


def tubes_drawn(tubes: Sequence[Tube], place: Place, scale: float, line: float) -> list[str]:
    """SVG elements of tubes, from the farthest to the nearest.

    Parameters
    ----------
    tubes : sequence of Tube
    place : callable
        Points on the sheet, shape (n, 2) in mm, from points (n, 3).
    scale : float
        Millimetres for a unit of the points.
    line : float
        Width of outlines. [mm]

    Returns
    -------
    list of str
    """
    pieces: list[tuple[float, str]] = []
    for tube, hit in zip(tubes, _covered(tubes), strict=True):
        pieces += _pieces(tube, hit, place, scale, line)
    pieces.sort(key=lambda piece: piece[0])
    return [drawn for _, drawn in pieces]


def _pieces(tube: Tube, hit: Bools, place: Place, scale: float, line: float) -> list[tuple[float, str]]:
    way = np.gradient(tube.points, axis=0)
    way /= np.linalg.norm(way, axis=1)[:, None]
    flat = way[:, :2] / np.maximum(np.linalg.norm(way[:, :2], axis=1), 1e-9)[:, None]
    aside = np.column_stack([-flat[:, 1], flat[:, 0]]) * tube.width / 2
    left, right = place(tube.points[:, :2] + aside), place(tube.points[:, :2] - aside)
    found = []
    for start, stop in _runs(hit):
        ring = np.concatenate([left[start : stop + 1], right[start : stop + 1][::-1]])
        sides = f"M{_text(left[start : stop + 1])}M{_text(right[start : stop + 1])}"
        if tube.ended and stop == len(hit) - 1:
            sides += f"M{_text(np.array([left[stop], right[stop]]))}"
        body = svg.tag("path", d=f"M{_text(ring)}Z", fill=tube.fill, stroke=tube.fill, stroke_width=0.08)
        edge = svg.tag("path", d=sides + _marks(tube, start, stop, left, right), fill="none", **_ink(line))
        found.append((float(tube.points[start : stop + 1, 2].mean()), body + edge))
    steep = np.abs(way[:, 2])
    peaks = (steep[1:-1] > _END_ON) & (steep[1:-1] >= steep[:-2]) & (steep[1:-1] > steep[2:])
    for number in np.flatnonzero(peaks) + 1:
        centre = place(tube.points[number : number + 1, :2])[0]
        disc = svg.circle(centre, tube.width / 2 * scale, fill=tube.fill, **_ink(line))
        found.append((float(tube.points[number, 2]) - 1e-3, disc))
    return found


def _ink(line: float) -> dict[str, str | float]:
    return {"stroke": INK, "stroke_width": line, "stroke_linecap": "round", "stroke_linejoin": "round"}


def _text(points: Floats) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points.tolist())


def _runs(hit: Bools) -> list[tuple[int, int]]:
    """Pieces from point to point: short ones where something crosses, one long one where nothing does."""
    found, start, last = [], 0, len(hit) - 1
    while start < last:
        stop = min(start + _PIECE, last)
        if not hit[start : stop + 1].any():
            while stop < last and not hit[stop + 1]:
                stop += 1
        found.append((start, stop))
        start = stop
    return found


def _marks(tube: Tube, start: int, stop: int, left: Floats, right: Floats) -> str:
    """Strokes across what is new, slanting as the strands of a laid rope do."""
    first = max(start, int(tube.marked_from * (len(left) - 1)) + 1)
    drawn = ""
    for number in range(first, stop):
        if number % 3 == 0 and number + 1 < len(left):
            drawn += f"M{_text(np.array([left[number], right[number + 1]]))}"
    return drawn
