"""Knots by name: the rules first, no strength without its source, lengths that grow with the rope.

Rules: 29 CFR 1910.140(c)(6) and 29 CFR 1926 Subpart M App C II(h)(3), (8), read.
"""

from __future__ import annotations

import pytest

from ropewright.errors import InputError
from ropewright.rope.knots import find_knot, knots, tie

NAMES = list(knots())


@pytest.mark.parametrize("name", NAMES)
def test_lengths_grow_with_the_diameter(name: str) -> None:
    thin, thick = tie(knots()[name], 0.010), tie(knots()[name], 0.020)
    assert thick.rope_in_all == pytest.approx(2 * thin.rope_in_all)
    assert thick.least == pytest.approx(2 * thin.least)


@pytest.mark.parametrize("name", NAMES)
def test_every_knot_names_a_rule_first_and_a_source_for_its_strength(name: str) -> None:
    tied = tie(knots()[name], 0.011)
    assert tied.rules
    assert str(tied.strength.source)
    assert 0.0 < tied.strength.value.low <= tied.strength.value.high < 1.0


@pytest.mark.parametrize("name", ["sliding hitch", "one-and-one hitch"])
def test_hitches_that_the_appendix_warns_of_are_forbidden(name: str) -> None:
    assert tie(knots()[name], 0.008).rules[0].forbids


def test_bowline_is_not_used_unbacked() -> None:
    bowline = knots()["bowline"]
    assert "unbacked" in bowline.warnings[0]
    assert tie(bowline, 0.011).backup > 0


def test_a_given_loop_takes_the_place_of_the_drawn_one() -> None:
    eight = knots()["figure-eight on a bight"]
    assert tie(eight, 0.011, 0.3).rope == pytest.approx(tie(eight, 0.011).in_knot + 0.3)


def test_a_loop_where_there_is_none_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="loop"):
        tie(knots()["double overhand stopper"], 0.011, 0.3)
    with pytest.raises(ValueError, match="diameter"):
        tie(knots()["bowline"], 0.0)


def test_an_unknown_knot_is_told_with_the_nearest() -> None:
    with pytest.raises(InputError, match="did you mean 'bowline'"):
        find_knot("bowlin", "NAME")
    with pytest.raises(InputError, match="give one of"):
        find_knot("zzzz", "NAME")


def test_every_other_name_leads_to_one_knot() -> None:
    told = [alias.casefold() for knot in knots().values() for alias in (knot.name, *knot.aliases)]
    assert len(told) == len(set(told))
