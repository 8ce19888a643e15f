"""From a job to its assessment: every question asked, the worst first."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.field import EdgePoints, RopeOver, Surroundings, Thing, edge_points, rope_over
from ropewright.field.below import level_distance
from ropewright.field.zones import zone_codes
from ropewright.findings import SEVERITY, Finding, Verdict, worst
from ropewright.job.ask_falls import EdgeAnswer, edge_answers, reach_finding, ruling
from ropewright.job.ask_gear import ask_about_anchors, ask_about_gear
from ropewright.job.ask_site import ask_about_openings, ask_about_site, is_guarded, opening_of
from ropewright.job.assessment import Assessment, EdgeField, RigRow, Zone, ZoneField
from ropewright.job.assumed import assumptions
from ropewright.job.clearance import clearances
from ropewright.job.falls import Falls, falls_over
from ropewright.job.file import job_from_mapping
from ropewright.job.model import Job
from ropewright.job.remedy import with_remedies
from ropewright.job.rig import Rig, rigs_of
from ropewright.quantity import Range
from ropewright.roof.height import grid_on
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

__all__ = ["assess"]

Floats = NDArray[np.float64]
Report = Callable[[str, float], None]

_ZONES = (Zone.RESTRAINED, Zone.CAUGHT, Zone.NOT_HELD, Zone.OUT_OF_REACH)


@dataclass
class _Work:
    """What depends on the roof and the anchors alone, kept while remedies are tried on the same roof."""

    solids: dict[str, RoofSolid] = field(default_factory=dict)
    paths: dict[tuple[object, ...], TautPaths] = field(default_factory=dict)
    ropes: dict[tuple[object, ...], RopeOver] = field(default_factory=dict)
    edges: dict[tuple[object, ...], EdgePoints] = field(default_factory=dict)
    grids: dict[tuple[object, ...], Floats] = field(default_factory=dict)

    @staticmethod
    def roof_key(job: Job) -> str:
        """Same text for the same roof: the tables it was read from, or the object itself where there are none."""
        told = job.raw.get("roof")
        return json.dumps(told, sort_keys=True, default=str) if told else str(id(job.roof))


@dataclass(frozen=True)
class _Worked:
    """One worker's falls with the answers asked of them."""

    rig: Rig
    over: RopeOver
    falls: Falls
    answers: tuple[EdgeAnswer, ...]
    field: EdgeField


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
    work = _Work()
    first = _assess(job, work, report)
    report("lengths that hold", 0.6)
    rig = tuple(_with_longest(job, work, row) for row in first.rig)
    whole = replace(first, rig=rig)
    if not remedies:
        return whole
    report("looking for mends", 0.7)

    def again(raw: Mapping[str, object]) -> Assessment:
        return _assess(job_from_mapping(raw, path=job.path), work, lambda _doing, _share: None)

    return with_remedies(whole, again)


def _assess(job: Job, work: _Work, report: Report) -> Assessment:
    around = _surroundings(job)
    edges = _edges(job, work)
    rigs = rigs_of(job)
    worked: list[_Worked] = []
    for number, rig in enumerate(rigs):
        report(f"falls of {rig.worker.name}", 0.1 + 0.4 * number / max(len(rigs), 1))
        worked.append(_work_out(job, work, rig, edges, around))
    findings = tuple(sorted(_findings(job, edges, around, rigs, worked), key=_worst_first))
    return Assessment(
        job=job,
        findings=findings,
        fields=tuple(one.field for one in worked),
        zones=tuple(_zones(job, work, one) for one in worked),
        rig=tuple(_rig_row(one, findings) for one in worked),
        assumed=assumptions(job, rigs),
        verdict=worst(finding.verdict for finding in findings),
    )


def _worst_first(finding: Finding) -> tuple[float, ...]:
    """Worst verdict first, among equals the least margin for its limit."""
    share = np.inf
    if finding.margin is not None and finding.limit:
        share = finding.margin / abs(finding.limit)
    return (-SEVERITY[finding.verdict], share)


def _findings(
    job: Job, edges: EdgePoints, around: Surroundings, rigs: tuple[Rig, ...], worked: list[_Worked]
) -> Iterator[Finding]:
    seen: set[str] = set()
    for finding in _all_findings(job, edges, around, rigs, worked):
        if finding.id not in seen:  # two workers on one line are asked of that line once
            seen.add(finding.id)
            yield finding


def _all_findings(
    job: Job, edges: EdgePoints, around: Surroundings, rigs: tuple[Rig, ...], worked: list[_Worked]
) -> Iterator[Finding]:
    force: dict[str, Range] = {}
    for one in worked:
        yield reach_finding(job, one.rig, edges, one.over, one.falls)
        for answer in one.answers:
            at = answer.worst()
            if at is not None:
                yield answer.finding(at)
        if np.isfinite(one.falls.force[2]).any():
            force[one.rig.worker.name] = Range(*(float(np.nanmax(part)) for part in one.falls.force))
        yield from ask_about_gear(job, one.rig)
    yield from ask_about_anchors(job, rigs, force)
    yield from ask_about_openings(job)
    yield from ask_about_site(job, around)


def _surroundings(job: Job) -> Surroundings:
    levels = [Thing(level.name, level.height, outline=level.outline) for level in job.site.levels]
    standing = [Thing(o.name, o.top, o.base, o.outline) for o in job.site.obstacles]
    return Surroundings((*levels, *standing))


def _edges(job: Job, work: _Work) -> EdgePoints:
    """Points on every edge that nobody is kept from by a guard."""
    guarded = {o.name for o in job.roof.openings if is_guarded(job, o)}
    key = (work.roof_key(job), job.spacing, tuple(sorted(guarded)))
    if key not in work.edges:
        open_edges = tuple(e for e in job.roof.edges if (o := opening_of(job, e.name)) is None or o.name not in guarded)
        work.edges[key] = edge_points(replace(job.roof, edges=open_edges), job.spacing)
    return work.edges[key]


def _paths(job: Job, work: _Work, rig: Rig) -> TautPaths:
    roof = work.roof_key(job)
    key = (roof, tuple(rig.anchor.point))
    if roof not in work.solids:
        work.solids[roof] = RoofSolid(job.roof)
    if key not in work.paths:
        work.paths[key] = TautPaths(work.solids[roof], rig.anchor.point)
    return work.paths[key]


def _over(job: Job, work: _Work, rig: Rig, edges: EdgePoints) -> RopeOver:
    key = (work.roof_key(job), tuple(rig.anchor.point), rig.worker.d_ring, id(edges))
    if key not in work.ropes:
        work.ropes[key] = rope_over(_paths(job, work, rig), edges.points, rig.worker.d_ring)
    return work.ropes[key]


def _floors(job: Job, edges: EdgePoints) -> NDArray[np.bool_]:
    """False for the rims of openings under which the job tells no level."""
    known = np.ones(len(edges.points), bool)
    told = [level.outline for level in job.site.levels if level.outline is not None]
    for i in np.flatnonzero(edges.is_opening):
        at = edges.points[i : i + 1, :2]
        known[i] = any(level_distance(at, outline)[0] == 0 for outline in told)
    return known


def _work_out(
    job: Job, work: _Work, rig: Rig, edges: EdgePoints, around: Surroundings, *, stop: float | None = None
) -> _Worked:
    over = _over(job, work, rig, edges)
    falls = falls_over(job, rig, edges, over, around, stop=stop)
    clear = clearances(job, rig, falls, _floors(job, edges))
    answers = edge_answers(job, rig, edges, over, falls, clear)
    ruled = list(ruling(answers, falls.geometry.reached))
    shown = EdgeField(
        worker=rig.worker.name,
        line=rig.line.name,
        edge=edges.edge_names,
        points=edges.points,
        taut=over.to_edge,
        reached=falls.geometry.reached,
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
    return _Worked(rig, over, falls, answers, shown)


def _zones(job: Job, work: _Work, one: _Worked) -> ZoneField:
    step = max(job.spacing, 0.2)
    key = (work.roof_key(job), step)
    if key not in work.grids:
        work.grids[key] = grid_on(job.roof, step)
    points, line = work.grids[key], one.rig.line
    paths = _paths(job, work, one.rig)
    low, standing = (paths.lengths(points + np.array([0.0, 0.0, height])) for height in (0.0, one.rig.worker.d_ring))
    length = np.full(len(points), line.reach)
    if line.grab is not None and line.grab.follows:
        length = np.minimum(length, standing + 2 * line.lanyard.length)
    bad = np.array([verdict not in (None, Verdict.HOLDS) for verdict in one.field.verdict], bool)
    needed = np.minimum(low, standing)
    nearest = one.over.nearest
    bad = _also_out_of_stop(one, bad)
    codes = zone_codes(nearest, bad, length, needed, margin=job.restraint_margin)
    return ZoneField(one.rig.worker.name, line.name, points, step, tuple(_ZONES[code] for code in codes))


def _also_out_of_stop(one: _Worked, bad: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Edges that the line's stop keeps from the worker can't be fallen over from anywhere."""
    return bad & one.falls.geometry.reached


def _rig_row(one: _Worked, findings: tuple[Finding, ...]) -> RigRow:
    rig = one.rig
    own = [
        finding
        for finding in findings
        if finding.where.worker == rig.worker.name or finding.where.anchor == rig.anchor.name
    ]
    at_edge = [f for f in own if f.where.edge and f.verdict is not Verdict.HOLDS]
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
        worst_edge=at_edge[0].where.edge or "" if at_edge else "none",
        verdict=worst(finding.verdict for finding in own),
    )


#: How finely the longest line that holds is found. [m]
_STOP_STEP = 0.05


def _with_longest(job: Job, work: _Work, row: RigRow) -> RigRow:
    """Longest stop, up to the one set, at which every reachable edge holds; None if not even the shortest does."""
    rig = next(rig for rig in rigs_of(job) if rig.worker.name == row.worker)
    edges, around = _edges(job, work), _surroundings(job)

    def holds(stop: float) -> bool:
        answers = _work_out(job, work, rig, edges, around, stop=stop).answers
        return all(bool(answer.meets.all()) for answer in answers)

    if holds(row.length_set):
        return replace(row, length_holds=row.length_set)
    low, high = 0.0, row.length_set
    if not holds(low):
        return row
    while high - low > _STOP_STEP:  # `low` always holds, so what comes out has been looked at
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return replace(row, length_holds=low)
