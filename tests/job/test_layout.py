"""Layouts of anchors: as few as can be, held by what a plan finds, and nothing uncovered without a reason.

What a layout says of a line on an anchor is what a plan of that line says; the number is held against all choices.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from plain_jobs import plain, workers

from ropewright.errors import InputError
from ropewright.findings import Verdict
from ropewright.job import assess, job_from_mapping
from ropewright.job.layout import plan_anchors
from ropewright.job.layout_model import Layout, Wanted
from ropewright.job.layout_reach import Reach, gears_of, reach_of_gear
from ropewright.job.layout_site import candidates_of, places_of
from ropewright.job.layout_stops import Near, judge_settings, near_anchor
from ropewright.job.model import Job
from ropewright.job.work import Work
from ropewright.roof.path import TautPaths

NONE = Wanted(keep=False)


def flat(**changes: Any) -> Job:
    """The plain flat roof with beams across it 2.5 m in from either end and one along its middle."""
    beams = [
        {"name": "west beam", "points": [["2.5 m", "1 m"], ["2.5 m", "9 m"]]},
        {"name": "middle beam", "points": [["1 m", "5 m"], ["11 m", "5 m"]]},
        {"name": "east beam", "points": [["9.5 m", "1 m"], ["9.5 m", "9 m"]]},
    ]
    return job_from_mapping(
        {**plain(), "framing": beams, "anchors": {"spacing": "2 m", "places": "1 m", "like": "a"}, **changes}
    )


@pytest.fixture(scope="module")
def job() -> Job:
    return flat()


@pytest.fixture(scope="module")
def layout(job: Job) -> Layout:
    return plan_anchors(job, NONE)


@pytest.fixture(scope="module")
def reach(job: Job) -> Reach:
    return reach_on(job)


def reach_on(job: Job, step: float = 1.0) -> Reach:
    """How far the only worker of a job gets on each place for an anchor."""
    work, places = Work(), places_of(job, step)
    paths = [TautPaths(work.solid(job), point) for point in candidates_of(job).points]
    (gear,) = gears_of(job, places)
    return reach_of_gear(job, work, gear, paths, places)


# what is judged ------------------------------------------------------------------------------------------------------


def on_candidate(job: Job, point: Any, stop: float) -> Job:
    anchor = replace(job.anchors[0], point=point)
    return replace(job, anchors=(anchor,), lines=(replace(job.lines[0], length=stop),))


@pytest.mark.parametrize(
    "changes",
    [{}, {"roof": {"form": "gable", "size": ["12 m", "10 m"], "eave_height": "6 m", "pitch": "25 deg"}, "framing": []}],
    ids=["flat", "gable"],
)
def test_a_setting_is_judged_as_a_plan_judges_it(changes: dict[str, Any]) -> None:
    job = flat(**changes)
    work, found = Work(), reach_on(job)
    for past in (-40, -5, 0, 5, 60):
        stops = np.maximum(found.shortest_over + past, 0) * found.step
        judged = judge_settings(job, work, found.gear.rig, near_to(job, work, found, stops), stops)
        for column in range(0, len(stops), 4):
            plan = assess(on_candidate(job, found.near[column].paths.anchor, float(stops[column])), remedies=False)
            (field,) = plan.fields
            assert judged.reached[column] == field.reached.any()
            assert judged.swing[column] == pytest.approx(
                np.nan_to_num(field.swing_drop[field.reached]).max(initial=0.0)
            )
            row = plan.rig[0]
            whole = row.length_holds is not None and row.length_holds >= float(stops[column]) - 1e-9
            fine = next(one for one in plan.findings if one.id.startswith("reach/")).verdict is not Verdict.HOLDS
            assert judged.met[column] == (whole and not fine)


def near_to(job: Job, work: Work, found: Reach, stops: Any) -> list[Near]:
    lanyard = found.gear.rig.line.lanyard.length
    return [
        near_anchor(job, work, found.gear.rig, one.paths, float(stop) + lanyard)
        for one, stop in zip(found.near, stops, strict=True)
    ]


def test_the_longest_setting_is_that_of_the_plan(job: Job, reach: Reach) -> None:
    """Where falls set it; where only a restraint is held, the plan has no such length."""
    for column in range(0, len(reach.near), 3):
        stop = float(reach.longest[column] * reach.step)
        if reach.longest[column] <= reach.restrained[column]:
            continue
        plan = assess(on_candidate(job, reach.near[column].paths.anchor, stop + 2.0), remedies=False)
        assert plan.rig[0].length_holds == pytest.approx(stop)


def test_a_place_is_covered_where_the_rope_lets_its_worker_stand_and_kneel(job: Job, reach: Reach) -> None:
    """On a flat roof the rope to the feet of someone w away is w, to the back hypot(w, 1.4 m)."""
    places = places_of(job, 1.0).points
    anchor = reach.near[0].paths.anchor
    near = np.flatnonzero(np.isfinite(reach.need[:, 0]))
    level = np.hypot(*(places[near] - anchor)[:, :2].T)
    assert reach.need[near, 0] + 0.5 == pytest.approx(np.hypot(level, 1.4))


# the number ----------------------------------------------------------------------------------------------------------


def test_the_number_is_the_least_of_all_choices(layout: Layout, reach: Reach) -> None:
    covers = reach.covers()
    covers = covers[covers.any(axis=1)]
    columns = range(covers.shape[1])
    least = next(k for k in columns if any(covers[:, few].any(axis=1).all() for few in combinations(columns, k)))
    assert layout.count == layout.bound == least
    assert layout.proven


def test_what_can_be_covered_is_covered(layout: Layout, reach: Reach) -> None:
    assert layout.covered.tolist() == reach.covers().any(axis=1).tolist()


def test_every_setting_of_a_layout_holds_in_a_plan(job: Job, layout: Layout) -> None:
    for placed in layout.anchors:
        for one in placed.settings:
            plan = assess(on_candidate(job, placed.point, one.stop), remedies=False)
            (field,) = plan.fields
            assert not {Verdict.FAILS, Verdict.DOUBTFUL} & set(field.verdict)
            assert field.reached.any() != one.restrained
            assert one.stop <= one.longest + 1e-9


def test_no_line_can_be_shortened_without_uncovering_a_place(layout: Layout, reach: Reach) -> None:
    need = [reach.need[:, column_of(reach, placed.point)] for placed in layout.anchors]
    stops = [placed.settings[0].stop for placed in layout.anchors]
    for number, stop in enumerate(stops):
        if stop == pytest.approx(reach.shortest_over[column_of(reach, layout.anchors[number].point)] * reach.step):
            continue  # nothing shorter is held: it would end just short of an edge
        shorter = [one - (0.011 if at == number else 0.0) for at, one in enumerate(stops)]
        held = np.any([own <= one + 1e-9 for own, one in zip(need, shorter, strict=True)], axis=0)
        assert (layout.covered & ~held).any()


def column_of(reach: Reach, point: Any) -> int:
    return next(i for i, one in enumerate(reach.near) if np.allclose(one.paths.anchor[:2], point[:2]))


def test_more_places_for_anchors_never_raise_the_number() -> None:
    """Of a part of the roof that the west beam alone covers."""
    part = {"name": "by the west beam", "center": ["3 m", "5 m"], "size": ["2 m", "6 m"]}
    both = flat(area=[part])
    alone = plan_anchors(replace(both, framing=both.framing[:1]), NONE)
    assert alone.covered.all()
    assert plan_anchors(both, NONE).count <= alone.count


def test_more_places_to_cover_never_lower_the_number(layout: Layout) -> None:
    west = {"name": "west end", "center": ["2 m", "5 m"], "size": ["4 m", "10 m"]}
    assert plan_anchors(flat(area=[west]), NONE).count <= layout.count


def test_the_jobs_anchors_cost_nothing(job: Job, layout: Layout) -> None:
    kept = plan_anchors(job, Wanted())
    assert [one.name for one in kept.kept] == ["a"]
    assert layout.count - 1 <= kept.count <= layout.count


def test_a_whole_layout_kept_needs_no_more(job: Job, layout: Layout) -> None:
    anchors = tuple(replace(job.anchors[0], name=one.name, point=one.point) for one in layout.anchors)
    lines = (replace(job.lines[0], anchor=anchors[0].name),)
    stated = replace(job.anchor_plan, like="")
    again = plan_anchors(replace(job, anchors=anchors, lines=lines, anchor_plan=stated), Wanted())
    assert again.count == again.bound == 0
    assert again.covered.tolist() == layout.covered.tolist()


def test_fewer_than_the_least_cover_the_most_they_can(job: Job, layout: Layout, reach: Reach) -> None:
    covers, before = reach.covers(), 0
    for most in (1, layout.count - 1):
        found = plan_anchors(job, Wanted(keep=False, most=most))
        best = max(int(covers[:, few].any(axis=1).sum()) for few in combinations(range(covers.shape[1]), most))
        assert found.count <= most
        assert int(found.covered.sum()) == best
        assert best >= before
        assert any("no more than asked for" in row.why for row in found.bare)
        before = best


# areas, reasons, gear ------------------------------------------------------------------------------------------------


def test_only_those_who_work_in_an_area_must_get_there() -> None:
    areas = [
        {"name": "west", "center": ["2 m", "5 m"], "size": ["2 m", "4 m"], "crew": ["w1"]},
        {"name": "east", "center": ["10 m", "5 m"], "size": ["2 m", "4 m"], "crew": ["w2"]},
    ]
    line = plain()["line"][0]  # type: ignore[index]
    lines = [line, {**line, "name": "two"}]
    found = plan_anchors(flat(area=areas, line=lines, crew=workers("one", "two")), NONE)
    who = {one.worker for placed in found.anchors for one in placed.settings}
    assert who == {"w1", "w2"}
    west = [placed for placed in found.anchors if any(one.worker == "w1" for one in placed.settings)]
    assert all(placed.point[0] < 6.0 for placed in west)


def test_every_uncovered_place_has_its_reason(layout: Layout) -> None:
    told = {place for row in layout.bare for place in row.places}
    assert told == set(layout.uncovered)
    assert all(row.why for row in layout.bare)


def test_a_short_rope_is_named_as_the_reason() -> None:
    rope = {**plain()["rope"]["r"], "length": "1 m"}  # type: ignore[index]
    found = plan_anchors(flat(rope={"r": rope}, line=[{**plain()["line"][0], "length": "1 m"}]), NONE)  # type: ignore[index]
    assert found.uncovered
    assert any("rope is too short" in row.why for row in found.bare)


def test_nobody_stands_on_an_obstacle_or_anchors_there() -> None:
    tank = {"name": "tank", "center": ["6 m", "5 m"], "size": ["3 m", "3 m"], "top": "7 m"}
    job = flat(site={"ground": "0 m", "obstacle": [tank]})
    for points in (places_of(job, 0.5).points, candidates_of(job, 0.5).points):
        assert not (np.abs(points[:, :2] - [6.0, 5.0]) < 1.5).all(axis=1).any()


def test_nobody_comes_too_near_an_overhead_line() -> None:
    """A line along the east end, 1 m up: no setting lets anybody get within its distance."""
    wire = {"name": "wire", "voltage": "7.2 kV", "points": [["12 m", "-5 m", "8 m"], ["12 m", "15 m", "8 m"]]}
    job = flat(site={"ground": "0 m", "power_line": [wire]})
    found = plan_anchors(job, NONE)
    assert len(found.uncovered) > len(plan_anchors(flat(), NONE).uncovered)
    assert not any(one.id.startswith("power-line-on-roof") and one.verdict is Verdict.FAILS for one in found.findings)


def test_what_new_anchors_carry_is_asked_where_nobody_states_it() -> None:
    one = Wanted(keep=False, most=1)
    stated, unstated = (plan_anchors(flat(anchors=told), one) for told in ({"like": "a"}, {}))
    assert not [one for one in stated.findings if one.id == "new-anchors"]
    assert [one.verdict for one in unstated.findings if one.id == "new-anchors"] == [Verdict.ASK]


def test_a_roof_without_a_place_for_an_anchor_says_what_to_mark() -> None:
    with pytest.raises(InputError, match="mark lines of framing"):
        plan_anchors(flat(framing=[]), NONE)


def test_an_area_beside_the_roof_is_named() -> None:
    with pytest.raises(InputError, match=r"area\[0\]: got 'beside'"):
        plan_anchors(flat(area=[{"name": "beside", "center": ["40 m", "5 m"], "size": ["2 m", "2 m"]}]), NONE)


def test_the_layout_holds_in_the_share_of_draws_asked_for(job: Job, layout: Layout) -> None:
    found = plan_anchors(job, Wanted(keep=False, share=0.99, draws=64))
    assert found.share is not None
    assert found.share >= 0.99
    assert found.count >= layout.count
    assert layout.bound <= found.bound <= found.count


def test_the_same_job_gives_the_same_layout(job: Job, layout: Layout) -> None:
    again = plan_anchors(job, NONE)
    assert [one.point.tolist() for one in again.anchors] == [one.point.tolist() for one in layout.anchors]
    assert [one.settings for one in again.anchors] == [one.settings for one in layout.anchors]
