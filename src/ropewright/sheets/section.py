"""Both clearances of one fall, drawn to scale below the edge: what the book adds up and what the simulation gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ropewright.findings import Finding, Verdict
from ropewright.job.assessment import Assessment, EdgeField
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.figures import number_text
from ropewright.sheets.look import FONT, INK, WHITE, Look, hatch_patterns, hatched

__all__ = ["Clearance", "clearance_svg", "clearances"]

WIDTH, HEIGHT = 88.0, 76.0  #: of the drawing [mm]
TEXT, LARGE = 3.3, 5.0  #: em heights [mm]
TOP, FOOT = 13.0, 5.0  #: from the upper end to the edge, and room under the deepest line [mm]
COLUMNS = (11.0, 46.0, 75.0)  #: the two sums, and what there is [mm]
#: What lies deeper than this share of the clearance needed is drawn there, with a broken line.
DEEPEST = 1.4

#: What a clearance finding names beside the parts of its sum.
_SUMS = frozenset({"clearance_needed_m", "clearance_available_m"})
_SAME_SUM = 0.005  #: sums closer than this are the same, in m

_EARTH = Look("", "", "none", INK, ((-45.0, 1.4, 0.18),))


@dataclass(frozen=True, slots=True)
class Clearance:
    """Clearance of the worst fall of one worker, in m.

    Parameters
    ----------
    worker, line, edge : str
    verdict : Verdict or None
        Of that edge point.
    book : float
        Needed below the edge, by summed allowances.
    terms : tuple of (str, float)
        What the book adds up, where the finding gives it.
    simulated_terms : tuple of (str, float)
        The same for the simulation.
    likely, high : float
        Needed below the edge by simulation, at likely inputs and at their unsafe end.
    available : float
        From the edge to the first thing below.
    below : str
        Name of that thing.
    """

    worker: str
    line: str
    edge: str
    verdict: Verdict | None
    book: float
    terms: tuple[tuple[str, float], ...]
    simulated_terms: tuple[tuple[str, float], ...]
    likely: float
    high: float
    available: float
    below: str

    @property
    def needed(self) -> float:
        """The worse of the two; nan if neither is known, in m."""
        return float(np.fmax(self.book, self.high))


def clearances(assessment: Assessment) -> tuple[Clearance, ...]:
    """Clearance of each worker at the edge point with the least to spare.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    tuple of Clearance
        Of those who can get to an edge, in the order of the crew.
    """
    found = (_clearance(field, assessment.findings) for field in assessment.fields)
    return tuple(clearance for clearance in found if clearance is not None)


def _clearance(field: EdgeField, findings: Sequence[Finding]) -> Clearance | None:
    reached = np.flatnonzero(field.reached)
    if not len(reached):
        return None
    spare = field.available - np.fmax(field.needed_book, field.needed_high)
    row = int(reached[np.nan_to_num(spare[reached], nan=-np.inf).argmin()])
    return Clearance(
        worker=field.worker,
        line=field.line,
        edge=field.edge[row],
        verdict=field.verdict[row],
        book=float(field.needed_book[row]),
        terms=_terms(field.worker, float(field.needed_book[row]), findings),
        simulated_terms=_terms(field.worker, float(field.needed_high[row]), findings),
        likely=float(field.needed_likely[row]),
        high=float(field.needed_high[row]),
        available=float(field.available[row]),
        below=field.below[row],
    )


def _terms(worker: str, total: float, findings: Sequence[Finding]) -> tuple[tuple[str, float], ...]:
    """Lengths in one of the worker's clearance findings, if they are the ones that add up to a total."""
    for finding in findings:
        if finding.where.worker != worker or not finding.id.startswith("clearance"):
            continue
        lengths = tuple(
            (key.removesuffix("_m").replace("_", " "), float(value))
            for key, value in finding.inputs.items()
            if key.endswith("_m") and not isinstance(value, str) and key not in _SUMS
        )
        if lengths and abs(sum(length for _, length in lengths) - total) < _SAME_SUM:
            return lengths
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
    factor = (HEIGHT - TOP - FOOT) / deepest
    body = [
        svg.tag("defs", hatch_patterns({"rw-earth": _EARTH})),
        svg.rectangle((0, 0), WIDTH, HEIGHT, fill=ground),
        svg.line((0, TOP), (WIDTH, TOP), stroke=INK, stroke_width=0.7),
        *_below(clearance, factor, deepest),
        _column(COLUMNS[0], "needed, book", clearance.book, factor, units, clearance.terms),
        _column(COLUMNS[1], "needed, simulated", clearance.high, factor, units, clearance.simulated_terms),
        _likely_tick(COLUMNS[1], clearance.likely, factor, units),
        _there_is(clearance, factor, deepest, units),
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
    return svg.text(name, (x, TOP - 8.4), TEXT, text_anchor="middle") + svg.text(
        shown, (x, TOP - 2.4), LARGE, text_anchor="middle", font_weight=600
    )


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
    factor: float,
    units: UnitSystem,
    terms: Sequence[tuple[str, float]] = (),
) -> str:
    """Return a dimension line down from the edge, with its sum above and its parts beside it."""
    head = _head(x, name, number_text(needed, Dimension.LENGTH, units, "high"))
    if not np.isfinite(needed) or needed <= 0:
        return head
    depths = np.cumsum([0.0, *(length for _, length in terms)]) if terms else np.array([0.0, needed])
    levels = (TOP + factor * depths).tolist()
    return head + _dimension(x, levels) + _term_words(x + 2.6, levels, terms, units)


def _there_is(clearance: Clearance, factor: float, deepest: float, units: UnitSystem) -> str:
    below = clearance.below or "nothing known"
    name = wrapped(f"down to {below}", 30.0, TEXT, 1)[0]
    head = _head(COLUMNS[2], name, number_text(clearance.available, Dimension.LENGTH, units, "low"))
    depth = min(clearance.available, deepest) if np.isfinite(clearance.available) else deepest
    return head if depth <= 0 else head + _dimension(COLUMNS[2], (TOP, TOP + factor * depth))


def _term_words(x: float, levels: Sequence[float], terms: Sequence[tuple[str, float]], units: UnitSystem) -> str:
    """Names of the parts, each beside its part or as near below as there is room."""
    written, lowest = [], -np.inf
    for (name, length), start, end in zip(terms, levels[:-1], levels[1:], strict=False):
        y = max((start + end) / 2 + 0.35 * TEXT, lowest + 1.15 * TEXT)
        lowest = y
        words = f"{name} {show(length, Dimension.LENGTH, units, toward='high')}"
        written.append(svg.text(words, (x, y), TEXT, stroke=WHITE, stroke_width=0.9, paint_order="stroke"))
    return "".join(written)


def _likely_tick(x: float, likely: float, factor: float, units: UnitSystem) -> str:
    if not np.isfinite(likely) or likely <= 0:
        return ""
    y = TOP + factor * likely
    words = f"likely {show(likely, Dimension.LENGTH, units, toward='high')}"
    return svg.line((x - 1.4, y), (x + 1.4, y), stroke=INK, stroke_width=0.25) + svg.text(
        words, (x + 2.6, y + 0.35 * TEXT), TEXT, stroke=WHITE, stroke_width=0.9, paint_order="stroke"
    )


def _below(clearance: Clearance, factor: float, deepest: float) -> list[str]:
    """Return what lies below: a line with hatched earth; broken where it lies deeper than is drawn."""
    broken = not clearance.available <= deepest
    y = TOP + factor * (deepest if broken else max(clearance.available, 0.0))
    earth = np.array([[0.0, y], [WIDTH, y], [WIDTH, y + 2.4], [0.0, y + 2.4]])
    dashes = "3 1.5" if broken else None
    return [
        hatched([earth], "rw-earth", _EARTH),
        svg.line((0, y), (WIDTH, y), stroke=INK, stroke_width=0.5, stroke_dasharray=dashes),
    ]
