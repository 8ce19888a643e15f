"""Where anchors must go: as few as hold everybody in every place of their work."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import InputError
from ropewright.findings import SEVERITY, Finding, Verdict, worst
from ropewright.job.assess import assess_as_set
from ropewright.job.layout_bare import bare_places
from ropewright.job.layout_choice import Choice, choose, least_count, stops_for
from ropewright.job.layout_draws import Draws
from ropewright.job.layout_held import Held
from ropewright.job.layout_model import Layout, Placed, Setting, Wanted
from ropewright.job.layout_reach import Gear, Reach, gears_of, reach_of_gear
from ropewright.job.layout_site import Places, Template, candidates_of, places_of, template_of
from ropewright.job.layout_stops import judge_settings
from ropewright.job.model import Anchor, CrewMember, Job, Line
from ropewright.job.rig import rigs_of
from ropewright.job.work import Work
from ropewright.roof.path import TautPaths

__all__ = ["plan_anchors"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]
Report = Callable[[str, float], None]


def plan_anchors(job: Job, wanted: Wanted | None = None, *, progress: Report | None = None) -> Layout:
    """Anchors that hold everybody in every place of their work, as few as can be.

    Parameters
    ----------
    job : Job
    wanted : Wanted, optional
    progress : callable, optional
        Told what is being done and the share that is done, 0 to 1.

    Returns
    -------
    Layout
        A place is covered where a line on one of the anchors lets its worker stand and kneel there while every fall
        that this line allows, over whatever edge, meets every figure, as in `assess`; figures that must still be
        confirmed count as met, and leave the verdict at `ask`. One worker at a time is on an anchor.

    Raises
    ------
    InputError
        If there is no place for an anchor, or an area holds no place to cover.
    """
    return _Planner(job, wanted or Wanted(), progress or (lambda _doing, _share: None)).layout()


class _Planner:
    """One layout while it is worked out."""

    def __init__(self, job: Job, wanted: Wanted, report: Report) -> None:
        self.job, self.wanted, self.report = job, wanted, report
        self.work = Work()
        self.template: Template = template_of(job)
        self.places: Places = places_of(job, wanted.places or job.anchor_plan.places)
        self.kept: tuple[Anchor, ...] = job.anchors if wanted.keep else ()
        found = candidates_of(job, wanted.spacing)
        self.candidates, self.on = found.points, ("",) * len(self.kept) + found.on
        if not self.on:
            raise _no_place(job)
        self.rigged = job if job.anchors else _on_stand_in(job, self.template.anchor)
        self.gears: tuple[Gear, ...] = gears_of(self.rigged, self.places)
        self._rounds = 0

    def layout(self) -> Layout:
        """Work it out.

        What is chosen is put to the whole plan, and to the draws; what does not hold there is shortened, and it is
        chosen anew. Leaving out lines only raises the least number that covers the same places: what was possible
        before anything was left out gives a bound that rests on nothing that was refused.
        """
        reaches = self._reaches()
        held = self._held()
        held.limit(reaches)
        share = self.wanted.share
        draws = None if share is None else Draws(self.job, self.work, share, self.wanted.draws)
        uncut = sure = [reach.longest.copy() for reach in reaches]
        choice, stops = self._chosen(reaches)
        while held.cut(reaches, stops) or (draws is not None and draws.shorten(reaches, stops)):
            if draws is None or draws.is_exact:
                sure = [reach.longest.copy() for reach in reaches]
            choice, stops = self._chosen(reaches)
        held.settle(reaches, stops)
        if draws is not None and not draws.is_exact:
            bound = self._bound(reaches, sure)
            proven = choice.proven and (self.wanted.most is not None or len(choice.columns) - len(self.kept) <= bound)
            choice = replace(choice, bound=bound, proven=proven)
        layout = self._finished(reaches, choice, stops, draws.held if draws else None)
        least = self._bound(reaches, uncut) if held.cuts else choice.bound
        return replace(layout, cuts=tuple(held.cuts), bound_uncut=least, notes=(*layout.notes, *held.notes))

    def _bound(self, reaches: Sequence[Reach], longest: Sequence[Integers]) -> int:
        """Fewest new anchors that cover what can be covered now, if lines may be as long as told, in steps."""
        return least_count(reaches, longest, len(self.kept), seconds=self.wanted.seconds)

    def _chosen(self, reaches: Sequence[Reach]) -> tuple[Choice, list[dict[int, int]]]:
        """Choose anchors, and settings on them in steps for each kind of gear."""
        self._rounds += 1
        self.report(f"choosing anchors{f', round {self._rounds}' if self._rounds > 1 else ''}", 0.7)
        choice = choose(reaches, len(self.kept), most=self.wanted.most, seconds=self.wanted.seconds)
        return choice, [self._stops(reach, choice, number) for number, reach in enumerate(reaches)]

    def _held(self) -> Held:
        """What the whole plan holds against a setting on each place for an anchor."""
        new = (replace(self.template.anchor, name=f"place {at + 1}", point=p) for at, p in enumerate(self.candidates))

        def told(doing: str) -> None:
            self.report(f"{doing}, round {self._rounds}", 0.8)

        return Held(self.job, self.work, (*self.kept, *new), self.on, len(self.kept), told)

    def _reaches(self) -> list[Reach]:
        """How far each kind of gear gets on each place for an anchor; those that stand already come first."""
        rig = rigs_of(self.rigged)[0]
        paths = [self.work.paths(self.job, replace(rig, anchor=anchor)) for anchor in self.kept]
        solid = self.work.solid(self.job)
        for number, point in enumerate(self.candidates):
            self.report("taut ropes", 0.4 * number / len(self.candidates))
            paths.append(TautPaths(solid, point))
        reaches = []
        for number, gear in enumerate(self.gears):
            self.report(f"falls of {gear.workers[0]}", 0.4 + 0.4 * number / len(self.gears))
            reaches.append(reach_of_gear(self.job, self.work, gear, paths, self.places))
        return reaches

    def _stops(self, reach: Reach, choice: Choice, number: int) -> dict[int, int]:
        """Settings of one kind of gear on the anchors chosen, in steps; each was judged."""
        stops = stops_for(reach, choice.columns, choice.limits[number])
        columns = list(stops)
        if columns:
            at = np.array([stops[column] for column in columns]) * reach.step
            met = judge_settings(self.job, self.work, reach.gear.rig, [reach.near[c] for c in columns], at).met
            for column in (column for column, one in zip(columns, met.tolist(), strict=True) if not one):
                stops[column] = int(reach.longest[column])  # this one has been judged
        return stops

    # the answer ------------------------------------------------------------------------------------------------------

    def _finished(
        self, reaches: Sequence[Reach], choice: Choice, stops: Sequence[dict[int, int]], share: float | None
    ) -> Layout:
        self.report("assessing the layout", 0.9)
        covered = [_covered(reach, own) for reach, own in zip(reaches, stops, strict=True)]
        anchors = {column: self._anchor(column, choice) for column in choice.columns}
        for column, anchor in anchors.items():
            self.work.know_paths(self.job, anchor, reaches[0].near[column].paths)
        settings, findings = self._settings(reaches, stops, anchors)
        everybody = np.logical_and.reduce(
            [~reach.gear.wanted | held for reach, held in zip(reaches, covered, strict=True)]
        )
        bare = bare_places(self.job, self.work, reaches, covered, self.places)
        placed = [
            Placed(anchor.name, anchor.point, self.on[column], column < len(self.kept), tuple(settings[column]))
            for column, anchor in anchors.items()
        ]
        return Layout(
            job=self.job,
            wanted=self.wanted,
            places=self.places,
            candidates=self.candidates,
            anchors=tuple(one for one in placed if not one.kept),
            kept=tuple(one for one in placed if one.kept),
            bound=choice.bound,
            proven=choice.proven,
            bare=bare,
            covered=everybody,
            share=share,
            findings=findings,
            verdict=worst(finding.verdict for finding in findings) if findings else Verdict.HOLDS,
            notes=(self.template.said, *choice.notes),
        )

    def _anchor(self, column: int, choice: Choice) -> Anchor:
        if column < len(self.kept):
            return self.kept[column]
        new = [at for at in choice.columns if at >= len(self.kept)]
        name = _free_names(self.job, len(new))[new.index(column)]
        return replace(self.template.anchor, name=name, point=self.candidates[column - len(self.kept)])

    def _settings(
        self, reaches: Sequence[Reach], stops: Sequence[dict[int, int]], anchors: dict[int, Anchor]
    ) -> tuple[dict[int, list[Setting]], tuple[Finding, ...]]:
        """Every line on every anchor, assessed as a plan does, and what of it does not hold."""
        settings: dict[int, list[Setting]] = {column: [] for column in anchors}
        findings: dict[str, Finding] = {}
        for reach, own in zip(reaches, stops, strict=True):
            for worker in reach.gear.workers:
                for finding, column, setting in self._assessed(reach, own, worker, anchors):
                    if setting is not None:
                        settings[column].append(setting)
                    if finding is not None and finding.verdict is not Verdict.HOLDS:
                        _gather(findings, finding, worker)
        if not self.template.stated and any(column >= len(self.kept) for column in anchors):
            findings["new-anchors"] = _unstated(self.template)
        return settings, tuple(sorted(findings.values(), key=lambda one: -SEVERITY[one.verdict]))

    def _assessed(
        self, reach: Reach, stops: dict[int, int], worker: str, anchors: dict[int, Anchor]
    ) -> Iterator[tuple[Finding | None, int, Setting | None]]:
        """Findings and settings of one worker, who is taken as one person on each of the anchors."""
        if not stops:
            return
        job = _job_with(self.job, worker, [(anchors[column], steps * reach.step) for column, steps in stops.items()])
        assessed = assess_as_set(job, self.work)
        for finding in assessed.findings:
            yield finding, -1, None
        for (column, steps), field in zip(stops.items(), assessed.fields, strict=True):
            told = [(one, why) for one, why in zip(field.verdict, field.reason, strict=True) if one is not None]
            verdict, reason = max(told, key=lambda one: SEVERITY[one[0]], default=(Verdict.HOLDS, "restraint"))
            yield (
                None,
                column,
                Setting(
                    worker=worker,
                    line=_line_of(self.job, worker).name,
                    stop=steps * reach.step,
                    longest=int(reach.longest[column]) * reach.step,
                    swing=float(np.nan_to_num(field.swing_drop[field.reached]).max(initial=0.0)),
                    restrained=not told,
                    verdict=verdict,
                    reason=reason,
                    places=int((reach.need[:, column] <= steps * reach.step + 1e-9).sum()),
                ),
            )


def _gather(findings: dict[str, Finding], finding: Finding, worker: str) -> None:
    """Keep a finding; what is found alike of one worker on several anchors is kept once, the worse of two."""
    own = finding.where.worker is not None
    key = f"{finding.id.split('/')[0]}/{worker}/{finding.summary}" if own else finding.id
    before = findings.get(key)
    if before is None:
        findings[key] = finding
    elif own:
        findings[key] = replace(before, where=replace(before.where, worker=worker, anchor=None, line=None))
    elif SEVERITY[finding.verdict] > SEVERITY[before.verdict]:
        findings[key] = finding


def _covered(reach: Reach, stops: dict[int, int]) -> Bools:
    """Places of one kind of gear that its settings cover, shape (p,)."""
    covered = np.zeros(len(reach.need), bool)
    for column, steps in stops.items():
        covered |= reach.need[:, column] <= steps * reach.step + 1e-9
    return covered


def _line_of(job: Job, worker: str) -> Line:
    member = next(member for member in job.crew if member.name == worker)
    return next(line for line in job.lines if line.name == member.line)


def _job_with(job: Job, worker: str, stops: Sequence[tuple[Anchor, float]]) -> Job:
    """The job with one worker once on each of some anchors, and nobody else."""
    member = next(member for member in job.crew if member.name == worker)
    line = _line_of(job, worker)
    lines, crew = list[Line](), list[CrewMember]()
    for anchor, stop in stops:
        lines.append(replace(line, name=f"{line.name} on {anchor.name}", anchor=anchor.name, length=stop))
        crew.append(replace(member, name=f"{worker} on {anchor.name}", line=lines[-1].name))
    return replace(job, anchors=tuple(anchor for anchor, _ in stops), lines=tuple(lines), crew=tuple(crew))


def _on_stand_in(job: Job, anchor: Anchor) -> Job:
    """The job with every line on one anchor that is nowhere: what is asked before any is chosen needs none."""
    lines = tuple(replace(line, anchor=anchor.name) for line in job.lines)
    return replace(job, anchors=(anchor,), lines=lines)


def _free_names(job: Job, count: int) -> list[str]:
    """Names for new anchors that no anchor of the job has."""
    taken = {anchor.name for anchor in job.anchors}
    free = (name for number in range(1, count + len(taken) + 1) if (name := f"N{number}") not in taken)
    return [next(free) for _ in range(count)]


def _no_place(job: Job) -> InputError:
    return InputError(
        "framing",
        None,
        "this roof has no ridge or hip on which an anchor may stand; mark lines of framing under [[framing]]",
        source=str(job.path) if job.path else None,
    )


def _unstated(template: Template) -> Finding:
    return Finding(
        id="new-anchors",
        question="What will the new anchors carry?",
        verdict=Verdict.ASK,
        summary=template.said,
        decide="State what new anchors will be under [anchors]; a qualified person decides strength and structure.",
    )
