"""The laid curves of knots, read from their table, and what is measured on them: rope taken, width, gap."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ropewright.rope.curve import arc_lengths, smoothed
from ropewright.rope.tables import data_text

__all__ = ["KnotRope", "LaidStrand", "knot_pictures", "measured", "stopper_width", "touching"]

Floats = NDArray[np.float64]

#: Two middle lines this near each other touch: a hand-drawn knot leaves some air. [diameters]
_TOUCH = 1.3

#: Strands that run this much alongside each other (cosine of their angle) only lie together; others hold. [-]
_ALONGSIDE = 0.85


@dataclass(frozen=True, slots=True)
class LaidStrand:
    """One rope, cord, line or ring of a picture.

    Parameters
    ----------
    points : array, shape (n, 3)
        Middle line, smooth; x to the right, y up, z toward the eye. [diameters of the rope]
    diameter : float
        Over that of the rope. [-]
    new_from : float
        Share of its length from which on it is new since the picture before; 1 for nowhere.
    name : str
        ``rope``, ``other rope``, ``cord``, ``line`` or ``ring``.
    """

    points: Floats
    diameter: float
    new_from: float
    name: str


@cache
def knot_pictures() -> Mapping[str, tuple[tuple[LaidStrand, ...], ...]]:
    """Pictures of every knot by its name, in the order of tying; the last shows it dressed.

    Examples
    --------
    >>> len(knot_pictures()["bowline"])
    5
    """
    told = json.loads(data_text("knot_curves.json"))["knots"]
    return MappingProxyType({name: tuple(map(_picture, pictures)) for name, pictures in told.items()})


def _picture(strands: list[dict[str, object]]) -> tuple[LaidStrand, ...]:
    laid = []
    for strand in strands:
        points = np.asarray(strand["points"], float).reshape(-1, 3) / 1000
        numbers = float(str(strand["diameter"])), float(str(strand["new_from"]))
        laid.append(LaidStrand(smoothed(points, 2), *numbers, str(strand["name"])))
    return tuple(laid)


def touching(picture: tuple[LaidStrand, ...]) -> Floats:
    """Lengths along the first strand at which it touches a strand that crosses it, in rope diameters.

    Parameters
    ----------
    picture : tuple of LaidStrand

    Returns
    -------
    array, shape (k,)
        Rising; strands that run side by side do not count, since they hold nothing.
    """
    first = picture[0]
    s, way = arc_lengths(first.points), _ways(first.points)
    held = np.zeros(len(s), bool)
    for number, other in enumerate(picture):
        if other.name == "ring":  # what a loop hangs on is no part of the knot
            continue
        squares = ((first.points[:, None] - other.points[None]) ** 2).sum(2)
        near = squares < (_TOUCH * (first.diameter + other.diameter) / 2) ** 2
        across = np.abs(way @ _ways(other.points).T) < _ALONGSIDE
        apart = np.abs(s[:, None] - s[None, :]) > np.pi / 2 if number == 0 else True
        held |= (near & across & apart).any(1)
    return s[held]


def _ways(points: Floats) -> Floats:
    """Directions along a curve, of length 1."""
    way = np.gradient(points, axis=0)
    unit: Floats = way / np.linalg.norm(way, axis=1)[:, None]
    return unit


@dataclass(frozen=True, slots=True)
class KnotRope:
    """Rope that a knot takes, measured on its dressed curve, in rope diameters.

    Parameters
    ----------
    in_knot : float
        From where the rope first touches a strand that crosses it to where it last does, without the loop.
    loop : float
        Of a loop, from where it leaves the knot to where it comes back, as drawn; 0 without one.
    """

    in_knot: float
    loop: float

    @property
    def whole(self) -> float:
        """Knot and loop together. [diameters]"""
        return self.in_knot + self.loop


@cache
def measured(name: str, *, loop: bool) -> KnotRope:
    """Rope that one rope of a knot takes.

    Parameters
    ----------
    name : str
        Of a knot in `knot_pictures`.
    loop : bool
        True if the longest stretch that touches nothing is a loop.

    Returns
    -------
    KnotRope

    Notes
    -----
    Measured on the middle line, which is as long as the rope. Hand-tight: a pull draws some of it out again.

    Examples
    --------
    >>> measured("double overhand stopper", loop=False).loop
    0.0
    """
    held = touching(knot_pictures()[name][-1])
    whole = float(held[-1] - held[0])
    free = float(np.diff(held).max()) if loop else 0.0
    return KnotRope(whole - free, free)


def stopper_width(name: str) -> float:
    """Least width across a dressed knot, seen along its rope, in rope diameters.

    Parameters
    ----------
    name : str

    Returns
    -------
    float
        The narrowest gap that the knot fits through in any turn about its rope, as drawn.

    Examples
    --------
    >>> stopper_width("double overhand stopper") > 2.0
    True
    """
    picture = knot_pictures()[name][-1]
    held = touching(picture)
    points, s = picture[0].points, arc_lengths(picture[0].points)
    body = points[(s >= held[0]) & (s <= held[-1])]
    angles = np.linspace(0.0, np.pi, 180, endpoint=False)
    across = body[:, [0, 2]] @ np.stack([np.cos(angles), np.sin(angles)])
    return float((across.max(0) - across.min(0)).min()) + picture[0].diameter
