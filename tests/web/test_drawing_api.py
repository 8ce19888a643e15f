"""The drawing's JSON: what can be drawn, falls of a change that is not kept, one fall in time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ropewright.job import read_job
from ropewright.job.assess import worked_out
from ropewright.job.work import Work
from ropewright.web.drawing.shape import lengths_in, tables_of

EXAMPLE = Path(__file__).parents[2] / "examples/gable-house.toml"


@pytest.fixture
def job(client):
    made = client.api("POST", "/api/jobs", {"text": EXAMPLE.read_text(encoding="utf-8")})
    assert made.status_code == 201, made.text
    return made.json()["number"]


def test_drawing_has_tables_lengths_and_falls(client, job):
    told = client.get(f"/api/drawing/{job}").json()
    assert told["tables"]["anchor"][0]["name"] == "west ridge"
    assert told["lengths"]["anchor[0].at[0]"] == pytest.approx(14 * 0.3048)
    assert [one["worker"] for one in told["live"]["workers"]] == ["Sam", "Toni"]


def test_falls_are_those_of_the_plan(client, job):
    told = client.get(f"/api/drawing/{job}").json()["live"]["workers"]
    letters = {None: "n", "holds": "h", "doubtful": "d", "ask": "a", "fails": "f"}
    for shown, one in zip(told, worked_out(read_job(EXAMPLE), Work()), strict=True):
        expected = "".join(letters[v.value if v else None] for v in one.field.verdict)
        assert shown["edges"]["verdict"] == expected
        np.testing.assert_allclose(shown["edges"]["taut_m"], one.field.taut, atol=6e-4)


def test_change_that_is_not_kept_shows_and_is_forgotten(client, job):
    before = client.get(f"/api/drawing/{job}").json()
    moved = client.api(
        "POST", f"/api/drawing/{job}/live", {"based_on": 1, "fields": {"anchor[0].at": ["10 ft", "13 ft"]}}
    )
    assert moved.json()["anchors"][0]["at"][0] == pytest.approx(10 * 0.3048, abs=1e-4)
    assert client.get(f"/api/drawing/{job}").json()["live"] == before["live"]
    assert client.get(f"/api/jobs/{job}").json()["version"] == 1


def test_fault_of_a_change_names_its_field(client, job):
    answer = client.api("POST", f"/api/drawing/{job}/live", {"based_on": 1, "fields": {"roof.eave_height": "high"}})
    assert answer.status_code == 422
    assert [one["field"] for one in answer.json()["errors"]] == ["roof.eave_height"]


def test_path_that_leads_nowhere_is_a_fault(client, job):
    answer = client.api("POST", f"/api/drawing/{job}/live", {"based_on": 1, "fields": {"anchor[7].at": ["1 m", "1 m"]}})
    assert answer.status_code == 422


def test_fall_over_an_edge_point_is_told_in_time(client, job):
    worker = next(
        w for w in client.get(f"/api/drawing/{job}").json()["live"]["workers"] if set(w["edges"]["verdict"]) > {"n"}
    )
    point = next(i for i, letter in enumerate(worker["edges"]["verdict"]) if letter != "n")
    told = client.api(
        "POST", f"/api/drawing/{job}/fall", {"based_on": 1, "worker": worker["worker"], "point": point}
    ).json()
    assert told["time_s"][0] == 0
    assert len(told["place_m"]) == len(told["force_n"]) == len(told["phase"])
    assert told["edge"] == worker["edges"]["edge"]["words"][worker["edges"]["edge"]["at"][point]]


@pytest.mark.parametrize(("worker", "point"), [("Nobody", 0), ("Sam", 999_999)])
def test_fall_that_cannot_be_is_a_fault(client, job, worker, point):
    answer = client.api("POST", f"/api/drawing/{job}/fall", {"based_on": 1, "worker": worker, "point": point})
    assert answer.status_code == 422


def test_drawing_of_no_job_is_not_there(client):
    assert client.get("/api/drawing/77").status_code == 404
    assert client.get("/jobs/77/draw").status_code == 404


def test_stranger_gets_no_drawing(stranger):
    assert stranger.get("/api/drawing/1").status_code == 401


def test_lengths_are_found_however_deep_they_stand():
    tables = tables_of({"roof": {"outline": [["0 m", "3 ft"]], "pitch": "8:12", "form": "hip"}, "job": {"name": "x"}})
    assert lengths_in(tables) == {"roof.outline[0][0]": 0.0, "roof.outline[0][1]": pytest.approx(0.9144)}


def test_flat_roof_faces_nowhere(client, job):
    changes = {"roof.form": "flat", "roof.pitch": "0 deg", "roof.gable_sides": [], "roof.opening": []}
    answer = client.api("POST", f"/api/drawing/{job}/live", {"based_on": 1, "fields": changes})
    assert answer.status_code == 200, answer.text
    assert [one["azimuth_deg"] for one in answer.json()["roof"]["facets"]] == [None]
