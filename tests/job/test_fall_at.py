"""One fall shown in time: the same law as the catch that was judged, and no fall where nobody falls."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from ropewright.arrest.motion_history import MotionPhase
from ropewright.job import changed, job_from_mapping, new_job_text, read_job
from ropewright.job.assess import worked_out
from ropewright.job.work import Work

EXAMPLE = Path(__file__).parents[2] / "examples/gable-house.toml"
HOUSES = Path(__file__).parents[1] / "data/houses"


@pytest.fixture(scope="module")
def shown():
    job, work = read_job(EXAMPLE), Work()
    return job, work, worked_out(job, work)


def test_fall_begins_at_its_edge_and_ends_lower(shown):
    _, work, worked = shown
    one = next(one for one in worked if one.field.reached.any())
    i = int(np.flatnonzero(one.field.reached)[0])
    fall = work.fall_at(one.asked, i)
    assert np.hypot(*(fall.place[0] - one.field.points[i])[:2]) < 0.2
    assert fall.place[:, 2].min() < one.field.points[i, 2]
    assert MotionPhase.CATCH in fall.phase


def test_greatest_force_lies_within_the_spread_that_was_judged_where_swing_adds_little(shown):
    """The catch in three dimensions and the plumb one are the same law (docs/derivations-motion.md)."""
    _, work, worked = shown
    one = next(one for one in worked if one.field.reached.any())
    i = int(np.flatnonzero(one.field.reached)[0])
    fall = work.fall_at(one.asked, i)
    assert 0.8 * one.field.force_low[i] <= fall.force.max() <= 1.2 * one.field.force_high[i]


def test_where_nobody_falls_there_is_no_fall(shown):
    _, work, worked = shown
    one = worked[0]
    i = int(np.flatnonzero(~one.field.reached)[0])
    with pytest.raises(ValueError, match="nobody falls there"):
        work.fall_at(one.asked, i)


def test_work_of_roofs_alone_gives_the_same_falls(shown):
    job, work, worked = shown
    again = worked_out(job, work.of_roofs())
    for one, other in zip(worked, again, strict=True):
        assert one.field.verdict == other.field.verdict
        np.testing.assert_array_equal(one.field.taut, other.field.taut)


def test_work_of_roofs_alone_forgets_anchors(shown):
    _, work, _ = shown
    heads = {key[0] for key in work.of_roofs()._kept}
    assert "paths" not in heads
    assert "solid" in heads


def test_of_two_workers_only_the_one_whose_anchor_moved_is_worked_out_again(shown):
    job, work, (first, second) = shown
    raw = changed(job.raw, "anchor[0].at", ["16 ft", "12 ft"])
    moved = job_from_mapping(raw, path=job.path)
    one, other = worked_out(moved, work)
    assert other is second
    assert one is not first
    for kept, fresh in zip((one, other), worked_out(moved, Work()), strict=True):
        assert kept.field.verdict == fresh.field.verdict
        np.testing.assert_array_equal(kept.field.taut, fresh.field.taut)
        assert kept.zones.zone == fresh.zones.zone
    heavier = job_from_mapping(changed(raw, "crew[1].mass", "300 lb"), path=job.path)
    assert worked_out(heavier, work)[1] is not second


def test_roof_of_a_file_is_worked_out_again_once_the_file_has_changed_under_its_name(tmp_path):
    text = (HOUSES / "house.csv").read_text(encoding="utf-8")
    raw = tomllib.loads(new_job_text("metric"))
    raw = changed({**raw, "roof": {"file": "house.csv"}, "site": {}}, "anchor[0].at", ["4.5 m", "3 m"])
    work, found = Work(), []
    for high in ("6", "6.25"):
        (tmp_path / "house.csv").write_text(text.replace("6", high), encoding="utf-8")
        job = job_from_mapping(raw, path=tmp_path / "job.toml")
        found.append((job.roof.facets[0].ring, work.solid(job)))
    assert not np.array_equal(found[0][0], found[1][0])
    assert found[0][1] is not found[1][1]
    assert work.solid(job_from_mapping(raw, path=tmp_path / "job.toml")) is found[1][1]
