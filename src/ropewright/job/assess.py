"""From a job to its assessment: every question asked, the worst first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from ropewright.field.zones import zone_codes
from ropewright.findings import SEVERITY, Finding, Verdict, worst
from ropewright.job.area_stops import area_stops, outside_margin
from ropewright.job.ask_anchors import ask_about_anchors
from ropewright.job.ask_gear import ask_about_gear
from ropewright.job.ask_loose import ask_about_loose_rope
from ropewright.job.ask_reach import power_on_roof, reach_finding
from ropewright.job.ask_record import ask_about_record
from ropewright.job.ask_site import ask_about_openings, ask_about_site
from ropewright.job.assessment import Assessment, EdgeField, RigRow, Zone, ZoneField
from ropewright.job.assumed import assumptions
from ropewright.job.draws import Drawing, with_draws
from ropewright.job.edge_answer import Asked, EdgeAnswer, ruling
from ropewright.job.falls import Falls
from ropewright.job.file import job_from_mapping
from ropewright.job.longest import Stops, longest_not_refused, longest_stops
from ropewright.job.model import Job
from ropewright.job.moving import followed_falls, moving_findings
from ropewright.job.real_gear import with_record
from ropewright.job.remedy import with_remedies
from ropewright.job.rig import Rig, rigs_of
from ropewright.job.setting import answers_at, moving_refusal, use_of
from ropewright.job.work import Work, surroundings

__all__ = ["Worked", "assess", "assess_as_set", "drawing_of", "worked_out"]

Floats = NDArray[np.float64]
Report = Callable[[str, float], None]

_ZONES = (Zone.RESTRAINED, Zone.CAUGHT, Zone.NOT_HELD, Zone.OUT_OF_REACH)


@dataclass(frozen=True)
class Worked:
    """One worker's falls with the answers asked of them."""

    rig: Rig
    falls: Falls
    answers: tuple[EdgeAnswer, ...]
    reach: Finding
    field: EdgeField
    zones: ZoneField
    asked: Asked


def assess(job: Job, *, remedies: bool = True, progress: Report | None = None) -> Assessment:
    """Ask everything that the plan asks of a job.

    Parameters
    ----------
    job : Job
    remedies : bool
        Look for the least change that mends each finding; takes a few further assessments.
    progress : callable, optional
        Told what is being done and the share that is done, 0 to 1.

    Returns
    -------
    Assessment
        Findings worst first; the same job gives the same assessment.
    """
    report = progress or (lambda _doing, _share: None)
    work = Work()
    first = _assess(job, work, report, moving=True)
    report("lengths that hold", 0.6)
    stops = {rig.worker.name: _stops(job, work, rig) for rig in rigs_of(job)}
    whole = replace(first, rig=tuple(_set_row(job, work, row, stops[row.worker].all) for row in first.rig))
    if remedies:
        whole = _mended(whole, job, work, stops, report)
    if not job.draws:
        return whole
    report("draws of the inputs", 0.85)
    return with_draws(whole, tuple(drawing_of(job, work, rig) for rig in rigs_of(job)))


def _mended(whole: Assessment, job: Job, work: Work, stops: Mapping[str, Stops], report: Report) -> Assessment:
    report("looking for mends", 0.7)

    def again(raw: Mapping[str, object], *, moving: bool) -> Assessment:
        changed = with_record(job_from_mapping(raw, path=job.path), job.record)
        return _assess(changed, work, lambda _doing, _share: None, moving=moving)

    return with_remedies(whole, stops, again)


def worked_out(job: Job, work: Work) -> tuple[Worked, ...]:
    """Falls of every worker over every edge point, with lines as they are set: what a drawing shows while it changes.

    Parameters
    ----------
    job : Job
    work : Work
        What was worked out before on the same roof is used again.

    Notes
    -----
    Nothing is followed in three dimensions, no mend is looked for, and nothing but falls is asked about.
    """
    return tuple(work.once_for_worker(job, rig, partial(_work_out, job, work, rig)) for rig in rigs_of(job))


def drawing_of(job: Job, work: Work, rig: Rig) -> Drawing:
    """Return what one worker's draws are made of: their falls over every edge point, and the room below."""
    falls, _, clear = answers_at(job, work, rig)
    return Drawing(rig, work.edges(job), work.over(job, rig), falls, clear)


def assess_as_set(job: Job, work: Work) -> Assessment:
    """Ask everything of a job with its lines as they are set; lengths that hold and mends are not looked for.

    Parameters
    ----------
    job : Job
    work : Work
        What was worked out before on the same roof is used again.
    """
    return _assess(job, work, lambda _doing, _share: None, moving=True)


def _assess(job: Job, work: Work, report: Report, *, moving: bool) -> Assessment:
    """Everything asked of a job; `moving`: with its falls followed in three dimensions, which takes longest."""
    rigs = rigs_of(job)
    worked: list[Worked] = []
    for number, rig in enumerate(rigs):
        report(f"falls of {rig.worker.name}", 0.1 + 0.4 * number / max(len(rigs), 1))
        worked.append(_work_out(job, work, rig))
    if moving:
        report("falls in three dimensions", 0.5)
    inside = (moving_findings(one.asked, work) for one in worked if moving)
    findings = tuple(
        sorted(_unlike((*_all_findings(job, work, worked), *chain.from_iterable(inside))), key=_worst_first)
    )
    return Assessment(
        job=job,
        findings=findings,
        fields=tuple(one.field for one in worked),
        zones=tuple(one.zones for one in worked),
        rig=tuple(_rig_row(one.rig, findings) for one in worked),
        assumed=assumptions(job, rigs),
        verdict=worst(finding.verdict for finding in findings),
        followed=tuple(
            fall for one in worked if moving for fall in followed_falls(one.asked, work.followed(one.asked))
        ),
    )


def _worst_first(finding: Finding) -> tuple[float, ...]:
    """Worst verdict first, among equals the least margin for its limit."""
    share = np.inf
    if finding.margin is not None and finding.limit:
        share = finding.margin / abs(finding.limit)
    return (-SEVERITY[finding.verdict], share)


def _unlike(findings: Iterable[Finding]) -> Iterator[Finding]:
    seen: set[str] = set()
    for finding in findings:
        if finding.id not in seen:  # two workers on one line are asked of that line once
            seen.add(finding.id)
            yield finding


def _all_findings(job: Job, work: Work, worked: list[Worked]) -> Iterator[Finding]:
    for one in worked:
        yield one.reach
        for answer in one.answers:
            at = answer.worst()
            if at is not None:
                yield answer.finding(at)
        reachable = one.zones.points[[zone != Zone.OUT_OF_REACH for zone in one.zones.zone]]
        near_lines = power_on_roof(job, one.rig, reachable)
        if near_lines is not None:
            yield near_lines
        yield from ask_about_gear(job, one.rig)
        yield ask_about_loose_rope(job, work, one.rig, [other.zones for other in worked])
    yield from ask_about_anchors(job, tuple(use_of(one.rig, one.falls, one.reach) for one in worked))
    yield from ask_about_openings(job)
    yield from ask_about_site(job, surroundings(job))
    yield from ask_about_record(job)


def _stops(job: Job, work: Work, rig: Rig) -> Stops:
    def met(stop: float) -> Mapping[str, bool]:
        return {answer.kind: bool(answer.met.all()) for answer in answers_at(job, work, rig, stop)[1]}

    def refused(stop: float) -> bool:
        return moving_refusal(job, work, replace(rig, line=replace(rig.line, length=stop))) is not None

    found = longest_stops(met, rig.line.length, job.units)
    if found.all is None or not refused(found.all):
        return found
    nearest = float(work.over(job, rig).nearest.min(initial=np.inf)) - rig.line.lanyard.length
    return replace(found, all=longest_not_refused(refused, nearest, found.all, job.units))


def _work_out(job: Job, work: Work, rig: Rig) -> Worked:
    edges, over = work.edges(job), work.over(job, rig)
    falls, answers, clear = answers_at(job, work, rig)
    ruled = list(ruling(answers, falls.geometry.reached))
    shown = EdgeField(
        worker=rig.worker.name,
        line=rig.line.name,
        edge=edges.edge_names,
        points=edges.points,
        taut=over.to_edge,
        reached=falls.geometry.reached,
        slide_speed=np.where(falls.geometry.reached, falls.sliding.speed, np.nan),
        slide_from=falls.sliding.start,
        free_fall=falls.free_fall,
        force_likely=falls.force[1],
        force_low=falls.force[0],
        force_high=falls.force[2],
        deceleration=falls.deceleration[2],
        stop_time=falls.stop_time,
        needed_book=clear.book,
        needed_likely=clear.simulated,
        needed_high=clear.simulated_high,
        available=falls.available,
        below=falls.below,
        hang=falls.hang_point,
        swing_drop=falls.swing_drop,
        drag=falls.drag,
        hit=falls.hit,
        power=falls.power,
        verdict=tuple(verdict for verdict, _ in ruled),
        reason=tuple(kind for _, kind in ruled),
    )
    reach = reach_finding(job, rig, edges, over, falls)
    asked = Asked(job, rig, edges, over, falls, clear)
    return Worked(rig, falls, answers, reach, shown, _zones(job, work, rig, shown), asked)


def _zones(job: Job, work: Work, rig: Rig, shown: EdgeField) -> ZoneField:
    points, step = work.grid(job)
    needed, standing = work.near(job, rig)
    # Edges that the line's stop keeps from the worker have no verdict: they can't be fallen over from anywhere.
    bad = np.array([verdict not in (None, Verdict.HOLDS) for verdict in shown.verdict], bool)
    nearest = work.over(job, rig).nearest
    codes = zone_codes(nearest, bad, rig.rope_out(standing), needed, margin=job.restraint_margin)
    return ZoneField(rig.worker.name, rig.line.name, points, step, tuple(_ZONES[code] for code in codes))


def _set_row(job: Job, work: Work, row: RigRow, holds: float | None) -> RigRow:
    """Row of the rig table with the longest setting that holds, and what to set for each area."""
    rig = next(rig for rig in rigs_of(job) if rig.worker.name == row.worker)
    held = outside_margin(job, work, rig, holds)
    return replace(row, length_holds=held, areas=tuple(area_stops(job, work, rig, held)))


def _rig_row(rig: Rig, findings: tuple[Finding, ...]) -> RigRow:
    own = [finding for finding in findings if _is_about(finding, rig)]
    at_edge = [f.where.edge for f in own if f.where.edge and f.verdict is not Verdict.HOLDS]
    rope = rig.line.rope
    return RigRow(
        worker=rig.worker.name,
        line=rig.line.name,
        anchor=rig.anchor.name,
        length_set=rig.line.length,
        length_holds=None,
        rope=f"{rope.fibre} {rope.construction}",
        termination=rig.line.termination,
        lanyard=f"{'with' if rig.line.lanyard.absorber else 'without'} absorber",
        worst_edge=at_edge[0] if at_edge else "none",
        verdict=worst(finding.verdict for finding in own),
    )


def _is_about(finding: Finding, rig: Rig) -> bool:
    """Whether a finding is about this worker, their line, which others may share, or its anchor."""
    where = finding.where
    shared = finding.id.endswith((f"/{rig.line.name}", f"/{rig.anchor.name}"))
    return where.worker == rig.worker.name or (shared and rig.anchor.name == where.anchor)
