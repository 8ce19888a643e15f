"""Where two facets stand against each other along one line in plan, at unlike heights."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.roof.mesh import SNAP, RoofMesh, Side

__all__ = ["ON_LINE", "Step", "steps_of"]

Floats = NDArray[np.float64]

#: Sides off one plan line by less than this lie on it. [m]
ON_LINE = 1e-5


@dataclass(frozen=True, slots=True)
class Step:
    """The stretch over which one side of a facet runs along the foot of a wall under another.

    Parameters
    ----------
    lower : Side
        The side at the foot.
    start, end : array, shape (3,)
        The stretch, on the lower side and in its sense. [m]
    rise : float
        Greatest height of the upper side over the lower one. [m]
    """

    lower: Side
    start: Floats
    end: Floats
    rise: float

    @property
    def hides(self) -> bool:
        """True where the wall stands high enough that the foot is no edge."""
        return self.rise > SNAP


def steps_of(mesh: RoofMesh) -> tuple[Step, ...]:
    """Every step of a mesh; where two sides cross in height, each is the lower one over its part.

    Examples
    --------
    >>> from ropewright.roof import Facet, Roof
    >>> low = Facet("low", np.array([[0.0, 0, 2], [4, 0, 2], [4, 4, 2], [0, 4, 2]]))
    >>> high = Facet("high", np.array([[4.0, 1, 5], [8, 1, 5], [8, 4, 5], [4, 4, 5]]))
    >>> (step,) = steps_of(RoofMesh.from_roof(Roof((low, high), ())))
    >>> step.start.tolist(), step.end.tolist(), step.rise
    ([4.0, 1.0, 2.0], [4.0, 4.0, 2.0], 3.0)
    """
    open_sides = [side for side in mesh.sides if side.across < 0]
    starts, ends = (mesh.corners[[getattr(side, end) for side in open_sides], :2] for end in "ij")
    found: list[Step] = []
    for k, side in enumerate(open_sides):
        along = (ends[k] - starts[k]) / np.hypot(*(ends[k] - starts[k]))
        off = [
            np.abs(along[0] * (p[:k, 1] - starts[k, 1]) - along[1] * (p[:k, 0] - starts[k, 0])) for p in (starts, ends)
        ]
        for other in np.flatnonzero((off[0] <= ON_LINE) & (off[1] <= ON_LINE)):
            found += _between(mesh, side, open_sides[other])
    return tuple(found)


def _between(mesh: RoofMesh, first: Side, second: Side) -> Iterator[Step]:
    """Steps between two sides; they run in opposite senses, since each has its facet on the left."""
    a, b, c, d = (mesh.corners[k] for k in (first.i, first.j, second.j, second.i))
    length = float(np.hypot(*(b - a)[:2]))
    along = (b - a)[:2] / length
    if along @ (d - c)[:2] <= 0.0:
        return
    off = [abs(along[0] * (p - a)[1] - along[1] * (p - a)[0]) for p in (c, d)]
    run = [float((p - a)[:2] @ along) for p in (c, d)]
    ends = np.array([max(0.0, run[0]), min(length, run[1])])
    if max(off) > ON_LINE or ends[1] - ends[0] < ON_LINE:
        return
    one = a + np.outer(ends / length, b - a)
    two = c + np.outer((ends - run[0]) / (run[1] - run[0]), d - c)
    over = two[:, 2] - one[:, 2]
    cuts = [0.0, float(over[0] / (over[0] - over[1])), 1.0] if over[0] * over[1] < 0.0 else [0.0, 1.0]
    for low, high in pairwise(cuts):
        if (over[0] + 0.5 * (low + high) * (over[1] - over[0])) > 0.0:
            yield _step(first, one, low, high, over)
        else:
            yield _step(second, two[::-1], 1.0 - high, 1.0 - low, -over[::-1])


def _step(side: Side, line: Floats, low: float, high: float, over: Floats) -> Step:
    start, end = (line[0] + share * (line[1] - line[0]) for share in (low, high))
    rise = max(float(over[0] + share * (over[1] - over[0])) for share in (low, high))
    return Step(side, start, end, rise)
