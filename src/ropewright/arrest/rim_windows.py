"""Stretches of an edge along which the taut rope's length is a hyperbola, found to 2e-7 m from samples."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

__all__ = ["ACCURATE", "Reach", "Window", "windows_along"]

Floats = NDArray[np.float64]
Reach = Callable[[Floats], tuple[Floats, Floats]]

#: A window that misses the sampled length by more than this is split. [m]
ACCURATE = 2e-7
#: Windows shorter than this are not split: two ways of the rope that are equally long meet there. [m]
_SHORTEST = 2e-6
#: Bends this near each other are one. [m]
_SAME = 1e-7
#: Directions from the edge to the image this near each other are one. [rad]
_SAME_SIDE = 1e-4
#: A bend this near says nothing about where the rope comes from; it is then looked at this far in, and its length this
#: far along the edge to both sides. [m]
_AT_EDGE, _INWARD, _ASIDE = 1e-6, 1e-5, 1e-5
#: Samples stand this far inside their window. [m]
_INSET = 1e-5


@dataclass(frozen=True)
class Window:
    """A stretch of an edge from place `low` to `high`, along which the rope to place s is offset + hypot(s - p, q)."""

    low: float  #: [m]
    high: float  #: [m]
    offset: float  #: [m]
    p: float  #: [m]
    q: float  #: 0 or more [m]
    out: float  #: unit vector from the edge to the image, at right angles to the edge: its level part outward ...
    up: float  #: ... and its part in the edge's plumb plane

    def length_to(self, place: float) -> float:
        """Taut rope from the anchor to a place on the edge. [m]"""
        return self.offset + float(np.hypot(place - self.p, self.q))

    def lengths_to(self, places: Floats) -> Floats:
        """The same for many places, shape (n,). [m]"""
        lengths: Floats = self.offset + np.hypot(places - self.p, self.q)
        return lengths

    def covers(self, other: Window, accuracy: float) -> bool:
        """True where this hyperbola is as good on another window as that window's own."""
        places = (other.low, 0.5 * (other.low + other.high), other.high)
        turned = abs(self.out - other.out) + abs(self.up - other.up)
        return turned < _SAME_SIDE and all(abs(self.length_to(s) - other.length_to(s)) < accuracy for s in places)


@dataclass(frozen=True)
class _Samples:
    """What is known at places along an edge, one row each."""

    place: Floats
    length: Floats
    slope: Floats  #: how fast the length grows along the edge
    bend: Floats
    side: Floats  #: (n, 2) direction from the edge to the bend, across the edge: outward and up, of any length


def windows_along(
    start: Floats,
    along: Floats,
    length: float,
    out: Floats,
    across: Floats,
    reach: Reach,
    spacing: float,
    accuracy: float = ACCURATE,
) -> list[Window]:
    """Windows of one edge, from its start to its end.

    Parameters
    ----------
    start, along, out, across : array, shape (3,)
        Start, unit vector along the edge, level one outward, and the one at right angles to both.
    length : float
        Of the edge. [m]
    reach : callable
        Length of and next bend on the taut rope to points.
    spacing : float
        Of the first samples. [m]
    accuracy : float
        A window that misses the sampled length by more is split. [m]

    Returns
    -------
    list of Window
    """
    count = max(1, int(np.ceil(length / spacing - 1e-9)))
    ends = np.linspace(0.0, length, count + 1)
    pieces = np.column_stack([ends[:-1], ends[1:]])
    done: list[Window] = []
    while len(pieces):
        # not at the very ends, where edges meet and a rope may bend on the spot
        inset = np.minimum(_INSET, 0.01 * (pieces[:, 1] - pieces[:, 0]))[:, None]
        shares = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
        places = pieces[:, :1] + inset + shares * (pieces[:, 1:] - pieces[:, :1] - 2.0 * inset)
        samples = _look(start, along, out, across, places.ravel(), reach)
        unsure = []
        for k, (low, high) in enumerate(pieces):
            here = slice(5 * k, 5 * k + 5)
            window = replace(_fit(start, along, samples, 5 * k, 5 * k + 4), low=low, high=high)
            off = np.abs(window.lengths_to(samples.place[here]) - samples.length[here]).max()
            if off > accuracy and high - low > _SHORTEST:
                middle = 0.5 * (low + high)
                unsure += [[low, middle], [middle, high]]
            else:
                done.append(window)
        pieces = np.array(unsure).reshape(-1, 2)
    return _joined(sorted(done, key=lambda window: window.low), accuracy)


def _look(start: Floats, along: Floats, out: Floats, across: Floats, places: Floats, reach: Reach) -> _Samples:
    """Rope to places along the edge, and its slope: from the bend, or where that is on the spot from its lengths."""
    points = start + places[:, None] * along
    lengths, bends = reach(points)
    legs = bends - points
    far = np.linalg.norm(legs, axis=1)
    on_spot = far < _AT_EDGE
    slopes = np.divide(-(legs @ along), far, out=np.zeros_like(far), where=~on_spot)
    if on_spot.any():
        spots = points[on_spot]
        gains = reach(np.vstack([spots + _ASIDE * along, spots - _ASIDE * along]))[0].reshape(2, -1)
        slopes[on_spot] = (gains[0] - gains[1]) / (2.0 * _ASIDE)
        inside = spots - _INWARD * out
        legs[on_spot] = reach(inside)[1] - inside
    side = np.column_stack([legs @ out, legs @ across])
    none = np.linalg.norm(side, axis=1) < 1e-3 * _AT_EDGE
    side[none] = [-1.0, 0.0]
    return _Samples(places, lengths, slopes, bends, side)


def _fit(start: Floats, along: Floats, samples: _Samples, first: int, last: int) -> Window:
    """Hyperbola through two samples: about a bend that is the same for both, or else by both slopes."""
    low, high = samples.place[first], samples.place[last]
    length, gain = samples.length[first], samples.length[last] - samples.length[first]
    sides = samples.side[[first, last]]
    toward = (sides / np.linalg.norm(sides, axis=1)[:, None]).sum(axis=0)
    size = float(np.linalg.norm(toward))
    out_part, up_part = (toward / size).tolist() if size > _SAME else (-1.0, 0.0)
    bend = samples.bend[first]
    if np.linalg.norm(samples.bend[last] - bend) < _SAME:
        p = float((bend - start) @ along)
        q = float(np.linalg.norm(bend - start - p * along))
    else:
        p, q = _by_slopes(low, high, samples.slope[first], samples.slope[last], gain)
    return Window(low, high, length - float(np.hypot(low - p, q)), p, q, out_part, up_part)


def _by_slopes(low: float, high: float, at_low: float, at_high: float, gain: float) -> tuple[float, float]:
    """Image whose hyperbola has the two slopes' difference, and gains what the length gains from low to high."""
    slant = [c / np.sqrt(max(1.0 - c * c, 1e-18)) for c in (at_low, at_high)]
    q = (high - low) / (slant[1] - slant[0]) if slant[1] > slant[0] else 0.0
    # hypot(b + d, q) - hypot(b - d, q) = gain, with half the stretch d, is a hyperbola's equation in b
    d = 0.5 * (high - low)
    g = min(abs(gain), 2.0 * d * (1.0 - 1e-12))
    b = 0.5 * g * np.sqrt(1.0 + q * q / (d * d - 0.25 * g * g))
    return 0.5 * (low + high) - float(np.copysign(b, gain)), float(q)


def _joined(windows: list[Window], accuracy: float) -> list[Window]:
    """Windows without those that one of their neighbours covers."""
    joined: list[Window] = []
    for window in windows:
        while joined and window.covers(joined[-1], accuracy):
            window = replace(window, low=joined.pop().low)
        if joined and joined[-1].covers(window, accuracy):
            window = replace(joined.pop(), high=window.high)
        joined.append(window)
    return joined
