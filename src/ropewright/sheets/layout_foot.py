"""The lower end of the map of anchors: what it shows, the anchors with their settings, scale and north."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ropewright.job.layout_model import Bare, Layout, Placed
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
MOST_BARE = 3  #: reasons spelled out
MOST_FOOT = 0.46  #: share of the sheet that the foot may take, if it can
_SIDE = 64.0  #: width of the cell with scale and north [mm]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of the key and what it stands for."""

    drawn: str
    words: str


def foot_height(layout: Layout, sheet: Sheet, signs: Sequence[Sign]) -> float:
    """Height that the foot takes. [mm]"""
    rows = len(_key(signs, sheet)) + len(_lines(layout, sheet, signs)) + len(_small(sheet))
    return ROW * rows + 2 * PAD


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
    for words, size, bold in _lines(layout, sheet, signs):
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
            scale_bar(scale, layout.job.units, np.array([left, top + 6.0])) if size < _SIDE - 15.0 else "",
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


def _lines(layout: Layout, sheet: Sheet, signs: Sequence[Sign]) -> list[tuple[str, float, bool]]:
    """Lines of words: text, em height, bold; the first ones leave room for scale and north.

    As many anchors and reasons as leave the drawing its share of the sheet, a line each, then how many are left out.
    """
    head = list(_head(layout, sheet))
    spare = int((MOST_FOOT * sheet.height - 2 * PAD) / ROW) - len(_key(signs, sheet)) - len(_small(sheet)) - len(head)
    anchors = [_said(layout, one) for one in (*layout.anchors, *layout.kept) if one.settings]
    reasons = [_reason(layout, row) for row in layout.bare]
    for_reasons = min(len(reasons), MOST_BARE)
    rows = _some(anchors, max(spare - for_reasons, 2), "anchors") + _some(reasons, for_reasons, "reasons")
    width = sheet.width - 2 * PAD
    return head + [(wrapped(words, width, SMALL, 1)[0], SMALL, False) for words in rows]


def _some(rows: list[str], most: int, noun: str) -> list[str]:
    """Return as many rows as may stand, the last one saying how many are left out."""
    if len(rows) <= most:
        return rows
    return [*rows[: most - 1], f"{len(rows) - most + 1} more {noun}: see the text or the JSON."]


def _head(layout: Layout, sheet: Sheet) -> Iterator[tuple[str, float, bool]]:
    job, width = layout.job, sheet.width - _SIDE - 2 * PAD
    said = [(f"{job.name}: {headline(layout)}", 4.6, True)]
    said += [(INVENTED, SMALL, True)] if job.invented else []
    said += [(bound_line(layout), NORMAL, False)]
    rows = [(row, size, bold) for words, size, bold in said for row in wrapped(words, width, size, 3, bold=bold)]
    yield from rows
    yield from [("", SMALL, False)] * max(0, 5 - len(rows))  # so that north has its room


def _said(layout: Layout, placed: Placed) -> str:
    units = layout.job.units
    stops = [(one.worker, show(one.stop, Dimension.LENGTH, units, toward="low")) for one in placed.settings]
    alike = len({stop for _, stop in stops}) == 1
    told = stops[0][1] if alike else ", ".join(f"{worker} {stop}" for worker, stop in stops)
    return f"{placed.name}: stop {told}; {anchor_place(layout.job, placed)}."


def _reason(layout: Layout, row: Bare) -> str:
    return f"Not covered, about {area_text(layout, len(row.places))}, {row.worker}: {row.why}."


def _small(sheet: Sheet) -> list[str]:
    return wrapped(f"{STRUCTURE} {CAUTION}", sheet.width - 2 * PAD, SMALL, 5)
