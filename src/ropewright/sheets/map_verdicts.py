"""Verdicts on the map: a band outside each fall edge, and a word for each stretch of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Verdict
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, NORMAL, Canvas, upright
from ropewright.sheets.labels import ON_MARK, Label, text_width
from ropewright.sheets.look import INK, PALE, hatched, look_of
from ropewright.sheets.runs import Run, Runs, badness
from ropewright.sheets.sheet_edges import BAND_IN, BAND_OUT, EdgeOnSheet, straight_sides

__all__ = ["draw_verdicts"]

Floats = NDArray[np.float64]

WORDS_AT = 6.7  #: middle of the words along an edge, from it outward [mm]
#: How much longer than its stretch a word may be and still stand along it. [mm]
OVERHANG = 3.0
#: Shortest stretch drawn of what does not hold, so that it is seen. [mm]
LEAST_RUN = 1.2
#: Edges shorter than this may share the word of their neighbours. [mm]
LEAST_DUE = 6.0
#: Shorter stretches are lettered only if they are the worst of an edge; their band and its title tell of the rest. [mm]
LEAST_LETTERED = 2.5


def draw_verdicts(canvas: Canvas, edges: Sequence[EdgeOnSheet], runs: Runs) -> None:
    """Draw a band outside each edge, and a word for each stretch of one verdict.

    Parameters
    ----------
    canvas : Canvas
    edges : sequence of EdgeOnSheet
    runs : mapping of name to runs
        The worst of the workers shown.
    """
    for edge in edges:
        _draw_band(canvas, edge, runs[edge.track.name])
    stretches = _thinned([stretch for side in straight_sides(edges) for stretch in _stretches(side, runs)])
    # what must be lettered first, and of that the long ones: they have no other place, short ones can step aside
    for stretch in sorted(stretches, key=lambda stretch: (not stretch.is_due, stretch.low - stretch.high)):
        if stretch.is_due or stretch.high - stretch.low >= LEAST_LETTERED:
            canvas.letter(_word_places(stretch), at_most=np.inf if stretch.is_due else ON_MARK - 1)


def _draw_band(canvas: Canvas, edge: EdgeOnSheet, runs: Sequence[Run]) -> None:
    # worse last, so that its least width lies over what holds
    for run in sorted(runs, key=lambda run: badness(run.verdict)):
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


@dataclass(frozen=True, eq=False)
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


def _stretches(side: Sequence[EdgeOnSheet], runs: Runs) -> list[_Stretch]:
    """Runs of a side on the sheet, joined where one edge's last run and the next one's first are of one verdict."""
    first, joined = side[0], list[_Stretch]()
    for edge in side:
        own = runs[edge.track.name]
        worst = max(own, key=lambda run: (badness(run.verdict), run.end - run.start))
        offset = float((edge.start - first.start) @ first.along)
        for run in own:
            low, high = (offset + at / edge.track.length * edge.size for at in (run.start, run.end))
            is_due = run is worst
            if joined and joined[-1].verdict is run.verdict:
                before = joined.pop()
                low, is_due = before.low, is_due or before.is_due
            joined.append(_Stretch(first.start, first.along, first.outward, low, high, run.verdict, is_due))
    return joined


def _thinned(stretches: Sequence[_Stretch]) -> list[_Stretch]:
    """Leave one word due where many tiny edges of one verdict follow each other, as on a round tower."""
    kept: list[_Stretch] = []
    for _, group in groupby(stretches, key=lambda stretch: stretch.verdict):
        row = list(group)
        due = [stretch for stretch in row if stretch.is_due]
        large = [stretch for stretch in due if stretch.high - stretch.low >= LEAST_DUE]
        still = large or sorted(due, key=lambda stretch: stretch.low - stretch.high)[:1]
        kept += [stretch if stretch in still else replace(stretch, is_due=False) for stretch in row]
    return kept


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
