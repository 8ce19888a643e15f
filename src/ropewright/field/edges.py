"""Points along everything that one can fall over or through, in the order in which one would walk round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.roof import Edge, Facet, Roof
from ropewright.roof.facets import facet_normal

__all__ = ["EdgePoints", "edge_points"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Ends of two edges closer than this are one corner. [m]
_SAME_CORNER = 1e-3
#: A facet whose unit normal rises less than this is a wall. [-]
_PLUMB = 1e-3


@dataclass(frozen=True)
class EdgePoints:
    """Points on the fall edges of a roof; all arrays run over the same n points.

    Points of one chain stand one behind the other; where two edges of a chain meet, the corner stands twice, once
    for each edge.
    """

    names: tuple[str, ...]  #: name of each edge that has points
    edge: Integers  #: (n,) index into `names`
    points: Floats  #: (n, 3) [m]
    outward: Floats  #: (n, 2) level unit vector away from the roof [-]
    chain: Integers  #: (n,) which chain of edges
    closed: tuple[bool, ...]  #: for each chain: does its last point neighbour its first
    is_opening: NDArray[np.bool_]  #: (n,)
    slope: Floats | None = None  #: (n, 2) rise of the facet at the edge, per metre along x and along y [-]

    @property
    def edge_names(self) -> tuple[str, ...]:
        """Name of the edge of each point."""
        return tuple(self.names[i] for i in self.edge)


def edge_points(roof: Roof, spacing: float) -> EdgePoints:
    """Points on every fall edge of a roof, both ends of each edge among them.

    Parameters
    ----------
    roof : Roof
    spacing : float
        Greatest distance between neighbours, above 0. [m]

    Returns
    -------
    EdgePoints
        Empty arrays for a roof without fall edges.

    Raises
    ------
    ValueError
        If the spacing is not above 0.
    """
    if not spacing > 0:
        raise ValueError(f"spacing must be above 0 m, got {spacing:g} m")
    chains = _chains(list(roof.boundary))
    names: list[str] = []
    edge: list[Integers] = []
    points: list[Floats] = []
    outward: list[Floats] = []
    chain_of: list[Integers] = []
    opening: list[NDArray[np.bool_]] = []
    slope: list[Floats] = []
    for number, (chain, _) in enumerate(chains):
        for part in chain:
            on_edge = _along(part, spacing)
            n = len(on_edge)
            edge.append(np.full(n, len(names)))
            names.append(part.name)
            points.append(on_edge)
            outward.append(np.tile(_outward(part), (n, 1)))
            chain_of.append(np.full(n, number))
            opening.append(np.full(n, part.type == "opening"))
            slope.append(np.tile(_slope(roof.by_id[part.facets[0]]), (n, 1)))
    return EdgePoints(
        names=tuple(names),
        edge=_integers(edge),
        points=_floats(points, 3),
        outward=_floats(outward, 2),
        chain=_integers(chain_of),
        closed=tuple(closed for _, closed in chains),
        is_opening=np.concatenate(opening) if opening else np.empty(0, np.bool_),
        slope=_floats(slope, 2),
    )


def _floats(parts: Sequence[Floats], columns: int) -> Floats:
    return np.concatenate(parts) if parts else np.empty((0, columns))


def _integers(parts: Sequence[Integers]) -> Integers:
    return np.concatenate(parts) if parts else np.empty(0, np.int64)


def _along(edge: Edge, spacing: float) -> Floats:
    parts = max(1, int(np.ceil(edge.length / spacing - 1e-9)))
    share = np.linspace(0.0, 1.0, parts + 1)[:, None]
    placed: Floats = edge.start + share * (edge.end - edge.start)
    return placed


def _slope(facet: Facet) -> Floats:
    """Rise of a facet along x and along y; a plumb one has none that could be told."""
    x, y, z = facet_normal(facet).tolist()
    return np.array([-x, -y]) / z if z > _PLUMB else np.zeros(2)


def _outward(edge: Edge) -> Floats:
    """Level unit vector to the right of the walk, away from the facet on the left."""
    run = (edge.end - edge.start)[:2]
    length = float(np.hypot(*run))
    return np.array([run[1], -run[0]]) / length if length > 0 else np.zeros(2)


def _chains(edges: list[Edge]) -> list[tuple[list[Edge], bool]]:
    """Order edges end to start; a chain is closed if it comes back to where it began."""
    left = list(edges)
    chains = []
    while left:
        chain = [left.pop(0)]
        while (after := _meeting(left, chain[-1].end, at_start=True)) is not None:
            chain.append(left.pop(after))
        while (before := _meeting(left, chain[0].start, at_start=False)) is not None:
            chain.insert(0, left.pop(before))
        chains.append((chain, _same(chain[-1].end, chain[0].start)))
    return chains


def _meeting(edges: list[Edge], corner: Floats, *, at_start: bool) -> int | None:
    ends = (edge.start if at_start else edge.end for edge in edges)
    return next((i for i, end in enumerate(ends) if _same(end, corner)), None)


def _same(one: Floats, other: Floats) -> bool:
    return float(np.linalg.norm(one - other)) < _SAME_CORNER
