"""The pack `eu-uk` against what is known of the texts.

EN 354, 355, 360, 353-2, 361, 362, 795, 1891: second-hand summaries, or from memory where said. Work at Height
Regulations 2005 Schedule 5 Part 1 (opening), S.R. 2005/279 Schedule 6 Parts 1-2, S.I. 299/2007 regulation 111: read.
"""

from __future__ import annotations

import pytest

from ropewright.rules import check, load_pack

PACK = load_pack("eu-uk")

KNOWN = [
    ("arrest-force", "<=", "6 kN", "memory", "high"),
    ("absorber-force", "<=", "6 kN", "read second hand", ""),
    ("absorber-distance", "<", "1.75 m", "memory", "high"),
    ("retractable-distance", "<=", "2 m", "read second hand", ""),
    ("guided-arrester-slide", "<=", "1 m", "read second hand", ""),
    ("lanyard-length", "<=", "2.0 m", "read second hand", ""),
    ("lanyard-textile", ">=", "22 kN", "memory", "high"),
    ("harness", ">=", "15 kN", "read second hand", ""),
    ("connector", ">=", "20 kN", "read second hand", ""),
    ("connector-minor", ">=", "7 kN", "memory", "medium"),
    ("examination", "<=", "12 months", "memory", "high"),
    ("anchor", ">=", "12 kN", "read second hand", ""),
    ("anchor-non-metal", ">=", "18 kN", "memory", "medium"),
    ("dead-weight-anchor", "<=", "5 deg", "memory", "medium"),
    ("rope-type-a", ">=", "22 kN", "read second hand", ""),
    ("rope-type-b", ">=", "18 kN", "read second hand", ""),
    ("knotted-type-a", ">=", "15 kN", "read second hand", ""),
    ("knotted-type-b", ">=", "12 kN", "read second hand", ""),
    ("rope-stretch", "<=", "5 %", "read second hand", ""),
    ("edge-2m", ">=", "2 m", "memory", "low"),
    ("free-fall-france", "<=", "1 m", "read second hand", ""),
]


@pytest.mark.parametrize(("name", "operator", "figure", "status", "confidence"), KNOWN, ids=str)
def test_limit_is_as_known(name: str, operator: str, figure: str, status: str, confidence: str) -> None:
    limit = PACK.limit(name)
    assert limit is not None
    assert limit.figure is not None
    found = (limit.operator, limit.figure.text, limit.source.status.value, limit.confidence)
    assert found == (operator, figure, status, confidence)


def verdict(**facts: object) -> str:
    return check(PACK, facts, only=list(facts)[:1])[0].verdict.value


def test_six_kilonewtons_on_a_person_is_remembered_and_so_asked() -> None:
    """EN 363, from memory."""
    assert verdict(arrest_force="5 kN") == "ask"
    assert verdict(arrest_force="6.1 kN") == "fails"


def test_six_kilonewtons_on_a_test_mass_was_read_second_hand() -> None:
    assert verdict(rigid_mass_force="6 kN") == "holds"


@pytest.mark.parametrize(("length", "below"), [("2 m", 5.75), ("1.5 m", 4.75)])
def test_arrest_distance_grows_by_twice_the_lanyard(length: str, below: float) -> None:
    """EN 355, from memory: H < 2 L + 1.75 m."""
    facts = {"lanyard_length": length, "lanyard_absorber": True}
    limit = PACK.governing("arrest_distance", facts)
    assert limit is not None
    assert limit.value == pytest.approx(below)
    assert verdict(arrest_distance=below, **facts) == "fails"
    assert verdict(arrest_distance=below - 0.01, **facts) == "ask"


def test_each_further_user_adds_a_kilonewton() -> None:
    """CEN/TS 16415, from memory: 12 kN, then 13 kN."""
    facts = {"anchor_users": 3, "anchor_of_textile": False}
    assert verdict(anchor_strength="13.9 kN", **facts) == "fails"
    assert verdict(anchor_strength="14 kN", **facts) == "ask"
    assert verdict(anchor_strength="12 kN", anchor_users=1, anchor_of_textile=False) == "holds"


def test_the_united_kingdom_has_no_trigger_height() -> None:
    edge = {"edge_height": "0.5 m", "edge_protected": False, "restraint": False}
    assert verdict(**edge, country="Great Britain") == "fails"
    assert verdict(**edge, country="Germany") == "ask"  # 2 m, remembered with low confidence


def test_rope_access_takes_two_lines_unless_one_is_shown_safer() -> None:
    """S.I. 299/2007 regulation 111, read."""
    assert verdict(two_lines=False, rope_access=True) == "fails"
    assert verdict(two_lines=False, rope_access=True, single_line_justified=True) == "holds"
    assert check(PACK, {"rope_access": True})[0].id == "two-lines"


def test_free_fall_has_a_figure_in_france_only() -> None:
    """Code du travail R.4323-61."""
    assert verdict(free_fall="1 m", country="France") == "holds"
    assert verdict(free_fall="1.1 m", country="France") == "ask"
    assert verdict(free_fall="0.1 m", country="Ireland") == "ask"
