"""Every page that a link leads to, in both languages and both units: whole, labelled, cautioned, nothing missing."""

from __future__ import annotations

import re

import pytest
from walking import BLANKS, Sheet, crawled, read, ways

from ropewright.sheets.ink import CAUTION

#: Words of the program for what isn't there; no page may show them to anybody.
_NOTHING = re.compile(
    r"\b(None(?! [a-z]|\. [A-Z])|nan|NaN|undefined|Undefined|inf|Infinity|null)\b"
    r"|\{\{|\}\}|%\(\w+\)s|<built-in|object at 0x"
)
_SPOKEN = [("en", "metric"), ("en", "us"), ("es", "metric"), ("es", "us")]


@pytest.fixture(scope="module")
def pages(filled) -> dict[tuple[str, str], dict[str, tuple[str, Sheet]]]:
    """Address -> text and parts of every whole page, by language and units."""
    found = {}
    for language, units in _SPOKEN:
        filled.send("/settings", {"person": "A. Roofer", "language": language, "units": units})
        found[language, units] = {
            address: (answer.text, read(answer.text))
            for address, answer in crawled(filled)
            if answer.status_code == 200 and answer.text.startswith("<!doctype html>")
        }
    filled.send("/settings", {"person": "A. Roofer", "language": "en", "units": "job"})
    return found


@pytest.fixture(params=_SPOKEN, ids=[f"{language}-{units}" for language, units in _SPOKEN])
def spoken(request, pages):
    return request.param[0], pages[request.param]


def test_every_link_leads_somewhere(filled):
    faults = [(address, answer.status_code) for address, answer in crawled(filled) if answer.status_code != 200]
    assert faults == []


def test_walk_finds_every_group_of_pages(pages):
    """A walk that finds nothing would find nothing wrong."""
    for sheets in pages.values():
        begun = {address.split("/")[1].partition("?")[0] for address in sheets}
        assert begun >= {"jobs", "gear", "crew", "fall", "rules", "settings"}
        assert len(sheets) > 40


def test_pages_are_the_same_in_every_language(pages):
    assert len({frozenset(address.partition("?")[0] for address in sheets) for sheets in pages.values()}) == 1


def test_page_says_which_language_it_speaks(spoken):
    language, sheets = spoken
    assert [a for a, (_text, sheet) in sheets.items() if dict(sheet.tags)["html"].get("lang") != language] == []


def test_page_has_one_heading_of_the_first_rank_and_a_title(spoken):
    _language, sheets = spoken
    assert [address for address, (_text, sheet) in sheets.items() if sheet.count("h1") != 1] == []
    titles = {
        address: re.search("<title>(.*?) · Ropewright</title>", text, re.DOTALL)
        for address, (text, _sheet) in sheets.items()
    }
    assert [address for address, title in titles.items() if title is None or not title[1].strip()] == []


def test_page_carries_the_caution_in_its_language(spoken):
    language, sheets = spoken
    for address, (_text, sheet) in sheets.items():
        assert sheet.caution.strip(), address
        assert (sheet.caution.strip() == CAUTION) is (language == "en"), address


def test_page_shows_no_word_of_the_program_for_nothing(spoken):
    _language, sheets = spoken
    shown = {address: sorted(set(_NOTHING.findall(" ".join(sheet.text)))) for address, (_text, sheet) in sheets.items()}
    assert {address: words for address, words in shown.items() if words} == {}


def test_every_control_has_a_label(spoken):
    _language, sheets = spoken
    bare = {address: sheet.unlabelled() for address, (_text, sheet) in sheets.items()}
    assert {address: controls for address, controls in bare.items() if controls} == {}


def test_no_id_stands_twice(spoken):
    _language, sheets = spoken
    for address, (_text, sheet) in sheets.items():
        ids = [told["id"] for _tag, told in sheet.tags if "id" in told]
        assert sorted({one for one in ids if ids.count(one) > 1}) == [], address


def test_what_is_named_by_id_is_there(spoken):
    """Hints, faults and headings that a control or a region is told by."""
    _language, sheets = spoken
    for address, (_text, sheet) in sheets.items():
        ids = {told["id"] for _tag, told in sheet.tags if "id" in told}
        for tag, told in sheet.tags:
            named = [
                one
                for key in ("for", "aria-describedby", "aria-labelledby", "list")
                for one in told.get(key, "").split()
            ]
            assert set(named) <= ids, (address, tag, told)


def test_every_form_that_changes_something_carries_the_token(spoken):
    _language, sheets = spoken
    for address, (text, _sheet) in sheets.items():
        for form in re.findall(r"<form[^>]*method=\"post\".*?</form>", text, re.DOTALL):
            assert 'name="csrf_token" value="' in form, address


def test_pages_of_the_record_carry_its_head(filled, spoken):
    """Whatever shows entries says how many there are and the last hash, so that a print can be held against it."""
    _language, sheets = spoken
    with filled.app.state.store.record.read() as view:
        head = view.head()
    showing = [address for address, (text, _sheet) in sheets.items() if 'class="history"' in text]
    listing = ["/gear", "/gear/due", "/crew"]
    assert {"/gear/R-001", "/gear/H-001", "/crew/P-07"} <= set(showing)
    for address in (*showing, *listing):
        assert head.hash[:16] in sheets[address][0], address
        assert str(head.count) in sheets[address][0], address


def test_figures_follow_the_units(pages):
    metric, us = (" ".join(pages["en", units]["/gear/R-001"][1].text) for units in ("metric", "us"))
    assert " kN" in metric
    assert " lbf" in us


def test_page_that_no_link_led_to_answers_all_the_same(filled):
    """Blanks filled with what is in the store or can't be there: found, not found or refused, never broken."""
    for way in ways(filled.app):
        if way.method == "GET":
            assert filled.get(way.address).status_code < 500, way
    assert filled.get("/jobs/{number}/draw".format(**BLANKS)).status_code == 200
