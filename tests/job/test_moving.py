"""Falls of the plain job followed in three dimensions, and what is said of them.

Flat roof 6 m up, anchor 3 m square from the south eave, 4 m of rope: a body goes over the eave, falls 1.4 + 1 m, is
caught, and swings back. Whatever it does, its speed is bound by sqrt(2 g (height lost)).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from plain_jobs import assessed, field_of, finding, plain, workers

from ropewright.findings import Verdict
from ropewright.job import job_from_mapping, motions
from ropewright.job.moving import KINDS
from ropewright.quantity import Range

G = 9.80665
FAILS, ASK, HOLDS = Verdict.FAILS, Verdict.ASK, Verdict.HOLDS


ASIDE = {"line_0__length": "5.5 m", "plan__swing_drop_limit": "5 m", "roof__eave_height": "14 m"}


#: A high gable of slick tiles: a body slides over the eave.
SLICK = {"roof__slide_friction": "0.2", "roof__eave_height": "14 m"}


def gable(**changes):
    roof = {"form": "gable", "size": ["12 m", "8 m"], "eave_height": "6 m", "pitch": "35 deg", "gable_sides": [2, 4]}
    given = {"roof": roof, "anchor_0__at": ["6 m", "4 m"], "line_0__length": "5.5 m", "plan__spacing": "0.5 m"}
    return plain(**{**given, **changes})


def moving(assessment):
    return {one.id.split("/")[0]: one for one in assessment.findings if one.id.split("/")[0] in KINDS}


@pytest.fixture(scope="module")
def straight():
    return assessed()


@pytest.fixture(scope="module")
def aside():
    """High up, 5.5 m of line: the worker can go over the eave far to the side and swings along it."""
    return assessed(**ASIDE)


def test_every_kind_is_asked_of_who_can_fall_and_none_of_who_can_not(straight):
    assert set(moving(straight)) == set(KINDS)
    assert moving(assessed(line_0__length="1.7 m")) == {}


def test_followed_falls_balance_and_are_carried_for_the_sheets(straight):
    assert straight.followed
    for fall in straight.followed:
        assert fall.solved
        assert fall.peak_force > 0
        assert fall.edge == "south eave"
        # drop to the lowest place a line of 4 m, its absorber of 1 m and the lock can let the D-ring down to
        assert fall.wall_speed <= math.sqrt(2 * G * (1.4 + 1 + 0.1 + 1 + 0.5))


def test_no_fall_hits_harder_than_the_bound_of_the_field(straight):
    """The plumb fall is worst where nothing swings; friction over the edge is in both."""
    one = finding(straight, "motion-force")
    high = field_of(straight).force_high[field_of(straight).reached].max()
    assert 0.5 * high < one.inputs["motion_n"] <= high * (1 + 1e-3)
    assert one.high == pytest.approx(max(one.inputs["motion_n"], one.inputs["straight_n"]))


def test_a_fall_is_told_to_meet_what_stands_below_the_eave(aside):
    assert finding(aside, "contact").inputs["outcome"] != "met"
    tank = {"name": "tank", "center": ["6 m", "-0.7 m"], "size": ["1 m", "1.2 m"], "top": "5 m"}
    hit = finding(assessed(line_0__length="5.5 m", plan__swing_drop_limit="5 m", site__obstacle=[tank]), "contact")
    assert hit.verdict is FAILS
    assert hit.inputs["met"] == "tank"
    assert 0 < hit.value <= math.sqrt(2 * G * (1.4 + 6 + 1 + 2))
    assert 5 <= hit.inputs["met_x_m"] <= 7.6


@pytest.mark.parametrize(("limit", "verdict"), [("9 m", HOLDS), ("0.1 m", FAILS)])
def test_speed_into_the_wall_is_held_to_the_jobs_own_swing(limit, verdict):
    """Whoever slides off an eave comes back against the wall under it."""
    one = finding(assessed(gable(plan__swing_drop_limit=limit, **SLICK)), "contact")
    assert one.verdict is verdict
    assert one.limit == pytest.approx(math.sqrt(2 * G * float(limit.split()[0])))


def test_a_run_whose_energy_does_not_balance_is_asked_about_and_gives_no_number(monkeypatch):
    real = motions.motion

    def off(*given, **named):
        found = real(*given, **named)
        lost = np.zeros(len(found), bool)
        nothing = np.full(len(found), np.nan)
        return replace(
            found, solved=lost, energy_error=np.full(len(found), 0.02), peak_force=nothing, wall_speed=nothing,
            met_speed=nothing, swing=nothing, drag_length=nothing, drag_work=nothing, drag_peak_tension=nothing,
        )  # fmt: skip

    monkeypatch.setattr(motions, "motion", off)
    found = moving(assessed())
    for kind in ("contact", "rest", "motion-force", "sawing"):
        assert found[kind].verdict is ASK
        assert "2.0% off" in found[kind].summary
        assert found[kind].value is None
        assert found[kind].decide


@pytest.mark.parametrize(("told", "verdict"), [(True, HOLDS), (False, FAILS), (None, ASK)])
def test_a_dragged_rope_asks_whether_the_edge_is_protected(told, verdict):
    raw = plain(line_0__length="5.5 m")
    line = {key: value for key, value in raw["line"][0].items() if key != "edge_protection"}
    raw["line"] = [line if told is None else {**line, "edge_protection": told}]
    found = moving(assessed(raw))
    assert found["sawing"].verdict is verdict
    assert found["rub"].verdict is verdict
    # from 4.5 m aside the bend goes toward the foot of the anchor, at least some of the way
    assert found["sawing"].value > 0.5
    assert found["sawing"].inputs["peak_tension_n"] > 0.5 * 100 * G
    assert any("no document" in source.document for source in found["sawing"].sources)


def test_two_workers_have_findings_of_their_own():
    raw = plain(crew=workers("one", "one"))
    ids = [one.id for one in assessed(raw).findings]
    assert len(ids) == len(set(ids))
    assert {"contact/w1", "contact/w2"} <= set(ids)


def test_the_same_job_twice_is_followed_alike(straight):
    again = assessed()
    assert [one for one in again.findings if one.id.split("/")[0] in KINDS] == [
        one for one in straight.findings if one.id.split("/")[0] in KINDS
    ]


def test_a_mend_of_what_was_followed_is_proven_with_the_falls_followed_again():
    """A shorter line keeps the worker from the edge, where nothing is met."""
    raw = gable(plan__swing_drop_limit="0.1 m", **SLICK)
    mended = finding(assessed(raw, remedies=True), "contact")
    assert mended.verdict is FAILS
    assert mended.remedy.proven
    raw["line"] = [{**raw["line"][0], "length": mended.remedy.change["line[0].length"]}]
    after = moving(assessed(raw))
    assert "contact" not in after or after["contact"].verdict is HOLDS


# the slide -----------------------------------------------------------------------------------------------------------


def test_a_slide_is_followed_from_rest_down_the_roof_and_over_the_eave():
    found = assessed(gable(**SLICK))
    slide = next(fall for fall in found.followed if fall.asked == "slide")
    rise = 4 * math.tan(math.radians(35)) - 0.2 * 4
    from_edge = [fall for fall in found.followed if "slide" not in fall.asked]
    assert max(fall.slide_speed for fall in from_edge) == pytest.approx(math.sqrt(2 * G * rise), rel=0.02)
    assert slide.solved
    assert slide.wall_speed > 1 or slide.met


def test_rougher_roofing_lets_nobody_slide():
    raw = gable()
    found = assessed({**raw, "roof": {**raw["roof"], "slide_friction": "0.9"}})
    assert all(fall.slide_speed == 0 for fall in found.followed)
    assert all(fall.asked != "slide" for fall in found.followed)


# over the ridge -------------------------------------------------------------------------------------------------------


def test_a_worker_can_pass_the_ridge_and_fall_over_the_other_eave():
    """Anchor 1 m south of the ridge: to the ridge and down the north slope it is 1 + 4 m in plan, over cos 35."""
    way = 5 / math.cos(math.radians(35))
    longer, shorter = (
        assessed(gable(anchor_0__at=["6 m", "3 m"], line_0__length=f"{way - 0.5 + more:.3f} m"), remedies=False)
        for more in (0.3, -1.2)
    )
    assert "north eave" in finding(longer, "reach").inputs["edges"]
    assert "north eave" not in finding(shorter, "reach").inputs["edges"]
    field = field_of(longer)
    north = [i for i, name in enumerate(field.edge) if name == "north eave" and field.reached[i]]
    assert field.taut[north].min() == pytest.approx(way, abs=1e-3)
    assert np.isfinite(field.force_high[north]).all()


def test_friction_of_a_ridge_makes_a_fall_beyond_it_harder():
    """Without an absorber less rope works: the ridge turns it by twice the pitch, over a fifth of its length."""
    raw = gable(anchor_0__at=["6 m", "3 m"], line_0__length="6.5 m")
    raw["lanyard"] = {"l": {"length": "0.5 m", "strength": "25 kN"}}
    field = field_of(assessed(raw))
    job = job_from_mapping(raw)
    from ropewright.job.rig import rigs_of
    from ropewright.job.work import Work

    work = Work()
    over = work.over(job, rigs_of(job)[0])
    i = min((i for i, name in enumerate(field.edge) if name == "north eave"), key=lambda i: abs(field.points[i, 0] - 6))
    south = min(
        (i for i, name in enumerate(field.edge) if name == "south eave"), key=lambda i: abs(field.points[i, 0] - 6)
    )
    legs = np.array([1.0, 4.0])
    assert over.upstream[i] == pytest.approx(math.radians(70) * legs[0] / legs.sum(), rel=1e-3)
    assert over.upstream[south] == 0


def test_ranges_stay_in_order(aside):
    for one in moving(aside).values():
        if one.low is not None:
            assert Range(one.low, one.value, one.high)
