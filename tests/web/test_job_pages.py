"""Jobs: made, looked at, changed, compared, put away; nothing is lost and nothing is overwritten."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from ropewright.job import new_job_text
from ropewright.web.work import State

TEXT = new_job_text("metric")
HOUSES = Path(__file__).parents[1] / "data"


@pytest.fixture
def job(client):
    """A job made of the example, number 1."""
    assert client.send("/jobs/example").headers["location"].endswith("/jobs/1")
    return client


def upload(client, content, name="barn.toml", **more):
    files = {"file": (name, content, "application/toml"), **more}
    return client.send("/jobs/upload", files=files)


def planned(client, address="/jobs/1"):
    """Page of a plan once it is worked out."""
    client.get(address)
    work = client.app.state.works.find(1)
    assert client.app.state.works.plans.wait(work.number, 300).state is State.DONE
    return client.get(address)


def test_list_says_how_to_begin(client):
    assert "There is no job yet" in client.get("/jobs").text


def test_example_is_in_the_list_and_marked_as_not_worked_out(job):
    page = job.get("/jobs").text
    assert 'href="/jobs/1"' in page
    assert "not worked out yet" in page
    assert "A. Roofer" in page


def test_job_file_goes_in_and_comes_out_the_same(client):
    assert upload(client, TEXT).status_code == 303
    answer = client.get("/jobs/1/file")
    assert answer.text == TEXT
    assert 'filename="new-job.toml"' in answer.headers["content-disposition"]


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        ("x = ", "barn.toml", "TOML is broken"),
        ("[job]\nname = 3", "barn.toml", "job.name"),
        (b"\xff\xfe\x00", "barn.toml", "its content is not what its name says"),
        (TEXT, "barn.pdf", "ends in .toml"),
        ("", "", "choose a file"),
        (TEXT.replace('"3 m"', '"3"'), "barn.toml", "give a length with its unit"),
    ],
    ids=["broken", "faults", "bytes", "ending", "none", "unit"],
)
def test_bad_upload_says_what_is_wrong(client, content, name, said):
    page = upload(client, content, name)
    assert page.status_code == 422
    assert said in page.text
    assert "There is no job yet" in client.get("/jobs").text


@pytest.mark.parametrize("name", ["/etc/passwd", "../../etc/passwd", "record.db"])
def test_job_that_names_a_file_of_this_machine_is_refused(client, name):
    text = re.sub(
        r"\[roof\].*?\[\[roof.opening\]\]", f'[roof]\nfile = "{name}"\n\n[[roof.opening]]', TEXT, flags=re.DOTALL
    )
    page = upload(client, text)
    assert page.status_code == 422
    assert "attach this file to the job" in page.text
    assert "root:" not in page.text


def test_copy_is_a_job_of_its_own(job):
    assert job.send("/jobs/1/copy").headers["location"].endswith("/jobs/2")
    assert 'name = "New job, copy"' in job.get("/jobs/2/file").text
    assert job.get("/jobs/1/file").text == TEXT


def test_job_begun_in_the_drawing_is_drawn_over_the_invented_example(client):
    assert client.send("/jobs/draw").headers["location"].endswith("/jobs/1/draw")
    assert "invented = true" in client.get("/jobs/1/file").text


def test_job_put_away_comes_back(job):
    job.send("/jobs/1/archive", {"archived": "yes"})
    assert 'href="/jobs/1"' not in job.get("/jobs").text
    assert 'href="/jobs/1"' in job.get("/jobs?archived=yes").text
    job.send("/jobs/1/archive", {"archived": "no"})
    assert 'href="/jobs/1"' in job.get("/jobs").text


def test_changed_text_is_a_further_version(job):
    changed = TEXT.replace("New job", "Mill barn")
    sent = job.send("/jobs/1/text", {"text": changed, "note": "named", "based_on": "1"})
    assert sent.status_code == 303
    page = job.get("/jobs/1/versions").text
    assert "Version 2" in page
    assert "named" in page
    assert job.get("/jobs/1/file?version=1").text == TEXT


def test_wrong_text_comes_back_as_it_was_typed(job):
    page = job.send("/jobs/1/text", {"text": "[job]\nname = 'mine'", "based_on": "1"})
    assert page.status_code == 422
    assert "name = &#39;mine&#39;" in page.text
    assert job.get("/jobs/1/file").text == TEXT


def test_change_based_on_an_older_state_is_refused(job):
    for name in ("one", "two"):
        sent = job.send("/jobs/1/text", {"text": TEXT.replace("New job", name), "based_on": "1"})
    assert sent.status_code == 422
    assert "made version 2 meanwhile" in sent.text
    assert 'name = "one"' in job.get("/jobs/1/file").text


def test_what_is_typed_is_there_again_after_a_reload(job):
    kept = job.send("/drafts/job-1-text", {"text": "half a th", "note": "n", "based_on": "1"})
    assert kept.status_code == 200
    page = job.get("/jobs/1/text").text
    assert "half a th" in page
    assert "did not keep" in page
    job.send("/jobs/1/text/again")
    assert "half a th" not in job.get("/jobs/1/text").text


@pytest.mark.parametrize(
    "address",
    [
        "/jobs/9", "/jobs/0", "/jobs/-1", "/jobs/99999999999999999999", "/jobs/x", "/jobs/1?version=2",
        "/jobs/1?version=99999999999999999999", "/jobs/9/text", "/jobs/9/versions", "/jobs/1/compare?old=7",
        "/jobs/9/file",
    ],
)  # fmt: skip
def test_what_is_not_there_is_not_found(job, address):
    assert job.get(address).status_code == 404


def test_roof_file_is_kept_with_its_job(job):
    files = {"roof": ("../corners.csv", b"x,y,z\n", "text/csv")}
    assert job.send("/jobs/1/files", files=files).status_code == 303
    assert job.app.state.store.jobs.files(1) == {"corners.csv": b"x,y,z\n"}


def test_roof_file_of_no_known_kind_is_refused(job):
    page = job.send("/jobs/1/files", files={"roof": ("run.exe", b"MZ", "x/y")})
    assert page.status_code == 422
    assert job.app.state.store.jobs.files(1) == {}


def test_plan_shows_its_findings_worst_first_and_comes_on_paper(client):
    """One plan for all that it must show, since working it out takes seconds."""
    upload(client, (Path(__file__).parents[2] / "examples/l-hip-metric.toml").read_text(encoding="utf-8"))
    assert 'data-work="/api/work/1"' in client.get("/jobs/1").text
    page = planned(client).text
    order = re.findall(r'<summary><span class="verdict"><span class="hatch hatch-(\w+)"', page)
    rank = {"fails": 0, "ask": 1, "doubtful": 2, "holds": 3}
    assert [rank[one] for one in order] == sorted(rank[one] for one in order)
    assert "<svg" in page
    assert " style=" not in page  # the policy would drop it
    assert client.get("/jobs/1/plan.pdf").content.startswith(b"%PDF")
    assert client.get("/jobs/1/findings.json").json()["format"].startswith("ropewright-findings")
    assert f"hatch-{order[0]}" in client.get("/jobs").text
    _mend_first(client, page)


def _mend_first(client, page):
    """Apply the first mend: a further version that says so, and the finding then holds."""
    finding = re.search(r'name="finding" value="([^"]+)"', page)[1]
    sent = client.send("/jobs/1/mend", {"version": "1", "finding": finding})
    assert sent.status_code == 303
    address = sent.headers["location"]
    assert address == "/jobs/1/compare?old=1&new=2"
    client.get(address)
    work = client.app.state.works.plans.of_key("plan/1/2/metric")
    assert client.app.state.works.plans.wait(work.number, 300).state is State.DONE
    compared = client.get(address).text
    assert "<ins>" in compared
    content = client.app.state.store.plans.find(1, 2, "metric", program=client.app.version).content
    assert [one["verdict"] for one in content["findings"] if one["id"] == finding] in (["holds"], [])
    again = client.send("/jobs/1/mend", {"version": "1", "finding": finding})
    assert again.status_code == 409  # somebody made version 2 meanwhile


def test_plan_of_a_job_can_be_stopped_and_begun_again(job):
    job.get("/jobs/1")
    assert job.send("/work/1/stop").headers["location"] == "/jobs/1?version=1"
    page = job.get("/jobs/1")
    assert "was stopped" in page.text
    assert job.send("/jobs/1/plan", {"version": "1"}).status_code == 303
    assert "data-work" in job.get("/jobs/1").text


def test_draws_are_a_further_version_and_wait_in_no_ones_way(job):
    sent = job.send("/jobs/1/draws", {"version": "1", "draws": "64"})
    assert sent.status_code == 303
    assert "draws = 64" in job.get("/jobs/1/file").text
    job.get("/jobs/1")
    assert job.app.state.works.long.of_key("plan/1/2/metric") is not None


@pytest.mark.parametrize("draws", ["-1", "many", "10001", "1e3"])
def test_number_of_draws_that_is_none_changes_nothing(job, draws):
    page = job.send("/jobs/1/draws", {"version": "1", "draws": draws})
    assert page.status_code == 422
    assert "whole number" in page.text
    assert job.app.state.store.jobs.job(1).version == 1


def test_drawing_in_an_older_encoding_is_taken(job):
    files = {"roof": ("house.dxf", "999\nété\n0\nEOF\n".encode("latin-1"), "x/y")}
    assert job.send("/jobs/1/files", files=files).status_code == 303


def test_plan_is_worked_out_in_the_units_chosen(job):
    job.send("/settings", {"person": "A. Roofer", "units": "us"})
    job.get("/jobs/1")
    assert job.app.state.works.plans.find(1).key == "plan/1/1/us"


@pytest.mark.parametrize("form", ["..", "a/b", "A", "x" * 61, "a--b"])
def test_form_of_no_such_name_keeps_nothing(job, form):
    assert job.send(f"/drafts/{form}", {"a": "b"}).status_code in (404, 405)


def test_more_than_anybody_types_is_not_kept(job):
    assert job.send("/drafts/job-new", {"a": "x" * 700_000, "b": "x" * 700_000}).status_code == 413


def test_name_with_markup_is_shown_as_text(client):
    upload(client, TEXT.replace("New job", "<script>alert(1)</script>"))
    for address in ("/jobs", "/jobs/1", "/jobs/1/text", "/jobs/1/versions"):
        assert "<script>alert" not in client.get(address).text


def test_nothing_changes_without_the_token(job):
    for address in ("/jobs/1/copy", "/jobs/1/archive", "/jobs/example", "/jobs/1/mend", "/jobs/1/text"):
        assert job.post(address, data={"archived": "yes", "text": "x"}).status_code == 403
    assert [one.number for one in job.app.state.store.jobs.listed()] == [1]
