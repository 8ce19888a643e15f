"""Clearance by the book and by simulation, on the plain job; sums done by hand.

Foot of the south eave, rope of 4 m to an anchor 3 m in: start 1.4 m, slack 1 m, lock 0.1 m; the fall is free for 2.5 m.
By the book: free fall + deceleration + rope stretch + shift + D-ring height + swing + margin, less the start. Elsewhere
along the eave the rope has less slack and the swing takes the body lower by as much.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from plain_jobs import assessed, field_of, finding, plain, points_on

from ropewright.findings import Verdict
from ropewright.job import job_from_mapping
from ropewright.job.clearance import margin_of

#: 29 CFR 1926.502(d)(16)(iv): 3.5 ft of deceleration; the pack's allowance.
DECELERATION = 1.0668


def test_the_book_sum_is_the_sum_done_by_hand():
    book = finding(assessed(rope__r__stiffness="60 kN"), "clearance-book")
    stretch = book.inputs["rope_stretch_m"]
    by_hand = 2.5 + DECELERATION + stretch + 0.3048 + 1.4 + 0.0 + 1.0 - 1.4
    assert book.high == pytest.approx(by_hand)


def test_the_book_takes_the_absorbers_force_on_the_softest_rope():
    """4 kN on 3.5 m of rope whose softest modulus is M: F L / M."""
    job = job_from_mapping(plain())
    from ropewright.job.catching import parts_of
    from ropewright.job.rig import rigs_of

    softest = parts_of(rigs_of(job)[0]).modulus.low
    book = finding(assessed(), "clearance-book")
    assert book.inputs["rope_stretch_m"] == pytest.approx(4000 * 3.5 / softest)


def test_the_book_counts_what_the_gear_can_open_where_that_is_more_than_the_rule_allows_for():
    longer = {"l": {"length": "0.5 m", "strength": "25 kN", "absorber": {"force": "4 kN", "length": "1.6 m"}}}
    short, long = (finding(assessed(**change), "clearance-book") for change in ({}, {"lanyard": longer}))
    assert long.high - short.high == pytest.approx(1.6 - DECELERATION)


@pytest.mark.parametrize("kind", ["clearance-book", "clearance-simulated"])
def test_the_terms_shown_add_up_to_what_is_needed(kind):
    shown = finding(assessed(line_0__length="5 m"), kind)
    not_terms = {"clearance_needed_m", "clearance_available_m", "d_ring_start_m"}
    terms = {key: value for key, value in shown.inputs.items() if key not in not_terms}
    if "margin_m" in terms:
        terms.pop("margin_below_feet_m")
    assert sum(terms.values()) - shown.inputs.get("d_ring_start_m", 0.0) == pytest.approx(shown.high)


def test_the_simulation_goes_down_by_slack_lock_travel_body_swing_and_margin():
    """An absorber of 4 kN and 981 N of weight: m g (2.5 + d) = 4 kN d, so d = 0.81 m and the rope's stretch besides."""
    simulated = finding(assessed(rope__r__stiffness="14,000 kN"), "clearance-simulated")
    weight = 100 * 9.80665
    opening = weight * 2.5 / (4000 - weight)
    at_least = 1.0 + 0.1 + opening + 1.4 + 0.3 + 0.0 + 1.0
    assert simulated.value >= at_least - 1e-3
    assert simulated.inputs["travel_to_lowest_m"] >= opening - 1e-6
    assert simulated.inputs["drop_to_taut_m"] == pytest.approx(1.0)


def test_both_ways_stand_side_by_side_and_the_worse_rules_each_point():
    """Ground at a height between the two needs: one way holds there, the other does not, and the point goes by it."""
    short = {"line_0__length": "2.7 m"}  # so that free fall and force hold
    book, simulated = (finding(assessed(**short), kind) for kind in ("clearance-book", "clearance-simulated"))
    between = 6 - (book.high + simulated.high) / 2
    both = assessed(site__ground=f"{between} m", **short)
    verdicts = {one.id.split("/")[0]: one.verdict for one in both.findings if one.id.startswith("clearance")}
    worse = "clearance-book" if book.high > simulated.high else "clearance-simulated"
    assert len(verdicts) == 2
    assert {kind for kind, verdict in verdicts.items() if verdict is not Verdict.HOLDS} == {worse}
    field = field_of(both)
    foot = next(i for i in points_on(field, "south eave") if abs(field.points[i, 0] - 6) < 1e-9)
    assert field.verdict[foot] is verdicts[worse]
    assert field.reason[foot] == worse


def test_room_that_is_just_enough_holds_and_a_hand_less_does_not():
    needed = max(finding(assessed(), kind).high for kind in ("clearance-book", "clearance-simulated"))
    for spare, verdicts in ((1e-6, {Verdict.HOLDS}), (-0.05, {Verdict.HOLDS, Verdict.FAILS, Verdict.DOUBTFUL})):
        both = assessed(site__ground=f"{6 - needed - spare:.9f} m")
        found = {finding(both, kind).verdict for kind in ("clearance-book", "clearance-simulated")}
        assert found <= verdicts
        assert (found == {Verdict.HOLDS}) == (spare > 0)


def test_a_porch_roof_takes_the_room_only_where_it_lies():
    porch = {
        "name": "porch roof",
        "height": "3 m",
        "outline": [["0 m", "-2 m"], ["5 m", "-2 m"], ["5 m", "0 m"], ["0 m", "0 m"]],
    }
    field = field_of(assessed(site__level=[porch]))
    eave = np.array(points_on(field, "south eave"))
    over_porch = field.points[eave, 0] <= 5.3 + 1e-9  # a body is 0.3 m wide
    assert set(field.available[eave][over_porch].round(9)) == {3.0}
    assert set(field.available[eave][~over_porch].round(9)) == {6.0}
    assert {field.below[i] for i in eave[over_porch]} == {"porch roof"}


def test_a_swing_into_a_lower_roof_beside_the_start_fails_without_a_limit_that_it_met():
    """From far along the eave back to the foot; the porch begins on the way and reaches up to the body."""
    porch = {"name": "porch roof", "height": "4.5 m", "center": ["6 m", "-1 m"], "size": ["1 m", "2 m"]}
    swing = finding(assessed(site__level=[porch], line_0__length="5.5 m"), "swing")
    assert swing.verdict is Verdict.FAILS
    assert (swing.limit, swing.margin, swing.operator) == (None, None, None)
    assert "porch roof" in swing.summary


def test_an_obstacle_is_met_only_where_the_swing_comes_past_it():
    def hits(x):
        tank = {"name": "tank", "center": [f"{x} m", "0 m"], "size": ["0.4 m", "0.4 m"], "top": "6.5 m"}
        return set(field_of(assessed(site__obstacle=[tank], line_0__length="5.5 m")).hit) - {""}

    assert hits(6) == {"tank"}
    assert hits(11.9) == set()


def test_a_fall_that_nothing_stops_has_room_enough_nowhere(monkeypatch):
    """No rig of today gives one; should the simulation ever fail to answer, that must not look like an answer."""
    from ropewright.job import falls

    real = falls.catch_sliding

    def unsolved(*given):
        caught = real(*given)
        nothing = np.full(len(caught.solved), np.nan)
        spread = type(caught.peak_force)(nothing, nothing, nothing)
        return replace(
            caught, peak_force=spread, lowest=spread, device_travel=spread, solved=np.zeros(len(nothing), bool)
        )

    monkeypatch.setattr(falls, "catch_sliding", unsolved)
    bad = assessed()
    for kind in ("clearance-book", "clearance-simulated", "arrest-force", "deceleration"):
        assert finding(bad, kind).verdict is Verdict.FAILS
    assert "without end" in finding(bad, "arrest-force").summary


def test_the_margin_is_the_jobs_then_the_packs():
    job = job_from_mapping(plain())
    assert margin_of(job)[0] == 1.0
    assert margin_of(replace(job, clearance_margin=None))[0] == pytest.approx(0.9144)  # 3 ft


def test_an_unguarded_skylight_is_asked_for_its_floor_and_judged_once_it_is_told():
    """2.7 m from the anchor, on 2.9 m of rope: all else holds there."""
    hole = [{"name": "skylight", "center": ["6 m", "6.2 m"], "size": ["1 m", "1 m"]}]
    floor = {"name": "attic floor", "height": "5.5 m", "center": ["6 m", "5 m"], "size": ["12 m", "10 m"]}

    def rim(**site):
        field = field_of(assessed(roof__opening=hole, line_0__length="2.4 m", **site))
        rim = [i for i, name in enumerate(field.edge) if name.startswith("skylight")]
        return {field.verdict[i] for i in rim if field.reached[i]}

    assert rim() == {Verdict.ASK}
    assert rim(site__level=[floor]) == {Verdict.FAILS}


def test_a_guarded_skylight_has_no_rim_to_fall_over():
    cover = {"guard": "cover", "cover_capacity": "3 kN", "cover_fixed": True, "cover_marked": True}
    hole = [{"name": "skylight", "center": ["6 m", "2 m"], "size": ["1 m", "1 m"], **cover}]
    assert not any(name.startswith("skylight") for name in field_of(assessed(roof__opening=hole)).edge)


def test_openings_whose_names_begin_alike_are_told_apart():
    """The cover of "hatch" must not hide the rim of "hatch 2"."""
    cover = {"guard": "cover", "cover_capacity": "3 kN", "cover_fixed": True, "cover_marked": True}
    size = {"size": ["1 m", "1 m"]}
    holes = [
        {"name": "hatch", "center": ["3 m", "5 m"], **size, **cover},
        {"name": "hatch 2", "center": ["6 m", "5 m"], **size},
    ]
    names = set(field_of(assessed(roof__opening=holes)).edge)
    assert any(name.startswith("hatch 2 rim") for name in names)
    assert not any(name.startswith("hatch rim") for name in names)


def test_a_covered_opening_does_not_hide_the_eave_whose_name_begins_like_its_own():
    cover = {"guard": "cover", "cover_capacity": "3 kN", "cover_fixed": True, "cover_marked": True}
    hole = [{"name": "south", "center": ["6 m", "5 m"], "size": ["1 m", "1 m"], **cover}]
    field = field_of(assessed(roof__opening=hole))
    assert points_on(field, "south eave")
    assert not any(" rim " in name for name in field.edge)
