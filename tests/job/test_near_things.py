"""Falls near a thing within reach of the rope are followed, whichever falls are the worst in force, room and swing."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from plain_jobs import assessed, field_of, finding, plain

from ropewright.findings import Verdict
from ropewright.job import assess, changed, job_from_mapping, motions, read_job
from ropewright.job.near_things import Near

GABLE = {"form": "gable", "size": ["12 m", "10 m"], "eave_height": "6 m", "pitch": "25 deg"}
WALL = {"name": "garden wall", "center": ["6 m", "-1 m"], "size": ["12 m", "0.4 m"], "top": "5 m"}
RIDGE = 6 + 5 * math.tan(math.radians(25))
EXAMPLE = Path(__file__).parents[2] / "examples/gable-house.toml"
FAILS, ASK, HOLDS = Verdict.FAILS, Verdict.ASK, Verdict.HOLDS


def walled(x, length, **changes):
    """A gable with a wall 0.8 m from its south eave and the anchor on the ridge."""
    at = [f"{x} m", "5 m", f"{RIDGE!r} m"]
    return plain(roof=GABLE, site__obstacle=[WALL], anchor_0__at=at, line_0__length=f"{length} m", **changes)


def near(assessment, thing):
    return [fall for fall in assessment.followed if fall.asked == f"near {thing}"]


@pytest.mark.parametrize("x", [5.5, 5.0, 4.5])
def test_a_wall_before_an_eave_is_met_though_the_worst_falls_go_over_the_rakes(x):
    """The eave lies as near from each anchor along the ridge; from some the rakes are reached with more rope."""
    met = finding(assessed(walled(x, 4.6)), "contact")
    assert met.verdict is FAILS
    assert met.inputs["met"] == "garden wall"
    assert met.where.edge == "south eave"


def test_every_edge_that_is_reached_has_a_fall_followed_over_it():
    """Whoever slides off the eave meets the wall under it harder than those who go over the rakes, with more rope."""
    found = assessed(roof=GABLE, anchor_0__at=["5 m", "5 m"], line_0__length="4.6 m")
    field = field_of(found)
    assert {fall.edge for fall in found.followed} == {
        name for name, reached in zip(field.edge, field.reached, strict=True) if reached
    }
    fastest = max(found.followed, key=lambda fall: fall.wall_speed)
    assert "eave" in fastest.edge
    assert finding(found, "contact").value == fastest.wall_speed


@pytest.mark.parametrize(
    ("top", "away", "looked"), [("5 m", "-1 m", True), ("2 m", "-1 m", False), ("5 m", "-6 m", False)]
)
def test_a_wall_is_looked_at_where_the_rope_lets_the_feet_down_to_it(top, away, looked):
    """4.6 m and a lanyard of 0.5 m just reach over the eave, 5 m / cos 25 deg off: the rope gives under 2 m more."""
    wall = {**WALL, "top": top, "center": ["6 m", away]}
    raw = {**walled(5.0, 4.6), "site": {"ground": "0 m", "obstacle": [wall]}}
    assert bool(near(assessed(raw), "garden wall")) == looked


@pytest.mark.parametrize(("x", "length"), [(3.0, 5.2), (8.5, 5.0), (10.5, 4.9)])
def test_whatever_any_fall_meets_the_plan_tells(monkeypatch, x, length):
    """The oracle follows every third fall over every edge, and asks of no place whether a thing is near it."""
    raw = walled(x, length)
    told = finding(assessed(raw), "contact")

    def everywhere(asked, rim, around, body, reached):
        return tuple(Near(int(i), "anything", asked.edges.edge_names[i], 0.0) for i in reached[::3])

    monkeypatch.setattr(motions, "near_things", everywhere)
    monkeypatch.setattr(motions, "MOST_FALLS", 1000)
    followed = assessed(raw).followed
    assert len(followed) > 12
    assert {fall.met for fall in followed} >= {"garden wall"}
    assert told.verdict is FAILS
    assert told.inputs["met"] == "garden wall"


def test_a_thing_on_the_roof_is_met_by_who_is_pulled_back_on_to_it():
    """On 2.4 m of line a fall over the rake ends on the north slope, where the chimney stands 0.9 m from the rake."""
    raw = changed(read_job(EXAMPLE).raw, "line[0].length", "7 ft 10.8 in")
    found = assess(job_from_mapping(raw), remedies=False)
    assert near(found, "chimney")
    assert finding(found, "contact").verdict is not HOLDS


def test_a_chimney_behind_the_eave_is_not_looked_at_from_who_hangs_below_it():
    stack = {"name": "stack", "center": ["6 m", "2 m"], "size": ["0.6 m", "0.6 m"], "top": "7 m"}
    found = assessed(line_0__length="4.5 m", site__obstacle=[stack])
    field = field_of(found)
    for fall in near(found, "stack"):  # those whom the rope holds about the edge may come back on to the roof
        taut = field.taut[np.linalg.norm(field.points - fall.point, axis=1).argmin()]
        assert taut > -0.5


def test_falls_too_many_to_follow_are_told_and_asked_about(monkeypatch):
    """A post that swings pass, under a limit that the job sets; all the falls that are followed hold."""
    post = {"name": "post", "center": ["9.5 m", "-1.8 m"], "size": ["0.2 m", "0.2 m"], "top": "13 m"}
    raw = plain(line_0__length="4.5 m", site__obstacle=[post], plan__swing_drop_limit="9 m", roof__eave_height="14 m")
    assert near(assessed(raw), "post")
    free = finding(assessed(raw), "contact")
    assert free.verdict is HOLDS
    monkeypatch.setattr(motions, "MOST_FALLS", 3)
    asked = finding(assessed(raw), "contact")
    assert asked.verdict is ASK
    assert "not followed" in asked.summary
    assert "near post" in asked.summary
    assert "post" in asked.decide


def test_no_more_falls_are_followed_than_told():
    """Posts in a row before the eave, some of which are met."""
    posts = [
        {"name": f"post {k}", "center": [f"{k / 2} m", "-1.5 m"], "size": ["0.2 m", "0.2 m"], "top": "5 m"}
        for k in range(24)
    ]
    found = assessed(line_0__length="5.5 m", site__obstacle=posts)
    assert len(found.followed) == motions.MOST_FALLS
    assert finding(found, "contact").verdict is not HOLDS
