"""The roof on the map: zones, edges by weight, slopes and openings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ropewright.job.assessment import ZoneField
from ropewright.roof import Edge, EdgeType, Roof
from ropewright.sheets import svg
from ropewright.sheets.canvas import NORMAL, SMALL, Canvas, upright
from ropewright.sheets.labels import ON_LINE, ON_MARK, Label, text_width
from ropewright.sheets.look import INK, PALE, ZONE_LOOKS, hatched
from ropewright.sheets.zones import zone_middles, zone_shapes

__all__ = [
    "EDGE_LINES",
    "HIDDEN_LINE",
    "draw_roof",
    "draw_zones",
    "letter_inner_edges",
    "letter_zones",
    "roof_shape",
]

Floats = NDArray[np.float64]

#: Width of the line and its dashes, by what the edge is. [mm]
EDGE_LINES: Mapping[EdgeType, tuple[float, str | None]] = MappingProxyType(
    {
        EdgeType.EAVE: (0.7, None),
        EdgeType.RAKE: (0.7, None),
        EdgeType.HIGH_EAVE: (0.7, None),
        EdgeType.RIDGE: (0.5, None),
        EdgeType.HIP: (0.35, None),
        EdgeType.VALLEY: (0.35, "2.4 1"),
        EdgeType.BREAK: (0.2, None),
        EdgeType.WALL: (0.35, "4 1 1 1"),
        EdgeType.OPENING: (0.5, None),
    }
)
LEAST_LETTERED = 6.0  #: inner edges shorter than this are not named [mm]
#: Walls under the overhang, and all else that is hidden. [mm]
HIDDEN_LINE = (0.2, "1.4 0.9")
#: Slopes below this are lettered as flat. [deg]
FLAT = 0.5


def draw_zones(canvas: Canvas, fields: Sequence[ZoneField]) -> None:
    """Hatch what holds inside the roof, cut off at the roof's edge."""
    shapes = zone_shapes(fields)
    drawn = []
    for zone, rings in shapes.items():
        on_sheet = [canvas.place(ring) for ring in rings]
        drawn.append(hatched(on_sheet, f"rw-zone-{zone.replace(' ', '-')}", ZONE_LOOKS[zone]))
        drawn.append(svg.path(on_sheet, fill="none", stroke=PALE, stroke_width=0.2, stroke_dasharray="0.4 0.8"))
    if drawn:
        canvas.add("zones", svg.tag("g", *drawn, clip_path="url(#rw-roof-shape)"))


def letter_zones(canvas: Canvas, fields: Sequence[ZoneField]) -> None:
    """Write the word of each zone once, where there is room in it."""
    for zone, points in zone_middles(fields).items():
        places = (Label(zone, place, SMALL, dislike=0.02 * rank) for rank, place in enumerate(canvas.place(points)))
        canvas.letter(places, at_most=ON_LINE)


def roof_shape(canvas: Canvas, roof: Roof) -> str:
    """Definition of the roof's outline, for what must not reach past it."""
    rings = [[facet.ring, *facet.holes] for facet in roof.facets]
    paths = (svg.path([canvas.place(ring) for ring in own]) for own in rings)
    return svg.tag("clipPath", *paths, id="rw-roof-shape")


def draw_roof(canvas: Canvas, roof: Roof) -> None:
    """Draw every edge with the weight of what it is, and the walls below as hidden lines."""
    for ring in () if roof.walls is None else (roof.walls, *roof.inner_walls):
        width, dashes = HIDDEN_LINE
        walls = svg.polygon(canvas.place(ring), fill="none", stroke=PALE, stroke_width=width, stroke_dasharray=dashes)
        canvas.add("roof", walls)
    for edge in sorted(roof.edges, key=lambda edge: EDGE_LINES[edge.type][0]):
        width, dash = EDGE_LINES[edge.type]
        start, end = canvas.place(edge.start), canvas.place(edge.end)
        canvas.labels.block_line(start, end, ON_LINE)
        canvas.add(
            "roof",
            svg.tag(
                "line",
                svg.tag("title", svg.text_of(edge.name)),
                x1=start[0],
                y1=start[1],
                x2=end[0],
                y2=end[1],
                stroke=INK,
                stroke_width=width,
                stroke_dasharray=dash,
                stroke_linecap="round" if dash is None else "butt",
            ),
        )


def letter_inner_edges(canvas: Canvas, roof: Roof) -> None:
    """Write name and true length along ridges, hips and valleys, as far as there is room."""
    inner = [edge for edge in roof.edges if not edge.type.is_boundary]
    for edge in sorted(inner, key=lambda edge: -edge.length):
        if canvas.plan.scale.paper(edge.length) < LEAST_LETTERED:
            continue
        words = f"{edge.name}  {canvas.length(edge.length)}"
        if canvas.letter(_beside(canvas, edge, (words, edge.name)), at_most=ON_MARK - 1) is None:
            canvas.unlettered.append(words)


def _beside(canvas: Canvas, edge: Edge, texts: Sequence[str]) -> Iterator[Label]:
    start, end = canvas.place(edge.start), canvas.place(edge.end)
    size = float(np.linalg.norm(end - start))
    if size < 1e-6:
        return
    along = (end - start) / size
    aside = np.array([-along[1], along[0]])
    for rank, words in enumerate(texts):
        room = size - text_width(words, NORMAL)
        if room < -2.0:
            continue
        for share in (0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9):
            for side in (-3.0, 3.0):
                middle = (start + end) / 2 + share * max(room, 0.0) / 2 * along + side * aside
                yield Label(words, middle, NORMAL, upright(along), dislike=abs(share) + 8.0 * rank)
