"""What a bend over a pin or a sheave leaves of a rope's strength."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal

from ropewright.quantity import Range
from ropewright.rope.tables import Figure, figures

__all__ = ["bend_retention"]


def bend_retention(ratio: float, kind: Literal["fibre", "wire"]) -> Figure:
    """Share of strength left in a rope that is bent round something.

    Parameters
    ----------
    ratio : float
        Diameter of what it is bent round over diameter of the rope, above 0. [-]
    kind : ``fibre`` or ``wire``

    Returns
    -------
    Figure
        Between two rows of the table, straight on the logarithm of the ratio; above the last row, the last row.
        Below a ratio of 1 the bend counts as a bare edge.

    Raises
    ------
    ValueError
        If the ratio is not above 0.

    Notes
    -----
    The ratio is of diameters. A text that gives "4 to 1" may mean the radius: ask before entering it.

    Examples
    --------
    >>> bend_retention(20.0, "wire").value.likely
    0.91
    >>> bend_retention(0.5, "fibre").value.likely  # sharper than the rope is thick
    0.3
    """
    if not ratio > 0:
        raise ValueError(f"bend ratio must be above 0, got {ratio}")
    if ratio < 1:
        return figures("strength_figures")["edge/bare"]
    table = sorted((int(key.split("/")[1]), row) for key, row in figures("bend_ratio").items() if key.startswith(kind))
    for (small, first), (large, second) in pairwise(table):
        if ratio <= large:
            return _between(first, second, math.log(ratio / small) / math.log(large / small))
    return table[-1][1]


def _between(first: Figure, second: Figure, share: float) -> Figure:
    """Figure between two rows; its ends can't cross, since those of the rows do not."""
    low, likely, high = (
        getattr(first.value, end) + share * (getattr(second.value, end) - getattr(first.value, end))
        for end in ("low", "likely", "high")
    )
    value = Range(low, max(low, likely), max(low, likely, high))
    return Figure(second.key, value, second.unit, second.source, second.grade, second.samples, second.note)
