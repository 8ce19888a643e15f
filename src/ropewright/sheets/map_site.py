"""What lies round the roof on the map: lower levels, obstacles and overhead lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.job.assessment import EdgeField
from ropewright.job.model import Job, Level, Obstacle, PowerLine
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.sheets import svg
from ropewright.sheets.canvas import NORMAL, Canvas, height_text, upright
from ropewright.sheets.labels import ON_LINE, ON_MARK, ON_TEXT, Label, text_width
from ropewright.sheets.look import INK
from ropewright.sheets.map_openings import beside

__all__ = [
    "OBSTACLE_HATCH",
    "draw_levels",
    "draw_obstacles",
    "draw_power_lines",
    "far_lines",
    "letter_levels",
    "letter_obstacles",
    "nearest_in_plan",
]

Floats = NDArray[np.float64]

#: Lines of the hatch on things that stand in the way: turn [deg], gap and width [mm].
OBSTACLE_HATCH = (-45.0, 1.1, 0.2)


def draw_levels(canvas: Canvas, levels: Sequence[Level]) -> None:
    """Outline every lower level that does not reach everywhere."""
    for level in levels:
        if level.outline is None:
            continue
        ring = canvas.place(level.outline)
        canvas.add(
            "below",
            svg.polygon(ring, fill="none", stroke=INK, stroke_width=0.25, stroke_dasharray="6 1 1 1 1 1"),
        )
        for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            canvas.labels.block_line(start, end, ON_LINE)


def letter_levels(canvas: Canvas, levels: Sequence[Level]) -> None:
    """Write the name and the height of each outlined level where it shows."""
    for level in levels:
        if level.outline is None:
            continue
        ring = canvas.place(level.outline)
        parts = (level.name, height_text(level.height, canvas.units))
        words = " ".join(parts)
        near = [replace(label, bold=False, dislike=4.0) for label in beside(ring, words) if label.leader is None]
        if canvas.letter((*_within(canvas, ring, words), *near), at_most=2 * ON_LINE):
            continue
        written = [canvas.letter(_within(canvas, ring, part), at_most=ON_TEXT) for part in parts]
        if not all(written):
            canvas.unlettered.append(words)


def _within(canvas: Canvas, ring: Floats, words: str) -> Iterator[Label]:
    """Places in the part of a shape that shows, from its middle outward."""
    left, top, right, bottom = canvas.labels.frame
    low = np.maximum(ring.min(axis=0), (left, top))
    high = np.minimum(ring.max(axis=0), (right, bottom))
    middle, half = (low + high) / 2, np.maximum((high - low) / 2, 0.0)
    shares = (0.0, 0.35, -0.35, 0.65, -0.65, 0.85, -0.85)
    for across in shares:
        for down in shares:
            for turn in (0.0, -90.0):
                dislike = abs(across) + abs(down) + (1.0 if turn else 0.0)
                yield Label(words, middle + half * (across, down), NORMAL, turn, dislike=dislike)


def draw_obstacles(canvas: Canvas, obstacles: Sequence[Obstacle]) -> None:
    """Hatch what stands in the way of a swinging body."""
    for obstacle in obstacles:
        ring = canvas.place(obstacle.outline)
        canvas.labels.block(ring)
        canvas.add(
            "site",
            svg.polygon(ring, fill=canvas.ground),
            svg.polygon(ring, fill="url(#rw-obstacle-0)", stroke=INK, stroke_width=0.35),
        )


def letter_obstacles(canvas: Canvas, obstacles: Sequence[Obstacle]) -> None:
    """Write the name and the top of each obstacle beside it."""
    for obstacle in obstacles:
        ring = canvas.place(obstacle.outline)
        canvas.letter(beside(ring, f"{obstacle.name}, top {height_text(obstacle.top, canvas.units)}"))


def far_lines(job: Job, fields: Sequence[EdgeField]) -> list[str]:
    """What is said of each overhead line that may lie off the sheet: its voltage and the least distance to anybody."""
    return [_line_words(power, job.units) + _nearest_words(fields, job.units) for power in job.site.power_lines]


def _line_words(power: PowerLine, units: UnitSystem) -> str:
    return f"{power.name}, {show(power.voltage, Dimension.VOLTAGE, units)}"


def _nearest_words(fields: Sequence[EdgeField], units: UnitSystem) -> str:
    near = _nearest(fields)
    return "" if near is None else f", {show(near[0], Dimension.LENGTH, units, toward='low')} at the nearest"


def _nearest(fields: Sequence[EdgeField]) -> tuple[float, Floats] | None:
    """Least distance to an overhead line, and the edge point where it is; None if nobody comes near one."""
    near = [(float(field.power[i]), field.points[i]) for field in fields for i in np.flatnonzero(field.reached)]
    near = [(distance, point) for distance, point in near if np.isfinite(distance)]
    return min(near, key=lambda pair: pair[0]) if near else None


def draw_power_lines(canvas: Canvas, job: Job, fields: Sequence[EdgeField]) -> None:
    """Draw overhead lines with their voltage, and the least distance to anybody from any edge."""
    for power in job.site.power_lines:
        points = canvas.place(power.points)
        canvas.add(
            "site", svg.polyline(points, stroke=INK, stroke_width=0.45, stroke_dasharray="5 1.2 1.2 1.2 1.2 1.2")
        )
        for start, end in pairwise(points):
            canvas.labels.block_line(start, end, ON_LINE)
        if canvas.letter(_along(canvas, points, _line_words(power, job.units)), at_most=ON_TEXT) is None:
            canvas.beyond.append(_line_words(power, job.units) + _nearest_words(fields, job.units))
    if job.site.power_lines:
        _draw_distance(canvas, job.site.power_lines, fields)


def _along(canvas: Canvas, points: Floats, words: str) -> Iterator[Label]:
    """Places along a run of lines, on both of its sides."""
    left, top, right, bottom = canvas.labels.frame
    for start, end in pairwise(points):
        size = float(np.linalg.norm(end - start))
        if size < 1e-6:
            continue
        along = (end - start) / size
        aside = np.array([-along[1], along[0]])
        for share in np.linspace(0.0, 1.0, 41):
            middle = start + share * (end - start)
            if left < middle[0] < right and top < middle[1] < bottom:
                for side in (-3.2, 3.2):
                    yield Label(words, middle + side * aside, NORMAL, upright(along), dislike=abs(share - 0.5))


def _draw_distance(canvas: Canvas, lines: Sequence[PowerLine], fields: Sequence[EdgeField]) -> None:
    """Dimension from the edge point that comes nearest to an overhead line."""
    near = _nearest(fields)
    if near is None:
        return
    distance, point = near
    start = canvas.place(point)
    foot = nearest_in_plan(start, [canvas.place(line.points) for line in lines])
    if not canvas.holds(foot):
        return
    canvas.add("dimensions", svg.line(start, foot, stroke=INK, stroke_width=0.15))
    canvas.add("dimensions", *(svg.circle(end, 0.6, fill=INK) for end in (start, foot)))
    canvas.labels.block_line(start, foot, ON_LINE)
    words = f"{show(distance, Dimension.LENGTH, canvas.units, toward='low')} at the nearest"
    away = foot - start
    size = float(np.linalg.norm(away))
    along = away / size if size > 1e-6 else np.array([1.0, 0.0])
    side = np.array([-along[1], along[0]])
    width = text_width(words, NORMAL)
    places = [
        Label(words, start + share * away + out * side, NORMAL, upright(along), dislike=abs(share - 0.5))
        for share in (0.5, 0.7, 0.85)
        for out in (-2.8, 2.8)
    ]
    places += [
        Label(words, start + share * away + np.array([way * (width / 2 + 1.5), 0.0]), NORMAL, dislike=2.0)
        for share in (0.5, 0.7, 0.85, 1.0)
        for way in (1, -1)
    ]
    canvas.letter(places, at_most=ON_MARK + ON_TEXT)


def nearest_in_plan(point: Floats, lines: Sequence[Floats]) -> Floats:
    """Place on any of several lines, shape (n, 2) each, that is nearest to a point, shape (2,)."""
    best: Floats = lines[0][0]
    least = np.inf
    for points in lines:
        for start, end in pairwise(points):
            step = end - start
            share = float(np.clip((point - start) @ step / max(float(step @ step), 1e-12), 0, 1))
            away = float(np.linalg.norm(start + share * step - point))
            if away < least:
                best, least = start + share * step, away
    return best
