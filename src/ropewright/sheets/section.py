"""Both clearances of one fall, drawn to scale below the edge: what the book adds up and what the simulation gives."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ropewright.findings import Finding, Verdict, worst
from ropewright.job.assessment import Assessment, EdgeField
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.figures import number_text, words_of
from ropewright.sheets.labels import text_width
from ropewright.sheets.look import FONT, INK, WHITE, Look, hatch_patterns, hatched

__all__ = ["Clearance", "clearance_svg", "clearances"]

WIDTH, HEIGHT = 88.0, 88.0  #: of the drawing [mm]
TEXT, SMALL, LARGE = 3.2, 2.9, 5.0  #: em heights [mm]
TOP, FOOT = 16.0, 5.0  #: from the upper end to where the sums begin, and room under the deepest line [mm]
COLUMNS = (10.0, 45.0, 75.5)  #: the two sums, and what there is [mm]
HEAD_WIDTH = 28.0  #: of the words above a column [mm]
BESIDE = 2.6  #: from a column to the names of its sum's parts [mm]
#: What lies deeper than this share of the clearance needed is drawn there, with a broken line.
DEEPEST = 1.4

#: What a clearance finding names beside the parts of its sum.
_SUMS = frozenset({"clearance_needed_m", "clearance_available_m"})
_START = "d_ring_start"  #: taken off a sum that begins at the D-ring
_MARGIN = "margin_below_feet"
_SAME_SUM = 0.005  #: sums closer than this are the same, in m
_SAME_PLACE = 1e-6  #: places closer than this are the same, in m

_EARTH = Look("", "", "none", INK, ((-45.0, 1.4, 0.18),))

Terms = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Clearance:
    """Clearance of one fall of one worker. [m].

    Parameters
    ----------
    worker, line, edge : str
    verdict : Verdict or None
        On clearance at that edge point.
    start : float
        D-ring above the edge before the fall; 0 where the findings do not say.
    book : float
        Needed below the edge, by summed allowances.
    terms : tuple of (str, float)
        What the book adds up from the D-ring down, where the finding gives it.
    likely, high : float
        Needed below the edge by simulation, at likely inputs and at their unsafe end.
    simulated_terms : tuple of (str, float)
        What the simulation adds up from the edge down, where the finding gives it.
    available : float
        From the edge to the first thing below.
    below : str
        Name of that thing.
    """

    worker: str
    line: str
    edge: str
    verdict: Verdict | None
    start: float
    book: float
    terms: Terms
    likely: float
    high: float
    simulated_terms: Terms
    available: float
    below: str

    @property
    def needed(self) -> float:
        """The worse of the two, in m; nan if neither is known."""
        return float(np.fmax(self.book, self.high))


def clearances(assessment: Assessment) -> tuple[Clearance, ...]:
    """Clearance of each worker where it is tightest, by the book and by simulation.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    tuple of Clearance
        Of those who can get to an edge, in the order of the crew: one where both are tightest at one place, else two.
    """
    return tuple(
        _clearance(field, row, assessment.findings)
        for field in assessment.fields
        for row in _tightest(field, assessment.findings)
    )


def _tightest(field: EdgeField, findings: Sequence[Finding]) -> list[int]:
    """Rows of the field where each sum rules, the book's first: the places that the findings are about."""
    reached = np.flatnonzero(field.reached & (field.needed_high != 0.0))  # over a mere step nothing is needed
    if not len(reached):
        return []
    rows = []
    for kind, needed in (("clearance-book", field.needed_book), ("clearance-simulated", field.needed_high)):
        asked = [row for finding in findings if finding.id.startswith(kind) for row in _places(finding, field)]
        # where no finding tells, what is not known counts as the tightest
        spare = np.nan_to_num((field.available - needed)[reached], nan=-np.inf)
        rows.append(asked[0] if asked else int(reached[spare.argmin()]))
    return list(dict.fromkeys(rows))


def _clearance(field: EdgeField, row: int, findings: Sequence[Finding]) -> Clearance:
    here = [finding for finding in findings if row in _places(finding, field)]
    book, high = float(field.needed_book[row]), float(field.needed_high[row])
    lengths = [_lengths(finding) for finding in here]
    starts = [own.pop(_START) for own in lengths if _START in own]
    start = starts[0] if starts else 0.0
    return Clearance(
        worker=field.worker,
        line=field.line,
        edge=field.edge[row],
        verdict=worst(finding.verdict for finding in here) if here else field.verdict[row],
        start=start,
        book=book,
        terms=_adding_up(lengths, book + start),
        likely=float(field.needed_likely[row]),
        high=high,
        simulated_terms=_adding_up(lengths, high),
        available=float(field.available[row]),
        below=field.below[row],
    )


def _places(finding: Finding, field: EdgeField) -> list[int]:
    """Rows of a field that a clearance finding of its worker is about: one, or none."""
    where = finding.where
    if not finding.id.startswith("clearance") or where.worker != field.worker or where.point is None:
        return []
    away = np.linalg.norm(field.points - np.asarray(where.point), axis=1)
    # at a corner two edges share the place
    named = [row for row in np.flatnonzero(away < _SAME_PLACE) if where.edge in (None, field.edge[row])]
    return [int(row) for row in named if field.reached[row]][:1]


def _lengths(finding: Finding) -> dict[str, float]:
    """Lengths that a clearance finding names, the margin once and without its sum."""
    lengths = {
        key.removesuffix("_m"): float(value)
        for key, value in finding.inputs.items()
        if key.endswith("_m") and not isinstance(value, str) and key not in _SUMS
    }
    if "margin" in lengths:
        lengths.pop(_MARGIN, None)
    return lengths


def _adding_up(candidates: Sequence[Mapping[str, float]], total: float) -> Terms:
    """Return the lengths that add up to a total, so that no wrong sum is drawn; else nothing."""
    for lengths in candidates:
        if lengths and abs(sum(lengths.values()) - total) < _SAME_SUM:
            return tuple((words_of(name), length) for name, length in lengths.items())
    return ()


def clearance_svg(clearance: Clearance, units: UnitSystem, *, ground: str = WHITE) -> str:
    """Drawing of a clearance, in section: the edge above, what lies below, and the two sums between them.

    Parameters
    ----------
    clearance : Clearance
    units : UnitSystem
    ground : str
        Colour of the paper.

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    deepest = _deepest(clearance)
    start = clearance.start if clearance.terms else 0.0
    factor = (HEIGHT - TOP - FOOT) / (start + deepest)
    edge = TOP + factor * start
    body = [
        svg.tag("defs", hatch_patterns({"rw-earth": _EARTH})),
        svg.rectangle((0, 0), WIDTH, HEIGHT, fill=ground),
        svg.line((0, edge), (WIDTH, edge), stroke=INK, stroke_width=0.7),
        svg.text("edge", ((COLUMNS[1] + COLUMNS[2]) / 2, edge - 1.0), SMALL, text_anchor="middle") if start else "",
        *_below(clearance, edge, factor, deepest),
        _column(COLUMNS[0], "needed, book", clearance.book, (TOP, edge, factor), units, clearance.terms),
        _column(
            COLUMNS[1], "needed, simulated", clearance.high, (edge, edge, factor), units, clearance.simulated_terms
        ),
        "" if clearance.simulated_terms else _likely_tick(clearance.likely, edge, factor, units),
        _there_is(clearance, edge, factor, deepest, units),
    ]
    return svg.tag(
        "svg",
        *body,
        xmlns="http://www.w3.org/2000/svg",
        width=f"{WIDTH:g}mm",
        height=f"{HEIGHT:g}mm",
        viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
        font_family=FONT,
        fill=INK,
    )


def _deepest(clearance: Clearance) -> float:
    needed = clearance.needed if np.isfinite(clearance.needed) else 1.0
    available = clearance.available if np.isfinite(clearance.available) else needed
    return max(needed, min(available, DEEPEST * needed), 0.5)


def _head(x: float, name: str, shown: str) -> str:
    lines = wrapped(name, HEAD_WIDTH, TEXT, 2)
    names = (
        svg.text(line, (x, TOP - 8.0 - 1.05 * TEXT * (len(lines) - 1 - row)), TEXT, text_anchor="middle")
        for row, line in enumerate(lines)
    )
    return "".join(names) + svg.text(shown, (x, TOP - 2.4), LARGE, text_anchor="middle", font_weight=600)


def _dimension(x: float, levels: Sequence[float]) -> str:
    """Line down from level to level, with oblique ticks at its ends and level ones between."""
    ends = (levels[0], levels[-1])
    ticks = [svg.line((x - 1.0, y + 1.0), (x + 1.0, y - 1.0), stroke=INK, stroke_width=0.45) for y in ends]
    ticks += [svg.line((x - 1.4, y), (x + 1.4, y), stroke=INK, stroke_width=0.25) for y in levels[1:-1]]
    return svg.line((x, levels[0]), (x, levels[-1]), stroke=INK, stroke_width=0.25) + "".join(ticks)


def _column(
    x: float,
    name: str,
    needed: float,
    levels: tuple[float, float, float],
    units: UnitSystem,
    terms: Terms,
) -> str:
    """Return a dimension line down to what is needed, with its sum above and its parts beside it.

    `levels`: where its parts begin and where the edge is, on the sheet [mm], and millimetres to the metre.
    """
    begin, edge, factor = levels
    head = _head(x, name, number_text(needed, Dimension.LENGTH, units, "high"))
    if not np.isfinite(needed) or needed <= 0:
        return head
    if not terms:
        return head + _dimension(x, (edge, edge + factor * needed))
    depths = np.cumsum([0.0, *(length for _, length in terms)])
    heights = (begin + factor * depths).tolist()
    return head + _dimension(x, heights) + _term_words(x, heights, terms, units)


def _term_words(x: float, levels: Sequence[float], terms: Terms, units: UnitSystem) -> str:
    """Names of the parts, each beside its part or as near below as there is room, clear of the next column."""
    written, lowest = [], -np.inf
    room = min((other for other in COLUMNS if other > x), default=WIDTH) - x - 2 * BESIDE
    x += BESIDE
    for (name, length), start, end in zip(terms, levels[:-1], levels[1:], strict=True):
        shown = show(length, Dimension.LENGTH, units, toward="high")
        lines = wrapped(f"{shown} {name}", room, SMALL, 2)
        y = max((start + end) / 2 + (0.7 - len(lines) / 2) * 1.1 * SMALL, lowest + 1.1 * SMALL)
        for line in lines:
            written.append(_on_bare_paper(line, x, y))
            lowest, y = y, y + 1.05 * SMALL
    return "".join(written)


def _on_bare_paper(words: str, x: float, y: float) -> str:
    """Return words that no line runs through."""
    bare = svg.rectangle((x - 0.4, y - 0.8 * SMALL), text_width(words, SMALL) + 0.8, SMALL, fill=WHITE)
    return bare + svg.text(words, (x, y), SMALL)


def _likely_tick(likely: float, edge: float, factor: float, units: UnitSystem) -> str:
    if not np.isfinite(likely) or likely <= 0:
        return ""
    x, y = COLUMNS[1], edge + factor * likely
    words = f"likely {show(likely, Dimension.LENGTH, units, toward='high')}"
    return svg.line((x - 1.4, y), (x + 1.4, y), stroke=INK, stroke_width=0.25) + _on_bare_paper(
        words, x + BESIDE, y + 0.35 * SMALL
    )


def _there_is(clearance: Clearance, edge: float, factor: float, deepest: float, units: UnitSystem) -> str:
    below = clearance.below or "nothing known"
    head = _head(COLUMNS[2], f"down to {below}", number_text(clearance.available, Dimension.LENGTH, units, "low"))
    depth = min(clearance.available, deepest) if np.isfinite(clearance.available) else deepest
    return head if depth <= 0 else head + _dimension(COLUMNS[2], (edge, edge + factor * depth))


def _below(clearance: Clearance, edge: float, factor: float, deepest: float) -> list[str]:
    """Return what lies below: a line with hatched earth; broken where it lies deeper than is drawn."""
    broken = not clearance.available <= deepest
    y = edge + factor * (deepest if broken else max(clearance.available, 0.0))
    earth = np.array([[0.0, y], [WIDTH, y], [WIDTH, y + 2.4], [0.0, y + 2.4]])
    dashes = "3 1.5" if broken else None
    return [
        hatched([earth], "rw-earth", _EARTH),
        svg.line((0, y), (WIDTH, y), stroke=INK, stroke_width=0.5, stroke_dasharray=dashes),
    ]
