"""Jobs with all their states: none is lost, none is overwritten, and both ways to the tables agree."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count

import pytest
from sqlalchemy import create_engine, inspect

from ropewright.errors import InputError
from ropewright.store import job_schema
from ropewright.store.database import Database
from ropewright.store.job_plans import Drafts, Plan, PlanFiles, Plans
from ropewright.store.jobs import JobChangedError, Jobs, UnknownJobError
from ropewright.store.schema import metadata
from ropewright.store.upgrade import bring_up, upgrade

PLAN, FILES = Plan({"answer": {"verdict": "fails"}}, "<svg/>", "0.1.0"), PlanFiles("{}", b"%PDF")


@pytest.fixture
def database(tmp_path):
    made = Database(tmp_path / "record.db")
    bring_up(made)
    yield made
    made.engine.dispose()


@pytest.fixture
def jobs(database):
    ticks = count()
    return Jobs(database, lambda: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=next(ticks)))


def test_first_version_is_the_text_as_given(jobs):
    job = jobs.create("Barn", "a = 1", by="A. Roofer", note="new")
    assert (job.number, job.version, job.by, job.answer) == (1, 1, "A. Roofer", None)
    assert jobs.version(1).text == "a = 1"


def test_every_state_stays(jobs):
    jobs.create("Barn", "a = 1", by="A")
    jobs.save(1, "Barn 2", "a = 2", by="B", note="longer", based_on=1)
    assert [(one.version, one.text, one.by) for one in jobs.versions(1)] == [(2, "a = 2", "B"), (1, "a = 1", "A")]
    assert jobs.job(1).name == "Barn 2"


def test_change_based_on_an_older_state_is_refused_and_writes_nothing(jobs):
    jobs.create("Barn", "a = 1", by="A")
    jobs.save(1, "Barn", "a = 2", by="B", based_on=1)
    with pytest.raises(JobChangedError, match="B made version 2 meanwhile"):
        jobs.save(1, "Barn", "a = 3", by="C", based_on=1)
    assert jobs.job(1).version == 2


def test_same_text_makes_no_version(jobs):
    jobs.create("Barn", "a = 1", by="A")
    assert jobs.save(1, "Barn", "a = 1", by="B", based_on=1).version == 1


def test_list_shows_the_last_changed_first_and_not_what_was_put_away(jobs):
    for name in ("one", "two", "three"):
        jobs.create(name, "", by="A")
    jobs.save(1, "one", "changed", by="A", based_on=1)
    jobs.archive(2, archived=True)
    assert [job.name for job in jobs.listed()] == ["one", "three"]
    assert [job.name for job in jobs.listed(archived=True)] == ["two"]
    jobs.archive(2, archived=False)
    assert len(jobs.listed()) == 3


@pytest.mark.parametrize("ask", [lambda jobs: jobs.job(9), lambda jobs: jobs.versions(9), lambda jobs: jobs.version(9)])
def test_job_that_is_not_there_is_named(jobs, ask):
    with pytest.raises(UnknownJobError, match="9"):
        ask(jobs)


def test_version_that_is_not_there_is_named(jobs):
    jobs.create("Barn", "", by="A")
    with pytest.raises(UnknownJobError, match="no such version"):
        jobs.version(1, 2)


@pytest.mark.parametrize("name", ["../a.json", "/etc/passwd", ".a", "a/b", "", "a\\b", "a..b", "x" * 101, "nul\0"])
def test_file_of_a_job_has_no_folder(jobs, name):
    jobs.create("Barn", "", by="A")
    with pytest.raises(InputError):
        jobs.keep_file(1, name, b"")
    assert jobs.files(1) == {}


def test_files_of_a_job_come_back_as_they_were(jobs):
    jobs.create("Barn", "", by="A", files={"house.city.json": b"\x00\xff"})
    jobs.keep_file(1, "house.city.json", b"new")
    assert jobs.files(1) == {"house.city.json": b"new"}


def test_plan_gives_its_version_the_answer(jobs, database):
    jobs.create("Barn", "", by="A")
    plans = Plans(database)
    plans.keep(1, 1, "metric", PLAN, FILES, {"verdict": "fails"})
    assert plans.find(1, 1, "metric", program="0.1.0") == PLAN
    assert plans.files(1, 1, "metric") == FILES
    assert jobs.listed()[0].answer == {"verdict": "fails"}


def test_plan_of_another_program_or_in_other_units_is_none(jobs, database):
    jobs.create("Barn", "", by="A")
    Plans(database).keep(1, 1, "metric", PLAN, FILES, {})
    assert Plans(database).find(1, 1, "metric", program="0.2.0") is None
    assert Plans(database).find(1, 1, "us", program="0.1.0") is None


def test_what_is_typed_is_kept_apart_by_person_and_form(database):
    drafts = Drafts(database)
    drafts.keep("A", "job-new", {"name": "Barn"})
    drafts.keep("A", "job-new", {"name": "Barn 2"})
    drafts.keep("B", "job-new", {"name": "other"})
    assert drafts.find("A", "job-new").fields == {"name": "Barn 2"}
    drafts.drop("A", "job-new")
    assert drafts.find("A", "job-new") is None
    assert drafts.find("B", "job-new").fields == {"name": "other"}


def test_tables_are_the_same_whether_made_or_upgraded(tmp_path):
    made = create_engine(f"sqlite:///{tmp_path / 'made.db'}")
    stepped = create_engine(f"sqlite:///{tmp_path / 'stepped.db'}")
    with made.begin() as connection:
        metadata.create_all(connection)
    with stepped.begin() as connection:
        upgrade(connection)
    for table in (job_schema.jobs, job_schema.job_versions, job_schema.job_files, job_schema.job_plans):
        columns = [
            [(one["name"], str(one["type"]), one["nullable"]) for one in inspect(engine).get_columns(table.name)]
            for engine in (made, stepped)
        ]
        assert columns[0] == columns[1]
    made.dispose()
    stepped.dispose()
