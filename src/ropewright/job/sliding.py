"""The slide down the roof that a fall over each edge point may begin with: how far, how fast, on how much rope.

Of all places up the line of steepest descent that the line lets the worker stand on, the one is taken from which speed
at the edge and slack past it are worst together. Derived in docs/derivations-slide.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.slide import roof_friction, slide_height, slide_speed
from ropewright.field import RopeOver
from ropewright.field.slide import SlideLines
from ropewright.findings import Source, SourceStatus
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.quantity import Range
from ropewright.roof.path import TautPaths

__all__ = ["SlideStarts", "Sliding", "friction_on_roof", "slide_starts", "sliding_assumption", "sliding_of"]

Floats = NDArray[np.float64]

_TOLD = Source("the job's own figure", "roof.slide_friction", SourceStatus.USER)


def friction_on_roof(job: Job) -> tuple[Range, Source]:
    """Friction of a body that slides on this roof, as told or else as judged, and where it comes from. [-]

    Parameters
    ----------
    job : Job
    """
    if job.slide_friction is not None:
        return job.slide_friction, _TOLD
    figure = roof_friction()
    return figure.value, figure.source


def sliding_assumption(job: Job) -> str:
    """Say what is taken of slides down the roof.

    Parameters
    ----------
    job : Job
    """
    friction, source = friction_on_roof(job)
    ends = " to ".join(dict.fromkeys(f"{end:.2f}" for end in (friction.low, friction.high)))
    who = "as told" if source is _TOLD else f"a {source.status}, since no figure could be read"
    return (
        "No fall simply starts at the edge: a worker may slip from rest anywhere above it where the line lets them "
        f"stand, and friction of {ends} ({who}) is all that slows the slide."
    )


@dataclass(frozen=True)
class SlideStarts:
    """Places from which a worker may slide over each of n edge points, with the rope to stand there."""

    lines: SlideLines
    standing: Floats  #: (n, k) taut rope to the D-ring of a worker who stands there; nan where not worked out [m]
    anchor_height: float | Floats  #: (n,) where the points belong to several anchors [m]
    d_ring: float  #: [m]
    edge_height: Floats  #: (n,) [m]


def slide_starts(
    lines: SlideLines, over: RopeOver, paths: TautPaths, reach: float, d_ring: float, edge_height: Floats
) -> SlideStarts:
    """Starts of slides over each of n edge points, with the rope to stand there.

    Parameters
    ----------
    lines : SlideLines
    over : RopeOver
        Of the same n edge points.
    paths : TautPaths
        Of the anchor.
    reach : float
        Longest rope that will be asked about: to starts over edges further away nothing is measured. [m]
    d_ring : float
        [m]
    edge_height : array, shape (n,)
        Of the edge points. [m]

    Returns
    -------
    SlideStarts
    """
    standing = np.full(lines.drop.shape, np.nan)
    near = (over.nearest <= reach) & (lines.drop[:, -1] > 0)
    at = lines.points[near] + np.array([0.0, 0.0, d_ring])
    if near.any():
        found = paths.lengths(at.reshape(-1, 3))
        # no path found is no proof that there is none; a longer rope leaves more slack
        standing[near] = np.where(np.isfinite(found), found, reach).reshape(at.shape[:2])
    return SlideStarts(lines, standing, float(paths.anchor[2]), d_ring, edge_height)


@dataclass(frozen=True)
class Sliding:
    """What slides do to the falls over n edge points; column 0 of the starts is the edge point itself."""

    length: Floats  #: (n,) most rope out, anchor to D-ring, of any fall over that point [m]
    likely: Floats  #: (n,) height of free fall that the speed stands for, with that rope, at likely friction [m]
    high: Floats  #: (n,) the same at the lowest friction [m]
    speed: Floats  #: (n,) greatest speed over the edge [m/s]
    start: Floats  #: (n, 3) where the slide with that speed begins; the edge point itself where nobody slides [m]
    down: Floats  #: (n, 3) unit vector down the slope there; 0 where nobody slides [-]
    ropes: Floats  #: (n, k + 1) rope out of the falls from each start [m]
    heights: Floats  #: (n, k + 1) height that their speed stands for; -inf where no fall starts there [m]


def sliding_of(
    rig: Rig,
    over: RopeOver,
    points: Floats,
    starts: SlideStarts | None,
    friction: Range,
    full: float | Floats | None = None,
) -> Sliding:
    """Worst slides over each edge point.

    Parameters
    ----------
    rig : Rig
    over : RopeOver
        Of the same n edge points.
    points : array, shape (n, 3)
        The edge points. [m]
    starts : SlideStarts or None
        None: nobody slides.
    friction : Range
        Of the body on the roof. [-]
    full : float or array, shape (n,), optional
        Rope to the stop and lanyard; the line's own where not given. [m]

    Returns
    -------
    Sliding

    Notes
    -----
    More rope, or less friction, never gives less of anything here. A grab that trails may lock as the worker slides,
    which leaves the rope that was out where they slipped, or may be dragged along as far as it goes: the worse counts.
    """
    full = rig.line.reach if full is None else full
    here = rig.rope_out(over.standing, full)
    n = len(here)
    if starts is None:
        none = np.zeros(n)
        return Sliding(here, none, none, none, points, np.zeros((n, 3)), here[:, None], np.zeros((n, 1)))
    heights, likely = (_heights(starts, over, full, mu) for mu in (friction.low, friction.likely))
    ropes = np.column_stack([here, _ropes(rig, over, starts, full)])
    length = np.where(np.isfinite(heights), ropes, 0.0).max(axis=1)
    short = length[:, None] - ropes
    across = _across(starts, full, friction)
    best = np.where(heights > 0.0, heights, 0.0)
    top = best.argmax(axis=1)
    places = np.concatenate([points[:, None], starts.lines.points], axis=1)[np.arange(n), top]
    return Sliding(
        length=length,
        likely=np.maximum((likely - short).max(axis=1), across[1]),
        high=np.maximum((heights - short).max(axis=1), across[0]),
        speed=slide_speed(np.maximum(best.max(axis=1), across[0])),
        start=places,
        down=_down(starts.lines.points),
        ropes=ropes,
        heights=heights,
    )


def _down(points: Floats) -> Floats:
    """Unit vector from the second start of each line to the first, shape (n, 3)."""
    way = points[:, 0] - points[:, 1]
    far = np.linalg.norm(way, axis=1)[:, None]
    unit: Floats = np.divide(way, far, out=np.zeros_like(way), where=far > 1e-9)
    return unit


def _heights(starts: SlideStarts, over: RopeOver, full: float | Floats, friction: float) -> Floats:
    """Height that the speed from each start stands for, the edge point first; -inf where no slide begins."""
    lines, n = starts.lines, len(starts.edge_height)
    gained = slide_height(lines.drop, lines.run, friction)
    # rope to the roof there is at most the D-ring's height shorter than to the D-ring; a start counts as soon as the
    # one below it can be reached, since the rope may end between the two
    needed = np.column_stack([over.standing, starts.standing[:, :-1]]) - starts.d_ring
    slides = (gained > 0.0) & (needed <= _column(full))
    return np.column_stack([np.zeros(n), np.where(slides, gained, -np.inf)])


def _column(full: float | Floats) -> float | Floats:
    """Rope of each edge point, to stand beside that of its starts."""
    return full[:, None] if isinstance(full, np.ndarray) else full


def _ropes(rig: Rig, over: RopeOver, starts: SlideStarts, full: float | Floats) -> Floats:
    """Rope out as a worker who slipped at each start goes over the edge, shape (n, k). [m]"""
    standing = starts.standing
    if rig.line.grab is None or not rig.line.grab.follows:
        return np.full(standing.shape, _column(full))
    locked = np.minimum(_column(full), standing + 2.0 * rig.line.lanyard.length)
    dragged = np.minimum(full, over.to_edge)[:, None]
    return np.fmax(locked, dragged)  # nan, not worked out: such a start has no slide either


def _across(starts: SlideStarts, full: float | Floats, friction: Range) -> tuple[Floats, Floats]:
    """Heights for bodies that come over a valley from anywhere above it, at the lowest and the likely friction. [m]"""
    lines = starts.lines
    drop = np.minimum(lines.across, np.maximum(starts.anchor_height + full - starts.edge_height, 0.0))
    steep = np.where(lines.steepest > 0.0, lines.steepest, 1.0)
    low, likely = (drop * np.maximum(1.0 - mu / steep, 0.0) for mu in (friction.low, friction.likely))
    return low, likely
