"""The lower end of the map: key of signs, worst falls, title block, scale bar and north."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import Verdict
from ropewright.job.model import Job
from ropewright.quantity import UnitSystem
from ropewright.roof import EdgeType
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, NORMAL, SMALL, wrapped
from ropewright.sheets.labels import text_width
from ropewright.sheets.look import INK, VERDICT_LOOKS, ZONE_LOOKS, Look, hatched
from ropewright.sheets.map_roof import EDGE_LINES, HIDDEN_LINE
from ropewright.sheets.map_ropes import WorstFall, number_sign
from ropewright.sheets.paper import FOOT, Scale, Sheet
from ropewright.sheets.words import CAUTION, INVENTED, rules_line

__all__ = ["MapNotes", "block_top", "draw_block", "north_arrow", "scale_bar"]

Floats = NDArray[np.float64]

PAD = 3.0  #: from the frame to what stands in it [mm]
ROW = 5.6  #: from one line of the key to the next [mm]
CELLS = (0.0, 0.43, 0.62, 0.90)  #: left ends of the title block's cells, as shares of the sheet's width
JOB_TOP = 2.2  #: from the upper end of the title block to the first line's upper end [mm]
LEAST_CELL = 34.0  #: height that verdict, scale and north need [mm]
CAUTION_LINE = 4.5  #: [mm]
MOST_FALLS = 4  #: worst falls that are spelled out
_DOWN = 1.2  #: from the middle of a row to the baseline of its text [mm]


@dataclass(frozen=True, slots=True)
class MapNotes:
    """What the lower end of a map says.

    Parameters
    ----------
    job : Job
    verdict : Verdict
        The worst of the workers shown.
    scope : str
        Whose falls the map shows.
    whole : bool
        Is `verdict` that of the whole job.
    falls : tuple of WorstFall
    zones : tuple of str
        Zones that are on the map.
    unlettered : int
        How many things were too small to be lettered.
    grounds : tuple of str
        Levels that reach everywhere, with their heights.
    beyond : tuple of str
        What lies off the sheet.
    """

    job: Job
    verdict: Verdict
    scope: str
    whole: bool
    falls: tuple[WorstFall, ...]
    zones: tuple[str, ...]
    unlettered: int
    grounds: tuple[str, ...]
    beyond: tuple[str, ...] = ()


def block_top(notes: MapNotes, sheet: Sheet) -> float:
    """Where the lower end of the sheet begins: the drawing must stay above, in mm."""
    return sheet.height - _title_height(notes, sheet) - ROW * len(_rows(notes, sheet, "none")) - PAD


def draw_block(notes: MapNotes, sheet: Sheet, scale: Scale, ground: str) -> str:
    """Key and title block, at the foot of the sheet.

    Parameters
    ----------
    notes : MapNotes
    sheet : Sheet
    scale : Scale
    ground : str
        Colour of the paper.

    Returns
    -------
    str
    """
    title_top, top = sheet.height - _title_height(notes, sheet), block_top(notes, sheet)
    moved = [
        svg.tag("g", row, transform=f"translate({PAD:g} {top + PAD / 2 + ROW * (index + 0.5):.3f})")
        for index, row in enumerate(_rows(notes, sheet, ground))
    ]
    rules = [svg.line((0, y), (sheet.width, y), stroke=INK, stroke_width=0.35) for y in (top, title_top)]
    title = svg.tag("g", _title_block(notes, sheet, scale, ground), transform=f"translate(0 {title_top:.3f})")
    return svg.tag("g", *rules, *moved, title, id="rw-block", fill=INK)


def _rows(notes: MapNotes, sheet: Sheet, ground: str) -> list[str]:
    return [*_key(notes, sheet, ground), *_fall_rows(notes, sheet, ground)]


@dataclass(frozen=True, slots=True)
class _Sign:
    """A sign of the key, drawn in a box 9 mm wide round y = 0, and what it stands for."""

    drawn: str
    words: str

    @property
    def width(self) -> float:
        return SIGN + 1.4 + text_width(self.words, SMALL) + 3.6


SIGN = 8.0  #: width of a sign in the key [mm]


def _key(notes: MapNotes, sheet: Sheet, ground: str) -> list[str]:
    bands = [_Sign(_swatch(f"rw-{look.word.replace(' ', '-')}", look), look.word) for look in VERDICT_LOOKS.values()]
    zones = [
        _Sign(_swatch(f"rw-zone-{zone.replace(' ', '-')}", ZONE_LOOKS[zone]), zone)
        for zone in ZONE_LOOKS
        if zone in notes.zones
    ]
    rows = _flow(f"At edges, {notes.scope}:", bands, sheet)
    rows += _flow("Inside:", zones, sheet) if zones else []
    return rows + _flow("", _line_signs(notes, ground), sheet)


def _swatch(name: str, look: Look) -> str:
    box = np.array([[0.0, -1.6], [SIGN, -1.6], [SIGN, 1.6], [0.0, 1.6]])
    dashes = "1.2 0.8" if not look.hatch else None
    return hatched([box], name, look, stroke=INK, stroke_width=0.18, stroke_dasharray=dashes)


def _line_signs(notes: MapNotes, ground: str) -> list[_Sign]:
    found = {edge.type for edge in notes.job.roof.edges}
    names = {
        EdgeType.EAVE: "eave, rake",
        EdgeType.RIDGE: "ridge",
        EdgeType.HIP: "hip",
        EdgeType.VALLEY: "valley",
        EdgeType.BREAK: "change of pitch",
        EdgeType.WALL: "wall above",
    }
    signs = [_Sign(_ruled(*EDGE_LINES[kind]), words) for kind, words in names.items() if kind in found]
    if notes.job.roof.walls is not None:
        signs.append(_Sign(_ruled(*HIDDEN_LINE), "walls below"))
    if notes.falls:
        signs.append(_Sign(_ruled(0.3, None), "taut rope"))
        hang = _ruled(0.25, "0.9 0.7") + svg.circle((SIGN - 0.9, 0), 0.9, fill=ground, stroke=INK, stroke_width=0.3)
        signs.append(_Sign(hang, "swings, hangs here"))
    return signs


def _ruled(width: float, dashes: str | None) -> str:
    return svg.line((0, 0), (SIGN, 0), stroke=INK, stroke_width=width, stroke_dasharray=dashes)


def _flow(lead: str, signs: Sequence[_Sign], sheet: Sheet) -> list[str]:
    """Signs in rows that fit the sheet, the first behind a few words."""
    x = text_width(lead, SMALL) + 2.0 if lead else 0.0
    rows = [[svg.text(lead, (0, _DOWN), SMALL)] if lead else []]
    for sign in signs:
        if x + sign.width - 3.6 > sheet.width - 2 * PAD:
            x = 0.0
            rows.append([])
        drawn = sign.drawn + svg.text(sign.words, (SIGN + 1.4, _DOWN), SMALL)
        rows[-1].append(svg.tag("g", drawn, transform=f"translate({x:.3f} 0)"))
        x += sign.width
    return ["".join(row) for row in rows]


def _fall_rows(notes: MapNotes, sheet: Sheet, ground: str) -> list[str]:
    """Return a line for each numbered fall, and for what the drawing leaves out."""
    width = sheet.width - 2 * PAD
    rows = [
        number_sign(fall.number, np.array([2.5, 0.0]), ground)
        + svg.text(wrapped(f"worst fall of {fall.text}", width - 7, NORMAL, 1)[0], (7, _DOWN), NORMAL)
        for fall in notes.falls[:MOST_FALLS]
    ]
    said = [*notes.grounds, "lengths along edges are true lengths"]
    said += [f"off the sheet: {words}" for words in notes.beyond]
    if len(notes.falls) > MOST_FALLS:
        said.append(f"{len(notes.falls) - MOST_FALLS} more worst falls in the findings")
    if notes.unlettered:
        said.append(f"names left off for want of room: {notes.unlettered}")
    text = "; ".join(said)
    rows += [svg.text(line, (0, _DOWN), SMALL) for line in wrapped(text[0].upper() + text[1:] + ".", width, SMALL, 3)]
    return rows


def _title_height(notes: MapNotes, sheet: Sheet) -> float:
    """Height of the title block: what the cell of the job needs, over the lines of the caution."""
    cell = JOB_TOP + sum(step for *_, step in _job_lines(notes.job, CELLS[1] * sheet.width - 2 * PAD)) + 2.0
    return max(LEAST_CELL, cell) + CAUTION_LINE * len(_caution(sheet)) + 1.6


def _caution(sheet: Sheet) -> list[str]:
    return wrapped(CAUTION, sheet.width - 2 * PAD, SMALL, 3)


def _title_block(notes: MapNotes, sheet: Sheet, scale: Scale, ground: str) -> str:
    """Four cells over the caution, with (0, 0) at the upper left corner."""
    ends = [share * sheet.width for share in CELLS]
    caution = _caution(sheet)
    foot = _title_height(notes, sheet) - CAUTION_LINE * len(caution) - 1.6
    rules = [svg.line((x, 0), (x, foot), stroke=INK, stroke_width=0.18) for x in ends[1:]]
    rules.append(svg.line((0, foot), (sheet.width, foot), stroke=INK, stroke_width=0.18))
    lines = [svg.text(line, (PAD, foot + 4.4 + CAUTION_LINE * row), SMALL) for row, line in enumerate(caution)]
    return "".join(
        [
            *rules,
            *lines,
            _job_cell(notes.job, ends[1]),
            _verdict_cell(notes, ends[1], ends[2]),
            _scale_cell(scale, notes.job.units, ends[2], ends[3]),
            north_arrow(notes.job.site.north, np.array([(ends[3] + sheet.width) / 2, foot / 2 + 1.5]), ground),
        ]
    )


def _job_lines(job: Job, room: float) -> list[tuple[str, float, bool, float]]:
    """Lines of the job's cell: words, em height, bold, and the step down to their baseline [mm]."""
    day = job.date.isoformat() if job.date else "undated"
    prepared = f"{day}, prepared by {job.prepared_by}" if job.prepared_by else day
    said = [(job.name, 5.2, True, 5.6)]
    said += [(INVENTED, SMALL, True, 4.6)] if job.invented else []
    said += [(words, SMALL, False, 4.6) for words in (job.address, prepared, f"Rules: {rules_line(job)}") if words]
    return [
        (line, size, bold, step)
        for words, size, bold, step in said
        for line in wrapped(words, room, size, 2, bold=bold)
    ]


def _job_cell(job: Job, width: float) -> str:
    y, drawn = JOB_TOP, []
    for line, size, bold, step in _job_lines(job, width - 2 * PAD):
        y += step
        drawn.append(svg.text(line, (PAD, y), size, font_weight=600 if bold else None))
    return "".join(drawn)


def _verdict_cell(notes: MapNotes, left: float, right: float) -> str:
    look = VERDICT_LOOKS[notes.verdict]
    size = min(9.0, 9.0 * (right - left - 2 * PAD) / text_width(look.word, 9.0, bold=True))
    box = np.array([[left + PAD, 17.0], [right - PAD, 17.0], [right - PAD, 22.0], [left + PAD, 22.0]])
    meaning = wrapped(look.meaning, right - left - 2 * PAD, SMALL, 2)
    return "".join(
        [
            svg.text("worst of the job" if notes.whole else "worst here", (left + PAD, 5.0), SMALL),
            svg.text(look.word, (left + PAD, 14.0), size, font_weight=700),
            hatched([box], f"rw-{look.word}", look, stroke=INK, stroke_width=0.18),
            *(svg.text(line, (left + PAD, 26.4 + 4.4 * row), SMALL) for row, line in enumerate(meaning)),
        ]
    )


def _scale_cell(scale: Scale, units: UnitSystem, left: float, right: float) -> str:
    size = scale.paper(scale.bar)
    return svg.text("scale", (left + PAD, 5.0), SMALL) + "".join(
        [
            svg.text(scale.text, (left + PAD, 11.0), BIG, font_weight=600),
            scale_bar(scale, units, np.array([(left + right - size) / 2 - 2.0, 19.0])),
            svg.text("printed at 100 %", (left + PAD, 31.0), SMALL),
        ]
    )


def scale_bar(scale: Scale, units: UnitSystem, at: Floats) -> str:
    """Bar of fields, filled by turns, with its upper left corner at `at`, shape (2,), in mm."""
    foot = units is UnitSystem.US
    fields = round(scale.bar / scale.bar_step)
    step = scale.paper(scale.bar_step)
    pieces = [
        svg.rectangle(at + np.array([index * step, 0.0]), step, 2.0, fill=INK if index % 2 == 0 else "none")
        for index in range(fields)
    ]
    for index in (0, fields):
        value = index * scale.bar_step / (FOOT if foot else 1.0)
        words = f"{value:g}" + ((" ft" if foot else " m") if index else "")
        pieces.append(
            svg.text(words, at + np.array([index * step, 6.2]), SMALL, text_anchor="middle", stroke="none", fill=INK)
        )
    return svg.tag("g", *pieces, stroke=INK, stroke_width=0.2)


def north_arrow(north: float, middle: Floats, ground: str) -> str:
    """Arrow to north with its letter.

    Parameters
    ----------
    north : float
        Bearing of the plan's +y axis, clockwise from north; on paper +y runs up. [deg]
    middle : array, shape (2,)
        [mm]
    ground : str
        Colour of the paper.
    """
    way = np.array([-np.sin(np.radians(north)), -np.cos(np.radians(north))])
    side = np.array([-way[1], way[0]])
    tip, tail = middle + 8.0 * way, middle - 8.0 * way
    left = np.array([tip, tail + 2.6 * side, tail + 2.2 * way])
    right = np.array([tip, tail - 2.6 * side, tail + 2.2 * way])
    letter = tip + 3.0 * way + (0, 0.35 * BIG)
    return "".join(
        [
            svg.polygon(left, fill=INK, stroke=INK, stroke_width=0.2),
            svg.polygon(right, fill=ground, stroke=INK, stroke_width=0.2),
            svg.text("N", letter, BIG, text_anchor="middle", font_weight=600),
        ]
    )
