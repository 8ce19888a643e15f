"""Where the anchors of a layout go, in words and in the job's units."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ropewright.job.layout_model import Layout, Placed
from ropewright.job.model import Job
from ropewright.quantity import Dimension, show
from ropewright.roof import Edge, EdgeType
from ropewright.sheets.canvas import length_text

__all__ = [
    "MEASURED",
    "anchor_place",
    "area_text",
    "bound_line",
    "cuts_lines",
    "headline",
    "setting_words",
    "share_line",
]

Floats = NDArray[np.float64]

#: How it is told that a distance is level.
MEASURED = ", measured level"
#: Ends of two edges nearer than this are one corner. [m]
_CORNER = 0.01


def anchor_place(job: Job, placed: Placed) -> str:
    """Say where an anchor goes, measured from what can be found on the roof.

    Parameters
    ----------
    job : Job
    placed : Placed

    Returns
    -------
    str
        The way along its ridge, hip or framing line from the nearer end, and how far it is in from the nearest fall
        edge, level.
    """
    along = _along(job, placed)
    edge, away = _nearest_edge(job, placed.point)
    level = f"{length_text(away, job.units)} from {edge.name}{MEASURED}"
    return f"{along}; {level}" if along else level


def _along(job: Job, placed: Placed) -> str:
    line = next((np.array([one.start, one.end]) for one in job.roof.edges if one.name == placed.on), None)
    if line is not None:
        start, end = line[:, :2]
        run = end - start
        share = float((placed.point[:2] - start) @ run / (run @ run))
        near = 0 if share <= 0.5 else 1
        gone = float(np.linalg.norm(line[1] - line[0])) * (share if near == 0 else 1.0 - share)
        return f"{length_text(gone, job.units)} along {placed.on} from its end at {_corner(job, placed.on, line[near])}"
    framing = next((one for one in job.framing if one.name == placed.on), None)
    if framing is None:
        return ""
    way = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(framing.points, axis=0), axis=1)))
    shares = np.linspace(0.0, way[-1], 2001)
    places = np.column_stack([np.interp(shares, way, framing.points[:, axis]) for axis in (0, 1)])
    at = float(shares[np.hypot(*(places - placed.point[:2]).T).argmin()])
    return f"{length_text(at, job.units)} along {placed.on} from its first point"


def _corner(job: Job, name: str, corner: Floats) -> str:
    """Name of another edge that ends at a corner: a fall edge if there is one."""
    met = [
        edge
        for edge in job.roof.edges
        if edge.name != name
        and min(float(np.linalg.norm(edge.start - corner)), float(np.linalg.norm(edge.end - corner))) < _CORNER
    ]
    met.sort(key=lambda edge: (not edge.type.is_boundary, edge.name))
    return met[0].name if met else "nothing else"


def _nearest_edge(job: Job, point: Floats) -> tuple[Edge, float]:
    """Fall edge nearest to a point in plan, and the level distance to it. [m]"""

    def away(edge: Edge) -> float:
        run = (edge.end - edge.start)[:2]
        squared = float(run @ run)
        share = float(np.clip((point[:2] - edge.start[:2]) @ run / squared, 0.0, 1.0)) if squared > 0 else 0.0
        return float(np.hypot(*(point[:2] - edge.start[:2] - share * run)))

    edges = [edge for edge in job.roof.boundary if edge.type is not EdgeType.OPENING] or list(job.roof.edges)
    nearest = min(edges, key=lambda edge: round(away(edge), 6))
    return nearest, away(nearest)


def setting_words(layout: Layout, placed: Placed) -> list[str]:
    """Say of each worker how the line is to be set on an anchor."""
    units = layout.job.units
    said = []
    for one in placed.settings:
        tie = show(one.stop, Dimension.LENGTH, units, toward="low")
        longest = show(one.longest, Dimension.LENGTH, units, toward="low")
        swing = show(one.swing, Dimension.LENGTH, units, toward="high")
        how = "no edge is reached" if one.restrained else f"greatest swing drop {swing}"
        more = f"longest that holds: {longest}" if longest != tie else "which is the longest that holds"
        said.append(f"{one.worker}, line {one.line}: tie the stopper at {tie} ({more}); {how}")
    return said


def headline(layout: Layout) -> str:
    """Return how many new anchors it takes, and whether all is covered."""
    count, all_covered = layout.count, bool(layout.covered.all())
    noun = "new anchor" if count == 1 else "new anchors"
    number = "No" if count == 0 else str(count)
    if all_covered:
        return f"{number} {noun}: every place is covered."
    return f"{number} {noun}: {len(layout.uncovered)} of {len(layout.places.points)} places are left uncovered."


def bound_line(layout: Layout) -> str:
    """Return what is proven of the number."""
    coverable = "" if layout.covered.all() else " what can be covered at all"
    most = layout.wanted.most
    fewer = f"At least {layout.bound} {'is' if layout.bound == 1 else 'are'} needed to cover{coverable or ' all'}"
    if most is not None and layout.bound > layout.count:
        best = "no other choice of as many covers more" if layout.proven else "whether this cover is best is not proven"
        return f"{fewer}; no more than {most} were asked for, and {best}."
    if layout.proven:
        return f"Proven least: fewer do not cover{coverable or ' all'}, whichever of these places are taken."
    gap = layout.count - layout.bound
    return f"Not proven least: {fewer[0].lower()}{fewer[1:]}, {layout.count} were found; the gap is {gap}."


def cuts_lines(layout: Layout) -> Iterator[str]:
    """Say what was left out of the choice because the whole plan refuses it, and what the proof then rests on."""
    if not layout.cuts:
        return
    count = len({(cut.workers, tuple(cut.point.tolist())) for cut in layout.cuts})
    why = ", ".join(sorted({cut.finding.id.split("/")[0] for cut in layout.cuts}))
    lines, they = ("line", "it was") if count == 1 else ("lines", "they were")
    yield (
        f"Left out: {count} {lines} that would hold at every edge, but not by all that a plan finds ({why}); {they} "
        "shortened to what does hold."
    )
    if layout.bound_uncut < layout.bound:
        yield (
            f"The bound of {layout.bound} takes it that lines longer than those, and between those planned, fail too; "
            f"whatever they do, at least {layout.bound_uncut} {'is' if layout.bound_uncut == 1 else 'are'} needed."
        )


def share_line(layout: Layout) -> str:
    """Say in which share of draws the whole layout holds, rounded down; empty where it was not asked for."""
    if layout.share is None or layout.wanted.share is None:
        return ""
    held, asked = (f"{math.floor(1000 * one + 1e-9) / 10:g} %" for one in (layout.share, layout.wanted.share))
    line = f"The whole layout holds in {held} of {layout.wanted.draws} draws of what is in doubt"
    if layout.holds_in_draws:
        return f"{line}; {asked} were asked for."
    return f"{line}, less than the {asked} asked for: no shorter lines were found that do better."


def area_text(layout: Layout, places: int) -> str:
    """Area that some places stand for, in plan."""
    return show(places * layout.places.step**2, Dimension.AREA, layout.job.units)
