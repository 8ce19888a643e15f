"""Places for text on a drawing, so that no two lie on each other. Lengths are millimetres on the sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Label", "Labels", "box_at", "text_width"]

Floats = NDArray[np.float64]

GRID = 12.0  #: width of the fields in which what is drawn is looked up [mm]

#: What it costs to lie on something; a text on a text can't be read, on a thin line it can.
ON_TEXT, ON_MARK, ON_LINE, OFF_SHEET = 100.0, 40.0, 6.0, 400.0

#: Widths of letters in thousandths of an em, of the widest of the fonts that a viewer may put in: those of
#: Liberation Sans and its kin (Helvetica's metrics, from memory). Letters not named are as wide as the widest figure.
_WIDTHS = {
    letter: width
    for width, letters in (
        (222, "ijl'|"),
        (278, " ft.,:;!/I[]"),
        (333, "r()-"),
        (500, "ckszvxyJ"),
        (611, "FTZ"),
        (667, "ABEKPSVXY&"),
        (722, "wCDHNRU"),
        (778, "GOQ"),
        (889, "mM%"),
        (1000, "W@…"),
    )
    for letter in letters
}
_OTHER = 580


def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of text, a little too wide rather than too narrow.

    Examples
    --------
    >>> text_width("", 4.0)
    0.0
    >>> round(text_width("mill", 10.0), 1) < round(text_width("mmmm", 10.0), 1)
    True
    """
    em = sum(_WIDTHS.get(letter, _OTHER) for letter in words) / 1000
    return em * size * (1.08 if bold else 1.0)


def box_at(middle: Floats, width: float, height: float, turn: float = 0.0) -> Floats:
    """Corners of a box turned clockwise by `turn` degrees, shape (4, 2).

    Examples
    --------
    >>> box_at(np.array([0.0, 0.0]), 4.0, 2.0)
    array([[-2., -1.], [ 2., -1.], [ 2.,  1.], [-2.,  1.]])
    """
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    half = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (width / 2, height / 2)
    corners: Floats = half @ np.array([[c, s], [-s, c]]) + middle
    return corners


@dataclass(frozen=True, slots=True)
class Label:
    """A text at one of the places it may stand.

    Parameters
    ----------
    words : str
    middle : array, shape (2,)
    size : float
        Height of an em.
    turn : float
        Clockwise. [deg]
    bold : bool
    dislike : float
        Cost of this place by itself: how much a free place further down the list is worth.
    leader : array, shape (2,), optional
        Where a thin line to the thing named begins.
    """

    words: str
    middle: Floats
    size: float
    turn: float = 0.0
    bold: bool = False
    dislike: float = 0.0
    leader: Floats | None = None

    @property
    def box(self) -> Floats:
        """Corners of the room it takes, shape (4, 2)."""
        return box_at(self.middle, text_width(self.words, self.size, bold=self.bold) + 0.8, self.size, self.turn)


#: Corners of a convex shape as plain floats: at this size Python's own are several times as fast as arrays.
Corners = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class _Taken:
    """A convex shape that is drawn already, with its bounds and what it costs to lie on it."""

    corners: Corners
    left: float
    top: float
    right: float
    bottom: float
    cost: float

    @classmethod
    def of(cls, shape: Floats, cost: float) -> _Taken:
        corners = [(x, y) for x, y in shape.tolist()]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        return cls(corners, min(xs), min(ys), max(xs), max(ys), cost)

    def fields(self) -> list[tuple[int, int]]:
        """Fields of the grid that its bounds touch."""
        columns = range(int(self.left // GRID), int(self.right // GRID) + 1)
        rows = range(int(self.top // GRID), int(self.bottom // GRID) + 1)
        return [(column, row) for column in columns for row in rows]

    def is_clear_of(self, other: _Taken) -> bool:
        if self.left >= other.right or self.right <= other.left:
            return True
        if self.top >= other.bottom or self.bottom <= other.top:
            return True
        return _parted(self.corners, other.corners) or _parted(other.corners, self.corners)


def _parted(one: Corners, other: Corners) -> bool:
    """Return whether a line along one of the sides of the first convex shape parts it from the second."""
    for (x0, y0), (x1, y1) in zip(one, one[1:] + one[:1], strict=True):
        nx, ny = y0 - y1, x1 - x0
        if abs(nx) + abs(ny) < 1e-12:
            continue
        a = [nx * x + ny * y for x, y in one]
        b = [nx * x + ny * y for x, y in other]
        if max(a) <= min(b) or max(b) <= min(a):
            return True
    return False


@dataclass
class Labels:
    """What stands on the drawing so far, and the search for places that are free.

    Parameters
    ----------
    frame : tuple of float
        Left, top, right and bottom end of the drawing.
    """

    frame: tuple[float, float, float, float]
    #: What is taken, by the fields of a coarse grid that it touches: on a large roof only what is near is looked at.
    _taken: dict[tuple[int, int], list[_Taken]] = field(default_factory=dict)

    def block(self, shape: Floats, cost: float = ON_MARK) -> None:
        """Keep text off a convex shape, shape (n, 2), as far as `cost` goes."""
        new = _Taken.of(shape, cost)
        for place in new.fields():
            self._taken.setdefault(place, []).append(new)

    def block_line(self, start: Floats, end: Floats, cost: float = ON_LINE) -> None:
        """Keep text off a straight line as far as it can be."""
        self.block(np.array([start, end]), cost)

    def cost(self, shape: Floats, enough: float = np.inf) -> float:
        """Return what it would cost to put something with this convex shape here; past `enough` it stops adding."""
        new = _Taken.of(shape, 0.0)
        left, top, right, bottom = self.frame
        inside = new.left >= left and new.top >= top and new.right <= right and new.bottom <= bottom
        total = 0.0 if inside else OFF_SHEET
        near = {id(old): old for place in new.fields() for old in self._taken.get(place, ())}
        for old in near.values():
            if total >= enough:
                break
            total += 0.0 if new.is_clear_of(old) else old.cost
        return total

    def put(self, places: Iterable[Label], *, at_most: float = np.inf) -> Label | None:
        """Label at the cheapest of its places, which is then taken; None if even that costs more than `at_most`."""
        best, least = None, at_most + 1e-9
        for label in places:
            if label.dislike >= least:
                continue
            cost = label.dislike + self.cost(label.box, least - label.dislike)
            if label.leader is not None:
                cost += 0.5 * self.cost(np.array([label.leader, label.middle]))
            if cost < least:
                best, least = label, cost
        if best is None:
            return None
        self.block(best.box, ON_TEXT)
        return best
