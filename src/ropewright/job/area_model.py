"""Where people work on a roof and where its anchors may go, as plain data in SI units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["AnchorPlan", "Area", "Framing"]

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Area:
    """A part of the roof, told by outlines in plan, by facets, or neither: then it is the whole roof.

    Parameters
    ----------
    name : str
    rings : tuple of arrays, shape (n, 2)
        A place within any of them is in the area. [m]
    facets : tuple of str
        Ids of the facets that are in it.
    crew : tuple of str
        Who works there; empty: everybody.
    """

    name: str
    rings: tuple[Points, ...] = ()
    facets: tuple[str, ...] = ()
    crew: tuple[str, ...] = ()

    @property
    def is_whole(self) -> bool:
        """True where nothing bounds it."""
        return not self.rings and not self.facets


@dataclass(frozen=True, slots=True)
class Framing:
    """A marked line of framing under the roof that anchors can be fixed to."""

    name: str
    points: Points  #: corners in plan, shape (n, 2) [m]
    spacing: float | None = None  #: between places for anchors on it; None: that of the plan [m]


@dataclass(frozen=True, slots=True)
class AnchorPlan:
    """Where new anchors may go and what they are taken to be.

    The figures are our judgement where the job gives none: 0.6 m (about 2 ft) is a usual distance of rafters, and
    0.3 m keeps the fasteners and the person who ties on away from edges.
    """

    spacing: float = 0.6  #: between places for anchors along a ridge, hip or framing line [m]
    keep_off: float = 0.3  #: from edges, openings, obstacles: no anchor nearer than that, in plan [m]
    above: float = 0.0  #: of the point tied to, over the roof [m]
    ridges: bool = True  #: places on ridges
    hips: bool = True  #: places on hips
    places: float = 0.5  #: between the places that are to be covered [m]
    like: str = ""  #: existing anchor that new ones are taken to be like; empty: see `terms`
    #: Fields of `Anchor` other than name and point, as the job states them; None: it states none.
    terms: Mapping[str, object] | None = None
