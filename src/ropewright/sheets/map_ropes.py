"""Anchors, ropes and worst falls on the map."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Verdict
from ropewright.job.assessment import EdgeField
from ropewright.job.model import Anchor, Job
from ropewright.roof import Roof
from ropewright.sheets import svg
from ropewright.sheets.canvas import NORMAL, SMALL, Canvas
from ropewright.sheets.labels import ON_LINE, Label, box_at
from ropewright.sheets.look import INK, verdict_word
from ropewright.sheets.map_openings import beside
from ropewright.sheets.words import named

__all__ = ["WorstFall", "draw_anchors", "draw_worst_falls", "letter_anchors", "number_sign", "worst_falls"]

Floats = NDArray[np.float64]

ANCHOR_SIZE = 1.7  #: radius of an anchor's sign [mm]
MARK_SIZE = 2.5  #: radius of the ring round a number [mm]


@dataclass(frozen=True, slots=True)
class WorstFall:
    """Where the worst fall of one worker begins, as numbered on the map."""

    number: int
    worker: str
    line: str
    edge: str
    verdict: Verdict
    reason: str
    point: Floats  #: shape (3,) [m]
    hang: Floats  #: shape (3,) where the D-ring comes to hang; nan if it is not known [m]

    @property
    def text(self) -> str:
        """The line in the key of the map."""
        why = f", {self.reason.replace('-', ' ')}" if self.reason else ""
        return f"{self.worker}, {named('line', self.line)}: {self.edge}, {verdict_word(self.verdict)}{why}"


def worst_falls(fields: Sequence[EdgeField]) -> tuple[WorstFall, ...]:
    """Worst fall of each worker who can get to an edge: the worst verdict, then the least spare clearance.

    Parameters
    ----------
    fields : sequence of EdgeField

    Returns
    -------
    tuple of WorstFall
        In the order of the fields, numbered from 1.
    """
    falls: list[WorstFall] = []
    for field in fields:
        row = _worst_row(field)
        verdict = None if row is None else field.verdict[row]
        if row is None or verdict is None:
            continue
        falls.append(
            WorstFall(
                number=len(falls) + 1,
                worker=field.worker,
                line=field.line,
                edge=field.edge[row],
                verdict=verdict,
                reason=field.reason[row],
                point=field.points[row],
                hang=field.hang[row],
            )
        )
    return tuple(falls)


def _worst_row(field: EdgeField) -> int | None:
    needed = np.fmax(field.needed_book, field.needed_high)
    # over a mere step nothing is needed: it is shown only where nothing else is as bad
    spare = np.where(needed == 0.0, np.inf, np.nan_to_num(field.available - needed, nan=-np.inf))
    severity = np.array([-1 if verdict is None else SEVERITY[verdict] for verdict in field.verdict])
    if not len(severity) or severity.max() < 0:
        return None
    rows = np.flatnonzero(severity == severity.max())
    return int(rows[spare[rows].argmin()])


def draw_anchors(canvas: Canvas, anchors: Sequence[Anchor]) -> None:
    """Draw each anchor as a ring with a cross."""
    for anchor in anchors:
        at = canvas.place(anchor.point)
        arm = ANCHOR_SIZE + 0.9
        across = np.array([arm, 0.0])
        canvas.labels.block(box_at(at, 2 * arm, 2 * arm))
        canvas.add(
            "marks",
            svg.circle(at, ANCHOR_SIZE, fill=canvas.ground, stroke=INK, stroke_width=0.45),
            svg.line(at - across, at + across, stroke=INK, stroke_width=0.25),
            svg.line(at - across[::-1], at + across[::-1], stroke=INK, stroke_width=0.25),
            svg.circle(at, 0.55, fill=INK),
        )


def letter_anchors(canvas: Canvas, anchors: Sequence[Anchor]) -> None:
    """Write the name of each anchor beside its sign."""
    for anchor in anchors:
        at = canvas.place(anchor.point)
        canvas.letter(beside(box_at(at, 2.0, 2.0), anchor.name))


def draw_worst_falls(canvas: Canvas, job: Job, falls: Sequence[WorstFall]) -> None:
    """Draw the taut rope to each worst fall, its number, and where the body comes to hang."""
    anchors = {anchor.name: anchor for anchor in job.anchors}
    ropes = {line.name: anchors.get(line.anchor) for line in job.lines}
    for fall in falls:
        anchor = ropes.get(fall.line)
        if anchor is not None:
            _draw_rope(canvas, _taut_path(job.roof, anchor, fall.point))
        at, hang = canvas.place(fall.point), fall.hang
        if np.isfinite(hang).all():
            end = canvas.place(hang)
            canvas.add("ropes", svg.line(at, end, stroke=INK, stroke_width=0.25, stroke_dasharray="0.9 0.7"))
            canvas.add("ropes", svg.circle(end, 0.9, fill=canvas.ground, stroke=INK, stroke_width=0.3))
        _draw_number(canvas, fall, at)


def _taut_path(roof: Roof, anchor: Anchor, point: Floats) -> Floats:
    from ropewright.roof.path import TautPaths

    path: Floats = TautPaths(roof, anchor.point).path(point).points
    return path


def _draw_rope(canvas: Canvas, points: Floats) -> None:
    placed = canvas.place(points)
    canvas.add("ropes", svg.polyline(placed, stroke=INK, stroke_width=0.3))
    for start, end in pairwise(placed):
        canvas.labels.block_line(start, end, ON_LINE)


def _draw_number(canvas: Canvas, fall: WorstFall, at: Floats) -> None:
    label = canvas.labels.put(_round_point(at, str(fall.number)))
    if label is None:
        return
    canvas.labels.block(box_at(label.middle, 2 * MARK_SIZE, 2 * MARK_SIZE))
    away = at - label.middle
    size = float(np.linalg.norm(away))
    rim = label.middle + away * min(1.0, MARK_SIZE / size) if size > 0 else at
    canvas.add(
        "marks",
        svg.line(at, rim, stroke=INK, stroke_width=0.25),
        svg.circle(at, 0.8, fill=INK),
        number_sign(fall.number, label.middle, canvas.ground),
    )


def number_sign(number: int, middle: Floats, ground: str) -> str:
    """Return a number in a ring, to be found again in the key."""
    return svg.circle(middle, MARK_SIZE, fill=ground, stroke=INK, stroke_width=0.35) + svg.text(
        number, middle + np.array([0.0, 0.35 * SMALL]), SMALL, text_anchor="middle", font_weight=600, fill=INK
    )


def _round_point(at: Floats, words: str) -> Iterator[Label]:
    for rank, turn in enumerate(range(0, 360, 30)):
        for far in (5.0, 8.0):
            way = np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])
            yield Label(words, at + far * way, NORMAL + 1.2, dislike=0.1 * rank + 0.4 * (far - 5.0))
