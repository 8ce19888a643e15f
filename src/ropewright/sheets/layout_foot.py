"""The lower end of the map of anchors: what it shows, the anchors with their settings, scale and north."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from ropewright.job.layout_model import Bare, Layout, Placed
from ropewright.quantity import Dimension, show
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, NORMAL, SMALL, Canvas, wrapped
from ropewright.sheets.labels import text_width
from ropewright.sheets.layout_text import STRUCTURE
from ropewright.sheets.layout_words import (
    MEASURED,
    anchor_place,
    area_text,
    bound_line,
    cuts_lines,
    headline,
    share_line,
)
from ropewright.sheets.look import INK
from ropewright.sheets.map_frame import PAD, north_arrow, scale_bar
from ropewright.sheets.paper import Sheet
from ropewright.sheets.words import CAUTION, INVENTED

__all__ = ["Sign", "draw_foot", "foot_height", "sheet_with_foot"]

ROW = 5.4  #: from one line to the next [mm]
SIGN = 8.0  #: width of a sign in the key [mm]
MOST_BARE = 3  #: reasons spelled out
LEAST_DRAWING = 0.5  #: share of the paper's height that the drawing over the foot has at least
#: Letters that a viewer puts in may be wider than those that widths are told of: as much wider as DejaVu Sans is.
_WIDER, _WIDER_BOLD = 1.13, 1.2
_INDENT = 5.0  #: of a line that goes on [mm]
_SIDE = 64.0  #: width of the cell with scale and north [mm]


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of the key and what it stands for."""

    drawn: str
    words: str


@dataclass(frozen=True, slots=True)
class _Row:
    """A line of words on the foot."""

    words: str
    size: float = SMALL
    bold: bool = False
    indent: float = 0.0


def foot_height(layout: Layout, sheet: Sheet, signs: Sequence[Sign]) -> float:
    """Height that the foot takes. [mm]"""
    rows = len(_key(signs, sheet)) + len(_rows(layout, sheet)) + len(_small(sheet))
    return ROW * rows + 2 * PAD


def sheet_with_foot(layout: Layout, sheet: Sheet, signs: Sequence[Sign]) -> Sheet:
    """The sheet, made longer where foot and drawing need more than it has: no anchor is left off."""
    height = foot_height(layout, sheet, signs) + LEAST_DRAWING * sheet.height
    return sheet if height <= sheet.height else replace(sheet, height=height)


def draw_foot(layout: Layout, sheet: Sheet, signs: Sequence[Sign], canvas: Canvas, *, to_scale: bool = True) -> str:
    """Key, words, scale and north, at the foot of the sheet.

    Parameters
    ----------
    layout : Layout
    sheet : Sheet
    signs : sequence of Sign
    canvas : Canvas
        The drawing over it.
    to_scale : bool
        False: the sheet will be made smaller to fit a page, so that only the bar tells its scale.
    """
    top = sheet.height - foot_height(layout, sheet, signs)
    y, drawn = top + PAD + 0.5, [svg.line((0, top), (sheet.width, top), stroke=INK, stroke_width=0.35)]
    for signs_drawn in _key(signs, sheet):
        drawn.append(svg.tag("g", signs_drawn, transform=f"translate({PAD:g} {y:.3f})"))
        y += ROW
    first = y
    for row in _rows(layout, sheet):
        place = (PAD + row.indent, y + 1.4)
        drawn.append(svg.text(row.words, place, row.size, font_weight=600 if row.bold else None))
        y += ROW
    drawn.append(svg.line((0, y - 1.6), (sheet.width, y - 1.6), stroke=INK, stroke_width=0.18))
    for words in _small(sheet):
        drawn.append(svg.text(words, (PAD, y + 2.4), SMALL))
        y += ROW
    return svg.tag("g", *drawn, _side(layout, sheet, canvas, first, to_scale=to_scale), fill=INK)


def _side(layout: Layout, sheet: Sheet, canvas: Canvas, top: float, *, to_scale: bool) -> str:
    """Scale and north, at the right."""
    left, scale = sheet.width - _SIDE, canvas.plan.scale
    size = scale.paper(scale.bar)
    return "".join(
        [
            svg.text(scale.text if to_scale else "scale", (left, top + 2.4), BIG, font_weight=600),
            scale_bar(scale, layout.job.units, np.array([left, top + 6.0])) if size < _SIDE - 15.0 else "",
            north_arrow(layout.job.site.north, np.array([sheet.width - 7.0, top + 17.0]), canvas.ground),
        ]
    )


def _key(signs: Sequence[Sign], sheet: Sheet) -> list[str]:
    """Signs in rows that fit the sheet."""
    x, rows = 0.0, [""]
    for sign in signs:
        width = SIGN + 1.4 + _WIDER * text_width(sign.words, SMALL) + 3.6
        if x and x + width - 3.6 > sheet.width - 2 * PAD:
            x = 0.0
            rows.append("")
        drawn = sign.drawn + svg.text(sign.words, (SIGN + 1.4, 1.2), SMALL)
        rows[-1] += svg.tag("g", drawn, transform=f"translate({x:.3f} 0)")
        x += width
    return rows


def _rows(layout: Layout, sheet: Sheet) -> list[_Row]:
    """Lines of words; the first ones leave room for scale and north.

    Every anchor is told whole. Reasons are told as far as they are few: where places stay uncovered is drawn.
    """
    anchors = [_said(layout, one) for one in (*layout.anchors, *layout.kept) if one.settings]
    reasons = [_reason(layout, row) for row in layout.bare]
    if len(reasons) > MOST_BARE:
        more = len(reasons) - MOST_BARE + 1
        reasons = [*reasons[: MOST_BARE - 1], f"{more} more reasons: see the text or the JSON."]
    width = sheet.width - 2 * PAD
    measured = ["Each stop is from its anchor; each distance from an edge is measured level."] if anchors else []
    told = [row for words in (*measured, *anchors, *reasons) for row in _hanging(words, width)]
    return [*_head(layout, sheet), *told]


def _hanging(words: str, width: float) -> list[_Row]:
    """All of some words, in lines that hang from the first."""
    first = _whole(words, width, SMALL)[0]
    rest = words[len(first) :].strip()
    more = _whole(rest, width - _INDENT, SMALL) if rest else []
    return [_Row(first), *(_Row(row, indent=_INDENT) for row in more)]


def _whole(words: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """All of some words in lines of a width, however wide the letters are that a viewer puts in."""
    words = " ".join(words.split())
    return wrapped(words, width / (_WIDER_BOLD if bold else _WIDER), size, len(words) + 1, bold=bold)


def _head(layout: Layout, sheet: Sheet) -> Iterator[_Row]:
    job, width = layout.job, sheet.width - _SIDE - 2 * PAD
    said = [(f"{job.name}: {headline(layout)}", 4.6, True)]
    said += [(INVENTED, SMALL, True)] if job.invented else []
    said += [(words, NORMAL, False) for words in (bound_line(layout), *cuts_lines(layout), share_line(layout)) if words]
    rows = [_Row(row, size, bold) for words, size, bold in said for row in _whole(words, width, size, bold=bold)]
    yield from rows
    yield from [_Row("")] * max(0, 5 - len(rows))  # so that north has its room


def _said(layout: Layout, placed: Placed) -> str:
    units = layout.job.units
    stops = [(one.worker, show(one.stop, Dimension.LENGTH, units, toward="low")) for one in placed.settings]
    alike = len({stop for _, stop in stops}) == 1
    told = stops[0][1] if alike else ", ".join(f"{worker} {stop}" for worker, stop in stops)
    place = anchor_place(layout.job, placed).removesuffix(MEASURED)
    return f"{placed.name}: stop {told}; {place}."


def _reason(layout: Layout, row: Bare) -> str:
    return f"Not covered, about {area_text(layout, len(row.places))}, {row.worker}: {row.why}."


def _small(sheet: Sheet) -> list[str]:
    return _whole(f"{STRUCTURE} {CAUTION}", sheet.width - 2 * PAD, SMALL)
