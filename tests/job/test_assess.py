"""What an assessment says of a whole job, on the plain job changed in one thing at a time.

Limits by hand: 29 CFR 1926.502(d)(16): 1,800 lbf on the body, 6 ft of free fall; (d)(15): 5,000 lbf for each worker on
an anchor. Everything that nobody told, and that the pack has no figure for, must come out as a question.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_jobs import PLAIN, assessed, field_of, finding, plain, workers

from ropewright.findings import SEVERITY, Verdict, worst
from ropewright.job import assess, job_from_mapping
from ropewright.job.assessment import Zone
from ropewright.rules import pack_names

LBF, FOOT = 4.4482216152605, 0.3048
HOLDS, FAILS, ASK, DOUBTFUL = Verdict.HOLDS, Verdict.FAILS, Verdict.ASK, Verdict.DOUBTFUL


def kinds(assessment):
    return Counter(one.id.split("/")[0] for one in assessment.findings)


# what a number is held against ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("line", "verdict"), [("2.7 m", HOLDS), ("3.5 m", FAILS)], ids=["1.4 m free", "2.5 m free"])
def test_free_fall_is_held_against_six_feet(line, verdict):
    free_fall = finding(assessed(line_0__length=line), "free-fall")
    assert (free_fall.verdict, free_fall.limit) == (verdict, pytest.approx(6 * FOOT))


def test_a_lock_that_is_only_sometimes_late_leaves_doubt():
    """1.31 m of geometry and up to 0.6 m to lock: 6 ft is met at the likely end only."""
    free_fall = finding(assessed(line_0__length="2.7 m", grab__g__lock="0 m to 0.1 m to 0.6 m"), "free-fall")
    assert free_fall.verdict is DOUBTFUL
    assert free_fall.value < free_fall.limit < free_fall.high


def test_a_force_that_only_the_unsafe_end_makes_too_high_leaves_doubt():
    """At 1.5 m of length the absorber takes up the fall; at 0.2 m it runs out and the rope stops the rest."""
    absorber = {"force": "4 kN", "length": "0.2 m to 1.5 m to 1.6 m"}
    rig = {"l": {"length": "0.5 m", "strength": "25 kN", "absorber": absorber}}
    force = finding(assessed(lanyard=rig), "arrest-force")
    assert force.verdict is DOUBTFUL
    assert force.value == pytest.approx(4000)
    assert force.limit == pytest.approx(1800 * LBF)


def test_a_restrained_worker_has_no_falls_and_that_is_said_with_its_margin():
    """Rope of 2.2 m, edge 3 m away: 0.8 m is missing, 0.2 m more than the margin of 0.6 m."""
    held = assessed(line_0__length="1.7 m")
    reach = finding(held, "reach")
    assert (reach.verdict, reach.value, reach.margin) == (HOLDS, pytest.approx(0.8), pytest.approx(0.2))
    assert not field_of(held).reached.any()
    assert not {"free-fall", "arrest-force", "clearance-book", "swing"} & set(kinds(held))


def test_short_of_the_edge_by_less_than_the_margin_is_not_restrained():
    reach = finding(assessed(line_0__length="2.2 m"), "reach")
    assert (reach.verdict, reach.margin) == (DOUBTFUL, pytest.approx(-0.3))


def test_with_no_margin_asked_a_rope_that_just_reaches_is_judged_not_restrained():
    just = assessed(line_0__length="2.5 m", plan__restraint_margin="0 m")
    assert "Reaches south eave" in finding(just, "reach").summary
    assert "free-fall" in kinds(just)


def test_a_line_shorter_than_its_lanyard_is_worked_out_like_any_other():
    assert finding(assessed(line_0__length="0.2 m"), "reach").verdict is HOLDS
    assert finding(assessed(line_0__length="0 m"), "reach").value == pytest.approx(2.5)


# anchors and lines ---------------------------------------------------------------------------------------------------


def shared_anchor(strength, **rest):
    lines = [{**PLAIN["line"][0], "name": name} for name in ("one", "two")]
    return assessed(line=lines, crew=workers("one", "two"), anchor_0__strength=strength, **rest)


@pytest.mark.parametrize(("strength", "verdict"), [("44.5 kN", HOLDS), ("44 kN", FAILS)])
def test_two_on_an_anchor_need_twice_5000_lbf(strength, verdict):
    assert finding(shared_anchor(strength), "anchor-strength/a").verdict is verdict


def test_two_on_an_anchor_are_held_against_a_figure_that_counts_them():
    """AS/NZS 1891.4: 15 kN for one, 21 kN for two persons, each of the whole anchor."""
    pack = {"job": {"name": "plain", "units": "metric", "rules": "australia-nz"}, "facts": {"state": "Queensland"}}
    two = finding(shared_anchor("20 kN", **pack), "anchor-strength/a")
    one = finding(assessed(anchor_0__strength="20 kN", **pack), "anchor-strength/a")
    assert (two.verdict, two.value, two.limit) == (FAILS, 20e3, 21e3)
    assert (one.verdict, one.limit) == (HOLDS, 15e3)


def test_two_on_one_line_fail_and_the_line_is_asked_once():
    both = assessed(crew=workers("one", "one"))
    assert finding(both, "users-per-line/one").verdict is FAILS
    assert finding(both, "anchor-strength/a").inputs["n"] == 2
    assert kinds(both)["rigged-strength"] == 1
    assert [row.verdict for row in both.rig] == [FAILS, FAILS]


def test_a_designed_anchor_is_held_against_its_factor_and_the_forces_worked_out():
    def designed(strength):
        given = {"anchor_0__designed_by": "engineer", "anchor_0__design_factor": "2", "line_0__length": "2.7 m"}
        return assessed(anchor_0__strength=strength, **given)

    # 4 kN on average, 1.25 times that at its peak
    assert finding(designed("10.1 kN"), "anchor-strength").verdict is HOLDS  # by its factor, not by 5,000 lbf
    assert finding(designed("10.1 kN"), "anchor-force").limit == pytest.approx(2 * 5000)
    assert finding(designed("10.1 kN"), "anchor-force").verdict is HOLDS
    assert finding(designed("9.9 kN"), "anchor-force").verdict is DOUBTFUL
    assert finding(designed("7.9 kN"), "anchor-force").verdict is FAILS


def test_a_certificate_without_a_factor_leaves_the_anchor_to_5000_lbf():
    weak = assessed(anchor_0__designed_by="engineer", anchor_0__strength="10 kN")
    assert finding(weak, "anchor-strength").verdict is FAILS


def test_an_allowable_figure_is_never_held_against_an_ultimate_one():
    assert finding(assessed(anchor_0__basis="allowable"), "anchor-strength").verdict is ASK


def test_the_rig_table_names_each_workers_own_worst_edge():
    """One anchor, one worker restrained, one not: the restrained one has no worst edge."""
    lines = [{**PLAIN["line"][0], "name": "short", "length": "1.7 m"}, {**PLAIN["line"][0], "name": "long"}]
    rows = assessed(line=lines, crew=workers("short", "long")).rig
    assert [row.worst_edge for row in rows] == ["none", "south eave"]


# overhead lines ------------------------------------------------------------------------------------------------------


def wire(y, z=8, voltage="7.2 kV", **more):
    points = [["-20 m", f"{y} m", f"{z} m"], ["30 m", f"{y} m", f"{z} m"]]
    return {"name": "wire", "voltage": voltage, "points": points, **more}


def test_distance_to_a_wire_is_from_the_whole_body_less_its_reach():
    """Wire 5 m out at mid-body height: 5 m less 0.9 m of reach; 10 ft are asked for."""
    near = finding(assessed(site__power_line=[wire(-5, z=4.8)]), "power-line")
    assert near.value == pytest.approx(5 - 0.9)
    assert (near.verdict, near.limit) == (HOLDS, pytest.approx(10 * FOOT))
    assert finding(assessed(site__power_line=[wire(-3.9, z=4.8)]), "power-line").verdict is FAILS


def test_a_restrained_worker_is_held_against_a_wire_over_the_roof():
    """Roof at 6 m, head at 6 + 1.4 + 0.4 m, wire at 9 m over the anchor: 1.2 m, less 0.9 m of reach."""
    held = assessed(line_0__length="1.7 m", site__power_line=[wire(3, z=9)])
    near = finding(held, "power-line-on-roof")
    assert (near.verdict, near.value) == (FAILS, pytest.approx(0.3, abs=0.02))


def test_a_wire_confirmed_dead_is_not_measured_and_is_said():
    dead = assessed(site__power_line=[wire(-2, confirmed_dead_by="the operator")])
    assert not {"power-line", "power-line-on-roof"} & set(kinds(dead))
    assert any("wire" in one and "the operator" in one for one in dead.assumed)


# nothing holds by absence --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pack", pack_names())
def test_with_every_pack_force_free_fall_and_wires_are_answered(pack):
    answered = assessed(job={"name": "p", "units": "metric", "rules": pack}, site__power_line=[wire(-5)])
    for kind in ("free-fall", "arrest-force", "power-line", "power-line-on-roof", "clearance-book", "swing"):
        assert kinds(answered)[kind] == 1, kind


@pytest.mark.parametrize("pack", ["eu-uk", "canada", "australia-nz"])
def test_where_a_pack_has_no_figure_it_is_asked_at_every_edge(pack):
    answered = assessed(job={"name": "p", "units": "metric", "rules": pack}, site__power_line=[wire(-9)])
    field = field_of(answered)
    assert all(SEVERITY[field.verdict[i]] >= SEVERITY[ASK] for i in np.flatnonzero(field.reached))
    assert finding(answered, "power-line").verdict is ASK
    assert finding(answered, "power-line").decide


def test_an_edge_at_which_only_a_wire_has_no_figure_is_asked_for_the_wire():
    """Queensland's figures for fall and force are met; the pack says nothing of overhead lines."""
    pack = {"job": {"name": "p", "units": "metric", "rules": "australia-nz"}, "facts": {"state": "Queensland"}}
    field = field_of(assessed(**pack, line_0__length="2.7 m", site__power_line=[wire(-9)]))
    reached = np.flatnonzero(field.reached)
    assert {(field.verdict[i], field.reason[i]) for i in reached} == {(ASK, "power-line")}


@pytest.mark.parametrize("pack", pack_names())
def test_what_nobody_has_told_is_asked_with_every_pack(pack):
    raw = plain(job={"name": "p", "units": "metric", "rules": pack})
    silent = {key: value for key, value in raw.items() if key not in ("answers", "rescue")}
    line = {key: value for key, value in raw["line"][0].items() if key not in ("end_stop", "edge_protection")}
    crew = [{key: value for key, value in raw["crew"][0].items() if key != "trained_on"}]
    asked = assessed({**silent, "line": [line], "crew": crew})
    told = assessed(raw)
    for fact in ("roof_sound", "rescue_planned", "end_stop", "line_padded", "trained"):
        unanswered = [one for one in asked.findings if one.formula.startswith(f"{fact} is ")]
        assert unanswered, fact
        assert all(one.verdict is ASK and one.decide for one in unanswered), fact
        assert not any(
            one.verdict is ASK and "Nobody" in one.summary
            for one in told.findings
            if one.formula.startswith(f"{fact} is ")
        )


def test_a_limit_whose_case_is_not_told_is_asked_and_names_what_to_tell():
    """EN 795: 12 kN, 18 kN if the anchor is of textile; 14 kN is between the two."""
    pack = {"job": {"name": "p", "units": "metric", "rules": "eu-uk"}, "anchor_0__strength": "14 kN"}
    untold = finding(assessed(**pack), "anchor-strength")
    assert untold.verdict is ASK
    assert "anchor_of_textile" in untold.decide
    assert finding(assessed(**pack, facts={"anchor_of_textile": False}), "anchor-strength").verdict is HOLDS


def test_a_limit_from_memory_is_asked_when_met_and_fails_when_it_is_not():
    pack = {"job": {"name": "p", "units": "metric", "rules": "eu-uk"}, "line_0__length": "2.7 m"}
    assert finding(assessed(**pack), "arrest-force").verdict is ASK  # 4 kN of 6 kN, EN 363 from memory
    rig = {"l": {"length": "0.5 m", "strength": "25 kN"}}
    assert finding(assessed(**pack, lanyard=rig), "arrest-force").verdict is FAILS


@pytest.mark.parametrize(
    ("key", "field"),
    [("crew", "crew"), ("anchor", "anchor"), ("line", "line")],
    ids=["no crew", "no anchor", "no line"],
)
def test_a_job_without_people_anchors_or_lines_is_refused_by_name(key, field):
    from ropewright.errors import InputErrors

    with pytest.raises(InputErrors) as caught:
        job_from_mapping({**plain(), key: []})
    assert any(error.field == field for error in caught.value.exceptions)


def test_an_anchor_inside_the_building_is_refused_by_its_field():
    from ropewright.errors import InputError, InputErrors

    with pytest.raises((InputError, InputErrors)) as caught:
        assessed(anchor_0__at=["6 m", "3 m", "4 m"])
    told = caught.value.exceptions[0] if isinstance(caught.value, InputErrors) else caught.value
    assert told.field == "anchor[0].at"


# the whole -----------------------------------------------------------------------------------------------------------


def test_the_verdict_of_the_job_is_the_worst_of_its_findings_and_the_worst_stand_first():
    answered = assessed()
    verdicts = [one.verdict for one in answered.findings]
    assert answered.verdict is worst(verdicts)
    assert [SEVERITY[one] for one in verdicts] == sorted((SEVERITY[one] for one in verdicts), reverse=True)


def test_ids_are_unique_and_every_limit_has_a_source():
    for one in assessed(site__power_line=[wire(-5)], crew=workers("one", "one")).findings:
        assert one.limit is None or one.sources, one.id
        assert one.verdict is not ASK or one.decide, one.id
        assert one.question, one.id
        assert one.formula, one.id


def test_the_same_job_twice_gives_the_same_findings():
    raw = plain(crew=workers("one", "one"), site__power_line=[wire(-5)])
    assert assess(job_from_mapping(raw)).findings == assess(job_from_mapping(raw)).findings


def told_in_feet(value):
    """Same tables with every length and force in US units, to all digits."""
    if isinstance(value, dict):
        return {key: told_in_feet(one) for key, one in value.items()}
    if isinstance(value, list):
        return [told_in_feet(one) for one in value]
    if isinstance(value, str) and value.endswith((" m", " kN", " kg")):
        per = {"m": (FOOT, "ft"), "kN": (LBF / 1000, "lbf"), "kg": (0.45359237, "lb")}
        number, unit = value.replace(",", "").split(" ")
        return f"{float(number) / per[unit][0]!r} {per[unit][1]}"
    return value


def test_feet_and_metres_give_the_same_findings():
    raw = plain(line_0__length="4.2 m", site__power_line=[wire(-5)])
    metric = assess(job_from_mapping(raw), remedies=False)
    us = assess(job_from_mapping({**told_in_feet(raw), "job": {**raw["job"], "units": "us"}}), remedies=False)
    assert [one.id for one in us.findings] == [one.id for one in metric.findings]
    for ours, theirs in zip(us.findings, metric.findings, strict=True):
        assert ours.verdict is theirs.verdict, ours.id
        for name in ("value", "low", "high", "limit", "margin"):
            one, other = getattr(ours, name), getattr(theirs, name)
            same = one is other if other is None else one == pytest.approx(other, rel=1e-6, abs=1e-6)
            assert same, (ours.id, name)
        assert ours.where.edge == theirs.where.edge
        if ours.where.point:
            assert ours.where.point == pytest.approx(theirs.where.point, abs=1e-6)


def mirrored(raw):
    """The plain job with x turned about the middle of the roof."""
    at = raw["anchor"][0]["at"]
    return {**raw, "anchor": [{**raw["anchor"][0], "at": [f"{12 - float(at[0].split()[0])} m", at[1]]}]}


def test_a_mirrored_job_gives_the_mirrored_answer():
    raw = plain(anchor_0__at=["3.3 m", "2.4 m"], line_0__length="4 m")
    ours, theirs = (field_of(assessed(one)) for one in (raw, mirrored(raw)))
    there = {(round(float(x), 6), round(float(y), 6)): i for i, (x, y, _) in enumerate(theirs.points)}
    for i, (x, y, _) in enumerate(ours.points):
        j = there[round(12 - float(x), 6), round(float(y), 6)]
        assert ours.reached[i] == theirs.reached[j]
        for name in ("free_fall", "force_high", "needed_book", "needed_high", "swing_drop"):
            one, other = float(getattr(ours, name)[i]), float(getattr(theirs, name)[j])
            assert one == pytest.approx(other, rel=1e-5, abs=1e-5, nan_ok=True), (name, x, y)


def severities(field):
    """Severity of each point; an edge that is not reached is better than any answer."""
    return np.array([-1 if one is None else SEVERITY[one] for one in field.verdict])


@settings(deadline=None, max_examples=8)
@given(length=st.floats(1.0, 7.0), more=st.floats(0.01, 3.0), follows=st.booleans())
def test_a_longer_line_is_never_better(length, more, follows):
    def judged(metres):
        return severities(
            field_of(assessed(line_0__length=f"{metres} m", grab__g__follows=follows, plan__spacing="0.5 m"))
        )

    assert (judged(length + more) >= judged(length)).all()


@settings(deadline=None, max_examples=8)
@given(mass=st.floats(60, 140), more=st.floats(1, 60))
def test_a_heavier_worker_is_never_better(mass, more):
    def field(kilograms):
        return field_of(assessed(crew_0__mass=f"{kilograms} kg", plan__spacing="0.5 m"))

    light, heavy = field(mass), field(mass + more)
    assert (severities(heavy) >= severities(light)).all()
    both = light.reached
    assert (heavy.force_high[both] >= light.force_high[both] * (1 - 1e-6)).all()
    assert (heavy.needed_high[both] >= light.needed_high[both] - 1e-6).all()


def test_no_number_of_the_field_is_infinite_or_missing_where_an_edge_is_reached():
    field = field_of(assessed(line_0__length="5 m"))
    for one in fields(field):
        values = getattr(field, one.name)
        if isinstance(values, np.ndarray) and values.dtype == float and one.name != "power":
            assert np.isfinite(values[field.reached]).all(), one.name


def test_zones_follow_the_rule_from_inside_the_roof():
    """Moved by hand the rope out is 4 m everywhere: nobody on the roof is restrained, and past 4 m nobody gets."""
    zones = assessed().zones[0]
    away = np.linalg.norm(zones.points[:, :2] - [6, 3], axis=1)
    names = np.array(zones.zone)
    assert set(names[away > 4.0 + 1e-6]) == {Zone.OUT_OF_REACH}
    assert set(names[away < 4.0 - 1e-6]) == {Zone.NOT_HELD}
    restrained = assessed(line_0__length="1.7 m").zones[0]
    inside = np.linalg.norm(restrained.points[:, :2] - [6, 3], axis=1) < 2.2 - 1e-6
    assert set(np.array(restrained.zone)[inside]) == {Zone.RESTRAINED}


def test_a_trailing_grab_restrains_a_worker_far_inside():
    """At the anchor the D-ring needs 1.4 m, rope out is 1.4 + 2 x 0.5 m, and the edge is 3 m away: 0.6 m is missing."""
    zones = assessed(grab__g__follows=True, plan__restraint_margin="0.5 m").zones[0]
    nearest = int(np.linalg.norm(zones.points[:, :2] - [6, 3], axis=1).argmin())
    assert zones.zone[nearest] == Zone.RESTRAINED


def test_what_was_taken_as_so_is_said():
    said = " ".join(assessed().assumed)
    for part in ("starts at the edge", "moved by hand", "soffits", "rubs on the edge"):
        assert part in said


def test_progress_is_told_from_nothing_to_the_mends():
    told = []
    assess(job_from_mapping(plain()), progress=lambda doing, share: told.append((doing, share)))
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert all(0 <= share <= 1 for share in shares)
    assert math.isclose(shares[0], 0.1)
