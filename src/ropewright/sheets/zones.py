"""Zones on the roof as shapes: the squares of the zone field, joined."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.job.assessment import Zone, ZoneField

__all__ = ["ZONE_ORDER", "worst_zones", "zone_areas", "zone_middles", "zone_shapes"]

Floats = NDArray[np.float64]
Cell = tuple[int, int]

#: Worse is later. Where one worker can't come and another falls, the fall counts.
ZONE_ORDER: tuple[str, ...] = (Zone.OUT_OF_REACH, Zone.RESTRAINED, Zone.CAUGHT, Zone.NOT_HELD)


def _cells(fields: Sequence[ZoneField]) -> tuple[dict[Cell, str], Floats, float]:
    """Worst zone of each square of the grid, with the middle of square (0, 0) and the step."""
    step = fields[0].step
    first = np.concatenate([field.points[:, :2] for field in fields]).min(axis=0)
    worst: dict[Cell, str] = {}
    for field in fields:
        rows = np.rint((field.points[:, :2] - first) / step).astype(int).tolist()
        for (column, row), zone in zip(rows, field.zone, strict=True):
            before = worst.get((column, row), zone)
            worst[column, row] = max(before, zone, key=ZONE_ORDER.index)
    return worst, first, step


def worst_zones(fields: Sequence[ZoneField]) -> Mapping[str, int]:
    """Return the number of squares of the grid in each zone, the worst over the workers."""
    cells = _cells(fields)[0] if fields else {}
    return {zone: count for zone in ZONE_ORDER if (count := list(cells.values()).count(zone))}


def zone_areas(field: ZoneField) -> dict[str, float]:
    """Area of each zone in plan, for one worker, in m2.

    Parameters
    ----------
    field : ZoneField

    Returns
    -------
    dict
        Every zone, 0 where there is none; squares of the grid counted, so good to about a step along the edges.
    """
    square = field.step**2
    return {zone: field.zone.count(zone) * square for zone in ZONE_ORDER}


def zone_shapes(fields: Sequence[ZoneField]) -> dict[str, list[Floats]]:
    """Outlines of the zones, the worst over the workers.

    Parameters
    ----------
    fields : sequence of ZoneField
        Of one roof, on one grid.

    Returns
    -------
    dict
        Zone to its closed rings, shape (n, 2) each, rings in rings being holes. The shapes reach one square past the
        grid, because its outermost points stand inside the roof: clip them to the roof. [m]
    """
    if not fields or not len(fields[0].points):
        return {}
    cells, first, step = _cells(fields)
    grown = _grown(cells)
    return {
        zone: [first + step * ring for ring in _rings({cell for cell, name in grown.items() if name == zone})]
        for zone in ZONE_ORDER
        if zone in grown.values()
    }


def zone_middles(fields: Sequence[ZoneField], most: int = 40) -> dict[str, Floats]:
    """Places well inside each zone, the roomiest first.

    Parameters
    ----------
    fields : sequence of ZoneField
    most : int
        So many at most, spread over the zone's squares by their room.

    Returns
    -------
    dict
        Zone to points in plan, shape (k, 2). [m]
    """
    if not fields or not len(fields[0].points):
        return {}
    cells, first, step = _cells(fields)
    found = {}
    for zone in ZONE_ORDER:
        left = {cell for cell, name in cells.items() if name == zone}
        layers: list[list[Cell]] = []
        while left:  # peel off the outermost squares, layer by layer
            outer = [(i, j) for i, j in left if not left.issuperset({(i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1)})]
            layers.append(sorted(outer))
            left.difference_update(outer)
        if layers:
            inward = np.array([cell for layer in reversed(layers) for cell in layer], float)
            found[zone] = first + step * inward[:most]
    return found


def _grown(cells: Mapping[Cell, str]) -> dict[Cell, str]:
    """Return the grid with a row of squares round it, each in the worst zone of its neighbours."""
    grown = dict(cells)
    for (column, row), zone in cells.items():
        for beside in ((column + i, row + j) for i in (-1, 0, 1) for j in (-1, 0, 1)):
            if beside not in cells:
                grown[beside] = max(grown.get(beside, zone), zone, key=ZONE_ORDER.index)
    return grown


def _rings(cells: set[Cell]) -> list[Floats]:
    """Outlines of a set of squares, through the middles of their outer sides: corners are cut, not stepped."""
    sides: dict[Cell, list[Cell]] = {}
    for i, j in sorted(cells):
        around = (
            ((i, j), (i + 1, j), (i, j - 1)),
            ((i + 1, j), (i + 1, j + 1), (i + 1, j)),
            ((i + 1, j + 1), (i, j + 1), (i, j + 1)),
            ((i, j + 1), (i, j), (i - 1, j)),
        )
        for start, end, neighbour in around:
            if neighbour not in cells:
                sides.setdefault(start, []).append(end)
    rings = []
    while sides:
        ring = [next(iter(sides))]
        while ring[-1] in sides:
            ends = sides[ring[-1]]
            ring.append(ends.pop())
            if not ends:
                del sides[ring[-2]]
        corners = np.array(ring[:-1], float) - 0.5
        rings.append((corners + np.roll(corners, -1, axis=0)) / 2)
    return rings
