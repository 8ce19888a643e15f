"""A job that names gear and people of the record: its plan takes them as they stand, and is made anew with them."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from ropewright import __version__
from ropewright.web.jobs.recorded import made_by, recorded_for

EXAMPLE = (Path(__file__).parents[2] / "examples/gable-house.toml").read_text(encoding="utf-8")
TAGGED = EXAMPLE.replace('[[line]]\nname = "blue"', '[[line]]\nname = "blue"\ntag = "R-001"', 1)
ROPE = {"kind": "rope", "tag": "R-001", "fibre": "polyester", "length_m": "15 m", "strength_n": "29 kN", "wear": "new"}


@pytest.fixture
def store(client):
    assert client.send("/gear/new", ROPE).status_code == 303
    return client.app.state.store


def version_of(client, text):
    made = client.api("POST", "/api/jobs", {"text": text})
    assert made.status_code == 201, made.text
    return client.app.state.store.jobs.version(made.json()["number"])


def test_plan_that_names_nothing_depends_on_the_program_alone(client, store):
    assert made_by(store, version_of(client, EXAMPLE)) == __version__
    assert recorded_for(store, version_of(client, EXAMPLE)) is None


def test_plan_that_names_gear_is_made_anew_when_the_record_grew(client, store):
    version = version_of(client, TAGGED)
    before = made_by(store, version)
    client.send("/gear/R-001/do/quarantine", {"reason": "acid on it"})
    assert made_by(store, version) != before


def test_what_the_record_says_goes_from_process_to_process(client, store):
    recorded = recorded_for(store, version_of(client, TAGGED))
    again = pickle.loads(pickle.dumps(recorded))
    assert again.head == recorded.head
    assert again.gear["R-001"].standing == "received"


def test_plan_fails_by_gear_that_is_quarantined(client, store):
    from ropewright.job.ask_record import ask_about_record
    from ropewright.job.opened import opened_job
    from ropewright.job.real_gear import with_record

    client.send("/gear/R-001/do/quarantine", {"reason": "acid on it"})
    with opened_job(TAGGED, {}) as job:
        found = list(ask_about_record(with_record(job, recorded_for(store, version_of(client, TAGGED)))))
    assert any(one.verdict.value == "fails" and "R-001" in one.id + one.summary for one in found)
