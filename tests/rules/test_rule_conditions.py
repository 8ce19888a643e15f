"""When a limit applies: yes, no, or can't tell."""

from __future__ import annotations

import pytest

from ropewright.errors import InputError
from ropewright.rules import read_facts
from ropewright.rules.conditions import all_of, any_of, read_case
from ropewright.rules.facts import assume


@pytest.mark.parametrize(
    ("case", "facts", "expected"),
    [
        ({}, {}, True),
        ({"residential": True}, {}, None),
        ({"province": "Ontario"}, {"province": "Manitoba"}, False),
        ({"province": ["Ontario", "Manitoba"]}, {"province": "Manitoba"}, True),
        ({"province": "!=Ontario"}, {"province": "Manitoba"}, True),
        ({"province": ["!=Ontario", "!=Manitoba"]}, {"province": "Manitoba"}, False),
        ({"province": "!=Ontario"}, {}, None),
        ({"roof_slope": "<=4:12"}, {"roof_slope": "4:12"}, True),
        ({"roof_slope": ">4:12"}, {"roof_slope": "4:12"}, False),
        ({"power_line_voltage": [">50 kV", "<=200 kV"]}, {"power_line_voltage": "200 kV"}, True),
        ({"power_line_voltage": [">50 kV", "<=200 kV"]}, {"power_line_voltage": "50 kV"}, False),
        ({"power_line_voltage": [">50 kV", "<=200 kV"]}, {"power_line_voltage": "10 kV to 300 kV"}, None),
        ({"power_line_voltage": [">50 kV", "<=200 kV"]}, {"power_line_voltage": "10 kV to 20 kV"}, False),
        ({"free_fall": "<=2 ft"}, {"free_fall": "1 ft to 3 ft"}, None),
        # one that is not met settles it, whatever else is not told
        ({"residential": True, "province": "Ontario"}, {"province": "Yukon"}, False),
        ({"residential": True, "province": "Ontario"}, {"province": "Ontario"}, None),
    ],
)
def test_case_is_met_or_not_or_open(case: dict[str, object], facts: dict[str, object], expected: bool | None) -> None:
    assert all_of(read_case(case, "when"), read_facts(facts)) is expected


def test_the_stricter_answer_is_assumed_where_there_is_one() -> None:
    assert assume({})["anchor_designed_by_qualified_person"] is False
    assert assume({"anchor_designed_by_qualified_person": True})["anchor_designed_by_qualified_person"] is True
    assert "residential" not in assume({})


def test_one_case_of_several_is_enough() -> None:
    cases = (read_case({"residential": True}, "unless"), read_case({"province": "Ontario"}, "unless"))
    assert any_of(cases, {"residential": True}) is True
    assert any_of(cases, {"residential": False}) is None
    assert any_of(cases, {"residential": False, "province": "Yukon"}) is False
    assert any_of((), {}) is False


@pytest.mark.parametrize(
    ("case", "says"),
    [
        ("residential", "give a table of facts"),
        ({"residental": True}, "did you mean 'residential'"),
        ({"free_fall": "2 ft"}, "an operator and a figure"),
        ({"free_fall": "<=2 lb"}, "a length is due"),
        ({"free_fall": 2}, "an operator and a figure"),
        ({"province": ["Ontario", "!=Yukon"]}, "not both"),
        ({"province": "Ontaro"}, "did you mean 'Ontario'"),
        ({"residential": []}, "at least one"),
    ],
)
def test_wrong_conditions_say_what_would_be_right(case: object, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_case(case, "limit x.when")


def test_condition_can_be_written_back() -> None:
    raw = {"power_line_voltage": [">50 kV", "<=200 kV"], "province": ["!=Ontario"], "residential": [True]}
    assert {one.fact: one.written for one in read_case(raw, "when")} == raw
