"""A layout holds by every finding of a plan, and leaves out only what a plan refuses.

The oracle is the plan itself: `assess` of a job file with each line of the layout on its anchor, as a user would enter
it. The number is held against every choice among settings that such plans refuse nothing of.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from plain_jobs import plain

from ropewright.findings import Finding, Verdict
from ropewright.job import assess, job_from_mapping
from ropewright.job.assess import assess_as_set
from ropewright.job.layout import plan_anchors
from ropewright.job.layout_model import Layout, Wanted
from ropewright.job.layout_reach import needs_at
from ropewright.job.layout_site import candidates_of, places_of
from ropewright.job.longest import longest_below
from ropewright.job.model import Job
from ropewright.job.rig import rigs_of
from ropewright.job.work import Work
from ropewright.roof.path import TautPaths

Floats = NDArray[np.float64]

NONE = Wanted(keep=False)
GABLE = {"form": "gable", "size": ["12 m", "10 m"], "eave_height": "6 m", "pitch": "25 deg"}
WALL = {"name": "garden wall", "center": ["6 m", "-1 m"], "size": ["12 m", "0.4 m"], "top": "5 m"}


def job_with(*obstacles: dict[str, Any], roof: dict[str, Any] = GABLE, **changes: Any) -> Job:
    """The plain job on another roof, with things beside it; new anchors are like its own."""
    anchors = {"spacing": "2 m", "places": "1 m", "like": "a"}
    site = {"ground": "0 m", "obstacle": list(obstacles)}
    return job_from_mapping({**plain(), "roof": roof, "site": site, "anchors": anchors, **changes})


def planned(layout: Layout) -> list[Finding]:
    """Findings of a plan of the job file that has each anchor of a layout, and a line and a worker for each setting."""
    raw = dict(layout.job.raw)
    anchors, lines, crew = [], [], []
    for placed in layout.anchors:
        at = [f"{value!r} m" for value in placed.point.tolist()]
        anchors.append({**raw["anchor"][0], "name": placed.name, "at": at})  # type: ignore[index]
        for number, one in enumerate(placed.settings):
            name = f"{placed.name}-{number}"
            lines.append({**raw["line"][0], "name": name, "anchor": placed.name, "length": f"{one.stop!r} m"})  # type: ignore[index]
            crew.append({**raw["crew"][0], "name": name, "line": name})  # type: ignore[index]
    own = {key: value for key, value in raw.items() if key != "anchors"}
    return list(assess(job_from_mapping({**own, "anchor": anchors, "line": lines, "crew": crew})).findings)


def refused(findings: list[Finding]) -> list[str]:
    return [f"{one.id}: {one.summary}" for one in findings if one.verdict in (Verdict.FAILS, Verdict.DOUBTFUL)]


def on_place(job: Job, point: Any, stop: float) -> Job:
    anchor = replace(job.anchors[0], point=np.asarray(point, float))
    return replace(job, anchors=(anchor,), lines=(replace(job.lines[0], length=stop),))


# what is left out ----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def walled() -> Layout:
    return plan_anchors(job_with(WALL), NONE)


def test_a_wall_in_the_swing_changes_what_is_proposed(walled: Layout) -> None:
    """Without the wall the middle of the ridge is taken, with a line that reaches the eave over the wall."""
    free = plan_anchors(job_with(), NONE)
    moved = {tuple(one.point.round(3)) for one in walled.anchors} != {tuple(one.point.round(3)) for one in free.anchors}
    assert moved
    assert not refused(list(walled.findings))


def test_what_was_left_out_fails_by_motion_in_a_plan(walled: Layout) -> None:
    assert walled.cuts
    for cut in walled.cuts:
        plan = assess(on_place(walled.job, cut.point, cut.refused), remedies=False)
        met = [one for one in plan.findings if one.id.startswith("contact/")]
        assert [one.verdict for one in met] == [Verdict.FAILS]
        assert "garden wall" in met[0].summary
        (field,) = plan.fields
        assert not {Verdict.FAILS, Verdict.DOUBTFUL} & set(field.verdict)  # the falls along the edges alone hold


def test_a_place_left_uncovered_for_a_motion_says_what_is_met(walled: Layout) -> None:
    assert walled.uncovered
    assert any("the body would meet garden wall in a fall over south eave" in row.why for row in walled.bare)


def test_every_longest_setting_told_holds_in_a_plan(walled: Layout) -> None:
    for placed in walled.anchors:
        for one in placed.settings:
            assert not refused(list(assess(on_place(walled.job, placed.point, one.longest), remedies=False).findings))


def test_over_edges_told_to_be_unprotected_only_a_restraint_is_proposed() -> None:
    line = {**plain()["line"][0], "edge_protection": False}  # type: ignore[index]
    found = plan_anchors(job_with(line=[line]), NONE)
    assert all(one.restrained for placed in found.anchors for one in placed.settings)
    assert not [one for one in found.findings if one.id.startswith(("rub/", "sawing/"))]
    assert found.cuts == ()  # known before anything is followed


def test_what_a_person_must_decide_of_a_motion_is_asked_and_not_left_out() -> None:
    """Without a limit of the job's own the speed into the wall under the edge is a question, with one it decides."""
    asked = plan_anchors(job_with(), NONE)
    assert [one.verdict for one in asked.findings if one.id.startswith("contact/")] == [Verdict.ASK]
    plan = {**plain()["plan"], "swing_drop_limit": "0.6 m"}  # type: ignore[dict-item]
    decided = plan_anchors(job_with(plan=plan), NONE)
    assert not [one for one in decided.findings if one.id.startswith("contact/")]
    assert len(decided.uncovered) > len(asked.uncovered)


def test_an_anchor_that_would_not_carry_its_factor_is_taken_for_restraint_only() -> None:
    """29 CFR 1926.502(d)(15)(i): twice the force of the fall, where a qualified person designs it.

    Falls on this line come to some 4 kN: 6 kN is short of twice that, 20 kN is not.
    """
    designed = {**plain()["anchor"][0], "designed_by": "an engineer", "design_factor": 2}  # type: ignore[index]
    weak, strong = (plan_anchors(job_with(anchor=[{**designed, "strength": kn}]), NONE) for kn in ("6 kN", "20 kN"))
    for found in (weak, strong):
        assert not refused(list(found.findings))
    assert all(one.restrained for placed in weak.anchors for one in placed.settings)
    assert not all(one.restrained for placed in strong.anchors for one in placed.settings)
    assert len(weak.uncovered) > len(strong.uncovered)
    assert weak.bound_uncut <= weak.bound == weak.count


def test_an_anchor_of_the_job_that_fails_by_itself_is_not_counted_on() -> None:
    """A guardrail is no anchor: 29 CFR 1926.502(d)(23)."""
    own = plain()["anchor"][0]  # type: ignore[index]
    rail = {**own, "name": "rail", "at": ["6 m", "5 m"], "on": "guardrail"}
    found = plan_anchors(job_with(anchor=[rail, own]), Wanted())
    assert [placed.settings for placed in found.kept if placed.name == "rail"] == [()]
    assert any(note.startswith("rail is not counted on.") for note in found.notes)


def test_the_best_cover_with_few_anchors_is_held_by_the_whole_plan_too(walled: Layout) -> None:
    """One anchor fewer, without the wall in the middle of the ridge; its line over the eave is refused there too."""
    middle = {"name": "middle", "center": ["6 m", "3.5 m"], "size": ["2 m", "7 m"]}
    job = job_with(WALL, area=[middle])
    free = plan_anchors(job_with(area=[middle]), Wanted(keep=False, most=1))
    found = plan_anchors(job, Wanted(keep=False, most=1))
    assert found.count == free.count == 1
    assert found.cuts
    assert not refused(planned(found))
    assert len(found.uncovered) >= len(free.uncovered)


# put back in ---------------------------------------------------------------------------------------------------------


def small_job(seed: int) -> Job:
    """A small roof with walls beside it or a limit on the swing, its figures drawn by lot."""
    lot = np.random.default_rng(seed)
    width, depth, eave = (round(float(lot.uniform(*ends)), 2) for ends in ((9, 12), (8, 11), (5.5, 8)))
    roof: dict[str, Any] = {"form": ["gable", "gable", "hip", "flat"][seed % 4], "size": [f"{width} m", f"{depth} m"]}
    roof["eave_height"] = f"{eave} m"
    if roof["form"] != "flat":
        roof["pitch"] = f"{lot.uniform(18, 28):.1f} deg"
    top = {"top": f"{eave * lot.uniform(0.7, 1.1):.2f} m"}
    along, across = {"size": [f"{width} m", "0.3 m"], **top}, {"size": ["0.3 m", f"{depth} m"], **top}
    x, y, out = width / 2, depth / 2, float(lot.uniform(0.6, 1.1))
    walls = [
        {"name": "south wall", "center": [f"{x} m", f"{-out - 0.15} m"], **along},
        {"name": "north wall", "center": [f"{x} m", f"{depth + out + 0.15} m"], **along},
        {"name": "west wall", "center": [f"{-out - 0.15} m", f"{y} m"], **across},
    ]
    beam = [{"name": "beam", "points": [["1.5 m", f"{y} m"], [f"{width - 1.5} m", f"{y} m"]]}]
    own = {"anchor": [{**plain()["anchor"][0], "at": ["4 m", "3 m"]}], "framing": beam}  # type: ignore[index]
    if seed % 2:
        return job_with(*walls, roof=roof, **own)
    return job_with(roof=roof, plan={**plain()["plan"], "swing_drop_limit": "0.5 m"}, **own)  # type: ignore[dict-item]


@pytest.mark.parametrize("seed", [0, 2, 3])
def test_a_layout_put_back_as_a_job_has_nothing_that_fails(seed: int) -> None:
    layout = plan_anchors(small_job(seed), NONE)
    assert not refused(planned(layout))
    assert layout.cuts or seed % 2  # with a limit on the swing something was refused on the way


# the number ----------------------------------------------------------------------------------------------------------


def longest_planned(job: Job, work: Work, point: Any, need: Floats) -> float:
    """Longest setting, of all that make a difference, that a plan of this line on this anchor refuses nothing of.

    Planned from both ends of each stretch of settings that get to the same places, and where an edge is first reached.
    """
    (rig,) = rigs_of(on_place(job, point, 5.0))
    first = math.ceil(100 * (float(work.over(job, rig).nearest.min()) - rig.line.lanyard.length) - 1e-9)
    ends = np.ceil(100 * need - 1e-9)
    tried = {*ends.tolist(), *(ends - 1).tolist(), first, first - 60}
    for stop in sorted((one / 100 for one in tried if 0 <= one < 480), reverse=True):
        if not refused(list(assess_as_set(on_place(job, point, stop), work).findings)):
            return stop
    return -1.0


def test_the_number_is_the_least_of_all_choices_that_a_plan_lets_stand() -> None:
    coarse = {"spacing": "2.5 m", "places": "2 m", "like": "a"}
    job = job_with(WALL, anchors=coarse)
    work, places, rope = Work(), places_of(job, 2.0).points, job.lines[0].lanyard.length
    reached = []
    for point in candidates_of(job).points:
        need = needs_at(TautPaths(work.solid(job), point), places, job.crew[0].d_ring) - rope
        reached.append(need <= longest_planned(job, work, point, need) + 1e-9)
    covers = np.column_stack(reached)
    rows = covers[covers.any(axis=1)]
    every = range(covers.shape[1])
    least = next(
        k for k in range(len(every) + 1) if any(rows[:, few].any(axis=1).all() for few in combinations(every, k))
    )
    layout = plan_anchors(job, NONE)
    assert layout.cuts
    assert layout.covered.tolist() == covers.any(axis=1).tolist()
    assert layout.count == layout.bound == least
    assert layout.bound_uncut <= least


@pytest.mark.parametrize(("held", "found"), [(range(12), 9), (range(43), 42), (range(12, 90), 89), (range(40, 52), 51)])
def test_a_longer_setting_that_holds_past_one_that_does_not_is_found_by_looks(held: range, found: int) -> None:
    """Of 10 to 100 steps, where 12 reach an edge; what is held lies in one stretch that a look falls into."""
    assert longest_below(lambda steps: steps not in held, 9, 12, 100) == found
