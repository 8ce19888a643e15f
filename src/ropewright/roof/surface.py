"""A roof: planar facets in space, their typed edges and the openings in them.

Coordinates are metres: x east (or along the plan's first side), y north, z up from the job's datum.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

__all__ = ["Edge", "EdgeType", "Facet", "Opening", "Roof"]

Points = NDArray[np.float64]


class EdgeType(StrEnum):
    """What an edge of a roof is; the trade's own words."""

    EAVE = "eave"
    RAKE = "rake"
    RIDGE = "ridge"
    HIP = "hip"
    VALLEY = "valley"
    #: Where the roof ends against a wall that goes up: nobody falls here.
    WALL = "wall"
    #: Upper edge of a shed or flat roof, or of any facet that ends level at its top: a fall edge.
    HIGH_EAVE = "high eave"
    #: Crease between two facets that is neither ridge, hip nor valley (a change of pitch on one slope).
    BREAK = "break"
    #: Rim of a skylight, hatch or hole.
    OPENING = "opening"

    @property
    def is_boundary(self) -> bool:
        """True where one can fall off."""
        return self in (EdgeType.EAVE, EdgeType.RAKE, EdgeType.HIGH_EAVE, EdgeType.OPENING)


@dataclass(frozen=True, slots=True)
class Facet:
    """One planar piece of roof.

    Parameters
    ----------
    id : str
    ring : array, shape (n, 3)
        Corners, counterclockwise seen from above, the first not repeated. [m]
    holes : tuple of arrays, shape (k, 3)
        Rings cut out of it, clockwise seen from above (a chimney, a shaft). [m]
    """

    id: str
    ring: Points
    holes: tuple[Points, ...] = ()


@dataclass(frozen=True, slots=True)
class Edge:
    """A straight edge from `start` to `end`, shape (3,) each. [m]

    A boundary edge has its facet on the left when walked from start to end, seen from above; `name` is what
    people call it (``south eave``) and is unique in its roof.
    """

    name: str
    type: EdgeType
    start: Points
    end: Points
    facets: tuple[str, ...]

    @property
    def length(self) -> float:
        """True length in space. [m]"""
        return float(np.linalg.norm(self.end - self.start))


@dataclass(frozen=True, slots=True)
class Opening:
    """A skylight, hatch or hole that one can fall through.

    Parameters
    ----------
    name : str
    facet : str
        Id of the facet it lies in.
    ring : array, shape (n, 3)
        Rim on the facet, counterclockwise seen from above. [m]
    guard : str
        ``none``, ``cover`` or ``guardrail``.
    cover_capacity : float, optional
        Load the cover carries. [N]
    cover_fixed, cover_marked : bool, optional
        None: not known, which is taken as no.
    """

    name: str
    facet: str
    ring: Points
    guard: str = "none"
    cover_capacity: float | None = None
    cover_fixed: bool | None = None
    cover_marked: bool | None = None


@dataclass(frozen=True)
class Roof:
    """A roof of planar facets.

    Parameters
    ----------
    facets : tuple of Facet
    edges : tuple of Edge
        Every edge once; boundary edges run round their facet counterclockwise.
    openings : tuple of Opening
    walls : array, shape (n, 2), optional
        Outline of the walls below, where it is known and differs from the roof's edge by the overhang. [m]
    overhang : float
        Level distance from wall to eave, the greatest where sides differ. [m]
    notes : tuple of str
        What was mended or assumed while it was made.
    inner_walls : tuple of arrays, shape (n, 2)
        Walls of courtyards and of further wings, beside `walls`. [m]
    """

    facets: tuple[Facet, ...]
    edges: tuple[Edge, ...]
    openings: tuple[Opening, ...] = ()
    walls: Points | None = None
    overhang: float = 0.0
    notes: tuple[str, ...] = field(default=())
    inner_walls: tuple[Points, ...] = ()

    @cached_property
    def by_id(self) -> dict[str, Facet]:
        """Facets by their id."""
        return {facet.id: facet for facet in self.facets}

    @property
    def boundary(self) -> Iterator[Edge]:
        """Edges that one can fall over, openings left out."""
        return (edge for edge in self.edges if edge.type.is_boundary)
