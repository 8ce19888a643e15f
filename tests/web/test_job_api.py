"""Jobs for scripts: strict in what is taken, and every fault is a problem document."""

from __future__ import annotations

import pytest

from ropewright.job import new_job_text
from ropewright.web.work import State

TEXT = new_job_text("metric")


@pytest.fixture
def job(client):
    assert client.api("POST", "/api/jobs", {"text": TEXT, "note": "first"}).status_code == 201
    return client


def test_job_is_made_and_listed(job):
    listed = job.api("GET", "/api/jobs").json()
    assert [(one["number"], one["name"], one["version"], one["by"]) for one in listed] == [
        (1, "New job", 1, "A. Roofer")
    ]


def test_fields_are_replaced_and_comments_stay(job):
    fields = {"line[0].length": "2.00 m", "rescue.by": "crew lead"}
    changed = job.api("PATCH", "/api/jobs/1", {"fields": fields, "based_on": 1}).json()
    assert changed["version"] == 2
    text = job.api("GET", "/api/jobs/1/versions/2").json()["text"]
    assert '"2.00 m"' in text
    assert text.count("#") == TEXT.count("#")


def test_change_based_on_an_older_state_is_a_conflict(job):
    job.api("PUT", "/api/jobs/1", {"text": TEXT.replace("New job", "one"), "based_on": 1})
    late = job.api("PUT", "/api/jobs/1", {"text": TEXT.replace("New job", "two"), "based_on": 1})
    assert late.status_code == 409
    assert late.headers["content-type"] == "application/problem+json"


def test_faults_of_a_text_are_told_with_their_fields(client):
    answer = client.api("POST", "/api/jobs/check", {"text": TEXT.replace('"3 m"', '"3"')})
    assert answer.status_code == 422
    assert "roof.eave_height" in [fault["field"] for fault in answer.json()["errors"]]
    assert client.api("POST", "/api/jobs/check", {"text": TEXT}).json() == {"name": "New job"}


@pytest.mark.parametrize(
    "asked",
    [
        {}, {"text": 3}, {"text": TEXT, "more": 1}, {"text": TEXT, "note": "x" * 201}, {"text": TEXT, "note": "\0"},
        [], None, "text",
    ],
)  # fmt: skip
def test_what_is_not_asked_for_is_refused(client, asked):
    answer = client.api("POST", "/api/jobs", asked)
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"
    assert client.api("GET", "/api/jobs").json() == []


@pytest.mark.parametrize(
    "fields",
    [
        {"nothing[3].x": "1"}, {"": "1"}, {"line[0].length.x": "1"}, {"line.x": "1"}, {"job": None},
        {"job.name": [[[[[[["deep"]]]]]]]}, {"line[999999].a": "1"}, {"job.name": {"a": None}},
    ],
)  # fmt: skip
def test_field_that_leads_nowhere_changes_nothing(job, fields):
    assert job.api("PATCH", "/api/jobs/1", {"fields": fields, "based_on": 1}).status_code == 422
    assert job.api("GET", "/api/jobs/1").json()["version"] == 1


@pytest.mark.parametrize("body", [b'{"text": "\\ud800"}', b"{", b'{"text": NaN}', b"[" * 20_000])
def test_json_that_is_none_is_refused(client, body):
    headers = {"x-csrf-token": client.token(), "content-type": "application/json"}
    assert client.post("/api/jobs", content=body, headers=headers).status_code in (400, 422)


def test_nothing_is_changed_without_the_token(job):
    assert job.post("/api/jobs", json={"text": TEXT}).status_code == 403


def test_nothing_is_told_to_strangers(stranger):
    answer = stranger.get("/api/jobs")
    assert answer.status_code == 401
    assert answer.headers["content-type"] == "application/problem+json"


def test_who_has_no_name_changes_nothing(stranger, settings):
    stranger.get(settings.link)
    answer = stranger.api("POST", "/api/jobs", {"text": TEXT})
    assert answer.status_code == 403
    assert "name" in answer.json()["detail"]


def test_plan_that_is_not_worked_out_is_a_conflict_and_can_be_stopped(job):
    assert job.api("GET", "/api/jobs/1/plan").status_code == 409
    work = job.api("POST", "/api/jobs/1/plan").json()
    assert work["state"] in ("waiting", "working")
    assert job.api("POST", f"/api/work/{work['number']}/stop").json()["state"] == State.STOPPED
    events = job.get(f"/api/work/{work['number']}/events")
    assert events.headers["content-type"].startswith("text/event-stream")
    assert '"state": "stopped"' in events.text


def test_work_that_is_not_there_is_not_found(client):
    assert client.get("/api/work/7").status_code == 404
    assert client.get("/api/work/99999999999999999999").status_code == 422


def test_interface_describes_itself(client):
    paths = client.get("/openapi.json").json()["paths"]
    assert "/api/jobs/{number}" in paths
    assert not [path for path in paths if not path.startswith("/api/")]
