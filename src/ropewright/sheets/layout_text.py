"""A layout of anchors in words, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path

from ropewright.findings import Verdict
from ropewright.job.layout_model import Layout, Placed
from ropewright.quantity import Dimension, show
from ropewright.sheets.layout_words import (
    anchor_place,
    area_text,
    bound_line,
    cuts_lines,
    headline,
    setting_words,
    share_line,
)
from ropewright.sheets.words import ANSWERS, CAUTION

__all__ = ["STRUCTURE", "layout_text"]

#: Stands under every layout.
STRUCTURE = (
    "Strength and structure of every anchor, and of what it is fixed to, are for a qualified person to decide; "
    "this layout only says where anchors of that strength would hold."
)

#: Findings that are spelled out.
_MOST = 8


def layout_text(layout: Layout, written: Iterable[Path] = (), *, width: int = 96) -> str:
    """Return a layout as plain text: number and proof, where the anchors go, line settings, what is left uncovered.

    Parameters
    ----------
    layout : Layout
    written : iterable of Path
        Files that were written, to be named at the end.
    width : int
        Of the screen, in characters.

    Returns
    -------
    str
    """
    job = layout.job
    lines = [f"{job.name}{' (invented example)' if job.invented else ''}", headline(layout), *_proof(layout), ""]
    for placed in (*layout.kept, *layout.anchors):
        lines += _anchor(layout, placed)
    lines += ["", *_bare(layout), *_verdict(layout), ""]
    lines += [f"wrote {path}" for path in written]
    lines += [*layout.notes, STRUCTURE, CAUTION]
    return "\n".join(part for line in lines for part in _wrapped(line, width))


def _wrapped(line: str, width: int) -> list[str]:
    indent = len(line) - len(line.lstrip())
    return textwrap.wrap(line, width, subsequent_indent=" " * (indent + 2 if indent else 0)) or [""]


def _proof(layout: Layout) -> Iterator[str]:
    job, places = layout.job, layout.places
    yield bound_line(layout)
    yield from cuts_lines(layout)
    spacing = show(layout.wanted.spacing or job.anchor_plan.spacing, Dimension.LENGTH, job.units)
    step = show(places.step, Dimension.LENGTH, job.units)
    yield (
        f"Looked at: {len(layout.candidates)} places for anchors, {spacing} apart; "
        f"{len(places.points)} places to cover, {step} apart, in {', '.join(area.name for area in places.areas)}."
    )
    if layout.share is not None:
        yield share_line(layout)


def _anchor(layout: Layout, placed: Placed) -> Iterator[str]:
    there = " (there already)" if placed.kept else ""
    yield f"{placed.name}{there}: {anchor_place(layout.job, placed)}"
    for said in setting_words(layout, placed):
        yield f"    {said}"
    if not placed.settings:
        yield "    not needed for these places"


def _bare(layout: Layout) -> Iterator[str]:
    if not layout.bare:
        return
    yield "Left uncovered:"
    for row in layout.bare:
        count = f"{len(row.places)} {'place' if len(row.places) == 1 else 'places'}"
        yield f"    {count}, about {area_text(layout, len(row.places))}, in {row.area}, for {row.worker}: {row.why}."
    yield ""


def _verdict(layout: Layout) -> Iterator[str]:
    if not layout.findings:
        yield "HOLDS. Everything asked of these lines on these anchors holds."
        return
    yield f"{layout.verdict.upper()}. {ANSWERS[layout.verdict]}"
    if layout.verdict is Verdict.ASK:
        yield "Figures that must still be confirmed are counted as met where the layout meets them."
    for finding in layout.findings[:_MOST]:
        who = finding.where.worker or finding.where.anchor or finding.where.line or ""
        yield f"    {finding.verdict}: {who + ': ' if who else ''}{finding.summary}"
    if len(layout.findings) > _MOST:
        yield f"    ... and {len(layout.findings) - _MOST} more; --json lists them all"
