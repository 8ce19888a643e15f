"""The plan of a roof to scale, with what holds along every edge, as one SVG file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Verdict, worst
from ropewright.job.assessment import Assessment, EdgeField, ZoneField
from ropewright.sheets import svg
from ropewright.sheets.canvas import Canvas, height_text, length_text
from ropewright.sheets.labels import Labels
from ropewright.sheets.look import (
    FONT,
    INK,
    PAPER,
    VERDICT_LOOKS,
    WHITE,
    ZONE_LOOKS,
    Look,
    hatch_patterns,
    look_of,
    verdict_word,
)
from ropewright.sheets.map_dimensions import draw_dimensions
from ropewright.sheets.map_frame import MapNotes, block_top, draw_block
from ropewright.sheets.map_openings import draw_openings, letter_openings
from ropewright.sheets.map_roof import draw_roof, draw_zones, letter_inner_edges, letter_zones, roof_shape
from ropewright.sheets.map_ropes import WorstFall, draw_anchors, draw_worst_falls, letter_anchors, worst_falls
from ropewright.sheets.map_site import (
    OBSTACLE_HATCH,
    draw_levels,
    draw_obstacles,
    draw_power_lines,
    far_lines,
    letter_levels,
    letter_obstacles,
    nearest_in_plan,
)
from ropewright.sheets.map_slopes import draw_slopes
from ropewright.sheets.map_verdicts import draw_verdicts
from ropewright.sheets.paper import Box, Plan, Scale, Sheet, extent_on_paper, fitting_scale, sheet_for
from ropewright.sheets.runs import Runs, Track, all_runs, tracks_of
from ropewright.sheets.sheet_edges import edges_on_sheet
from ropewright.sheets.words import CAUTION
from ropewright.sheets.writing import write_text_atomic
from ropewright.sheets.zones import worst_zones

__all__ = ["map_description", "map_scale", "map_svg", "on_white", "write_map"]

Floats = NDArray[np.float64]

#: Room outside the roof for the band, its words and a dimension line. [mm]
MARGIN = 17.0
#: What lies round the roof is drawn as far as this share of the roof's own size.
AROUND = 0.35


def write_map(assessment: Assessment, path: Path | str, *, worker: str | None = None) -> Path:
    """Path of the map after it was written whole; see `map_svg`.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    return write_text_atomic(path, map_svg(assessment, worker=worker))


def map_svg(assessment: Assessment, *, worker: str | None = None, ground: str = PAPER) -> str:
    """Plan of the roof to scale as an SVG document that needs nothing from outside itself.

    Parameters
    ----------
    assessment : Assessment
    worker : str, optional
        Show this worker alone; else every place shows the worst over all workers.
    ground : str
        Colour of the paper.

    Returns
    -------
    str
        One user unit is 1 mm on the sheet. Equal for equal assessments.

    Raises
    ------
    ValueError
        If no such worker was assessed.
    """
    drawing = _Drawing(assessment, worker)
    canvas = drawing.canvas(ground)
    _draw_plan(canvas, drawing)
    notes = replace(drawing.notes, unlettered=len(canvas.unlettered), beyond=tuple(canvas.beyond))
    sheet, scale = drawing.sheet, drawing.scale
    left, top, right, bottom = canvas.labels.frame
    clip = svg.tag("clipPath", svg.rectangle((left, top), right - left, bottom - top), id="rw-drawing")
    body = [
        svg.tag("title", svg.text_of(f"Roof plan of {assessment.job.name}")),
        svg.tag("desc", svg.text_of(drawing.description)),
        svg.tag("defs", hatch_patterns(_looks()), clip, roof_shape(canvas, assessment.job.roof)),
        svg.rectangle((0, 0), sheet.width, sheet.height, fill=ground),
        svg.tag("g", canvas.drawn(), clip_path="url(#rw-drawing)"),
        draw_block(notes, sheet, scale, ground),
        svg.rectangle((0.25, 0.25), sheet.width - 0.5, sheet.height - 0.5, fill="none", stroke=INK, stroke_width=0.5),
    ]
    return _document(body, sheet)


def on_white(drawn: str) -> str:
    """Return a map on white, for paper that is white already."""
    return drawn.replace(PAPER, WHITE)


def map_description(assessment: Assessment, *, worker: str | None = None) -> str:
    """Return what the map shows, in words, for those who can't see it.

    Raises
    ------
    ValueError
        If no such worker was assessed.
    """
    return _Drawing(assessment, worker).description


def map_scale(assessment: Assessment) -> Scale:
    """Scale at which the map is drawn."""
    return _Drawing(assessment, None).scale


def _document(body: Sequence[str], sheet: Sheet) -> str:
    root = svg.tag(
        "svg",
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        width=f"{sheet.width:g}mm",
        height=f"{sheet.height:g}mm",
        viewBox=f"0 0 {sheet.width:g} {sheet.height:g}",
        font_family=FONT,
    )
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{root}\n'


def _looks() -> dict[str, Look]:
    """Every hatch a map may use, by its name."""
    verdicts = {f"rw-{look.word.replace(' ', '-')}": look for look in VERDICT_LOOKS.values()}
    zones = {f"rw-zone-{zone.replace(' ', '-')}": look for zone, look in ZONE_LOOKS.items()}
    return {**verdicts, **zones, "rw-obstacle": Look("", "", "none", INK, (OBSTACLE_HATCH,))}


class _Drawing:
    """What one map shows, and how large."""

    def __init__(self, assessment: Assessment, worker: str | None) -> None:
        self.job = assessment.job
        self.fields: tuple[EdgeField, ...] = assessment.fields
        self.zones: tuple[ZoneField, ...] = assessment.zones
        self.verdict = assessment.verdict
        if worker is not None:
            self._only(worker)
        self.tracks: tuple[Track, ...] = tracks_of(self.job.roof)
        self.runs: Runs = all_runs(self.tracks, self.fields, assessment.findings)
        self.falls: tuple[WorstFall, ...] = worst_falls(self.fields)
        self.sheet = sheet_for(self.job.units)
        self.worker = worker

    def _only(self, worker: str) -> None:
        self.fields = tuple(field for field in self.fields if field.worker == worker)
        self.zones = tuple(zone for zone in self.zones if zone.worker == worker)
        if not self.fields:
            raise ValueError(f"no worker named {worker!r} was assessed")
        self.verdict = worst(verdict for field in self.fields for verdict in field.verdict if verdict is not None)

    @cached_property
    def notes(self) -> MapNotes:
        """Notes that take as much room as they may need."""
        everywhere = (level for level in self.job.site.levels if level.outline is None)
        return MapNotes(
            job=self.job,
            verdict=self.verdict,
            scope=self.worker or ("worst of all workers" if len(self.fields) > 1 else "all workers"),
            whole=self.worker is None,
            falls=self.falls,
            zones=tuple(worst_zones(self.zones)),
            unlettered=999,
            beyond=tuple(far_lines(self.job, self.fields)),
            grounds=tuple(f"{level.name} at {height_text(level.height, self.job.units)}" for level in everywhere),
        )

    @cached_property
    def frame(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom end of the drawing, in mm."""
        return (1.5, 1.5, self.sheet.width - 1.5, block_top(self.notes, self.sheet) - 1.0)

    @cached_property
    def boxes(self) -> list[Box]:
        """Roof with room for its words, and what lies near it."""
        points = np.vstack([facet.ring[:, :2] for facet in self.job.roof.facets])
        roof = np.array([points.min(axis=0), points.max(axis=0)])
        site = [level.outline for level in self.job.site.levels if level.outline is not None]
        site += [obstacle.outline for obstacle in self.job.site.obstacles]
        site += [nearest_in_plan(roof.mean(axis=0), [line.points[:, :2]])[None] for line in self.job.site.power_lines]
        grown = roof + AROUND * float((roof[1] - roof[0]).max()) * np.array([[-1.0], [1.0]])
        # what lies wholly further away is no reason for a smaller scale
        near = [o for o in site if (o.max(axis=0) >= grown[0]).all() and (o.min(axis=0) <= grown[1]).all()]
        around = np.vstack([roof, *(np.clip(outline, grown[0], grown[1]) for outline in near)])
        return [(roof, MARGIN), (np.array([around.min(axis=0), around.max(axis=0)]), 5.0)]

    @cached_property
    def scale(self) -> Scale:
        """Largest usual scale at which it fits."""
        left, top, right, bottom = self.frame
        return fitting_scale(self.boxes, (right - left, bottom - top), self.job.units)

    def canvas(self, ground: str) -> Canvas:
        """Return an empty drawing, its middle in the middle of what is to be drawn."""
        left, top, right, bottom = self.frame
        middle = extent_on_paper(self.boxes, self.scale.ratio).mean(axis=0) * self.scale.ratio / 1000
        plan = Plan(self.scale, (float(middle[0]), float(middle[1])), ((left + right) / 2, (top + bottom) / 2))
        return Canvas(plan, Labels(self.frame), self.job.units, ground)

    @cached_property
    def description(self) -> str:
        """The map in words: scale, worst verdict, and every edge with the lengths of its verdicts."""
        edges = "; ".join(self._edge_words(track) for track in self.tracks)
        falls = " ".join(f"Worst fall {fall.number}: {fall.text}." for fall in self.falls)
        return (
            f"Plan at {self.scale.text}. Worst verdict: {verdict_word(self.verdict)}. "
            f"Along the edges: {edges}. {falls} {CAUTION}"
        )

    def _edge_words(self, track: Track) -> str:
        runs = self.runs[track.name]
        lengths: Counter[Verdict | None] = Counter()
        for run in runs:
            lengths[run.verdict] += run.end - run.start  # type: ignore[assignment]
        parts = (
            f"{look_of(verdict).word} {length_text(length, self.job.units)}" for verdict, length in lengths.items()
        )
        return f"{track.name}: {', '.join(parts)}"


def _draw_plan(canvas: Canvas, drawing: _Drawing) -> None:
    """Draw from what can't move to what can: signs, then words that must stand, then words that may be left off."""
    job, fields = drawing.job, drawing.fields
    draw_zones(canvas, drawing.zones)
    draw_roof(canvas, job.roof)
    draw_obstacles(canvas, job.site.obstacles)
    draw_anchors(canvas, job.anchors)
    draw_openings(canvas, job.roof, drawing.tracks, drawing.runs)
    draw_levels(canvas, job.site.levels)
    edges = edges_on_sheet(drawing.tracks, canvas)
    draw_verdicts(canvas, edges, drawing.runs)
    draw_worst_falls(canvas, job, drawing.falls)
    letter_anchors(canvas, job.anchors)
    letter_openings(canvas, job.roof, drawing.tracks, drawing.runs)
    letter_obstacles(canvas, job.site.obstacles)
    letter_levels(canvas, job.site.levels)
    draw_power_lines(canvas, job, fields)
    draw_dimensions(canvas, edges)
    draw_slopes(canvas, job.roof)
    letter_inner_edges(canvas, job.roof)
    letter_zones(canvas, drawing.zones)
