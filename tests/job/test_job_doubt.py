"""Share of draws that hold on the plain job, against closed forms and against the verdicts at the unsafe end.

Absorber at 4 kN that opens at most 1 m, 100 kg, free for 2.5 m at the foot of the south eave (see `test_falls`).
Undamped elastic rope: F = m g (1 + sqrt(1 + 2 h k / (m g))), every text on strength of materials.
29 CFR 1926.502(d)(16)(ii): 1,800 lbf on a person, 8,006.8 N.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_jobs import plain

from ropewright.arrest.part_sets import model_errors
from ropewright.field import RopeOver
from ropewright.job import job_from_mapping
from ropewright.job.catching import rope_and_fall
from ropewright.job.clearance import Clearances, clearances
from ropewright.job.doubt import draws_that_hold, share_that_holds
from ropewright.job.falls import Falls, falls_over
from ropewright.job.model import Job
from ropewright.job.rig import Rig, rigs_of
from ropewright.job.work import Work

LIMIT = 8006.7989


class Case(NamedTuple):
    """What a share is worked out from."""

    job: Job
    rig: Rig
    over: RopeOver
    falls: Falls
    clear: Clearances

    @property
    def reached(self):
        return self.falls.geometry.reached

    @property
    def falls_and_length(self):
        return self.falls.geometry, self.falls.length


def case(**changes: object) -> Case:
    """Falls of the one worker of the plain job, with changes."""
    job, work = job_from_mapping(plain(**changes)), Work()
    rig = rigs_of(job)[0]
    edges, over = work.edges(job), work.over(job, rig)
    falls = falls_over(job, rig, edges, over, work.below(job))
    return Case(job, rig, over, falls, clearances(job, rig, falls, work.floors(job)))


def test_an_edge_that_is_not_reached_holds_in_every_draw():
    found = case(crew_0__mass="80 kg to 120 kg")
    share = share_that_holds(*found, draws=64)
    assert not found.reached.all()
    for values in share:
        assert values.shape == found.reached.shape
        assert (values[~found.reached] == 1.0).all()


def test_what_holds_at_the_unsafe_end_holds_in_every_draw():
    """Absorber with room to open, 10 m down: no draw is past the worst corner."""
    found = case(
        crew_0__mass="80 kg to 100 kg",
        lanyard__l__absorber={"force": "4 kN", "length": "3 m"},
        roof__eave_height="14 m",
    )
    assert (share_that_holds(*found, draws=256).share == 1.0).all()


def test_share_is_that_of_plain_random_draws_of_the_closed_form():
    """No absorber and room enough: the mass, the edge's friction and the law's own error decide over the force."""
    found = case(
        lanyard__l={"length": "0.5 m", "strength": "25 kN"},
        crew_0__mass="60 kg to 90 kg to 140 kg",
        rope__r__stiffness="14 kN",
        roof__eave_height="30 m",
    )
    i = int(np.nanargmax(found.falls.geometry.free_fall))
    fall, near, far, turn = (values[i] for values in rope_and_fall(found.rig, found.over, *found.falls_and_length))
    random, n, error = np.random.default_rng(3), 40_000, model_errors()["rope/undamped peak"].value
    mass, friction, more = (
        random.triangular(one.low, one.likely, one.high, n)
        for one in (found.rig.worker.mass, found.rig.friction, error)
    )
    weight, rate = mass * 9.80665, 14e3 / (near + far * np.exp(-friction * turn))
    force = more * weight * (1 + np.sqrt(1 + 2 * (fall + 0.1) * rate / weight))
    share = share_that_holds(*found, draws=1024)
    assert 0.2 < (force <= LIMIT).mean() < 0.8
    assert share.low[i] < (force <= LIMIT).mean() < share.high[i]


def test_no_draw_holds_where_the_book_needs_more_than_there_is():
    found = case(crew_0__mass="80 kg to 120 kg", lanyard__l__absorber={"force": "4 kN", "length": "3 m"})
    room = found.falls.available[found.reached]
    short = replace(found.clear, book=found.falls.available + 0.01)
    assert np.isfinite(room).all()
    assert not draws_that_hold(*found[:4], short, draws=16)[:, found.reached].any()


def test_no_draw_holds_over_a_floor_that_nobody_told():
    found = case(crew_0__mass="80 kg to 120 kg")
    untold = replace(found.clear, floor_known=np.zeros_like(found.clear.floor_known))
    assert not draws_that_hold(*found[:4], untold, draws=16)[:, found.reached].any()


def test_the_same_draws_come_on_every_run_and_for_any_choice_of_points():
    found = case(crew_0__mass="80 kg to 120 kg", roof__eave_height="5.2 m")
    first, again = (draws_that_hold(*found, draws=64) for _ in range(2))
    np.testing.assert_array_equal(first, again)
    other = draws_that_hold(*found, draws=64, seed=1)
    assert other.shape == first.shape


@settings(max_examples=8, deadline=None)
@given(height=st.floats(4.2, 7.0), more=st.floats(0.05, 0.6))
def test_more_room_below_never_holds_in_fewer_draws(height: float, more: float):
    low, high = (case(crew_0__mass="80 kg to 120 kg", roof__eave_height=f"{h:.4f} m") for h in (height, height + more))
    assert (share_that_holds(*low, draws=64).share <= share_that_holds(*high, draws=64).share).all()


@pytest.mark.parametrize("draws", [64, 512])
def test_confidence_interval_covers_the_share_and_narrows_with_draws(draws: int):
    found = case(crew_0__mass="80 kg to 120 kg", roof__eave_height="5.4 m")
    share = share_that_holds(*found, draws=draws)
    assert (share.low <= share.share).all()
    assert (share.share <= share.high).all()
    assert (share.high - share.low <= 2.1 / np.sqrt(draws)).all()
