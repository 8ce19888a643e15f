"""Pages of gear: in, inspected, handed out, back, fallen on, with what each piece allows."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from ropewright.store.gear_points import points_of
from ropewright.store.gear_words import gear_kinds

ROPE = {
    "kind": "rope", "tag": "R-001", "fibre": "polyester", "construction": "sheathed core", "stretch": "low-stretch",
    "diameter_m": "11 mm", "length_m": "60 m", "strength_n": "30 kN", "strength_basis": "maker's minimum",
    "end_1": "sewn eye", "made": "2026-01-10", "life_by_age": "10 years", "wear": "new",
}  # fmt: skip


@pytest.fixture
def rope(client):
    assert client.send("/gear/new", ROPE).status_code == 303
    return client


def answers(kind="rope", look="inspect", **but):
    points = points_of(gear_kinds()[kind], before_use=look == "check")
    return {f"answer {point.key}": but.get(point.key, "na" if point.may_not_apply else "ok") for point in points}


def standing(client, tag="R-001"):
    return re.search(r'class="standing"><b>([^<]+)</b>', client.get(f"/gear/{tag}").text)[1]


def test_piece_taken_in_has_a_page_with_what_was_told(rope):
    text = rope.get("/gear/R-001").text
    assert "polyester" in text
    assert "60.0 m" in text or "60.00 m" in text
    assert standing(rope) == "received"


def test_fault_of_a_field_is_told_at_it_and_what_was_typed_stays(client):
    answer = client.send("/gear/new", {**ROPE, "length_m": "60"})
    assert answer.status_code == 422
    assert 'id="fault-length_m"' in answer.text
    assert 'value="30 kN"' in answer.text


def test_inspection_with_a_fault_takes_the_piece_out_of_service(rope):
    assert rope.send("/gear/R-001/inspect", {**answers(cuts="fault"), "note cuts": "nick at 12 m"}).status_code == 303
    assert standing(rope) == "quarantined"
    assert "fault at cuts (nick at 12 m)" in rope.get("/gear/R-001").text


def test_point_left_open_is_not_in_order(rope):
    told = answers()
    del told["answer cuts"]
    rope.send("/gear/R-001/inspect", told)
    assert "not answered: cuts" in rope.get("/gear/R-001").text


def test_photo_is_kept_and_shown(rope):
    picture = io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(picture, "PNG")
    files = {"photo cuts": ("nick.png", picture.getvalue(), "image/png")}
    assert rope.send("/gear/R-001/inspect", answers(cuts="fault"), files=files).status_code == 303
    address = re.search(r'src="(/gear/photo/[0-9a-f]{64})"', rope.get("/gear/R-001").text)[1]
    shown = rope.get(address)
    assert shown.headers["content-type"] == "image/png"
    assert shown.content == picture.getvalue()


def test_what_is_no_picture_is_refused_and_nothing_is_written(rope):
    files = {"photo cuts": ("nick.png", b"#!/bin/sh", "image/png")}
    assert rope.send("/gear/R-001/inspect", answers(), files=files).status_code == 422
    assert standing(rope) == "received"


def test_piece_goes_out_and_comes_back(rope):
    rope.send("/gear/R-001/inspect", {**answers(), "wear": "good", "competent": "course of 2026"})
    assert rope.send("/gear/R-001/do/start").status_code == 303
    assert rope.send("/gear/R-001/do/issue", {"to": "P-07", "job": "Mill Lane"}).status_code == 303
    assert standing(rope) == "issued"
    assert rope.send("/gear/R-001/do/return", {"uses": "1", "sun": "9 h"}).status_code == 303
    assert standing(rope) == "in service"


def test_fall_sends_to_quarantine_and_the_page_says_it_may_not_be_used(rope):
    rope.send("/gear/R-001/do/start")
    rope.send("/gear/R-001/do/fall", {"note": "slip at the eave"})
    assert standing(rope) == "quarantined"
    assert "It may not be used" in rope.get("/gear/R-001").text


def test_what_a_piece_does_not_allow_is_told_and_its_form_stays_open(rope):
    answer = rope.send("/gear/R-001/do/return", {"uses": "2"})
    assert answer.status_code == 422
    assert "received" in answer.text


def test_release_needs_its_reasons(rope):
    rope.send("/gear/R-001/do/quarantine", {"reason": "acid on it"})
    assert rope.send("/gear/R-001/do/release", {"finding": ""}).status_code == 422
    assert standing(rope) == "quarantined"


def test_list_finds_by_words_and_standing(rope):
    assert "R-001" in rope.get("/gear", params={"search": "polyester"}).text
    assert "R-001" not in rope.get("/gear", params={"search": "aramid"}).text
    assert "R-001" not in rope.get("/gear", params={"standing": "retired"}).text


def test_due_list_tells_the_end_of_a_life(rope):
    assert "R-001" in rope.get("/gear/due", params={"within": "10 years"}).text
    assert "R-001" not in rope.get("/gear/due", params={"within": "1 day"}).text
    assert rope.get("/gear/due", params={"within": "soon"}).status_code == 422


@pytest.mark.parametrize("address", ["/gear/Z-9", "/gear/Z-9/inspect", "/gear/photo/" + "0" * 64, "/gear/R-001/paint"])
def test_what_is_not_there_is_not_there(rope, address):
    assert rope.get(address).status_code == 404


@pytest.mark.parametrize("kind", list(gear_kinds()))
def test_every_kind_has_a_form(client, kind):
    assert client.get(f"/gear/new?kind={kind}").status_code == 200


def test_pages_carry_the_head_of_the_record(rope):
    with rope.app.state.store.record.read() as view:
        head = view.head()
    text = rope.get("/gear/R-001").text
    assert f"{head.count} entries" in text
    assert head.hash[:16] in text
