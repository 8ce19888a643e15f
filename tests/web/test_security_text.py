"""What somebody typed is shown as text wherever it is shown: markup in every name and note, and every page walked."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from filled_store import EXAMPLE, fill_jobs, fill_record
from walking import crawled, read, ways

from ropewright.web.app import create_app
from ropewright.web.settings import Settings

CITY = Path(__file__).parents[1] / "data/roofs/denhaag_4b.city.json"
#: Would run as an element, as an attribute in either quotes, as a template and as an address.
EVIL = (
    "<script>zq()</script><img src=x onerror=zq()>\" onfocus=\"zq()' onclick='zq() {{7*7}} javascript:zq() </textarea>"
)
NAME = "<i onclick=zq()>\"x' O"


@pytest.fixture(scope="module")
def evil(client_kind, tmp_path_factory):
    """Somebody with markup for a name, let in to a store in which every text is markup."""
    settings = Settings(place=str(tmp_path_factory.mktemp("evil") / "record.db"), port=8010)
    base = "http://127.0.0.1:8010"
    with client_kind(create_app(settings), base_url=base, follow_redirects=False) as client:
        client.get(settings.link)
        client.send("/settings", {"person": NAME})
        text = evil_job()
        fill_jobs(client, text, note=EVIL, planned=text, units=("metric",))
        fill_record(client, EVIL, NAME)
        client.send("/gear/R-001/do/return", {"uses": "1", "note": EVIL})
        client.send("/gear/R-001/do/quarantine", {"reason": EVIL})
        client.send("/drafts/job-new", {"job.name": EVIL, "anchor[0].name": EVIL})
        yield client


def evil_job() -> str:
    """The example with markup for every name and every free text."""
    words = (
        "Orchard Close, tile repairs", "3 Orchard Close (invented)", "Alex Marsh (invented)", "garage roof", "flue",
        "long ridge", "wing ridge", "ridge purlin", "post bracket bolted through the purlin", "red", "yellow", "Jo",
        "lower on the rescue kit kept at the scaffold tower", "Alex Marsh",
    )  # fmt: skip
    text = EXAMPLE
    for word in words:
        assert f'"{word}"' in text, word
        text = text.replace(f'"{word}"', json.dumps(f"{word} {EVIL}"))
    return text


@pytest.fixture(scope="module")
def walked(evil):
    return list(crawled(evil))


def faults_of_markup(html: str) -> list[object]:
    """Elements and attributes that only what was typed can have brought in."""
    found: list[object] = []
    for tag, told in read(html).tags:
        if (tag == "script" and not told.get("src", "").startswith("/static/")) or told.get("src") == "x" or tag == "i":
            found.append((tag, told))
        found += [(tag, name) for name in told if name.startswith("on") or "zq" in name]
        found += [
            (tag, told) for key in ("href", "action", "src") if told.get(key, "").lower().startswith("javascript:")
        ]
    return found


def test_no_page_takes_what_was_typed_for_markup(walked):
    assert len(walked) > 40
    faults = {
        address: faults_of_markup(answer.text)
        for address, answer in walked
        if answer.headers["content-type"].startswith("text/html")
    }
    assert {address: found for address, found in faults.items() if found} == {}


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("/", NAME), ("/jobs", "zq()"), ("/jobs/1", "long ridge <script>zq()"),
        ("/jobs/1?version=1", "Alex Marsh <script>"),
        ("/jobs/1/text", "<script>zq()"), ("/jobs/1/versions", EVIL), ("/jobs/1/compare", "<script>zq()"),
        ("/jobs/1/draw", "<script>zq()"), ("/jobs/new", EVIL), ("/gear/R-001", EVIL), ("/gear/H-001", EVIL),
        ("/crew", NAME), ("/crew/P-07", EVIL), ("/settings", NAME),
    ],
    ids=lambda one: one[:20],
)  # fmt: skip
def test_what_was_typed_is_there_to_be_read(walked, address, typed):
    """A page that leaves it out would show nothing about whether it is escaped."""
    sheet = read(dict(walked)[address].text)
    shown = "".join(sheet.text) + " ".join(value for _tag, told in sheet.tags for value in told.values())
    assert typed in shown


def test_no_template_is_filled_in_twice(walked):
    assert [address for address, answer in walked if re.search(r"\b49\b javascript:zq", answer.text)] == []


def test_form_shown_again_takes_what_was_typed_for_text(evil, idle):
    """Refused forms come back with what stood in them, in the field and in the fault."""
    keys = (
        "person", "units", "tag", "kind", "code", "name", "mass", "text", "note", "based_on", "job.name", "width", "on",
        "length_m", "most", "draws", "version", "finding", "reason", "to", "within", "trainer", "entry", "why", "whole",
        "answer cuts", "note cuts", "anchors", "workers", "shape", "roof.pitch", "a.mass", "role", "fields", "file",
    )  # fmt: skip
    shown = []
    for way in ways(evil.app):
        if way.changes and not way.route.startswith(("/api/", "/drafts/")):
            answer = evil.send(way.address, dict.fromkeys(keys, EVIL))
            assert answer.status_code < 500, way
            if answer.headers.get("content-type", "").startswith("text/html"):
                assert faults_of_markup(answer.text) == [], way
                shown.append("zq()" in answer.text)
    assert sum(shown) > 5


def test_address_with_markup_is_shown_as_text(evil):
    for way in ways(evil.app):
        if way.method == "GET" and not way.route.startswith(("/api/", "/static/")):
            keys = (
                "search",
                "within",
                "kind",
                "standing",
                "rules",
                "pack",
                "a.mass",
                "b.mass",
                "asked",
                "saved",
                "version",
            )
            for address in (way.address, re.sub(r"{[^}]*}", "%3Cscript%3Ezq()%3C%2Fscript%3E", way.route)):
                answer = evil.get(address, params={**dict.fromkeys(keys, EVIL[:90]), "two": "yes"})
                assert answer.status_code < 500, address
                if answer.headers.get("content-type", "").startswith("text/html"):
                    assert faults_of_markup(answer.text) == [], address


def test_map_takes_what_was_typed_for_text(evil):
    root = ET.fromstring(evil.get("/jobs/1/map.svg").content)
    assert "zq()" in "".join(root.itertext())
    for one in root.iter():
        assert not one.tag.endswith(("}script", "}foreignObject", "}image", "}a"))
        assert not [name for name in one.attrib if name.startswith("on") or name.endswith("href")]


def test_roof_file_and_its_buildings_are_shown_as_text(evil):
    """Names inside a file are somebody's texts too, and so is its own."""
    house = b"GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2"
    content = CITY.read_bytes().replace(house, json.dumps(EVIL)[1:-1].encode())
    name = "<img onerror=zq()>.city.json"
    sent = evil.send("/jobs/from-file", {"length_unit": ""}, files={"file": (name, content, "a/b")})
    assert sent.status_code in (303, 422)
    assert faults_of_markup(sent.text) == []
    sent = evil.send("/jobs/from-file", {"length_unit": ""}, files={"file": ("a.city.json", content, "a/b")})
    address = sent.headers["location"]
    page = evil.get(address)
    assert faults_of_markup(page.text) == []
    assert EVIL in "".join(read(page.text).text)
    taken = evil.send(address, {"building": EVIL, "name": EVIL})
    assert taken.status_code in (303, 422)
    assert faults_of_markup(taken.text) == []
    if taken.status_code == 303:
        for place in (taken.headers["location"], "/jobs"):
            assert faults_of_markup(evil.get(place).text) == []


def test_plan_on_paper_is_made_of_markup_all_the_same(evil):
    assert evil.get("/jobs/1/plan.pdf").content.startswith(b"%PDF")


def test_name_of_a_download_holds_nothing_that_was_typed_but_letters(walked):
    for address, answer in walked:
        told = answer.headers.get("content-disposition")
        assert told is None or re.fullmatch(r'(attachment|inline); filename="[a-z0-9.-]+"', told), address
