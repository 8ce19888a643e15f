"""Intervals of inspection that packs give to a record; figures as in the packs' own tests."""

from __future__ import annotations

import pytest

from ropewright.rules import load_pack, pack_names
from ropewright.rules.intervals import intervals_in_force
from ropewright.store.gear_days import read_span
from ropewright.store.gear_words import gear_kinds


def every(pack: str, kind: str, **facts: object) -> list[str]:
    return [row["every"] for row in intervals_in_force(load_pack(pack), kind, facts)["inspect"]]


@pytest.mark.parametrize("pack", pack_names())
@pytest.mark.parametrize("kind", list(gear_kinds()))
def test_every_interval_is_a_calendar_span_with_its_source(pack: str, kind: str) -> None:
    found = intervals_in_force(load_pack(pack), kind)
    for row in found["inspect"]:
        read_span(row["every"], "every")
    for row in (*found["inspect"], *found["before_use"]):
        assert row["document"]
        assert row["status"]
        assert row["note"]


def test_a_rule_of_harnesses_binds_harnesses_alone() -> None:
    assert every("australia-nz", "harness") == ["6 months"]
    assert every("australia-nz", "anchor") == ["12 months"]
    assert every("australia-nz", "rope") == []


def test_a_rule_of_whole_systems_binds_every_part() -> None:
    assert every("eu-uk", "grab") == every("eu-uk", "rope") == ["12 months"]


def test_a_stricter_rhythm_stands_beside_the_other_where_it_applies() -> None:
    lifting = every("eu-uk", "rope", country="Great Britain", rope_access=True)
    assert sorted(lifting) == ["12 months", "6 months"]
    assert every("eu-uk", "rope", country="Great Britain", rope_access=False) == ["12 months"]


def test_anchors_of_rope_descent_are_inspected_yearly() -> None:
    assert every("us-general-industry", "anchor", rope_descent=True) == ["1 year"]
    assert every("us-general-industry", "anchor") == []


def test_a_remembered_figure_says_so() -> None:
    row = intervals_in_force(load_pack("eu-uk"), "rope")["inspect"][0]
    assert (row["document"], row["status"]) == ("EN 365", "memory")
    assert "not verified" in row["note"]
