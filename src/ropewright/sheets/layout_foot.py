"""The lower end of the map of anchors: what it shows, the anchors with their settings, scale and north."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ropewright.job.layout_model import Layout, Placed
from ropewright.quantity import Dimension, show
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, NORMAL, SMALL, Canvas, wrapped
from ropewright.sheets.labels import text_width
from ropewright.sheets.layout_text import STRUCTURE
from ropewright.sheets.layout_words import anchor_place, area_text, bound_line, headline
from ropewright.sheets.look import INK
from ropewright.sheets.map_frame import PAD, north_arrow, scale_bar
from ropewright.sheets.paper import Sheet
from ropewright.sheets.words import CAUTION, INVENTED

__all__ = ["Sign", "draw_foot", "foot_height"]

ROW = 5.4  #: from one line to the next [mm]
SIGN = 8.0  #: width of a sign in the key [mm]
MOST_ANCHORS, MOST_BARE = 8, 3  #: spelled out
_SIDE = 46.0  #: width of the cell with scale and north [mm]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of the key and what it stands for."""

    drawn: str
    words: str


def foot_height(layout: Layout, sheet: Sheet, signs: Sequence[Sign]) -> float:
    """Height that the foot takes. [mm]"""
    return ROW * (len(_key(signs, sheet)) + len(list(_lines(layout, sheet))) + len(_small(sheet))) + 2 * PAD


def draw_foot(layout: Layout, sheet: Sheet, signs: Sequence[Sign], canvas: Canvas) -> str:
    """Key, words, scale and north, at the foot of the sheet.

    Parameters
    ----------
    layout : Layout
    sheet : Sheet
    signs : sequence of Sign
    canvas : Canvas
        The drawing over it.
    """
    top = sheet.height - foot_height(layout, sheet, signs)
    y, drawn = top + PAD + 0.5, [svg.line((0, top), (sheet.width, top), stroke=INK, stroke_width=0.35)]
    for row in _key(signs, sheet):
        drawn.append(svg.tag("g", row, transform=f"translate({PAD:g} {y:.3f})"))
        y += ROW
    first = y
    for words, size, bold in _lines(layout, sheet):
        drawn.append(svg.text(words, (PAD, y + 1.4), size, font_weight=600 if bold else None))
        y += ROW
    drawn.append(svg.line((0, y - 1.6), (sheet.width, y - 1.6), stroke=INK, stroke_width=0.18))
    for words in _small(sheet):
        drawn.append(svg.text(words, (PAD, y + 2.4), SMALL))
        y += ROW
    return svg.tag("g", *drawn, _side(layout, sheet, canvas, first), fill=INK)


def _side(layout: Layout, sheet: Sheet, canvas: Canvas, top: float) -> str:
    """Scale and north, at the right."""
    left, scale = sheet.width - _SIDE, canvas.plan.scale
    size = scale.paper(scale.bar)
    return "".join(
        [
            svg.text(scale.text, (left, top + 2.4), BIG, font_weight=600),
            scale_bar(scale, layout.job.units, np.array([left, top + 6.0])) if size < _SIDE - 14.0 else "",
            north_arrow(layout.job.site.north, np.array([sheet.width - 7.0, top + 17.0]), canvas.ground),
        ]
    )


def _key(signs: Sequence[Sign], sheet: Sheet) -> list[str]:
    """Signs in rows that fit the sheet."""
    x, rows = 0.0, [""]
    for sign in signs:
        width = SIGN + 1.4 + text_width(sign.words, SMALL) + 3.6
        if x and x + width - 3.6 > sheet.width - 2 * PAD:
            x = 0.0
            rows.append("")
        drawn = sign.drawn + svg.text(sign.words, (SIGN + 1.4, 1.2), SMALL)
        rows[-1] += svg.tag("g", drawn, transform=f"translate({x:.3f} 0)")
        x += width
    return rows


def _lines(layout: Layout, sheet: Sheet) -> Iterator[tuple[str, float, bool]]:
    """Lines of words: text, em height, bold; the first ones leave room for scale and north."""
    job = layout.job
    said = [(f"{job.name}: {headline(layout)}", 4.6, True)]
    said += [(INVENTED, SMALL, True)] if job.invented else []
    said += [(bound_line(layout), NORMAL, False)]
    rows = [row for words, size, bold in said for row in _wrap(words, size, bold, sheet.width - _SIDE - 2 * PAD)]
    yield from rows
    yield from [("", SMALL, False)] * max(0, 5 - len(rows))  # so that north has its room
    wide = sheet.width - 2 * PAD
    placed = [*layout.anchors, *(one for one in layout.kept if one.settings)]
    for one in placed[:MOST_ANCHORS]:
        yield from _wrap(_said(layout, one), SMALL, bold=False, width=wide)
    if len(placed) > MOST_ANCHORS:
        yield f"{len(placed) - MOST_ANCHORS} more anchors: see the text or the JSON.", SMALL, False
    for row in layout.bare[:MOST_BARE]:
        words = f"Not covered, about {area_text(layout, len(row.places))} in {row.area}, {row.worker}: {row.why}."
        yield from _wrap(words, SMALL, bold=False, width=wide)
    if len(layout.bare) > MOST_BARE:
        yield f"{len(layout.bare) - MOST_BARE} more reasons: see the text or the JSON.", SMALL, False


def _wrap(words: str, size: float, bold: bool, width: float) -> Iterator[tuple[str, float, bool]]:
    for line in wrapped(words, width, size, 3, bold=bold):
        yield line, size, bold


def _said(layout: Layout, placed: Placed) -> str:
    units = layout.job.units
    stops = ", ".join(
        f"{one.worker} {show(one.stop, Dimension.LENGTH, units, toward='low')}" for one in placed.settings
    )
    return f"{placed.name}: {anchor_place(layout.job, placed)}. Stopper: {stops}."


def _small(sheet: Sheet) -> list[str]:
    return wrapped(f"{STRUCTURE} {CAUTION}", sheet.width - 2 * PAD, SMALL, 5)
