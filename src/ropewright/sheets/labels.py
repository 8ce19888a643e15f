"""Places for text on a drawing, so that no two lie on each other. Lengths are millimetres on the sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Label", "Labels", "box_at", "text_width"]

Floats = NDArray[np.float64]

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


@dataclass
class Labels:
    """What stands on the drawing so far, and the search for places that are free.

    Parameters
    ----------
    frame : tuple of float
        Left, top, right and bottom end of the drawing.
    """

    frame: tuple[float, float, float, float]
    _taken: list[tuple[Floats, tuple[float, float, float, float], float]] = field(default_factory=list)

    def block(self, shape: Floats, cost: float = ON_MARK) -> None:
        """Keep text off a convex shape, shape (n, 2), as far as `cost` goes."""
        low, high = shape.min(axis=0).tolist(), shape.max(axis=0).tolist()
        self._taken.append((shape, (low[0], low[1], high[0], high[1]), cost))

    def block_line(self, start: Floats, end: Floats, cost: float = ON_LINE) -> None:
        """Keep text off a straight line as far as it can be."""
        self.block(np.array([start, end]), cost)

    def cost(self, shape: Floats) -> float:
        """Return what it would cost to put something with this convex shape here."""
        low, high = shape.min(axis=0).tolist(), shape.max(axis=0).tolist()
        left, top, right, bottom = self.frame
        inside = low[0] >= left and low[1] >= top and high[0] <= right and high[1] <= bottom
        total = 0.0 if inside else OFF_SHEET
        for other, (x0, y0, x1, y1), cost in self._taken:
            apart = x0 >= high[0] or x1 <= low[0] or y0 >= high[1] or y1 <= low[1]
            if not apart and _overlap(shape, other):
                total += cost
        return total

    def put(self, places: Iterable[Label], *, at_most: float = np.inf) -> Label | None:
        """Label at the cheapest of its places, which is then taken; None if even that costs more than `at_most`."""
        best, least = None, np.inf
        for label in places:
            if label.dislike >= least:
                continue
            cost = label.dislike + self.cost(label.box)
            if cost < least:
                best, least = label, cost
        if best is None or least > at_most:
            return None
        self.block(best.box, ON_TEXT)
        return best


def _axes(shape: Floats) -> Floats:
    sides = np.roll(shape, -1, axis=0) - shape
    normal: Floats = np.column_stack([-sides[:, 1], sides[:, 0]])
    return normal


def _overlap(one: Floats, other: Floats) -> bool:
    """Return whether two convex shapes share room, which they do if no direction parts them."""
    axes = np.vstack([_axes(one), _axes(other)])
    a, b = one @ axes.T, other @ axes.T
    parted = (a.max(axis=0) <= b.min(axis=0)) | (b.max(axis=0) <= a.min(axis=0))
    moved = np.abs(axes).sum(axis=1) > 1e-12
    return not bool((parted & moved).any())
