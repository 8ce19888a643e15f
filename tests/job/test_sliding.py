"""Falls that begin with a slide, on a plain gable: against hand sums, and never better for being faster.

Inclined plane: v^2 / (2 g) = d - mu b. Constant-force absorber on a stiff rope: opening = m g h / (F - m g).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_jobs import assessed, field_of, finding, plain, points_on

from ropewright.job import job_from_mapping
from ropewright.job.falls import falls_over
from ropewright.job.rig import rigs_of
from ropewright.job.work import Work

G = 9.80665
PITCH = 35.0
RISE = math.tan(math.radians(PITCH))
FRICTION = 0.2


def gable(pitch=PITCH, **changes):
    """Gable of 12 m by 8 m; anchor on the ridge, 6 m from both rakes; the line reaches 0.6 m past the eave."""
    roof = {"form": "gable", "size": ["12 m", "8 m"], "eave_height": "6 m", "pitch": f"{pitch} deg"}
    roof |= {"gable_sides": [2, 4], "slide_friction": str(FRICTION)}
    given = {"roof": roof, "anchor_0__at": ["6 m", "4 m"], "line_0__length": "5 m", "plan__spacing": "1 m"}
    return plain(**{**given, **changes})


def falls_of(raw, *, slides=True, stop=None):
    job, work = job_from_mapping(raw), Work()
    rig = rigs_of(job)[0]
    edges, over = work.edges(job), work.over(job, rig)
    starts = work.slides(job, rig) if slides else None
    return edges, falls_over(job, rig, edges, over, work.below(job), stop=stop, slides=starts)


def foot(edges):
    return int(np.linalg.norm(edges.points[:, :2] - [6, 0], axis=1).argmin())


def test_below_the_anchor_a_body_slides_from_the_ridge():
    edges, falls = falls_of(gable())
    i = foot(edges)
    height = 4 * RISE - FRICTION * 4
    assert falls.sliding.speed[i] ** 2 == pytest.approx(2 * G * height, rel=1e-3)
    assert falls.sliding.high[i] == pytest.approx(height, rel=1e-3)
    assert falls.sliding.start[i] == pytest.approx([6, 4, 6 + 4 * RISE], abs=1e-2)
    assert falls.sliding.down[i] == pytest.approx(np.array([0, -1, -RISE]) / math.hypot(1, RISE), abs=1e-3)


def test_speed_opens_the_absorber_as_so_much_more_fall_does():
    """A rope 1,000 times as stiff as any: what is released goes into the absorber alone."""
    raw = gable(rope__r__stiffness="900 kN", lanyard__l__absorber__length="3 m")
    (edges, slid), (_, stood) = falls_of(raw), falls_of(raw, slides=False)
    i = foot(edges)
    more = slid.deceleration[2][i] - stood.deceleration[2][i]
    extra, weight = slid.sliding.high[i], 100 * G
    assert extra > 1.5
    # the law's own error lengthens both openings alike
    factor = stood.deceleration[2][i] / (weight * stood.geometry.free_fall[i] / (4_000 - weight))
    assert more == pytest.approx(factor * weight * extra / (4_000 - weight), rel=0.1)


def test_no_free_fall_of_the_rules_has_the_slide_in_it():
    (_, slid), (_, stood) = falls_of(gable()), falls_of(gable(), slides=False)
    at = stood.geometry.reached
    assert (slid.geometry.reached == at).all()
    assert slid.free_fall[at] == pytest.approx(stood.free_fall[at])
    assert slid.sliding.high[at].max() > 1


def test_on_a_flat_roof_nothing_changes():
    job = plain(line_0__length="4.5 m")
    (_, slid), (_, stood) = falls_of(job), falls_of(job, slides=False)
    assert slid.sliding.speed.max() == 0
    assert np.array_equal(slid.force[2], stood.force[2], equal_nan=True)
    assert np.array_equal(slid.feet[1], stood.feet[1], equal_nan=True)


def test_a_slide_begins_no_further_up_than_the_line_reaches():
    """Anchor at the eave's own height by the wall below: 3.2 m of rope and the lying body end 3.2 m up the slope."""
    raw = gable(anchor_0__at=["6 m", "0.2 m"], line_0__length="2.7 m", plan__spacing="0.5 m")
    edges, falls = falls_of(raw)
    i = foot(edges)
    up = math.hypot(falls.sliding.start[i, 1], falls.sliding.start[i, 2] - 6)
    reach = 2.7 + 0.5 + 0.2 / math.cos(math.radians(PITCH))
    whole = 4 / math.cos(math.radians(PITCH))
    assert reach <= up <= reach + 1.4 + whole / 12  # what the D-ring's height may save, and one start more
    assert up < whole + 1e-6


def test_below_the_anchor_a_trailing_grab_has_speed_or_slack_but_not_both():
    """It lets out two lanyards past where the worker slipped: what they slide down toward the eave is slack no more.

    Dragged along by the longest slide it leaves none; a worker who stands at the edge has what two lanyards leave.
    """
    raw = gable(grab__g__follows=True, line_0__length="9 m")
    edges, falls = falls_of(raw)
    i = foot(edges)
    whole = 4 * RISE - FRICTION * 4
    to_edge, standing = math.hypot(4, 4 * RISE), math.hypot(4, 4 * RISE - 1.4)
    slack = standing + 2 * 0.5 - to_edge
    assert falls.length[i] == pytest.approx(standing + 2 * 0.5, abs=1e-3)
    assert 0 < falls.sliding.high[i] == pytest.approx(whole - slack, abs=1e-2)
    assert falls.sliding.high[i] < whole
    by_hand = falls_of(gable(line_0__length="9 m"))[1]
    assert by_hand.sliding.high[i] == pytest.approx(whole, rel=1e-3)


def test_slipping_far_above_a_low_anchor_leaves_more_slack_than_standing_at_the_edge():
    raw = gable(anchor_0__at=["6 m", "0.2 m"], grab__g__follows=True, line_0__length="9 m")
    edges, falls = falls_of(raw)
    stood = falls_of(raw, slides=False)[1]
    i = foot(edges)
    assert falls.length[i] > stood.length[i] + 1
    assert falls.free_fall[i] > stood.free_fall[i] + 1


MORE = settings(deadline=None, max_examples=6)


def worst(falls):
    at = falls.geometry.reached
    return at, np.where(at, falls.force[2], -np.inf), np.where(at, falls.feet[1], -np.inf)


def never_less(mild, hard):
    (at, force, feet), (_, more_force, more_feet) = worst(mild), worst(hard)
    assert (hard.geometry.reached >= at).all()
    assert (more_force >= force * (1 - 1e-5)).all()
    assert (more_feet >= feet - 1e-5).all()


@MORE
@given(friction=st.floats(0, 0.6), less=st.floats(0, 1), follows=st.booleans())
def test_smoother_roofing_is_never_better(friction, less, follows):
    raw = gable(grab__g__follows=follows)
    rough, smooth = (
        falls_of({**raw, "roof": {**raw["roof"], "slide_friction": f"{mu:.6f}"}})[1]
        for mu in (friction, friction * less)
    )
    never_less(rough, smooth)


@MORE
@given(stop=st.floats(3.8, 6.5), more=st.floats(0.01, 2), follows=st.booleans())
def test_a_longer_line_is_never_better(stop, more, follows):
    raw = gable(grab__g__follows=follows, line_0__length="9 m")
    short, long = (falls_of(raw, stop=one)[1] for one in (stop, stop + more))
    at, _, feet = worst(short)
    assert (long.geometry.reached >= at).all()
    assert (worst(long)[2] >= feet - 1e-5).all()
    assert (long.sliding.speed >= short.sliding.speed - 1e-9).all()
    assert (long.length >= short.length - 1e-9).all()


@MORE
@given(pitch=st.floats(5, 55), more=st.floats(0.5, 10))
def test_a_steeper_roof_is_never_slower(pitch, more):
    flat, steep = (falls_of(gable(pitch=one, line_0__length="9 m"))[1] for one in (pitch, pitch + more))
    assert steep.sliding.speed.max() >= flat.sliding.speed.max() - 1e-9


def test_a_fall_with_a_slide_is_never_milder_than_one_without():
    for follows in (False, True):
        raw = gable(grab__g__follows=follows, line_0__length="6 m")
        never_less(falls_of(raw, slides=False)[1], falls_of(raw)[1])


def test_the_field_carries_speed_and_start():
    field = field_of(assessed(gable()))
    south = [i for i in points_on(field, "south eave") if field.reached[i]]
    assert field.slide_speed[south].max() > 5
    assert (field.slide_from[south, 2] > 6).all()


def test_the_plan_says_what_it_takes_slides_to_be():
    answered = assessed(gable())
    said = " ".join(answered.assumed)
    assert "0.20" in said
    assert "judge" not in next(text for text in answered.assumed if "slip" in text)
    assert "judgement" in next(text for text in assessed().assumed if "slip" in text)
    assert finding(answered, "arrest-force").inputs["slide_speed_m_s"] > 0
