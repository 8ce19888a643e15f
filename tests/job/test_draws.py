"""Draws in the plan: told beside the verdict, never in its place, and the same on every run."""

from __future__ import annotations

import numpy as np
import pytest
from plain_jobs import PLAIN, assessed, finding, plain

from ropewright.findings import Verdict
from ropewright.job import assess, job_from_mapping
from ropewright.job.clearance import clearances
from ropewright.job.doubt import CLEARANCE, FORCE, draw_falls
from ropewright.job.draws import Drawing, with_draws
from ropewright.job.falls import falls_over
from ropewright.job.rig import rigs_of
from ropewright.job.work import Work

DOUBT = {
    "crew_0__mass": "80 kg to 100 kg to 120 kg",
    "lanyard__l__absorber": {"force": "3 kN to 4 kN to 5 kN", "length": "2 m"},
}
PLAN = dict(PLAIN["plan"])


def drawn(count: int = 256, **changes: object):
    return assessed(plan={**PLAN, "draws": count}, **{**DOUBT, **changes})


def test_without_draws_no_finding_tells_of_any():
    assert all(one.drawn is None for one in assessed(**DOUBT).findings)


def test_force_and_clearance_tell_of_the_draws_and_nothing_else_does():
    told = {one.id for one in drawn().findings if one.drawn}
    assert told == {"arrest-force/w", "clearance-simulated/w"}


def test_draws_change_no_verdict_and_no_other_number():
    plainly, with_draws = assessed(**DOUBT), drawn()
    for before, after in zip(plainly.findings, with_draws.findings, strict=True):
        assert (before.id, before.verdict, before.low, before.value, before.high, before.margin) == (
            *(after.id, after.verdict, after.low, after.value, after.high),
            after.margin,
        )
    assert plainly.verdict is with_draws.verdict


def test_the_same_draws_come_on_every_run():
    assert [one.drawn for one in drawn().findings] == [one.drawn for one in drawn().findings]


@pytest.mark.parametrize("kind", ["arrest-force", "clearance-simulated"])
def test_values_drawn_lie_between_the_ends_that_the_verdict_goes_by(kind: str):
    one = finding(drawn(), kind)
    low, middle, high = one.drawn.values
    assert one.drawn.levels == (0.05, 0.5, 0.95)
    assert min(one.low, one.value) - 0.3 * abs(one.value) <= low <= middle <= high <= one.high * (1 + 1e-3)


def test_a_fall_that_can_fail_at_the_unsafe_end_stays_doubtful_however_many_draws_hold():
    """Some room more than the likely fall needs, less than the worst corner does."""
    likely = finding(drawn(roof__eave_height="14 m"), "clearance-simulated")
    between = likely.value + 0.8 * (likely.high - likely.value)
    one = finding(drawn(roof__eave_height=f"{between:.3f} m"), "clearance-simulated")
    assert one.verdict is Verdict.DOUBTFUL
    assert one.drawn.here.value > 0.9
    assert one.drawn.everywhere.value <= one.drawn.here.value


def test_a_share_at_every_point_is_no_greater_than_here_and_together_no_greater_than_either():
    tight = drawn(roof__eave_height="5.4 m")
    force, room = finding(tight, "arrest-force").drawn, finding(tight, "clearance-simulated").drawn
    assert 0 < room.here.value < 1
    for one in (force, room):
        assert one.everywhere.value <= one.here.value
        assert one.together.value <= one.everywhere.value
        assert one.here.low <= one.here.value <= one.here.high
    assert force.together == room.together


def test_together_is_the_share_of_draws_in_which_both_hold_at_every_point():
    raw = plain(plan={**PLAN, "draws": 128}, roof__eave_height="5.4 m", **DOUBT)
    job, work = job_from_mapping(raw), Work()
    rig = rigs_of(job)[0]
    edges, over = work.edges(job), work.over(job, rig)
    falls = falls_over(job, rig, edges, over, work.below(job))
    clear = clearances(job, rig, falls, work.floors(job))
    found = draw_falls(job, rig, over, falls, clear, draws=128)
    both = found[FORCE].held["all"] & found[CLEARANCE].held["all"]
    told = with_draws(assess(job, remedies=False), (Drawing(rig, edges, over, falls, clear),))
    assert finding(told, "arrest-force").drawn.together.value == both.all(axis=1).mean()


def test_what_to_pin_down_first_is_what_is_least_known():
    """Only the mass is in doubt beside the laws' own errors and the edge's friction; a wide range decides most."""
    exact = {"force": "4 kN", "length": "2 m"}
    one = finding(drawn(lanyard__l__absorber=exact, crew_0__mass="50 kg to 150 kg"), "clearance-simulated")
    assert one.drawn.pin_down[0].input == "mass"
    assert "Weigh the worker with clothing and tools: it decides" in one.drawn.first
    shares = [pin.share for pin in one.drawn.pin_down]
    assert shares == sorted(shares, reverse=True)


def test_a_law_error_is_named_as_one_that_nothing_on_site_changes():
    one = finding(drawn(crew_0__mass="100 kg", lanyard__l__absorber={"force": "4 kN", "length": "2 m"}), "arrest-force")
    assert one.drawn.pin_down[0].advice == ""
    assert "which nothing on site changes" in one.drawn.first


def test_nobody_at_an_edge_draws_nothing():
    restrained = drawn(line_0__length="1.5 m")
    assert all(one.drawn is None for one in restrained.findings)


def test_a_fall_that_nothing_stops_holds_in_no_draw_and_has_no_end():
    one = finding(drawn(lanyard__l__absorber={"force": "700 N", "length": "0.5 m"}), "clearance-simulated")
    assert np.isinf(one.drawn.values).all()
    assert one.drawn.here.value == 0.0
    assert "no end" in one.drawn.text


def test_a_uniform_mass_spreads_the_force_more_than_a_normal_one():
    """Same ends: a bell leaves less near them than a plain."""
    exact = {"lanyard__l__absorber": {"force": "4 kN", "length": "2 m"}}
    uniform, normal = (
        finding(drawn(512, crew_0__mass=f"60 kg to 140 kg, {shape}", **exact), "clearance-simulated").drawn.values
        for shape in ("uniform", "normal")
    )
    assert uniform[-1] - uniform[0] > 1.2 * (normal[-1] - normal[0])
