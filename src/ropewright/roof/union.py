"""One roof of several parts: wings at unlike heights, dormers in a slope.

Each part is a body: everything below its roof. What one sees from above is the highest of them everywhere, so that the
whole is found in plan: every edge of every part and every line in which two planes meet is drawn, and in each field
between these lines one facet lies on top.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_plane
from ropewright.roof.mending.plan import right_of, segments
from ropewright.roof.outline_edges import nested
from ropewright.roof.outline_names import numbered
from ropewright.roof.outline_proof import prove_roof
from ropewright.roof.outline_rings import corner_text, inside_ring, signed_area
from ropewright.roof.plan_graph import SAME_PLACE, PlanGraph, plan_graph
from ropewright.roof.skeleton import SkeletonError, trace_rings
from ropewright.roof.surface import Edge, Facet, Roof
from ropewright.roof.union_edges import Border, KnownEdges, Line, Meeting, Surfaces, union_edges

__all__ = ["union_of_roofs"]

Points = NDArray[np.float64]
Integers = NDArray[np.int64]

_WANTED = "move one of them by a few millimetres: the roof could not be worked out"
#: Planes that stay this near each other over the whole roof are one. [m]
ONE_PLANE = 1e-6
#: Planes whose slopes differ by less meet nowhere near. [-]
PARALLEL = 1e-9


def union_of_roofs(parts: Sequence[tuple[str, Roof]]) -> Roof:
    """Roof of a building whose parts each carry a roof of their own.

    Parameters
    ----------
    parts : sequence of (str, Roof)
        Name of each part, unique, and its roof; the first, which may be nameless, is the main one. Openings are not
        carried over. Parts may overlap, touch or stand apart.

    Returns
    -------
    Roof
        What is on top everywhere. Where a lower roof runs into a higher part it ends at a wall, and the edge above is
        one to fall over; where slopes of two parts meet there is a valley. Facets and edges of named parts carry the
        name of their part.

    Raises
    ------
    RoofError
        If a name is missing or stands twice, a part has openings, or the roof can't be worked out.

    Notes
    -----
    Parts that differ by less than 5 cm in height along an edge go on there: nobody falls such a step.

    Examples
    --------
    A garage of 3 m against a house of 6 m, both flat:

    >>> from ropewright.roof.outline import roof_from_outline
    >>> house = roof_from_outline([(0, 0), (8, 0), (8, 6), (0, 6)], form="flat", pitches=[0], eave_height=6)
    >>> garage = roof_from_outline([(8, 0), (12, 0), (12, 6), (8, 6)], form="flat", pitches=[0], eave_height=3)
    >>> whole = union_of_roofs([("", house), ("garage", garage)])
    >>> [(edge.name, edge.type.value) for edge in whole.edges if abs(edge.start[0] - 8) + abs(edge.end[0] - 8) < 1e-9]
    [('east eave', 'eave'), ('east wall', 'wall')]
    """
    _check(parts)
    origin = np.floor(np.vstack([facet.ring[:, :2] for _, roof in parts for facet in roof.facets]).min(axis=0))
    facets = [_moved(facet, -origin) for _, roof in parts for facet in roof.facets]
    prefixes = [name for name, roof in parts for _ in roof.facets]
    planes = np.array([facet_plane(facet) for facet in facets])
    sides = [segments([facet.ring, *facet.holes]) for facet in facets]
    graph = plan_graph(np.concatenate((*(own.reshape(-1, 2, 2) for own in sides), _meetings(facets, planes, prefixes))))
    labels = _on_top(graph, facets, planes, sides)
    lines = [
        Line(i, j, left, right)
        for (i, j), (left, right) in zip(graph.links, labels.tolist(), strict=True)
        if left != right
    ]
    surfaces, lines = _cut_where_heights_cross(Surfaces(graph.nodes, planes, prefixes), lines)
    borders = _in_one(surfaces, [border for line in lines for border in surfaces.borders(line)])
    try:
        shapes = _shapes(surfaces, borders)
    except SkeletonError as error:
        place = "" if error.point is None else f" near {corner_text(np.array(error.point) + origin)}"
        raise RoofError("wing", f"parts whose edges do not close{place}", _WANTED) from error
    names = numbered([" ".join(filter(None, (prefixes[label], facets[label].id))) for label, *_ in shapes])
    edges = union_edges(surfaces, borders, _owners(shapes, names), KnownEdges(_known(parts, origin)))
    made = [
        Facet(
            name,
            np.array([surfaces.point(node, label) for node in outer]),
            tuple(np.array([surfaces.point(node, label) for node in hole]) for hole in holes),
        )
        for name, (label, outer, holes) in zip(names, shapes, strict=True)
    ]
    shift = np.append(origin, 0.0)
    walls = _walls([[roof.walls, *roof.inner_walls] for _, roof in parts if roof.walls is not None])
    roof = Roof(
        tuple(_moved(facet, origin) for facet in made),
        tuple(replace(edge, start=edge.start + shift, end=edge.end + shift) for edge in edges),
        walls=walls[0] if walls else None,
        inner_walls=tuple(walls[1:]),
        overhang=max(roof.overhang for _, roof in parts),
        notes=tuple(f"{name}: {note}" if name else note for name, roof in parts for note in roof.notes),
    )
    prove_roof(roof)
    return roof


def _check(parts: Sequence[tuple[str, Roof]]) -> None:
    names = [name for name, _ in parts]
    for i, (name, roof) in enumerate(parts):
        if name in names[:i] or (i and not name):
            raise RoofError(f"parts[{i}].name", name, "give each part a name of its own")
        if roof.openings:
            raise RoofError(f"parts[{i}]", "a part with openings", "put the openings on the whole roof")


def _moved(facet: Facet, by: Points) -> Facet:
    shift = np.append(by, 0.0)
    return Facet(facet.id, facet.ring + shift, tuple(hole + shift for hole in facet.holes))


# lines in plan -----------------------------------------------------------------------------------------------------


def _known(parts: Sequence[tuple[str, Roof]], origin: Points) -> list[Edge]:
    """Edges of all parts under their own names; only the main part has a main ridge."""
    shift = np.append(origin, 0.0)
    return [
        Edge(
            f"{name} {edge.name.removeprefix('main ')}" if name else edge.name,
            edge.type,
            edge.start - shift,
            edge.end - shift,
            edge.facets,
        )
        for name, roof in parts
        for edge in roof.edges
    ]


def _meetings(facets: Sequence[Facet], planes: Points, prefixes: Sequence[str]) -> Points:
    """Lines in which planes of unlike parts meet, as far as the boxes round both facets reach, shape (n, 2, 2)."""
    low = np.array([facet.ring[:, :2].min(axis=0) for facet in facets])
    high = np.array([facet.ring[:, :2].max(axis=0) for facet in facets])
    part = np.unique(prefixes, return_inverse=True)[1]
    one, other = np.triu_indices(len(facets), 1)
    near = (np.minimum(high[one], high[other]) > np.maximum(low[one], low[other])).all(axis=1)
    pairs = np.flatnonzero(near & (part[one] != part[other]))
    one, other = one[pairs], other[pairs]
    return _clipped(planes[one] - planes[other], np.maximum(low[one], low[other]), np.minimum(high[one], high[other]))


def _clipped(across: Points, low: Points, high: Points) -> Points:
    """Each line a x + b y + c = 0 within its box, shape (n, 2, 2); those that miss it are left out."""
    size = np.hypot(across[:, 0], across[:, 1])
    is_line = size > PARALLEL
    across, low, high, size = (values[is_line] for values in (across, low, high, size))
    normal = across[:, :2] / size[:, None]
    middle = (low + high) / 2
    foot = middle - ((normal * middle).sum(axis=1) + across[:, 2] / size)[:, None] * normal
    way = np.column_stack((-normal[:, 1], normal[:, 0]))
    level = np.abs(way) < 1e-15  # along an axis: inside of the box in the other one all along, or outside
    shares = np.sort(np.stack((low - foot, high - foot)) / np.where(level, 1.0, way), axis=0)
    outside = (level & ((foot < low) | (foot > high))).any(axis=1)
    start = np.where(level, -np.inf, shares[0]).max(axis=1)
    end = np.where(level, np.inf, shares[1]).min(axis=1)
    met = (end > start) & ~outside
    found: Points = np.stack((foot + start[:, None] * way, foot + end[:, None] * way), axis=1)[met]
    return found


def _on_top(graph: PlanGraph, facets: Sequence[Facet], planes: Points, sides: Sequence[Points]) -> Integers:
    """Facet on top on the left and on the right of each link, -1 where there is none, shape (k, 2)."""
    spots = np.nan_to_num(graph.spots, nan=1e9)  # a field too narrow to look into lies in no facet
    first = np.cumsum([0, *(len(own) for own in sides[:-1])])
    inside = np.add.reduceat(right_of(np.concatenate(sides), spots), first, axis=1) % 2 == 1
    heights = np.where(inside, graph.spots @ planes[:, :2].T + planes[:, 2], -np.inf)
    highest = heights.max(axis=1)
    top = (heights >= highest[:, None] - ONE_PLANE).argmax(axis=1)
    found = np.where(np.isfinite(highest), _one_planes(facets, planes)[top], -1)
    for field in np.flatnonzero(np.isnan(graph.spots[:, 0])):  # it goes to what lies beside it
        found[field] = found[graph.beside(int(field))]
    labels: Integers = found[graph.fields]
    return labels


def _one_planes(facets: Sequence[Facet], planes: Points) -> Integers:
    """For each facet the first one that lies in one plane with it."""
    corners = np.vstack([facet.ring[:, :2] for facet in facets])
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    box = np.array([(x, y, 1.0) for x in (x0, x1) for y in (y0, y1)])
    heights = planes @ box.T
    apart = np.abs(heights[:, None] - heights[None]).max(axis=2)
    first: Integers = (apart < ONE_PLANE).argmax(axis=1)
    return first


def _cut_where_heights_cross(surfaces: Surfaces, lines: Sequence[Line]) -> tuple[Surfaces, list[Line]]:
    """Lines along which two parts stand against each other, cut where the other one becomes the higher."""
    nodes, cut = list(surfaces.nodes), []
    for line in lines:
        first, last = surfaces.rise(line) if min(line.left, line.right) >= 0 else (0.0, 0.0)
        if min(first, last) < -ONE_PLANE and max(first, last) > ONE_PLANE:
            share = first / (first - last)
            nodes.append(nodes[line.start] + share * (nodes[line.end] - nodes[line.start]))
            middle = len(nodes) - 1
            cut += [replace(line, end=middle), replace(line, start=middle)]
        else:
            cut.append(line)
    return replace(surfaces, nodes=np.array(nodes)), cut


def _in_one(surfaces: Surfaces, borders: Sequence[Border]) -> list[Border]:
    """Borders that go on straight, of the same surface and alike, made one."""
    kept = dict.fromkeys(borders)
    at: dict[int, list[Border]] = {}
    often: Counter[tuple[int, int]] = Counter()  # how often each surface comes to each node
    for border in borders:
        for node in (border.start, border.end):
            at.setdefault(node, []).append(border)
            often[border.left, node] += 1
            often[border.right, node] += border.meeting is Meeting.CREASE
    for node, meeting in at.items():
        left = list(meeting)
        while left:
            one = left.pop()
            whole, other = next(
                ((whole, other) for other in left if (whole := _whole(surfaces, often, node, one, other))), (None, None)
            )
            if whole is None or other is None:
                continue
            left.remove(other)
            for old in (one, other):
                del kept[old]
                for end in {old.start, old.end} - {node}:
                    at[end][at[end].index(old)] = whole
            kept[whole] = None
    return list(kept)


def _whole(
    surfaces: Surfaces, often: Mapping[tuple[int, int], int], node: int, one: Border, other: Border
) -> Border | None:
    """Two borders that meet at a node as one, None if they are not."""
    if one.meeting is not other.meeting:
        return None
    first, last = (one, other) if one.end == node else (other, one)
    if one.meeting is Meeting.CREASE and (first.end == node) == (last.end == node):
        last = last.turned if first.end == node else last
        first = first.turned if first.end != node else first
    if first.end != node or last.start != node or first.left != last.left or often[first.left, node] != 2:
        return None
    if one.meeting is Meeting.CREASE and (first.right != last.right or often[first.right, node] != 2):
        return None
    if one.meeting is Meeting.FOOT and surfaces.prefixes[first.right] != surfaces.prefixes[last.right]:
        return None
    before, here, after = (surfaces.nodes[k] for k in (first.start, node, last.end))
    sine = (here - before)[0] * (after - here)[1] - (here - before)[1] * (after - here)[0]
    is_straight = abs(sine) <= SAME_PLACE * np.hypot(*(after - before)) and (here - before) @ (after - here) > 0.0
    return replace(first, end=last.end) if is_straight else None


# facets and walls --------------------------------------------------------------------------------------------------

_Shape = tuple[int, tuple[int, ...], tuple[tuple[int, ...], ...]]


def _shapes(surfaces: Surfaces, borders: Sequence[Border]) -> list[_Shape]:
    """Label, outer ring and holes of every facet, as nodes."""
    around: dict[int, list[tuple[int, int]]] = {}
    for border in borders:
        around.setdefault(border.left, []).append((border.start, border.end))
        if border.meeting is Meeting.CREASE:
            around.setdefault(border.right, []).append((border.end, border.start))
    plan = [(x, y) for x, y in surfaces.nodes.tolist()]
    return [
        (label, outer, holes)
        for label in sorted(around)
        for outer, holes in nested(
            [loop for ring in trace_rings(around[label], plan) for loop in _loops(ring)], surfaces.nodes
        )
    ]


def _loops(ring: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """A ring that touches itself at nodes in loops that don't: there a hole touches the edge, or two facets meet."""
    way: list[int] = []
    for node in ring:
        if node in way:
            at = way.index(node)
            yield tuple(way[at:])
            del way[at:]
        way.append(node)
    yield tuple(way)


def _owners(shapes: Sequence[_Shape], names: Sequence[str]) -> dict[tuple[int, int, int], str]:
    """Name of the facet by its surface and each directed line round it."""
    return {
        (label, *ends): name
        for name, (label, outer, holes) in zip(names, shapes, strict=True)
        for ring in (outer, *holes)
        for ends in pairwise((*ring, ring[0]))
    }


def _walls(parts: Sequence[Sequence[Points]]) -> list[Points]:
    """Outline of the walls of all parts together, the largest ring first."""
    if len(parts) < 2:
        return [ring for part in parts for ring in part]
    graph = plan_graph(segments([ring for part in parts for ring in part]).reshape(-1, 2, 2))
    inside = np.zeros(len(graph.spots), bool)
    for outer, *holes in parts:
        own = inside_ring(outer, graph.spots)
        for hole in holes:
            own &= ~inside_ring(hole, graph.spots)
        inside |= own
    sides = inside[graph.fields]
    links = [
        (i, j) if left else (j, i)
        for (i, j), (left, right) in zip(graph.links, sides.tolist(), strict=True)
        if left != right
    ]
    rings = trace_rings(links, [(x, y) for x, y in graph.nodes.tolist()])
    return sorted((graph.nodes[list(ring)] for ring in rings), key=lambda ring: -signed_area(ring))
