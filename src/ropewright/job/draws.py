"""Draws of the inputs of every worker's falls, told in the findings of force and clearance."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.chance import ShareInterval, share_interval
from ropewright.arrest.doubt import Doubt, pin_down
from ropewright.arrest.doubtful import INPUTS, FallPoints
from ropewright.field import EdgePoints, RopeOver
from ropewright.findings import Finding
from ropewright.findings.drawn import Drawn, PinDown, Share
from ropewright.job.assessment import Assessment
from ropewright.job.clearance import Clearances
from ropewright.job.doubt import CLEARANCE, FORCE, draw_falls, inputs_in_doubt, points_in_doubt
from ropewright.job.falls import Falls
from ropewright.job.model import Job
from ropewright.job.pin_words import ADVICE, LAW_ERRORS
from ropewright.job.rig import Rig
from ropewright.quantity import Dimension, UnitSystem, show

__all__ = ["Drawing", "with_draws"]

Floats = NDArray[np.float64]

#: Finding -> the output of a fall that it is about, its dimension, and what it is called.
_ABOUT: Mapping[str, tuple[str, Dimension, str]] = {
    FORCE: ("peak_force", Dimension.FORCE, "force"),
    CLEARANCE: ("needed", Dimension.LENGTH, "clearance needed"),
}

#: Base draws from which the indices of one point are taken, whatever is drawn for the spread: with fewer the order is
#: noise, with more it does not change where it matters.
_BASE = 1024

#: An input that brings less of the spread is not named. [-]
_LEAST_SHARE = 0.02


@dataclass(frozen=True)
class Drawing:
    """What the draws of one worker are made of."""

    rig: Rig
    edges: EdgePoints
    over: RopeOver
    falls: Falls
    clear: Clearances


def with_draws(assessment: Assessment, drawings: tuple[Drawing, ...]) -> Assessment:
    """Return the assessment with what ``job.draws`` draws make of force and clearance in their findings.

    Parameters
    ----------
    assessment : Assessment
    drawings : tuple of Drawing
        One for each worker.

    Returns
    -------
    Assessment
        No verdict and no other number changes: a limit is judged at the unsafe end of the inputs, and the draws say
        how doubtful it is. The same on every run.
    """
    drawn: dict[str, Drawn] = {}
    for one in drawings:
        if one.falls.geometry.reached.any():
            drawn |= _drawn(assessment, one)
    findings = tuple(replace(finding, drawn=drawn.get(finding.id)) for finding in assessment.findings)
    return replace(assessment, findings=findings)


def _drawn(assessment: Assessment, one: Drawing) -> dict[str, Drawn]:
    """What is drawn for one worker, by the findings' ids."""
    job, draws = assessment.job, assessment.job.draws
    found = draw_falls(job, one.rig, one.over, one.falls, one.clear, draws=draws)
    held = {kind: doubt.held["all"].all(axis=1) for kind, doubt in found.items()}
    together = _share(share_interval(int(np.logical_and.reduce(list(held.values())).sum()), draws))
    by_id = {finding.id: finding for finding in assessment.findings}
    result = {}
    for kind, doubt in found.items():
        finding = by_id.get(f"{kind}/{one.rig.worker.name}")
        if finding is not None:
            everywhere = _share(share_interval(int(held[kind].sum()), draws)) if kind in doubt.held else None
            result[finding.id] = _told(job, one, finding, kind, doubt, everywhere, together)
    return result


def _told(
    job: Job, one: Drawing, finding: Finding, kind: str, doubt: Doubt, everywhere: Share | None, together: Share
) -> Drawn:
    output, dimension, _ = _ABOUT[kind]
    at = _place(one, finding)
    values = doubt.spread[output][:, at]
    if kind == CLEARANCE:
        values = values + _from_edge(one)[at]
    here = _share(ShareInterval(*(part[at] for part in doubt.shares[kind]))) if kind in doubt.shares else None
    pins = _pins(job, one, kind, points_in_doubt(one.rig, one.over, one.falls).chosen(slice(at, at + 1)))
    drawn = Drawn(doubt.draws, doubt.levels, tuple(map(float, values)), here, everywhere, together, pins, "", "")
    thing = _ABOUT[kind][2]
    return replace(drawn, text=_in_words(drawn, thing, dimension, job.units), first=_pin_sentence(pins, thing))


def _place(one: Drawing, finding: Finding) -> int:
    """Which of the points that are reached the finding is about."""
    reached = np.flatnonzero(one.falls.geometry.reached)
    away = np.linalg.norm(one.edges.points[reached] - np.array(finding.where.point), axis=1)
    same = np.array([one.edges.names[one.edges.edge[i]] == finding.where.edge for i in reached], bool)
    return int(np.where(same, away, np.inf).argmin())


def _from_edge(one: Drawing) -> Floats:
    """What turns a distance from the release, D-ring shift included, into clearance below the edge, shape (k,). [m]"""
    reached = one.falls.geometry.reached
    fall = points_in_doubt(one.rig, one.over, one.falls).table[0]
    below: Floats = -one.falls.geometry.taut[reached] - fall + one.falls.hang.drop[reached]
    below += one.rig.worker.d_ring + one.clear.margin
    return below


def _share(found: ShareInterval) -> Share:
    return Share(float(found.share), float(found.low), float(found.high))


def _pins(job: Job, one: Drawing, kind: str, point: FallPoints) -> tuple[PinDown, ...]:
    """Inputs that bring more than a trace of the spread, the greatest share first."""
    found = pin_down(inputs_in_doubt(job, one.rig, kind), point, draws=_BASE)
    output = _ABOUT[kind][0]
    if output not in found.indices:
        return ()
    total = dict(zip(found.inputs, found.indices[output].total, strict=True))
    told = ((name, float(total[name])) for name in found.order(output))
    return tuple(
        PinDown(LAW_ERRORS.get(name, INPUTS[name].words), ADVICE.get(name, ""), share)
        for name, share in told
        if share >= _LEAST_SHARE  # not nan either
    )


def _in_words(drawn: Drawn, thing: str, dimension: Dimension, units: UnitSystem) -> str:
    """Spread and shares in one sentence."""
    low, *_, high = (_shown(value, dimension, units) for value in drawn.values)
    ends = f"{_whole(drawn.levels[0])} and {_whole(drawn.levels[-1])} at or below"
    said = f"{drawn.draws:,} draws of the inputs: {thing} {low} to {high} ({ends})"
    if drawn.here is None or drawn.everywhere is None:
        return f"{said}."
    return (
        f"{said}; holds here in {_percent(drawn.here.value)} ({_interval(drawn.here)}), at every edge reached in "
        f"{_percent(drawn.everywhere.value)}, force and clearance together in {_percent(drawn.together.value)}."
    )


def _pin_sentence(pins: tuple[PinDown, ...], thing: str) -> str:
    """What to pin down first, in words.

    Examples
    --------
    >>> _pin_sentence((PinDown("mass", "Weigh the worker", 0.62),), "force")
    'Weigh the worker: it decides 62 % of the spread of the force.'
    >>> _pin_sentence((PinDown("how far the law is off", "", 0.9),), "force")
    'Of the spread of the force 90 % is how far the law is off, which nothing on site changes.'
    """
    mended = next((pin for pin in pins if pin.advice), None)
    lead = pins[0] if pins and not pins[0].advice else None
    own = f"{_whole(lead.share)} is {lead.input}, which nothing on site changes" if lead else ""
    if mended:
        first = f"{mended.advice}: it decides {_whole(mended.share)} of the spread of the {thing}"
        return f"{first}; {own}." if own else f"{first}."
    return f"Of the spread of the {thing} {own}." if own else ""


def _shown(value: float, dimension: Dimension, units: UnitSystem) -> str:
    return show(value, dimension, units, toward="high") if math.isfinite(value) else "no end"


def _percent(share: float) -> str:
    """Rounded down, so that it never says more than is known."""
    return f"{math.floor(1000 * min(share, 1.0) + 1e-9) / 10:g} %"


def _whole(share: float) -> str:
    return f"{min(share, 1.0):.0%}".replace("%", " %")


def _interval(share: Share) -> str:
    return f"{_percent(share.low)} to {_percent(share.high)} with 95 % confidence"
