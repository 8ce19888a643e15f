"""What facts can be told as."""

from __future__ import annotations

import math

import pytest

from ropewright.errors import InputError, QuantityError, RulesError
from ropewright.quantity import Dimension, Range
from ropewright.rules import FACTS, read_fact, read_facts

#: Names that the plan uses; they are part of the contract.
NAMED = [
    "edge_height",
    "hole_height",
    "user_mass",
    "free_fall",
    "arrest_force",
    "rigid_mass_force",
    "deceleration_distance",
    "clearance",
    "anchor_strength",
    "anchor_allowable",
    "anchor_design_factor",
    "anchor_designed_by_qualified_person",
    "anchor_independent",
    "anchored_to_guardrail",
    "line_strength",
    "lanyard_strength",
    "lanyard_length",
    "connector_strength",
    "gate_strength",
    "users_per_line",
    "natural_fibre",
    "uv_inhibitor",
    "polypropylene",
    "knotted_strength",
    "knot_inspected",
    "attachment",
    "roof_slope",
    "roof_width",
    "residential",
    "roof_sound",
    "rescue_planned",
    "line_tail",
    "end_stop",
    "lifeline_vertical",
    "hole_guarded",
    "cover_factor",
    "cover_fixed",
    "cover_marked",
    "power_line_distance",
    "power_line_voltage",
    "inspected_before_use",
    "trained",
    "training_certified",
    "took_fall",
    "self_retracting",
    "free_fall_limit_of_device",
    "restraint",
    "province",
    "state",
    "regime",
]


@pytest.mark.parametrize("name", NAMED)
def test_named_facts_exist(name: str) -> None:
    assert name in FACTS


@pytest.mark.parametrize("name", sorted(FACTS))
def test_every_example_can_be_told(name: str) -> None:
    fact = FACTS[name]
    told = read_fact(name, fact.example)
    assert isinstance(told, Range if fact.dimension else bool if fact.is_yes_no else str)
    assert fact.question.endswith("?")
    assert fact.meaning.endswith(".")


def test_facts_are_sorted() -> None:
    assert list(FACTS) == sorted(FACTS)


def test_a_float_is_si_and_a_text_has_a_unit() -> None:
    assert read_fact("free_fall", 1.8288) == read_fact("free_fall", "6 ft") == Range.exact(1.8288)


def test_a_range_is_told_low_to_high() -> None:
    assert read_fact("arrest_force", "4 kN to 6 kN") == Range(4000.0, 5000.0, 6000.0)


def test_what_is_not_known_is_left_out() -> None:
    assert read_facts({"trained": None, "roof_sound": "no"}) == {"roof_sound": False}


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("fre_fall", "6 ft", "did you mean 'free_fall'"),
        ("free_fall", "6 lb", "a length is due"),
        ("free_fall", 6.0 * math.nan, "such as '4 ft'"),
        ("free_fall", "-1 ft", "give 0 or more"),
        ("free_fall", True, "give a length"),
        ("roof_sound", "maybe", "give yes or no"),
        ("roof_sound", 1.0, "give yes or no"),
        ("province", "Ontaro", "did you mean 'Ontario'"),
        ("users_per_line", "1.5", "whole number"),
    ],
)
def test_wrong_facts_say_what_would_be_right(name: str, value: object, says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_fact(name, value)


def test_only_clearance_may_be_negative() -> None:
    assert read_fact("clearance", "-1 ft") == Range.exact(-0.3048)


def test_bare_number_for_a_length_is_no_text() -> None:
    with pytest.raises(QuantityError):
        read_fact("free_fall", "6")


def test_unknown_fact_is_a_rules_error() -> None:
    with pytest.raises(RulesError):
        read_fact("colour", "blue")


def test_angles_are_degrees() -> None:
    assert FACTS["roof_slope"].dimension is Dimension.ANGLE
    told = read_fact("roof_slope", "12:12")
    assert isinstance(told, Range)
    assert told.likely == pytest.approx(45.0)
