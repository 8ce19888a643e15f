"""A layout asked to hold in a share of draws of what is in doubt does, as plans of its lines draw them.

What a line meets at the unsafe end of every input it meets in each draw, since no draw lies beyond; so draws that fail
are made up where the way out of them is tested.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from plain_jobs import plain

from ropewright.job import job_from_mapping, layout_draws
from ropewright.job.assess import drawing_of
from ropewright.job.doubt import draws_that_hold
from ropewright.job.layout import plan_anchors
from ropewright.job.layout_model import Layout, Wanted
from ropewright.job.layout_stops import Near
from ropewright.job.model import Job
from ropewright.job.rig import Rig, rigs_of
from ropewright.job.work import Work

Bools = NDArray[np.bool_]

DRAWS = 1000
ASKED = Wanted(keep=False, share=0.99, draws=DRAWS)


@pytest.fixture(scope="module")
def job() -> Job:
    """A gable of 12 m by 10 m whose worker is in doubt; five places for anchors along its ridge."""
    roof = {"form": "gable", "size": ["12 m", "10 m"], "eave_height": "6 m", "pitch": "25 deg"}
    anchors = {"spacing": "2 m", "places": "1 m", "like": "a"}
    worker = {**plain()["crew"][0], "mass": "80 kg to 130 kg"}  # type: ignore[index]
    return job_from_mapping({**plain(), "roof": roof, "anchors": anchors, "crew": [worker]})


@pytest.fixture(scope="module")
def free(job: Job) -> Layout:
    return plan_anchors(job, Wanted(keep=False))


def over_edges(layout: Layout) -> int:
    """How many lines of a layout reach an edge."""
    return sum(not one.restrained for placed in layout.anchors for one in placed.settings)


def test_the_share_is_that_of_plans_of_its_lines(job: Job) -> None:
    layout = plan_anchors(job, replace(ASKED, draws=64))
    together = np.ones(64, bool)
    for placed in layout.anchors:
        for one in placed.settings:
            anchor = replace(job.anchors[0], point=placed.point)
            alone = replace(job, anchors=(anchor,), lines=(replace(job.lines[0], length=one.stop),))
            (rig,) = rigs_of(alone)
            drawn = drawing_of(alone, Work(), rig)
            together &= draws_that_hold(alone, rig, drawn.over, drawn.falls, drawn.clear, draws=64).all(axis=1)
    assert layout.share == together.mean()
    assert layout.share >= 0.99
    assert layout.holds_in_draws


def made_up(monkeypatch: pytest.MonkeyPatch, lost: Any) -> None:
    """Draws in which a line that reaches an edge is lost: `lost` of the place along the ridge, in draws."""

    def held(_job: Job, _work: Work, rig: Rig, near: Near, stop: float, draws: int) -> Bools:
        found = np.ones(draws, bool)
        if stop + rig.line.lanyard.length >= near.over.nearest.min():
            found[lost(float(near.paths.anchor[0]))] = False
        return found

    monkeypatch.setattr(layout_draws, "draws_held", held)


def test_lines_that_hold_in_too_few_draws_are_shortened(
    job: Job, free: Layout, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert over_edges(free) > 0
    made_up(monkeypatch, lambda _at: slice(0, 20))
    found = plan_anchors(job, ASKED)
    assert over_edges(found) == 0
    assert found.share == 1.0
    assert len(found.uncovered) >= len(free.uncovered)
    assert found.bound <= found.count
    assert found.proven  # no more was asked of a line than of the whole, so that the bound is one


def test_a_few_draws_lost_by_a_line_are_no_reason_to_shorten_it(
    job: Job, free: Layout, monkeypatch: pytest.MonkeyPatch
) -> None:
    made_up(monkeypatch, lambda _at: slice(0, 9))
    found = plan_anchors(job, ASKED)
    assert [one.settings for one in found.anchors] == [one.settings for one in free.anchors]
    assert found.share == pytest.approx(0.991)


def test_lines_that_lose_different_draws_must_each_hold_in_more(
    job: Job, free: Layout, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each loses 9 of 1,000 draws, alone within what is allowed; two of them lose 18 together."""
    assert over_edges(free) >= 2
    made_up(monkeypatch, lambda at: slice(50 * round(at), 50 * round(at) + 9))
    found = plan_anchors(job, ASKED)
    assert found.share is not None
    assert found.share >= 0.99
    assert over_edges(found) <= 1


def test_a_share_that_no_lines_reach_is_told_and_does_not_hold(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    def held(_job: Job, _work: Work, _rig: Rig, _near: Near, _stop: float, draws: int) -> Bools:
        return np.arange(draws) >= draws // 10

    monkeypatch.setattr(layout_draws, "draws_held", held)
    found = plan_anchors(job, ASKED)
    assert found.share == pytest.approx(0.9)
    assert not found.holds_in_draws
    assert not found.holds
