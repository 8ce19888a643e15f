"""Pages of the rules packs: each limit with its clause, packs side by side, nothing looser than the pack says."""

from __future__ import annotations

import html

import pytest

from ropewright.rules import load_pack, pack_names
from ropewright.rules.words import demand_text


@pytest.mark.parametrize("name", pack_names())
def test_every_limit_of_a_pack_stands_on_its_page_with_its_clause(client, name):
    text = html.unescape(client.get(f"/rules/{name}").text)
    for limit in load_pack(name).limits:
        assert demand_text(limit).replace("_", " ") in text
        assert limit.source.clause in text


def test_unknown_pack_is_no_page(client):
    assert client.get("/rules/atlantis").status_code == 404


def test_side_by_side_shows_both_figures_of_the_gate(client):
    """29 CFR 1910.140(c)(8) asks 3,600 lbf of a gate; Subpart M gives no figure (both as the packs have them)."""
    query = {"pack": ["us-construction", "us-general-industry"], "search": "gate strength"}
    text = client.get("/rules/compare", params=query).text
    assert "at least 3,600 lbf is needed" in text
    assert "no figure in this text" in text


def test_only_what_differs_is_less_than_all(client):
    query = {"pack": ["us-construction", "us-general-industry"]}
    all_of_it = client.get("/rules/compare", params=query).text
    some = client.get("/rules/compare", params={**query, "differing": "yes"}).text
    assert 0 < some.count("<section") < all_of_it.count("<section")


def test_search_that_finds_nothing_says_nought(client):
    text = client.get("/rules/us-construction", params={"search": "zeppelin"}).text
    assert "0 questions" in text


def test_search_text_is_escaped(client):
    assert "<script>x" not in client.get("/rules/us-construction", params={"search": "<script>x"}).text
