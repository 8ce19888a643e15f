"""Outlines of usual plans from a few lengths, as a tape is read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

from ropewright.errors import InputError
from ropewright.quantity import UnitSystem

__all__ = ["SHAPES", "outline_by_sides", "outline_of_shape", "written_outline"]

Corner: TypeAlias = tuple[float, float]

#: Plans that a few lengths describe.
SHAPES = ("rectangle", "L", "T", "U")

_FOOT = 0.3048  #: [m]

#: A walk round the walls may miss its start by so much and still be closed: what tapes and rounding leave. [m]
_GAP = 0.05


def outline_of_shape(
    shape: str, width: float, depth: float, inner_width: float = 0.0, inner_depth: float = 0.0
) -> list[Corner]:
    """Corners of a plan, counterclockwise from its low left corner.

    Parameters
    ----------
    shape : str
        One of `SHAPES`::

            L            T              U
            +---+        +---------+    +---+   +---+
            |   |        |         |    |   |   |   |  depth
            |   +---+    +-+     +-+    |   +---+   |
            |       |      |     |      |           |
            +-------+      +-----+      +-----------+
              width

    width, depth : float
        Of the whole. [m]
    inner_width, inner_depth : float
        L: of the corner cut out, top right. T: of the stem, in the middle below. U: of the court, in the middle
        above. [m]

    Returns
    -------
    list of (x, y)
        In metres, from (0, 0).

    Raises
    ------
    InputError
        If a length is not above 0, or an inner one not less than the outer.

    Examples
    --------
    >>> outline_of_shape("L", 8.0, 6.0, 3.0, 2.0)
    [(0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (5.0, 4.0), (5.0, 6.0), (0.0, 6.0)]
    """
    w, d, a, b = width, depth, inner_width, inner_depth
    for field, value in (("width", w), ("depth", d)):
        if not value > 0:
            raise InputError(field, value, "give more than 0")
    if shape == "rectangle":
        return [(0.0, 0.0), (w, 0.0), (w, d), (0.0, d)]
    for field, value, most in (("inner_width", a, w), ("inner_depth", b, d)):
        if not 0 < value < most:
            raise InputError(field, value, "give more than 0 and less than the whole")
    if shape == "L":
        return [(0.0, 0.0), (w, 0.0), (w, d - b), (w - a, d - b), (w - a, d), (0.0, d)]
    left, right = (w - a) / 2, (w + a) / 2
    if shape == "T":
        return [(left, 0.0), (right, 0.0), (right, b), (w, b), (w, d), (0.0, d), (0.0, b), (left, b)]
    return [(0.0, 0.0), (w, 0.0), (w, d), (right, d), (right, d - b), (left, d - b), (left, d), (0.0, d)]


def outline_by_sides(sides: Sequence[tuple[float, float]]) -> list[Corner]:
    """Corners met on a walk round the walls, the first at (0, 0), walking along x at first.

    Parameters
    ----------
    sides : sequence of (length, turn)
        Length of each wall [m], and the turn to the left at its end; negative: to the right. [deg]

    Returns
    -------
    list of (x, y)
        In metres.

    Raises
    ------
    InputError
        If there are fewer than three, or the walk does not end where it began.

    Examples
    --------
    >>> [(round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in outline_by_sides([(4, 90), (3, 90), (4, 90), (3, 90)])]
    [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]
    """
    if len(sides) < 3:
        raise InputError("sides", f"{len(sides)} sides", "give at least three")
    x = y = heading = 0.0
    corners = []
    for length, turn in sides:
        corners.append((x, y))
        x += length * math.cos(math.radians(heading))
        y += length * math.sin(math.radians(heading))
        heading += turn
    gap = math.hypot(x, y)
    if gap > _GAP:
        raise InputError("sides", f"a walk that ends {gap:.2f} m from its start", "measure the sides and turns again")
    return corners


def written_outline(corners: Sequence[Corner], units: UnitSystem) -> list[list[str]]:
    """Corners as they stand in a job file.

    Examples
    --------
    >>> written_outline([(0.0, 1.5)], UnitSystem.METRIC), written_outline([(0.3048, 0.0)], UnitSystem.US)
    ([['0 m', '1.5 m']], [['1 ft', '0 ft']])
    """
    size, unit = (_FOOT, "ft") if units is UnitSystem.US else (1.0, "m")
    return [[f"{round(value / size, 4) + 0.0:.12g} {unit}" for value in corner] for corner in corners]
