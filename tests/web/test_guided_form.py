"""The guided form: every fault at its field, rows more or less, nothing forgotten, nothing assumed."""

from __future__ import annotations

import tomllib

import pytest
from guided_form import FORM

from ropewright.errors import InputErrors
from ropewright.job.file import job_from_mapping
from ropewright.web.jobs.guided import MOST_ROWS, guided_text, rows_of


def raw(**more):
    return tomllib.loads(guided_text({**FORM, **more}, by="A. Roofer"))


def fields(**more):
    """Fields named by the faults of a form."""
    try:
        job_from_mapping(raw(**more))
    except InputErrors as error:
        return {one.field for one in error.exceptions}
    return set()


def test_form_makes_a_job_that_can_be_read():
    assert fields() == set()
    assert raw()["job"] == {"name": "Barn", "units": "metric", "rules": "eu-uk", "prepared_by": "A. Roofer"}
    assert raw()["roof"]["size"] == ["10 m", "8 m"]


@pytest.mark.parametrize(("shape", "corners"), [("L", 6), ("T", 8), ("U", 8)])
def test_shape_becomes_an_outline(shape, corners):
    made = raw(shape=shape, inner_width="4 m", inner_depth="3 m", **{"roof.form": "hip"})
    assert len(made["roof"]["outline"]) == corners


def test_walk_round_the_walls_becomes_an_outline():
    walk = "10 m left\n8 m left\n10 m left\n8 m left 90 deg\n"
    assert len(raw(shape="sides", sides=walk)["roof"]["outline"]) == 4


def test_lengths_are_written_in_the_units_of_the_job():
    assert raw(**{"job.units": "us"})["roof"]["size"] == ["32.8084 ft", "26.2467 ft"]


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("width", "10"), ("width", ""), ("depth", "-3 m"), ("roof.pitch", "30"), ("roof.eave_height", ""),
        ("anchor[0].strength", "22"), ("anchor[0].name", ""), ("rope.main.diameter", "thin"), ("crew[0].mass", ""),
        ("line[0].length", "3 kN"), ("line[0].anchor", "A9"), ("crew[0].trained_on", "soon"), ("job.name", ""),
        ("lanyard.main.length", ""), ("grab.main.lock", "x"),
    ],
)  # fmt: skip
def test_fault_names_the_field_it_was_typed_in(field, text):
    assert field in fields(**{field: text})


def test_all_faults_are_told_at_once():
    assert {"width", "roof.eave_height", "crew[0].mass"} <= fields(
        width="", **{"roof.eave_height": "4", "crew[0].mass": "heavy"}
    )


@pytest.mark.parametrize("walk", ["10 m", "10 left", "10 m up", "10 m left\n8 m left\n10 m left\n7 m left", ""])
def test_walk_that_can_not_be_is_a_fault_of_the_walk(walk):
    assert "sides" in fields(shape="sides", sides=walk)


def test_what_is_left_blank_is_not_said():
    made = raw()
    assert "condition" not in made["rope"]["main"]
    assert "edge_protection" not in made["line"][0]
    assert "answers" not in made


def test_no_grab_is_no_grab():
    made = raw(**{"grab.main.lock": "", "grab.main.slip": "", "grab.main.follows": "yes"})
    assert "grab" not in made
    assert "grab" not in made["line"][0]


def test_gear_goes_to_every_line():
    more = {"workers": "2", "crew[1].name": "B", "crew[1].mass": "90 kg", "crew[1].d_ring": "1.4 m"}
    made = raw(**more, **{"line[1].anchor": "A1", "line[1].length": "2 m"})
    assert [line["connector_strength"] for line in made["line"]] == ["22 kN", "22 kN"]
    assert [member["line"] for member in made["crew"]] == ["L1", "L2"]


@pytest.mark.parametrize(("told", "rows"), [("0", 1), ("3", 3), ("-1", 1), ("x", 1), ("9999", 1), ("999", MOST_ROWS)])
def test_rows_are_bounded(told, rows):
    assert rows_of({"anchors": told}, "anchors") == rows


def test_form_makes_the_job_without_scripts(client):
    assert client.send("/jobs/new", FORM).headers["location"].endswith("/jobs/1")
    assert 'name = "Barn"' in client.get("/jobs/1/file").text


def test_wrong_form_comes_back_with_what_was_typed_and_faults_at_their_fields(client):
    page = client.send("/jobs/new", {**FORM, "roof.pitch": "thirty", "anchor[0].at[0]": "5"})
    assert page.status_code == 422
    assert 'value="thirty"' in page.text
    assert 'id="fault-roof-pitch"' in page.text
    assert 'id="fault-anchor-0-at-0"' in page.text
    assert client.get("/api/jobs").json() == []


def test_one_more_anchor_keeps_what_was_typed(client):
    sent = client.send("/jobs/new", {**FORM, "do": "more-anchors"})
    assert sent.headers["location"] == "/jobs/new#anchors"
    page = client.get("/jobs/new").text
    assert 'name="anchor[1].name"' in page
    assert 'value="Barn"' in page
    client.send("/jobs/new", {**FORM, "anchors": "2", "do": "less-anchors"})
    assert 'name="anchor[1].name"' not in client.get("/jobs/new").text


def test_form_is_there_again_until_it_is_sent(client):
    client.send("/drafts/job-new", {**FORM, "job.name": "Half a bar"})
    assert 'value="Half a bar"' in client.get("/jobs/new").text
    client.send("/jobs/new", FORM)
    assert "Half a bar" not in client.get("/jobs/new").text


def test_nothing_a_life_hangs_on_stands_in_the_form_before_it_is_typed(client):
    page = client.get("/jobs/new").text
    for name in ("anchor[0].strength", "rope.main.strength", "crew[0].mass", "line[0].length", "width"):
        assert f'name="{name}" type="text" value=""' in page
