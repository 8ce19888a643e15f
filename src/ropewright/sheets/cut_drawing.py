"""Cuts on each spool as bars to scale, for the bench where the rope is cut."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

import numpy as np

from ropewright.job.cut_file import CutFile
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.rope.cutting import Cut, CuttingPlan
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION
from ropewright.sheets.labels import text_width
from ropewright.sheets.look import FONT, INK, PALE, PAPER, Look, hatch_patterns, hatched

__all__ = ["cuts_pages", "cuts_svg"]

WIDTH, SIDE = 190.0, 6.0  #: of the drawing, and left free at its sides [mm]
HEAD, ROW, BAR = 10.0, 17.0, 6.0  #: of a rope's heading, of a spool, of its bar [mm]
TEXT, SMALL = 4.0, 3.4  #: em heights [mm]
TOP, PAGE = 4.0, 215.0  #: left free above, and height of what goes on one page [mm]

_WASTE = Look("", "", "none", INK, ((45.0, 1.6, 0.25),))


def cuts_svg(asked: CutFile, plans: Mapping[str, CuttingPlan]) -> str:
    """Drawing of a cutting list: a bar a spool, pieces in the order of cutting, what is left hatched or blank.

    Parameters
    ----------
    asked : CutFile
    plans : mapping of str to CuttingPlan
        By rope.

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    return next(iter(cuts_pages(asked, plans, tall=np.inf)))


def cuts_pages(asked: CutFile, plans: Mapping[str, CuttingPlan], *, tall: float = PAGE) -> tuple[str, ...]:
    """Drawings of a cutting list, no spool parted between two; see `cuts_svg`.

    Parameters
    ----------
    asked : CutFile
    plans : mapping of str to CuttingPlan
        By rope.
    tall : float
        Of each at most. [mm]

    Returns
    -------
    tuple of str
        One at least.
    """
    pages: list[list[str]] = [[]]
    heights = [TOP]
    for height, drawn in _blocks(asked, plans):
        if heights[-1] + height > tall and pages[-1]:
            pages.append([])
            heights.append(TOP)
        pages[-1] += drawn(heights[-1])
        heights[-1] += height
    return tuple(_document(body, y) for body, y in zip(pages, heights, strict=True))


_Block = tuple[float, Callable[[float], list[str]]]


def _blocks(asked: CutFile, plans: Mapping[str, CuttingPlan]) -> Iterator[_Block]:
    """Heights of what stands below each other, and how each is drawn from its top; a heading stays with a spool."""
    for rope, plan in plans.items():
        lengths = {spool.name: spool.length for own in asked.ropes if own.rope == rope for spool in own.spools}
        longest = max((lengths[one.spool] for one in plan.cuts), default=1.0)
        factor = (WIDTH - 2 * SIDE) / longest
        for number, one in enumerate(plan.cuts):
            head = HEAD if number == 0 else 0.0
            draw = partial(_headed, rope if head else "", partial(_spool, one, lengths[one.spool], factor, asked=asked))
            yield head + ROW, draw
        if not plan.cuts:
            yield HEAD, partial(_headed, rope, lambda _y: ())
        for name, length in plan.uncut:
            words = f"not cut: {name}, {_tape(length, asked.units, 'high')}"
            yield TEXT + 2.0, partial(_line, words)


def _line(words: str, y: float) -> list[str]:
    return [svg.text(words, (SIDE, y + TEXT), TEXT)]


def _headed(rope: str, rest: Callable[[float], Iterable[str]], y: float) -> list[str]:
    """What stands below a rope's heading, and the heading where there is one."""
    head = [svg.text(rope, (SIDE, y + TEXT + 1.0), TEXT + 1.0, font_weight=600)] if rope else []
    return [*head, *rest(y + HEAD if rope else y)]


def _document(body: Sequence[str], y: float) -> str:
    foot = wrapped(CAUTION, WIDTH - 2 * SIDE, SMALL, 3)
    words = [svg.text(line, (SIDE, y + (k + 1) * 1.3 * SMALL), SMALL, fill=PALE) for k, line in enumerate(foot)]
    height = y + 1.3 * SMALL * len(foot) + 4.0
    return svg.tag(
        "svg",
        svg.tag("title", "Cutting list"),
        svg.tag("defs", hatch_patterns({"rw-waste": _WASTE})),
        svg.rectangle((0, 0), WIDTH, height, fill=PAPER),
        *body,
        *words,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        width=f"{WIDTH:g}mm",
        height=f"{height:g}mm",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        font_family=FONT,
        fill=INK,
    )


def _tape(length: float, units: UnitSystem, toward: str) -> str:
    return show(length, Dimension.LENGTH, units, toward="high" if toward == "high" else "low", style="feet-inches")


def _spool(one: Cut, length: float, factor: float, y: float, *, asked: CutFile) -> Iterator[str]:
    whole = _tape(length, asked.units, "low")
    left = "goes back" if one.rest >= asked.keep else "waste"
    words = f"spool {one.spool} no. {one.number}, {whole}; left {_tape(one.rest, asked.units, 'low')} ({left})"
    yield svg.text(words, (SIDE, y + SMALL), SMALL, fill=PALE)
    top = y + SMALL + 1.6
    ends = np.cumsum([0.0, *(piece + asked.per_cut for _, piece in one.pieces)]).clip(0.0, length)
    for (name, piece), start in zip(one.pieces, ends[:-1], strict=True):
        x, width = SIDE + factor * start, factor * piece
        yield svg.rectangle((x, top), width, BAR, fill=PAPER, stroke=INK, stroke_width=0.4)
        yield from _words(name, _tape(piece, asked.units, "high"), x, width, top)
    x, end = SIDE + factor * ends[-1], SIDE + factor * length
    if end - x > 0.2:
        rest = np.array([[x, top], [end, top], [end, top + BAR], [x, top + BAR]])
        if one.rest < asked.keep:
            yield hatched([rest], "rw-waste", _WASTE)
        yield svg.rectangle((x, top), end - x, BAR, fill="none", stroke=INK, stroke_width=0.25, stroke_dasharray="1 1")


def _words(name: str, length: str, x: float, width: float, top: float) -> Sequence[str]:
    """Name and length within a piece, as much as it has room for."""
    middle = x + width / 2
    both = f"{name} {length}"
    if text_width(both, SMALL) < width - 1.0:
        return [svg.text(both, (middle, top + BAR / 2 + 0.35 * SMALL), SMALL, text_anchor="middle")]
    short = wrapped(name, max(width - 1.0, 1.0), SMALL * 0.8, 1)[0]
    if text_width(length, SMALL * 0.8) >= width - 0.5:
        return []
    return [
        svg.text(short, (middle, top + BAR / 2 - 0.3), SMALL * 0.8, text_anchor="middle"),
        svg.text(length, (middle, top + BAR - 0.7), SMALL * 0.8, text_anchor="middle"),
    ]
