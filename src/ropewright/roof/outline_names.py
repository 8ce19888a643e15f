"""Plain names for the parts of a roof made from an outline, by the compass with +y as north."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

__all__ = ["compass", "numbered"]

_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def compass(x: float, y: float) -> str:
    """Name of a level direction, in eight points with +y as north.

    Parameters
    ----------
    x, y : float
        Direction in plan, of any length. [-]

    Examples
    --------
    >>> compass(0.0, -1.0), compass(1.0, 0.9)
    ('south', 'north-east')
    """
    turns = math.atan2(x, y) / (math.tau / 8)
    return _POINTS[round(turns - 1e-6) % 8]  # halfway between two points the rounding of x and y must not decide


def numbered(names: Sequence[str]) -> list[str]:
    """Names made unique: those that come up more than once are counted from 1.

    Examples
    --------
    >>> numbered(["south", "east", "south"])
    ['south 1', 'east', 'south 2']
    """
    often = Counter(names)
    so_far: Counter[str] = Counter()
    unique = []
    for name in names:
        so_far[name] += 1
        unique.append(name if often[name] == 1 else f"{name} {so_far[name]}")
    return unique
