"""Names and true lengths of the fall edges on the map."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.sheets import svg
from ropewright.sheets.canvas import NORMAL, Canvas, upright
from ropewright.sheets.labels import ON_LINE, ON_MARK, ON_TEXT, Label, text_width
from ropewright.sheets.look import INK
from ropewright.sheets.sheet_edges import BAND_OUT, EdgeOnSheet

__all__ = ["draw_dimensions"]

Floats = NDArray[np.float64]

LEAST_LETTERED = 6.0  #: edges shorter than this are not named [mm]
DIMENSION_AT = 11.6  #: first dimension line, from the edge outward [mm]


def draw_dimensions(canvas: Canvas, edges: Sequence[EdgeOnSheet]) -> None:
    """Write each edge's name and true length, in a dimension line where it is long enough for one."""
    for edge in sorted(edges, key=lambda edge: -edge.size):
        words = f"{edge.track.name}  {canvas.length(edge.track.length)}"
        room = edge.size - text_width(words, NORMAL) - 6.0
        if edge.size < LEAST_LETTERED:
            canvas.unlettered.append(words)
            continue
        if room > 0 and _draw_dimension(canvas, edge, words, room):
            continue
        if not _letter_short_edge(canvas, edge, words):
            canvas.unlettered.append(words)


def _draw_dimension(canvas: Canvas, edge: EdgeOnSheet, words: str, room: float) -> bool:
    turn, middle = upright(edge.along), edge.track.length / 2
    places = (
        Label(words, edge.point(middle + share * edge.track.length, out), NORMAL, turn, dislike=dislike + abs(share))
        for out, dislike in _dimension_rows(canvas, edge)
        for share in (0.0, *(side * room / edge.size / 2.2 for side in (1, -1)))
    )
    label = canvas.letter(places, at_most=ON_TEXT)
    if label is not None:
        _dimension_line(canvas, edge, label)
    return label is not None


def _letter_short_edge(canvas: Canvas, edge: EdgeOnSheet, words: str) -> bool:
    """Write name and length without a dimension line: in one row, or one above the other."""
    turn, middle = upright(edge.along), edge.track.length / 2

    def places(text: str, outs: Sequence[float]) -> list[Label]:
        return [Label(text, edge.point(middle, out), NORMAL, turn, dislike=2.0 * rank) for rank, out in enumerate(outs)]

    if canvas.letter(places(words, (DIMENSION_AT,)), at_most=ON_MARK - 1):
        return True
    rows = [*(DIMENSION_AT + 1.2 * NORMAL * row for row in range(6)), -3.6]
    if not canvas.letter(places(edge.track.name, rows), at_most=ON_MARK - 1):
        return False  # a length without its name says nothing
    canvas.letter(places(canvas.length(edge.track.length), rows), at_most=ON_MARK - 1)
    return True


def _dimension_rows(canvas: Canvas, edge: EdgeOnSheet) -> Iterator[tuple[float, float]]:
    """Distances outward at which a dimension line may run, with what it would cross there."""
    for rank in range(6):
        out = DIMENSION_AT + 5.0 * rank
        line = np.array([edge.point(0.0, out), edge.point(edge.track.length, out)])
        yield out, rank + 0.5 * canvas.labels.cost(line)


def _dimension_line(canvas: Canvas, edge: EdgeOnSheet, label: Label) -> None:
    """Dimension line broken for its text, with oblique ticks and extension lines."""
    out = float((label.middle - edge.start) @ edge.outward)
    reach = text_width(label.words, NORMAL) / 2 + 1.2
    at = float((label.middle - edge.start) @ edge.along)
    start, end = edge.point(0.0, out), edge.point(edge.track.length, out)
    gap = (start + (at - reach) * edge.along, start + (at + reach) * edge.along)
    tick = (edge.along + edge.outward) * 0.9
    pieces = [svg.line(start - edge.along, gap[0]), svg.line(gap[1], end + edge.along)]
    for foot, corner in (
        (start, edge.point(0.0, BAND_OUT + 0.8)),
        (end, edge.point(edge.track.length, BAND_OUT + 0.8)),
    ):
        pieces.append(svg.line(corner, foot + edge.outward))
        pieces.append(svg.line(foot - tick, foot + tick, stroke_width=0.4))
        canvas.labels.block_line(corner, foot + edge.outward, 1.0)
    canvas.labels.block_line(start, end, ON_LINE)
    canvas.add("dimensions", svg.tag("g", *pieces, stroke=INK, stroke_width=0.13))
