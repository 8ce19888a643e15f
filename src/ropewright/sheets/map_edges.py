"""Fall edges on the map: the band of verdicts outside each, its words, its name and its true length."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Verdict
from ropewright.job.assessment import EdgeField
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, NORMAL, Canvas, upright
from ropewright.sheets.labels import ON_LINE, ON_MARK, ON_TEXT, Label, text_width
from ropewright.sheets.look import INK, PALE, hatched, look_of
from ropewright.sheets.runs import Run, Track, runs_along

__all__ = ["BAND_IN", "BAND_OUT", "EdgeOnSheet", "draw_dimensions", "draw_verdicts", "edges_on_sheet"]

Floats = NDArray[np.float64]

#: Band of verdicts: its near and far side, from the edge outward. [mm]
BAND_IN, BAND_OUT = 0.7, 3.9
#: Middle of the words and of the dimension line, from the edge outward. [mm]
WORDS_AT, DIMENSION_AT = 6.7, 11.6
#: How much longer than its stretch a word may be and still stand along it. [mm]
OVERHANG = 3.0
#: Shortest stretch drawn of what does not hold, so that it is seen. [mm]
LEAST_RUN = 1.2


@dataclass(frozen=True)
class EdgeOnSheet:
    """A straight fall edge on the sheet.

    Parameters
    ----------
    track : Track
    start, end : array, shape (2,)
        [mm]
    along, outward : array, shape (2,)
        Unit vectors on the sheet. [-]
    turns : tuple of float
        Tangent of half the turn of the roof's outline at start and end; above 0 at a corner that sticks out. [-]
    """

    track: Track
    start: Floats
    end: Floats
    along: Floats
    outward: Floats
    turns: tuple[float, float]

    @property
    def size(self) -> float:
        """Length on paper, in mm."""
        return float(np.linalg.norm(self.end - self.start))

    def point(self, station: float, out: float = 0.0) -> Floats:
        """Place on the sheet of a distance along the edge [m] and a distance outward [mm]."""
        share = station / self.track.length if self.track.length else 0.0
        placed: Floats = self.start + share * (self.end - self.start) + out * self.outward
        return placed

    def strip(self, run: Run, near: float, far: float) -> Floats:
        """Corners of the strip outside a run, mitred at the ends of the edge, shape (4, 2), in mm."""
        ends = []
        for station, turn, way in ((run.start, self.turns[0], -1), (run.end, self.turns[1], 1)):
            at_corner = abs(station - (0.0 if way < 0 else self.track.length)) < 1e-9
            for out in (near, far):
                slide = way * out * turn if at_corner else 0.0
                ends.append(self.point(station, out) + slide * self.along)
        return np.array([ends[0], ends[2], ends[3], ends[1]])


def edges_on_sheet(tracks: Sequence[Track], canvas: Canvas) -> tuple[EdgeOnSheet, ...]:
    """Straight fall edges as they lie on the sheet; those that stand plumb in plan are left out.

    Parameters
    ----------
    tracks : sequence of Track
        Rims are passed over.
    canvas : Canvas

    Returns
    -------
    tuple of EdgeOnSheet
    """
    edges = []
    for track in tracks:
        start, end = canvas.place(track.corners[0]), canvas.place(track.corners[-1])
        size = float(np.linalg.norm(end - start))
        if track.is_rim or size < 1e-6:
            continue
        along = (end - start) / size
        # on paper y runs down, so the right of the walk is the left turn of the numbers
        edges.append(EdgeOnSheet(track, start, end, along, np.array([-along[1], along[0]]), _turns(track, tracks)))
    return tuple(edges)


def _turns(track: Track, tracks: Sequence[Track]) -> tuple[float, float]:
    before = next((other for other in tracks if not other.is_rim and _meet(other.corners[-1], track.corners[0])), None)
    after = next((other for other in tracks if not other.is_rim and _meet(other.corners[0], track.corners[-1])), None)
    return _half_turn(before, track), _half_turn(track, after)


def _meet(one: Floats, other: Floats) -> bool:
    return float(np.linalg.norm(one - other)) < 2e-3


def _half_turn(first: Track | None, second: Track | None) -> float:
    """Tangent of half the left turn from one edge to the next in plan, kept short at sharp corners."""
    if first is None or second is None:
        return 0.0
    a, b = ((track.corners[-1] - track.corners[0])[:2] for track in (first, second))
    turn = np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b)
    return float(np.clip(np.tan(turn / 2), -1.5, 1.5))


def draw_verdicts(canvas: Canvas, edges: Sequence[EdgeOnSheet], fields: Sequence[EdgeField]) -> None:
    """Draw a band outside each edge, and a word for each stretch of one verdict.

    Parameters
    ----------
    canvas : Canvas
    edges : sequence of EdgeOnSheet
    fields : sequence of EdgeField
        Of the workers shown; the worst of them counts at every place.
    """
    runs = {edge.track.name: runs_along(edge.track, fields) for edge in edges}
    for edge in edges:
        _draw_band(canvas, edge, runs[edge.track.name])
    stretches = [stretch for side in _sides(edges) for stretch in _stretches(side, runs)]
    # what must be lettered first, and of that the long ones: they have no other place, short ones can step aside
    for stretch in sorted(stretches, key=lambda stretch: (not stretch.is_due, stretch.low - stretch.high)):
        canvas.letter(_word_places(stretch), at_most=np.inf if stretch.is_due else ON_MARK)


def draw_dimensions(canvas: Canvas, edges: Sequence[EdgeOnSheet]) -> None:
    """Write each edge's name and true length, in a dimension line where it is long enough for one."""
    for edge in sorted(edges, key=lambda edge: -edge.size):
        words = f"{edge.track.name}  {canvas.length(edge.track.length)}"
        room = edge.size - text_width(words, NORMAL) - 6.0
        if room > 0 and _draw_dimension(canvas, edge, words, room):
            continue
        if not _letter_short_edge(canvas, edge, words):
            canvas.unlettered.append(words)


def _draw_band(canvas: Canvas, edge: EdgeOnSheet, runs: Sequence[Run]) -> None:
    # worse last, so that its least width lies over what holds
    for run in sorted(runs, key=lambda run: _badness(run.verdict)):
        look = look_of(run.verdict)
        strip = edge.strip(_seen(run, edge), BAND_IN, BAND_OUT)
        canvas.labels.block(strip, ON_MARK)
        outline: dict[str, svg.Value] = {"stroke": INK, "stroke_width": 0.18}
        if run.verdict is None:
            outline = {"stroke": PALE, "stroke_width": 0.18, "stroke_dasharray": "1.2 0.8"}
        canvas.add(
            "bands",
            svg.tag(
                "g",
                svg.tag("title", svg.text_of(f"{edge.track.name}: {look.word}")),
                hatched([strip], f"rw-{look.word.replace(' ', '-')}", look, **outline),
            ),
        )


def _seen(run: Run, edge: EdgeOnSheet) -> Run:
    """Return the run, made long enough to be seen if it tells of something worse than `holds`."""
    least = LEAST_RUN / edge.size * edge.track.length
    if run.verdict in (None, Verdict.HOLDS) or run.end - run.start >= least:
        return run
    start = min(max(run.middle - least / 2, 0.0), max(edge.track.length - least, 0.0))
    return Run(start, min(start + least, edge.track.length), run.verdict)


@dataclass(frozen=True)
class _Stretch:
    """Part of a straight side of the roof under one verdict, from `low` to `high` along it. [mm].

    `is_due`: it holds the worst run of one of its edges, which is always lettered.
    """

    base: Floats
    along: Floats
    outward: Floats
    low: float
    high: float
    verdict: Verdict | None
    is_due: bool

    def point(self, at: float, out: float) -> Floats:
        """Place on the sheet of a distance along the side and a distance outward."""
        placed: Floats = self.base + at * self.along + out * self.outward
        return placed


def _sides(edges: Sequence[EdgeOnSheet]) -> list[list[EdgeOnSheet]]:
    """Edges that run on in one line in plan, such as the two halves of a gable, taken together."""

    def runs_on(one: EdgeOnSheet, other: EdgeOnSheet) -> bool:
        return bool(np.linalg.norm(one.end - other.start) < 0.1 and one.along @ other.along > 1 - 1e-6)

    begin = [edge for edge in edges if not any(runs_on(other, edge) for other in edges if other is not edge)]
    sides = []
    for edge in begin:
        side = [edge]
        while (after := next((e for e in edges if e not in side and runs_on(side[-1], e)), None)) is not None:
            side.append(after)
        sides.append(side)
    return sides


def _stretches(side: Sequence[EdgeOnSheet], runs: Mapping[str, Sequence[Run]]) -> list[_Stretch]:
    """Runs of a side on the sheet, joined where one edge's last run and the next one's first are of one verdict."""
    first, joined = side[0], list[_Stretch]()
    for edge in side:
        own = runs[edge.track.name]
        worst = max(own, key=lambda run: (_badness(run.verdict), run.end - run.start))
        offset = float((edge.start - first.start) @ first.along)
        for run in own:
            low, high = (offset + at / edge.track.length * edge.size for at in (run.start, run.end))
            is_due = run is worst
            if joined and joined[-1].verdict is run.verdict:
                before = joined.pop()
                low, is_due = before.low, is_due or before.is_due
            joined.append(_Stretch(first.start, first.along, first.outward, low, high, run.verdict, is_due))
    return joined


def _badness(verdict: Verdict | None) -> int:
    return -1 if verdict is None else SEVERITY[verdict]


def _word_places(stretch: _Stretch) -> Iterator[Label]:
    """Places of a word: along its stretch if it fits, else square to it, else further out on a leader."""
    word, bold = look_of(stretch.verdict).word, stretch.verdict is not None
    size = BIG if bold else NORMAL
    width, length = text_width(word, size, bold=bold), stretch.high - stretch.low
    middle, turn = (stretch.low + stretch.high) / 2, upright(stretch.along)
    if width <= length + OVERHANG:
        for share in (0.0, -0.4, 0.4, -0.8, 0.8):
            at = stretch.point(middle + share * max(length - width, 0.0) / 2, WORDS_AT)
            yield Label(word, at, size, turn, bold=bold, dislike=abs(share))
    square, out = upright(stretch.outward), BAND_OUT + 0.9 + width / 2
    for share in (0.0, -0.5, 0.5, -1.0, 1.0):
        at = stretch.point(middle + share * max(length - size, 0.0) / 2, out)
        yield Label(word, at, size, square, bold=bold, dislike=2.0 + abs(share))
    foot = stretch.point(middle, BAND_OUT)
    for step in (0, 1, -1, 2, -2, 3, -3):
        at = stretch.point(middle + 1.2 * size * step, out + 4.0)
        yield Label(word, at, size, square, bold=bold, dislike=4.0 + abs(step), leader=foot)
    for row in (1, 2, 3, 4):
        for shift in (0.0, 0.8, -0.8, 1.6, -1.6):
            at = stretch.point(middle + shift * width, WORDS_AT + row * 1.15 * size)
            yield Label(word, at, size, turn, bold=bold, dislike=6.0 + 3.0 * row + abs(shift), leader=foot)


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
    parts = (edge.track.name, canvas.length(edge.track.length))
    rows = [*(DIMENSION_AT + 1.2 * NORMAL * row for row in range(6)), -3.6]
    written = [canvas.letter(places(part, rows), at_most=ON_MARK - 1) for part in parts]
    return all(written)


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
