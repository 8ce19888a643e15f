"""What a worker comes down on who goes over an edge onto a lower part of the same roof, and which edges lie beyond.

::

        upper roof ---E          E: edge point; height: greatest drop within a body's width
                      :  .
                      :    .     flight: the faster the worker, the further out they land
                      ---------- lower roof ----E2   the fall may go on over E2
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ropewright.field.below import Surroundings, level_distance
from ropewright.field.edges import EdgePoints
from ropewright.field.reach import STEP_DOWN
from ropewright.roof import EdgeType, Facet, Roof
from ropewright.roof.facets import facet_normal
from ropewright.roof.height import facet_at

__all__ = ["MOST_DROP", "Landing", "landings"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]

#: Nothing is looked for below an edge with a greater drop to its own roof than this: 6 ft, the highest trigger of the
#: rules of the United States. Above it every drop counts as a fall, whatever a pack says. [m] Judgement.
MOST_DROP = 1.8288
#: Half a body's width, over which all that lies below an edge must be roof. [m]
_BODY = 0.3
#: A worker who walks or stumbles over an edge leaves it no faster. [m/s] Judgement: people walk at about 1.4 m/s.
_STUMBLE = 2.0
#: The roof outside an edge is looked at so far out. [m]
_OUT = np.concatenate([[0.02], np.arange(0.1, 1.55, 0.1), np.arange(1.75, 6.05, 0.25)])
_ASIDE = (-_BODY, 0.0, _BODY)
#: Facets on which a body may land are looked for up to here; further down slides bring it anyway. [m]
_LANDS = 3.0
#: Standard gravity. [m/s2] (CGPM 1901, exact by convention)
_G = 9.80665
#: Heights nearer than this are one. [m]
_LEVEL = 1e-3


@dataclass(frozen=True)
class Landing:
    """What lies outside and below each of n edge points where that is roof; f facets."""

    points: Floats  #: (n, 3) the edge points [m]
    #: (n,) Greatest drop straight out, to half a body's width; inf where anything else than roof lies below a body. [m]
    height: Floats
    drops: Floats  #: (n, k) greatest drop at each distance out; inf where anything else than roof lies there [m]
    outward: Floats  #: (n,) rise of the edge's own facet for each metre outward [-]
    facet: Integers  #: (n,) facet that the edge bounds
    uphill: Floats  #: (n, 2) rise of that facet along x and along y [-]
    landed: Bools  #: (n, f) facets that a body may land on
    onward: Bools  #: (n, f) facets that it may come to from there, down and over valleys, hips and breaks
    group: Integers  #: (n,) points of unlike groups have nothing to do with each other

    def at(self, index: Integers, group: Integers) -> Landing:
        """Return the same of some of the points, m in all, in groups."""
        parts = {item.name: getattr(self, item.name)[index] for item in fields(self)}
        return Landing(**{**parts, "group": group})

    @property
    def is_mere_step(self) -> Bools:
        """True where the drop is no more than a stair's, shape (n,)."""
        mere: Bools = self.height <= STEP_DOWN
        return mere

    def lands(self, speed: Floats) -> tuple[Floats, Floats]:
        """Say how deep and how far out a body may land that goes over each point.

        Parameters
        ----------
        speed : array, shape (n,)
            Greatest speed of a slide over it. [m/s]

        Returns
        -------
        tuple of two arrays, shape (n,)
            Greatest drop up to a body's width past where whoever stumbles over the edge on the level lands, or whoever
            slides over it along its slope; inf where not all of that is roof. And how far out that is. [m]
        """
        falls_away = np.minimum(self.outward, 0.0)
        level = np.maximum(speed / np.sqrt(1.0 + falls_away**2), _STUMBLE)
        stumbled = self._landed_at(np.full(len(level), _STUMBLE), np.zeros(len(level)))
        slid = self._landed_at(level, falls_away)
        return np.maximum(stumbled[0], slid[0]), np.maximum(stumbled[1], slid[1])

    def _landed_at(self, level: Floats, slope: Floats) -> tuple[Floats, Floats]:
        """Greatest drop up to where a body lands that leaves at a level speed along a slope, and how far out. [m]"""
        flight = -slope[:, None] * _OUT + _G * _OUT**2 / (2.0 * level[:, None] ** 2)
        has_landed = flight >= self.drops
        end = np.searchsorted(_OUT, _OUT[has_landed.argmax(axis=1)] + _BODY - 1e-9)
        lands = has_landed.any(axis=1) & (end < len(_OUT))
        end = np.minimum(end, len(_OUT) - 1)
        furthest = np.maximum.accumulate(self.drops, axis=1)[np.arange(len(end)), end]
        return np.where(lands, furthest, np.inf), np.where(lands, _OUT[end], np.inf)

    @cached_property
    def beyond(self) -> tuple[Integers, Integers]:
        """Pairs of a point with roof below it and a point that a fall over it may go on to, shape (m,) each."""
        z, found = self.points[:, 2], []
        for group in np.unique(self.group[np.isfinite(self.height)]).tolist():
            at = np.flatnonzero(self.group == group)
            over, facet = at[np.isfinite(self.height[at])], self.facet[at]
            leads = self.onward[over][:, facet] & (facet >= 0) & (z[at] < z[over][:, None] - _LEVEL)
            one, other = np.nonzero(leads)
            found.append(np.stack([over[one], at[other]]))
        pairs = np.concatenate(found, axis=1) if found else np.empty((2, 0), np.int64)
        return pairs[0], pairs[1]


def landings(
    roof: Roof, edges: EdgePoints, room: Floats, heights: Callable[[Floats], Floats], around: Surroundings
) -> Landing:
    """Look for what a worker comes down on who goes over each edge point onto a lower part of the same roof.

    Parameters
    ----------
    roof : Roof
    edges : EdgePoints
        Of the same roof.
    room : array, shape (n,)
        Drop to the roof's own lower part plumb below, from `ropewright.field.lower_roof`; inf: none. [m]
    heights : callable
        Height of the roof's surface at plan points, shape (m, 2); -inf beside the building. [m]
    around : Surroundings
        What stands on the roof and out of it: whoever may land on that lands on no roof.

    Returns
    -------
    Landing
        The rim of an opening, a drop of more than `MOST_DROP` and one onto an opening, guarded or not, an obstacle or
        the ground have no height.
    """
    n = len(edges.points)
    near = np.flatnonzero(~edges.is_opening & (room <= MOST_DROP))
    height, drops = np.full(n, np.inf), np.full((n, len(_OUT)), np.inf)
    landed = np.zeros((n, len(roof.facets)), bool)
    if len(near):
        places = _places(edges, near)
        found = _drops(roof, edges.points[near, 2], places, heights, around)
        drops[near] = found.max(axis=1)
        below = _OUT <= _BODY + 1e-9
        is_roof = np.isfinite(drops[near][:, below]).all(axis=1)
        height[near] = np.where(is_roof, found[:, _ASIDE.index(0.0), below].max(axis=1), np.inf)
        landed[near] = _facets(roof, places, found)
    number = {facet.id: k for k, facet in enumerate(roof.facets)}
    owner = {edge.name: number[edge.facets[0]] for edge in roof.edges if edge.facets}
    facet = np.array([owner.get(name, -1) for name in edges.names], np.int64)[edges.edge]
    uphill = np.array([_uphill(one) for one in roof.facets]).reshape(-1, 2)[facet] if n else np.empty((0, 2))
    return Landing(
        points=edges.points,
        height=height,
        drops=drops,
        outward=(uphill * edges.outward).sum(axis=1),
        facet=facet,
        uphill=uphill,
        landed=landed,
        onward=_onward(roof, landed, edges.points[:, 2], number),
        group=np.zeros(n, np.int64),
    )


def _places(edges: EdgePoints, near: Integers) -> Floats:
    """Plan points outside some edge points, shape (m, asides, distances, 2). [m]"""
    away = edges.outward[near]
    along = np.column_stack([-away[:, 1], away[:, 0]])
    aside = np.array(_ASIDE)
    places: Floats = (
        edges.points[near, None, None, :2]
        + _OUT[None, None, :, None] * away[:, None, None]
        + aside[None, :, None, None] * along[:, None, None]
    )
    return places


def _drops(roof: Roof, z: Floats, places: Floats, heights: Callable[[Floats], Floats], around: Surroundings) -> Floats:
    """Drop to the roof at each place, 0 where it lies higher; inf where something else is met, shape (m, a, k). [m]"""
    flat = places.reshape(-1, 2)
    level = np.repeat(z, places.shape[1] * places.shape[2])
    surface = heights(flat)
    tops, _ = around.first_below(np.column_stack([flat, level]))
    spoilt = tops > np.minimum(surface, level) + _LEVEL
    for opening in roof.openings:
        spoilt |= level_distance(flat, opening.ring[:, :2]) <= _BODY
    drop = np.where(spoilt, np.inf, np.maximum(level - surface, 0.0))
    return drop.reshape(places.shape[:-1])


def _facets(roof: Roof, places: Floats, drops: Floats) -> Bools:
    """Facets that lie lower than each edge point where a body may land, shape (m, f)."""
    lower = np.isfinite(drops) & (drops > _LEVEL) & (_OUT <= _LANDS)
    point, aside, step = np.nonzero(lower)
    found = np.zeros((len(places), len(roof.facets)), bool)
    facet = facet_at(roof, places[point, aside, step])
    found[point[facet >= 0], facet[facet >= 0]] = True
    return found


def _uphill(facet: Facet) -> tuple[float, float]:
    x, y, z = facet_normal(facet).tolist()
    return (-x / z, -y / z) if z > _LEVEL else (0.0, 0.0)


def _onward(roof: Roof, landed: Bools, z: Floats, number: dict[str, int]) -> Bools:
    """Facets that a body comes to from those it lands on, over edges that reach down below where it fell from."""
    onward = landed.copy()
    joints = [
        (number[edge.facets[0]], number[edge.facets[1]], z > min(edge.start[2], edge.end[2]) + _LEVEL)
        for edge in roof.edges
        if len(edge.facets) == 2 and edge.type is not EdgeType.RIDGE
    ]
    before = -1
    while (count := int(onward.sum())) != before:
        before = count
        for one, other, is_lower in joints:
            either = (onward[:, one] | onward[:, other]) & is_lower
            onward[:, one] |= either
            onward[:, other] |= either
    return onward
