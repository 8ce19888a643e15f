"""The sheet while it is drawn: layers from the paper up, and text that keeps clear of other text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.sheets import svg
from ropewright.sheets.ink import INK, PAPER
from ropewright.sheets.labels import Label, Labels, box_at, text_width
from ropewright.sheets.paper import Plan

__all__ = ["BIG", "LAYERS", "NORMAL", "SMALL", "Canvas", "height_text", "length_text", "upright", "wrapped"]

Floats = NDArray[np.float64]

#: Em heights of the lettering; the small one is still read on a sheet shown 390 px wide. [mm]
BIG, NORMAL, SMALL = 4.4, 3.8, 3.5

#: From the paper up. Text stands on patches of bare paper ("clear"), which lie over lines but under every verdict:
#: an outline round the letters would do the same, but PDF viewers draw it letter by letter, each over the last.
LAYERS = ("below", "zones", "roof", "site", "ropes", "dimensions", "clear", "bands", "marks", "text")

MINUS = "\u2212"

#: From the middle of a line of text down to its baseline. [em]
_BASELINE = 0.34


def upright(direction: Floats) -> float:
    """Clockwise turn that lays text along a direction on the sheet without standing it on its head, in deg.

    Examples
    --------
    >>> upright(np.array([-1.0, 0.0])), upright(np.array([0.0, 1.0]))
    (0.0, -90.0)
    """
    turn = float(np.degrees(np.arctan2(direction[1], direction[0])))
    turn = (turn + 90.0) % 180.0 - 90.0
    return 0.0 if abs(turn) < 1e-9 else turn


def wrapped(words: str, width: float, size: float, lines: int, *, bold: bool = False) -> list[str]:
    """Words broken into at most so many lines of a width; what is too much is cut and marked with an ellipsis, in mm.

    Examples
    --------
    >>> wrapped("one two three", 16.0, 4.0, 2)
    ['one two', 'three']
    """
    broken = [""]
    for word in words.split():
        longer = f"{broken[-1]} {word}".strip()
        if broken[-1] and text_width(longer, size, bold=bold) > width:
            broken.append(word)
        else:
            broken[-1] = longer
    kept = broken[:lines]
    if len(broken) > lines:
        kept[-1] += " …"
    return [_cut(line, width, size, bold=bold) for line in kept]


def _cut(words: str, width: float, size: float, *, bold: bool) -> str:
    if text_width(words, size, bold=bold) <= width:
        return words
    bare = words.removesuffix(" …")
    while bare and text_width(bare + "…", size, bold=bold) > width:
        bare = bare[:-1]
    return bare + "…"


def length_text(metres: float, units: UnitSystem) -> str:
    """Length as a tape reads it.

    Examples
    --------
    >>> length_text(12.192, UnitSystem.US), length_text(12.192, UnitSystem.METRIC)
    ('40 ft 0 in', '12.19 m')
    """
    return show(metres, Dimension.LENGTH, units, style="feet-inches")


def height_text(metres: float, units: UnitSystem) -> str:
    """Height above the job's datum, with its sign.

    Examples
    --------
    >>> height_text(0.0, UnitSystem.METRIC), height_text(-1.5, UnitSystem.METRIC)
    ('±0', '−1.50 m')
    """
    if abs(metres) < 5e-4:
        return "±0"
    return f"{MINUS if metres < 0 else '+'}{show(abs(metres), Dimension.LENGTH, units)}"


@dataclass
class Canvas:
    """What is drawn so far.

    Parameters
    ----------
    plan : Plan
    labels : Labels
    units : UnitSystem
    ground : str
        Colour of the paper, which also stands behind the letters.
    """

    plan: Plan
    labels: Labels
    units: UnitSystem
    ground: str = PAPER
    layers: dict[str, list[str]] = field(default_factory=lambda: {name: [] for name in LAYERS})
    #: Names of what was too small to be lettered.
    unlettered: list[str] = field(default_factory=list)
    #: What lies off the sheet, in words.
    beyond: list[str] = field(default_factory=list)

    def add(self, layer: str, *elements: str) -> None:
        """Put finished elements on a layer."""
        self.layers[layer].extend(elements)

    def place(self, points: Floats) -> Floats:
        """Points on the sheet from points of the job, in mm."""
        return self.plan.place(points)

    def length(self, metres: float) -> str:
        """Length as a tape reads it, in the job's units."""
        return length_text(metres, self.units)

    def holds(self, point: Floats) -> bool:
        """True if a place on the sheet, shape (2,), lies in the drawing."""
        left, top, right, bottom = self.labels.frame
        return bool(left <= point[0] <= right and top <= point[1] <= bottom)

    def letter(self, places: Iterable[Label], *, at_most: float = np.inf) -> Label | None:
        """Write a text at the best of its places; None if all of them cost more than `at_most`."""
        label = self.labels.put(places, at_most=at_most)
        if label is not None:
            if label.leader is not None:
                self.labels.block_line(label.leader, label.middle)
                self.add("dimensions", svg.line(label.leader, label.middle, stroke=INK, stroke_width=0.15))
            width = text_width(label.words, label.size, bold=label.bold)
            self.add("clear", svg.polygon(box_at(label.middle, width, 0.9 * label.size, label.turn), fill=self.ground))
            self.add("text", _written(label))
        return label

    def drawn(self) -> str:
        """All layers, from the paper up."""
        return "".join(svg.tag("g", *self.layers[name], id=f"rw-{name}") for name in LAYERS if self.layers[name])


def _written(label: Label) -> str:
    down = _BASELINE * label.size * np.array([-np.sin(np.radians(label.turn)), np.cos(np.radians(label.turn))])
    return svg.text(
        label.words,
        label.middle + down,
        label.size,
        turn=label.turn,
        text_anchor="middle",
        font_weight=600 if label.bold else None,
        fill=INK,
    )
