"""Low drops onto a lower part of the same roof, held against the trigger heights of the rules.

The plain flat roof of 6 m with a flat porch along its south side; trigger heights as the rules print them: 6 ft
(29 CFR 1926.501(b)(1)), 4 ft (29 CFR 1910.28(b)(1)(i)), more than 3 m (Ontario O. Reg. 213/91 s 26), none (Work at
Height Regulations 2005).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_jobs import assessed, field_of, finding, plain, points_on

from ropewright.findings import SEVERITY, Verdict
from ropewright.job import job_from_mapping
from ropewright.job.falls import falls_over
from ropewright.job.layout_stops import judge_settings, near_anchor
from ropewright.job.rig import rigs_of
from ropewright.job.setting import answers_at
from ropewright.job.step_down import step_rule
from ropewright.job.work import Work

FOOT = 0.3048
#: Reaches the house's south edge, 3 m from the anchor, with little slack, and nothing beyond it.
SHORT = {"line_0__length": "2.8 m"}
#: Reaches the porch's eave as well, 5 m further on.
LONG = {"line_0__length": "8.5 m"}


def with_porch(drop: float, *, depth: float = 5.0, rules: str = "us-construction", **changes: object) -> dict:
    size, corner = [f"{12.0} m", f"{depth} m"], ["0 m", f"{-depth} m"]
    porch = {"name": "porch", "form": "flat", "size": size, "corner": corner, "eave_height": f"{6.0 - drop:.6f} m"}
    roof = {"form": "flat", "size": ["12 m", "10 m"], "eave_height": "6 m", "wing": [porch]}
    return plain(job__rules=rules, roof=roof, **{**SHORT, **changes})


@cache
def answered(drop: float, rules: str = "us-construction", *, long: bool = False):
    job = job_from_mapping(with_porch(drop, rules=rules, **(LONG if long else SHORT)))
    work = Work()
    rig = rigs_of(job)[0]
    falls, answers, _ = answers_at(job, work, rig)
    return work.edges(job), falls, {answer.kind: answer for answer in answers}


def at_step(edges, falls):
    """Points of the house's edge over the porch that are reached."""
    z, y = edges.points[:, 2], edges.points[:, 1]
    return np.flatnonzero((z > 5.999) & (np.abs(y) < 1e-9) & falls.geometry.reached)


def worst_of(answers, points, kinds=None):
    asked = [answer for kind, answer in answers.items() if kinds is None or kind in kinds]
    return max(int(answer.codes[points].max(initial=0)) for answer in asked)


ROOM = ("clearance-book", "clearance-simulated", "swing")


@pytest.mark.parametrize(
    ("rules", "drop", "verdict"),
    [
        ("us-construction", 0.9, Verdict.HOLDS),
        ("us-construction", 6 * FOOT - 0.01, Verdict.HOLDS),
        ("us-general-industry", 4 * FOOT - 0.01, Verdict.HOLDS),
        ("eu-uk", 0.9, Verdict.ASK),
        ("canada", 0.9, Verdict.ASK),
        ("australia-nz", 0.9, Verdict.ASK),
    ],
)
def test_under_the_trigger_height_a_drop_to_the_roof_is_no_arrest(rules, drop, verdict):
    edges, falls, answers = answered(drop, rules)
    points = at_step(edges, falls)
    step = answers["step"]
    found = step.finding(step.worst())
    assert found.verdict is verdict
    assert found.value == pytest.approx(drop)
    assert (found.limit is not None) == (verdict is Verdict.HOLDS)
    assert found.decide or verdict is Verdict.HOLDS
    assert worst_of(answers, points, ROOM) == 0


@pytest.mark.parametrize(
    ("rules", "drop"),
    [
        ("us-construction", 6 * FOOT),
        ("us-general-industry", 4 * FOOT),
        ("eu-uk", 4 * FOOT),
        ("canada", 4 * FOOT),
    ],
)
def test_from_the_trigger_height_on_a_drop_to_the_roof_is_held_against_the_room_of_an_arrest(rules, drop):
    edges, falls, answers = answered(drop, rules)
    points = at_step(edges, falls)
    assert "step" not in answers
    assert (answers["clearance-book"].codes[points] == SEVERITY[Verdict.FAILS]).all()


def test_no_height_of_a_pack_counts_above_six_feet():
    """Ontario asks from more than 3 m on; a drop of 6 ft onto a roof is a fall all the same."""
    for drop, stepped in ((6 * FOOT - 0.01, True), (6 * FOOT, False)):
        raw = with_porch(drop, rules="canada", facts={"province": "Ontario"})
        job = job_from_mapping(raw)
        falls, answers, _ = answers_at(job, Work(), rigs_of(job)[0])
        assert falls.steps.is_step.any() == stepped
        assert ("step" in {answer.kind for answer in answers}) == stepped
    assert step_rule(job).settled


def test_above_dangerous_equipment_every_drop_counts():
    job = job_from_mapping(with_porch(0.9, facts={"above_dangerous_equipment": True}))
    falls, _, _ = answers_at(job, Work(), rigs_of(job)[0])
    assert not falls.steps.is_step.any()


def test_the_finding_names_the_step_its_trigger_and_the_clause():
    summary = finding(assessed(with_porch(0.9)), "step").summary
    assert "A step of 0.90 m onto the lower roof" in summary
    assert "under the trigger height of 6 ft (29 CFR 1926.501(b)(1))" in summary


def test_onto_a_ledge_too_narrow_to_land_on_a_drop_counts():
    job = job_from_mapping(with_porch(0.9, depth=0.8))
    falls, _, _ = answers_at(job, Work(), rigs_of(job)[0])
    assert falls.geometry.reached.any()
    assert not falls.steps.is_step.any()


def test_a_fall_onto_the_lower_roof_that_may_go_on_unheld_is_asked_and_names_the_edge():
    """The porch's eave stands 5.1 m up, and 8.5 m of line let the worker fall 3 m and more over it."""
    edges, falls, answers = answered(0.9, long=True)
    step = answers["step"]
    found = step.finding(step.worst())
    assert found.verdict is Verdict.ASK
    assert found.inputs["goes_on_over"].startswith("porch ")
    assert found.inputs["goes_on_over"] in found.summary
    assert found.margin is None
    assert not step.met[at_step(edges, falls)].all()


def test_a_fall_that_goes_on_over_a_mere_step_is_followed_to_the_edge_beyond_it():
    """Below the porch a terrace 0.2 m lower, of which nobody is asked; over its eave they fall to the ground."""
    raw = with_porch(0.9, depth=2.0, **LONG)
    size, corner = ["12 m", "3 m"], ["0 m", "-5 m"]
    terrace = {"name": "terrace", "form": "flat", "size": size, "corner": corner, "eave_height": "4.9 m"}
    raw["roof"] = {**raw["roof"], "wing": [*raw["roof"]["wing"], terrace]}
    job = job_from_mapping(raw)
    work = Work()
    falls, _, _ = answers_at(job, work, rigs_of(job)[0])
    x, y, _ = work.edges(job).points.T
    ahead = np.flatnonzero((np.abs(y + 5.0) < 1e-9) & (np.abs(x - 6.0) < 0.5))
    assert (falls.sliding.high[ahead] >= 1.1 - 0.1 * 5.0 - 1e-9).all()
    mere = np.flatnonzero(work.mere_steps(job) & (np.abs(x - 6.0) < 0.5))
    assert len(mere)
    assert set(mere) <= set(falls.steps.end)
    assert set(ahead) <= set(falls.steps.end[np.isin(falls.steps.start, mere)])


def test_the_next_edge_is_judged_with_the_speed_that_the_step_gave():
    """Friction of 0.1 takes 0.1 m of height for each metre: of 0.9 m some 0.4 m to 0.9 m is left 5 m further on."""
    edges, falls, _ = answered(0.9, long=True)
    points = edges.points
    ahead = np.flatnonzero((np.abs(points[:, 1] + 5.0) < 1e-9) & (np.abs(points[:, 0] - 6.0) < 0.5))
    assert (falls.sliding.high[ahead] >= 0.9 - 0.1 * 5.0 - 1e-9).all()
    assert (falls.sliding.high[ahead] <= 0.9 + 1e-9).all()


def test_the_next_edge_is_judged_with_the_rope_that_was_out_on_the_step():
    """Anchor on the porch, 1 m from its eave and 4 m from the house: a grab that trails stands further out up there."""
    raw = with_porch(0.9, **LONG, grab__g__follows=True)
    raw["anchor"][0]["at"] = ["6 m", "-4 m"]
    job = job_from_mapping(raw)
    work, rig = Work(), rigs_of(job)[0]
    falls, _, _ = answers_at(job, work, rig)
    steps, out = falls.steps, rig.rope_out(work.over(job, rig).standing)
    longer = out[steps.start] > out[steps.end] + 1.0
    assert longer.any()
    assert (falls.length[steps.end] >= out[steps.start] - 1e-9).all()


@settings(deadline=None, max_examples=15)
@given(drop=st.integers(5, 60), more=st.integers(0, 30), rules=st.sampled_from(["us-construction", "eu-uk"]))
def test_a_greater_drop_onto_the_roof_is_never_judged_better(drop, more, rules):
    """Up to 3 m, less than an arrest has need of: with room enough a fall is caught before the lower roof."""
    one, other = (answered(each / 20, rules) for each in (drop, min(drop + more, 60)))
    less, greater = (worst_of(answers, at_step(edges, falls)) for edges, falls, answers in (one, other))
    assert greater >= less


@settings(deadline=None, max_examples=10)
@given(drop=st.integers(37, 100), rules=st.sampled_from(["us-construction", "us-general-industry", "eu-uk"]))
def test_over_the_trigger_a_roof_below_is_judged_no_better_than_ground_as_high(drop, rules):
    edges, falls, answers = answered(drop / 20, rules)
    job = job_from_mapping(plain(job__rules=rules, site={"ground": f"{6 - drop / 20} m"}, **SHORT))
    onto_ground, on_ground, _ = answers_at(job, work := Work(), rigs_of(job)[0])
    roof = {round(float(edges.points[i, 0]), 3): i for i in at_step(edges, falls)}
    ground = {round(float(work.edges(job).points[i, 0]), 3): i for i in at_step(work.edges(job), onto_ground)}
    for answer in on_ground:
        for x in roof.keys() & ground.keys():
            assert answers[answer.kind].codes[roof[x]] >= answer.codes[ground[x]]
    assert roof.keys() & ground.keys()


@settings(deadline=None, max_examples=10)
@given(drop=st.integers(6, 36))
def test_a_step_counts_for_no_less_than_level_ground_as_high(drop):
    """What is held against the trigger is the drop itself or more, and so is the landing."""
    edges, falls, _ = answered(drop / 20)
    points = at_step(edges, falls)
    steps = falls.steps
    assert (steps.height[points] >= drop / 20 - 1e-9).all()
    assert (steps.depth[points] >= steps.height[points] - 1e-9).all()
    assert (steps.blow[points] >= steps.depth[points] - 1e-9).all()


def test_whoever_slides_far_before_a_step_lands_too_hard_for_one():
    """A slope of 45 deg from a ridge 5 m up and in: half of 4.5 m and more of height is plumb speed."""
    porch = {"name": "porch", "form": "flat", "size": ["12 m", "5 m"], "corner": ["0 m", "-5 m"], "eave_height": "5 m"}
    roof = {"form": "gable", "size": ["12 m", "10 m"], "eave_height": "5.9 m", "pitch": "45 deg", "wing": [porch]}
    raw = plain(roof=roof, line_0__length="7 m")
    raw["anchor"][0]["at"] = ["6 m", "5 m"]
    found = assessed(raw)
    step = finding(found, "step")
    assert step.verdict is Verdict.ASK
    assert "lands as hard as after a fall of" in step.summary


def test_a_rope_that_may_catch_and_swing_a_body_off_the_step_makes_it_a_fall():
    """The porch ends at the foot of the perpendicular from the anchor, where a body on the rope comes to hang."""
    size, corner = ["6 m", "5 m"], ["0 m", "-5 m"]
    porch = {"name": "porch", "form": "flat", "size": size, "corner": corner, "eave_height": "5.1 m"}
    roof = {"form": "flat", "size": ["12 m", "10 m"], "eave_height": "6 m", "wing": [porch]}
    job = job_from_mapping(plain(roof=roof, **SHORT))
    work = Work()
    falls, _, _ = answers_at(job, work, rigs_of(job)[0])
    over = work.edges(job).points[:, 0] < 5.65
    points = np.flatnonzero(over & np.isfinite(falls.steps.height) & falls.geometry.reached)
    assert len(points)
    assert not falls.steps.is_step[points].any()


@pytest.mark.parametrize("lines", [SHORT, LONG], ids=["short", "long"])
def test_a_layout_judges_steps_as_a_plan_does(lines):
    job = job_from_mapping(with_porch(0.9, **lines))
    work, rig = Work(), rigs_of(job)[0]
    _, answers, _ = answers_at(job, work, rig)
    near = near_anchor(job, work, rig, work.paths(job, rig), rig.line.reach)
    twice = judge_settings(job, work, rig, [near, near], np.full(2, rig.line.length))
    met = all(bool(answer.met.all()) for answer in answers)
    assert twice.met.tolist() == [met, met]
    assert twice.reached.all()


def test_the_map_and_the_tables_of_a_step_need_nothing_below_it():
    field = field_of(assessed(with_porch(0.9)))
    reached = [i for i in range(len(field.edge)) if field.reached[i]]
    assert {field.below[i] for i in reached} == {"lower roof"}
    assert all(field.needed_book[i] == field.needed_high[i] == field.swing_drop[i] == 0.0 for i in reached)
    assert points_on(field, "porch south eave")


@pytest.mark.parametrize("drop", [6 * FOOT, 2.4, 4.0])
def test_over_the_trigger_nothing_changes(drop):
    """The same falls as if nobody looked for steps at all."""
    job = job_from_mapping(with_porch(drop))
    work, rig = Work(), rigs_of(job)[0]
    edges, over, below = work.edges(job), work.over(job, rig), work.below(job)
    plain_falls, looked = (
        falls_over(job, rig, edges, over, one, slides=work.slides(job, rig))
        for one in (replace(below, landing=None), below)
    )
    assert looked.geometry.reached.any()
    assert not looked.steps.is_step.any()
    for name in ("length", "free_fall", "swing_drop", "available", "stop_time"):
        assert getattr(looked, name) == pytest.approx(getattr(plain_falls, name), nan_ok=True)
    for ours, theirs in zip(looked.force, plain_falls.force, strict=True):
        assert ours == pytest.approx(theirs, nan_ok=True)
