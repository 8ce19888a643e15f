"""Openings on the map: a cross, a band of verdicts round the rim, a name and the worst word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from ropewright.roof import Roof
from ropewright.sheets import svg
from ropewright.sheets.canvas import NORMAL, Canvas
from ropewright.sheets.labels import Label, text_width
from ropewright.sheets.look import INK, hatched, look_of
from ropewright.sheets.runs import Runs, Track, badness

__all__ = ["beside", "draw_openings", "letter_openings"]

Floats = NDArray[np.float64]

RIM_BAND = (0.6, 2.4)  #: near and far side of the band round an opening [mm]


def draw_openings(canvas: Canvas, roof: Roof, tracks: Sequence[Track], runs: Runs) -> None:
    """Draw each opening with a cross and a band of verdicts round its rim."""
    rings = {opening.name: canvas.place(opening.ring) for opening in roof.openings}
    for track in (track for track in tracks if track.is_rim):
        ring = rings[track.name]
        canvas.labels.block(ring)
        canvas.add("marks", svg.polygon(ring, fill=canvas.ground, stroke=INK, stroke_width=0.5))
        for corner, across in _diagonals(ring):
            canvas.add("marks", svg.line(corner, across, stroke=INK, stroke_width=0.2))
        for run in runs[track.name]:
            strip = _rim_strip(track, ring, run.start, run.end)
            look = look_of(run.verdict)
            canvas.add(
                "marks", hatched([strip], f"rw-{look.word.replace(' ', '-')}", look, stroke=INK, stroke_width=0.15)
            )


def letter_openings(canvas: Canvas, roof: Roof, tracks: Sequence[Track], runs: Runs) -> None:
    """Write each opening's name and its worst verdict beside it."""
    rings = {opening.name: canvas.place(opening.ring) for opening in roof.openings}
    for track in (track for track in tracks if track.is_rim):
        worst = max((run.verdict for run in runs[track.name]), key=badness)
        words = f"{track.name}: {look_of(worst).word}"
        canvas.letter(beside(rings[track.name], words))


def _diagonals(ring: Floats) -> Iterator[tuple[Floats, Floats]]:
    half = len(ring) // 2
    yield from ((ring[i], ring[(i + half) % len(ring)]) for i in range(2 if len(ring) >= 4 else 1))


def _rim_strip(track: Track, ring: Floats, start: float, end: float) -> Floats:
    """Strip round part of a rim, on the side of the roof."""
    stations = track.stations
    marks = np.concatenate([[start], stations[(stations > start) & (stations < end)], [end]])
    sides = []
    for out in RIM_BAND:
        wider = _wider(ring, out)
        closed = np.vstack([wider, wider[:1]])
        sides.append(np.column_stack([np.interp(marks, stations, column) for column in closed.T]))
    strip: Floats = np.vstack([sides[0], sides[1][::-1]])
    return strip


def _wider(ring: Floats, out: float) -> Floats:
    """Return a ring moved out by `out` square to its sides, corners mitred."""
    step = np.roll(ring, -1, axis=0) - ring
    along = step / np.maximum(np.linalg.norm(step, axis=1, keepdims=True), 1e-9)
    aside = np.column_stack([along[:, 1], -along[:, 0]])
    turned = float((ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]).sum())
    aside = aside if turned > 0 else -aside
    both = aside + np.roll(aside, 1, axis=0)
    mitre = both / np.maximum((both**2).sum(axis=1, keepdims=True) / 2, 0.2)
    wider: Floats = ring + out * mitre
    return wider


def beside(ring: Floats, words: str) -> Iterator[Label]:
    """Places of a text round a small thing."""
    low, high = ring.min(axis=0), ring.max(axis=0)
    middle, width = (low + high) / 2, text_width(words, NORMAL, bold=True)
    beside = (high - low)[0] / 2 + width / 2 + 3.6
    above = (high - low)[1] / 2 + NORMAL / 2 + 3.2
    near = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.7, 1.0), (-0.7, 1.0), (0.7, -1.0), (-0.7, -1.0))
    for rank, way in enumerate(near):
        at = middle + np.array(way) * (beside, above)
        yield Label(words, at, NORMAL, bold=True, dislike=0.5 * rank)
    far = ((1.0, 1.8), (-1.0, 1.8), (1.0, -1.8), (-1.0, -1.8), (0.0, 2.4), (0.0, -2.4))
    for rank, way in enumerate(far):
        at = middle + np.array(way) * (beside, above)
        yield Label(words, at, NORMAL, bold=True, dislike=6 + rank, leader=middle)
