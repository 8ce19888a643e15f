"""Where the stopper is tied for each area: no longer than holds, no longer than the area needs.

On the plain flat roof the rope to the back of someone who stands w from the anchor is hypot(w, 1.4 m), to the feet w.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from plain_jobs import assessed, plain, workers

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
