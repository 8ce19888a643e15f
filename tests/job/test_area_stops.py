"""Where the stopper is tied for each area: no longer than holds, no longer than the area needs.

On the plain flat roof the rope to the back of someone who stands w from the anchor is hypot(w, 1.4 m), to the feet w.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from plain_jobs import assessed, plain, workers

from ropewright.findings import Verdict
from ropewright.job.assessment import AreaStop


def stops(*areas: dict[str, Any], **changes: Any) -> dict[str, AreaStop]:
    (row,) = assessed({**plain(**changes), "area": list(areas)}).rig
    return {stop.area: stop for stop in row.areas}


NEAR = {"name": "near", "center": ["6 m", "3.5 m"], "size": ["2 m", "1 m"]}
FAR = {"name": "far", "center": ["6 m", "8 m"], "size": ["10 m", "3 m"]}


def test_the_longest_that_holds_is_the_same_for_all_areas() -> None:
    found = stops(NEAR, FAR)
    (row,) = assessed({**plain(), "area": [NEAR, FAR]}).rig
    assert found["near"].length_holds == found["far"].length_holds
    assert found["near"].length_holds is not None
    assert row.length_holds is not None
    assert found["near"].length_holds <= row.length_holds


def test_an_area_that_needs_less_is_worked_in_on_less() -> None:
    """The furthest place of a grid of 0.2 m in the near area: 1 m along, 1 m up the roof, at most a step off."""
    near = stops(NEAR, line_0__length="1.5 m")["near"]
    least, most = (math.hypot(math.hypot(w, w), 1.4) - 0.5 for w in (0.8, 1.0))
    assert near.length_reaches is not None
    assert least <= near.length_reaches <= most + 0.01
    assert near.length_to_tie == pytest.approx(min(near.length_reaches, 1.5))
    assert near.reached == pytest.approx(1.0)


def test_what_is_not_reached_is_told_as_a_share() -> None:
    far = stops(FAR)["far"]
    assert far.length_reaches is not None
    assert far.length_holds is not None
    assert far.length_to_tie == far.length_holds < far.length_reaches
    assert 0.0 <= far.reached < 1.0


def test_a_setting_that_ends_inside_the_margin_of_an_edge_is_shortened() -> None:
    """The south eave is 3 m away; 2.2 m and a lanyard of 0.5 m end 0.3 m short of it, the margin is 0.6 m."""
    near = stops(FAR, line_0__length="2.2 m")["far"]
    assert near.length_to_tie == pytest.approx(3.0 - 0.6 - 0.5)


def test_lengths_are_rounded_down() -> None:
    far = stops(FAR, line_0__length="1.2345 m")["far"]
    assert far.length_to_tie == pytest.approx(1.23)


def test_only_the_areas_that_a_worker_works_in_are_told() -> None:
    line = plain()["line"][0]  # type: ignore[index]
    raw = {**plain(), "line": [line, {**line, "name": "two"}], "crew": workers("one", "two")}
    rows = assessed({**raw, "area": [{**NEAR, "crew": ["w2"]}, FAR]}).rig
    assert [[stop.area for stop in row.areas] for row in rows] == [["far"], ["near", "far"]]


def test_without_areas_there_is_nothing_to_tell() -> None:
    (row,) = assessed().rig
    assert row.areas == ()


# falls in three dimensions -------------------------------------------------------------------------------------------

#: A gable over which a slide ends in a fall that flies out from the eave, and a wall 0.8 m beside that eave.
GABLE = {"form": "gable", "size": ["12 m", "10 m"], "eave_height": "6 m", "pitch": "25 deg"}
WALL = {"name": "garden wall", "center": ["6 m", "-1 m"], "size": ["12 m", "0.4 m"], "top": "5 m"}


def walled(length: str, *walls: dict[str, Any], **changes: Any) -> Any:
    anchor = {**plain()["anchor"][0], "at": ["6 m", "5 m"]}  # type: ignore[index]
    raw = plain(line_0__length=length, **changes)
    return assessed({**raw, "roof": GABLE, "site": {"ground": "0 m", "obstacle": list(walls)}, "anchor": [anchor]})


def refuses(assessment: Any) -> list[str]:
    return [one.id for one in assessment.findings if one.verdict in (Verdict.FAILS, Verdict.DOUBTFUL)]


def test_the_longest_that_holds_meets_nothing_in_three_dimensions() -> None:
    """4.59 m from the ridge a slide ends over the eave; what it meets there is no matter of the edge alone."""
    (free,) = walled("4.59 m").rig
    assert free.length_holds == pytest.approx(4.59)
    plan = walled("4.59 m", WALL)
    assert "contact/w" in refuses(plan)
    (row,) = plan.rig
    assert row.length_holds is not None
    assert row.length_holds < 4.59
    assert not refuses(walled(f"{row.length_holds!r} m", WALL))


def test_a_limit_on_the_swing_shortens_the_longest_that_holds_to_where_its_speed_is_kept() -> None:
    """The speed of a drop of 1.2 m is sqrt(2 g 1.2 m) = 4.85 m/s: longer lines slide over the eave faster."""
    (row,) = walled("4.59 m", plan__swing_drop_limit="1.2 m").rig
    assert row.length_holds is not None
    assert row.length_holds < 4.59
    assert not refuses(walled(f"{row.length_holds!r} m", plan__swing_drop_limit="1.2 m"))
