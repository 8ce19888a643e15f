"""Is rope lying loose on the roof: what a line has beyond its stop, where that can lie, and how it is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.field.below import upright_distance
from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.asking import Question, answer_by_person
from ropewright.job.assessment import Zone, ZoneField
from ropewright.job.falls import live_lines
from ropewright.job.line_ends import rope_needed
from ropewright.job.model import Job
from ropewright.job.rig import Rig
from ropewright.job.work import Work
from ropewright.quantity import Dimension, show

__all__ = ["KEPT", "LOOSE", "ask_about_loose_rope"]

Floats = NDArray[np.float64]

#: How rope beyond the stop may be told to be kept, and what to see to then. Common practice, no source.
KEPT: Mapping[str, str] = {
    "in a bag": "Feed it straight in, the stopper first, and tie the bag to the line or to the anchor.",
    "in a bucket": "Feed it straight in, the stopper first, and tie the bucket to the line or to the anchor.",
    "laid back and forth": "Leave 3 to 4 ft, wrap the bundle 2 to 4 times, lock it off and tie it to its own line.",
    "hung up": "Hang it at the anchor in bights, off the roofing, with no loop that a foot can find.",
}
#: Told to lie out: nobody keeps it.
LOOSE = "lying out"

#: Rope beyond the stop that counts as none. [m] Judgement: shorter than a step, and knots come out that different.
_NOTHING = 0.3
_JUDGED = Source("no document read gives a limit for loose rope", "", SourceStatus.JUDGEMENT)
_PRACTICE = Source("practice", "(no source found)", SourceStatus.PRACTICE)
_QUESTION = "Is the rope beyond the stop kept off the roof?"


@dataclass(frozen=True, slots=True)
class _Loose:
    """Rope beyond the stop of one line; lengths in m."""

    beyond: float
    climbing: float  #: more that lies below a worker who is at the place nearest the anchor
    over: tuple[tuple[str, float, bool], ...]  #: edges that its end can hang over, how far, and whether it lands
    others: tuple[str, ...]  #: workers whose places it can lie in
    power: tuple[str, float] | None = None  #: live line that its hanging end comes nearest, and how near


def ask_about_loose_rope(job: Job, work: Work, rig: Rig, zones: Sequence[ZoneField]) -> Finding:
    """Ask about rope that a line has beyond what it needs.

    Parameters
    ----------
    job : Job
    work : Work
    rig : Rig
    zones : sequence of ZoneField
        Where each worker can get to, on the grid of `work`.

    Returns
    -------
    Finding
        It holds where next to nothing is left over, or where somebody has told how it is kept; without the length of
        the whole rope, or a word on how it is kept, it is asked. Rope that is told to lie out fails where it can hang
        over an edge or lie where somebody else works.

    Notes
    -----
    Left over = whole rope - (to the stop + ends + stopper + tails, so far as they are known): errs long. Its end can
    lie wherever the taut path from the anchor is no longer than the line and what is left over.
    """
    line, told = rig.line, rig.line.loose_rope
    inputs: dict[str, float | str] = {"line_m": line.length, "kept": told}
    where = Place(worker=rig.worker.name, line=line.name, anchor=rig.anchor.name)
    formula = "left over = whole rope - needed to the stop, ends and stopper counted"
    question = Question(f"loose-rope/{line.name}", _QUESTION, "Rope", where, formula, inputs, (_JUDGED, _PRACTICE))
    if line.rope.length is None:
        return _unmeasured(question)
    loose = _loose(job, work, rig, line.rope.length, zones)
    inputs |= {
        "whole_m": line.rope.length,
        "needed_m": rope_needed(line),
        "left_over_m": loose.beyond,
        "below_climber_m": loose.climbing,
        "over_edges": ", ".join(f"{edge} {_length(job, hang)}" for edge, hang, _ in loose.over) or "none",
        "where_others_work": ", ".join(loose.others) or "none",
        **({"overhead_line": loose.power[0], "to_overhead_line_m": loose.power[1]} if loose.power else {}),
    }
    return replace(_answer(job, question, loose, told), unit="m", dimension=Dimension.LENGTH)


def _unmeasured(question: Question) -> Finding:
    summary = "Nobody has told how long the whole rope is, so what lies beyond the stop is not known."
    decide = (
        "Measure the whole rope and enter its length; keep what is beyond the stop in a bag or bucket, laid back and "
        "forth, or hung up, and enter loose_rope for the line."
    )
    return answer_by_person(question, Verdict.ASK, summary, decide=decide)


def _loose(job: Job, work: Work, rig: Rig, whole: float, zones: Sequence[ZoneField]) -> _Loose:
    line = rig.line
    beyond = max(0.0, whole - rope_needed(line))
    nearest, standing = work.near(job, rig)
    # the anchor may stand between the places of the grid, so one step of it is taken off
    at_grab = max(float(np.min(standing, initial=np.inf)) - work.grid(job)[1] - line.lanyard.length, 0.0)
    climbing = max(0.0, line.length - at_grab) if line.grab is not None else 0.0
    if beyond <= _NOTHING:
        return _Loose(beyond, climbing, (), ())
    end = line.length + beyond
    lies = nearest <= end
    others = tuple(
        zone.worker
        for zone in zones
        if zone.worker != rig.worker.name and (lies & (np.array(zone.zone) != Zone.OUT_OF_REACH)).any()
    )
    hang = np.where(work.over(job, rig).is_step, -np.inf, end - work.over(job, rig).to_edge)
    over = _over_edges(job, work, hang)
    return _Loose(beyond, climbing, over, tuple(dict.fromkeys(others)), _near_power(job, work, hang))


def _near_power(job: Job, work: Work, hang: Floats) -> tuple[str, float] | None:
    """Live overhead line that a hanging end comes nearest in still air, and how near. [m]"""
    at = hang > 0
    points, lines = work.edges(job).points[at], live_lines(job)
    if not len(points) or not lines:
        return None
    low = np.maximum(points[:, 2] - hang[at], work.below(job).tops[at])
    away = {line.name: upright_distance(points[:, :2], low, points[:, 2], line.points).min() for line in lines}
    name = min(away, key=lambda one: away[one])
    return name, float(away[name])


def _over_edges(job: Job, work: Work, hang: Floats) -> tuple[tuple[str, float, bool], ...]:
    """Edges and rims that the end can hang over, by the length that hangs, the longest first."""
    edges = work.edges(job)
    lands = hang >= edges.points[:, 2] - work.below(job).tops
    names = edges.edge_names
    longest: dict[str, tuple[float, bool]] = {}
    for i in np.flatnonzero(hang > 0):
        had, landed = longest.get(names[i], (0.0, False))
        longest[names[i]] = max(had, float(hang[i])), landed or bool(lands[i])
    ranked = sorted(longest.items(), key=lambda one: -one[1][0])
    return tuple((name, *told) for name, told in ranked)


def _answer(job: Job, question: Question, loose: _Loose, told: str) -> Finding:
    beyond = _length(job, loose.beyond)
    if loose.beyond <= _NOTHING:
        summary = f"Next to nothing is left over beyond the stop.{_below(job, loose)}"
        return answer_by_person(question, Verdict.HOLDS, summary, value=loose.beyond)
    lead = f"Rope left over beyond the stop: {beyond}"
    if told in KEPT:
        room = f", which takes up to {_room(job, question, loose)}" if told in ("in a bag", "in a bucket") else ""
        summary = f"{lead}, told to be kept {told}{room}. {KEPT[told]}{_below(job, loose)}"
        return answer_by_person(question, Verdict.HOLDS, summary, value=loose.beyond)
    at = f"{beyond} of rope beyond the stop{_where(job, loose)}."
    if told == LOOSE:
        verdict = Verdict.FAILS if loose.over or loose.others else Verdict.DOUBTFUL
        return answer_by_person(question, verdict, f"{at} Told to lie out.{_below(job, loose)}", value=loose.beyond)
    decide = (
        f"How it is kept: in a bag or bucket of at least {_room(job, question, loose)}, laid back and forth, or hung "
        "up, so that nobody steps on it and none goes over an edge; enter loose_rope for the line."
    )
    summary = f"{at} How it is kept is not told.{_below(job, loose)}"
    return answer_by_person(question, Verdict.ASK, summary, decide=decide, value=loose.beyond)


def _where(job: Job, loose: _Loose) -> str:
    """``: loose, it can hang over the south eave by up to 3 ft and 2 more edges, and lie where Toni works``."""
    parts = []
    if loose.over:
        edge, hang, lands = loose.over[0]
        down = ", down to what lies below" if lands else ""
        more = len(loose.over) - 1
        beside = f", and over {more} more edge{'s' if more > 1 else ''}" if more else ""
        parts.append(f"hang over {edge} by up to {_length(job, hang)}{down}{beside}")
    if loose.power:
        away = show(loose.power[1], Dimension.LENGTH, job.units, toward="low")
        parts.append(f"hang within {away} of overhead line {loose.power[0]}, in still air")
    if loose.others:
        parts.append(f"lie where {' and '.join(loose.others)} work{'s' if len(loose.others) == 1 else ''}")
    return f": loose, it can {'; it can '.join(parts)}" if parts else ": loose, it lies where its own worker walks"


def _below(job: Job, loose: _Loose) -> str:
    if loose.climbing <= _NOTHING:
        return ""
    return f" Up to {_length(job, loose.climbing)} more lies below a worker up by the anchor: step clear of it."


def _length(job: Job, length: float) -> str:
    return show(length, Dimension.LENGTH, job.units, toward="high")


def _room(job: Job, question: Question, loose: _Loose) -> str:
    """Container that the rope left over takes, fed straight in, however loosely it packs."""
    from ropewright.rope.stow import Way, packing

    rope = next(line for line in job.lines if line.name == question.where.line).rope
    solid = np.pi / 4 * rope.diameter**2 * loose.beyond
    return show(solid / packing(Way.STRAIGHT_IN).value.low, Dimension.VOLUME, job.units, toward="high")
