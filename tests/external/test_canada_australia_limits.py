"""The packs `canada` and `australia-nz` against what was read.

Ontario O. Reg. 213/91 s 26 (copy to 628/05), Manitoba 14.14-14.15 (M.R. 128/2019), BC guideline G11.2-1, Quebec S-2.1
r.14 s 7, Queensland WHS Regulation 2011 s 306I: read. AS/NZS 1891.4:2009, New Brunswick s 49, Prince Edward Island:
second hand. Ontario ss 26.6-26.9, BC anchors, CSA Z259.11: from memory.
"""

from __future__ import annotations

import pytest

from ropewright.rules import check, load_pack

CANADA, AUSTRALIA = load_pack("canada"), load_pack("australia-nz")


def in_canada(**facts: object) -> str:
    return check(CANADA, facts, only=list(facts)[:1])[0].verdict.value


def in_australia(**facts: object) -> list[str]:
    return [finding.verdict.value for finding in check(AUSTRALIA, facts, only=list(facts)[:1])]


@pytest.mark.parametrize(
    ("province", "height", "expected"),
    [
        ("Ontario", "3 m", "holds"),  # more than 3 m
        ("Ontario", "3.01 m", "fails"),
        ("British Columbia", "3 m", "fails"),  # 3 m or more
        ("British Columbia", "2.99 m", "holds"),
        ("New Brunswick", "3 m", "fails"),
        ("Prince Edward Island", "3 m", "fails"),
        ("Alberta", "2 m", "ask"),  # no figure read
    ],
)
def test_trigger_keeps_the_operator_of_its_province(province: str, height: str, expected: str) -> None:
    assert in_canada(edge_height=height, province=province, edge_protected=False, restraint=False) == expected


def test_wheelbarrow_paths_in_ontario_count_from_more_than_1_2_m() -> None:
    facts = {"province": "Ontario", "edge_protected": False, "restraint": False, "wheelbarrow_path": True}
    assert in_canada(edge_height="1.2 m", **facts) == "holds"
    assert in_canada(edge_height="1.21 m", **facts) == "fails"


def test_manitoba_keeps_ultimate_and_allowable_apart() -> None:
    """14.14(1): 22.2 kN ultimate; 14.14(2): 8, 6 and 2 kN within allowable stress."""
    permanent = {"province": "Manitoba", "anchor_permanent": True}
    assert in_canada(anchor_strength="22.2 kN", **permanent) == "holds"
    assert in_canada(anchor_strength="22.1 kN", **permanent) == "fails"
    temporary = {"province": "Manitoba", "anchor_permanent": False}
    assert in_canada(anchor_allowable="8 kN", **temporary, lanyard_absorber=False) == "holds"
    assert in_canada(anchor_allowable="7 kN", **temporary, lanyard_absorber=False) == "fails"
    assert in_canada(anchor_allowable="6 kN", **temporary, lanyard_absorber=True) == "holds"
    assert in_canada(anchor_allowable="2 kN", **temporary, restraint=True) == "holds"
    assert in_canada(anchor_allowable="1.9 kN", **temporary, restraint=True) == "fails"
    # an allowable figure says nothing of an ultimate one
    assert not [limit for limit in CANADA.limits_for("anchor_strength", temporary) if limit.fact != "anchor_strength"]


def test_quebec_mines_only() -> None:
    """S-2.1 r.14 s 7: less than 90 m, anchor 18 kN."""
    mines = {"province": "Quebec", "regime": "mines"}
    assert in_canada(lifeline_length="90 m", **mines) == "fails"
    assert in_canada(lifeline_length="89.9 m", **mines) == "holds"
    assert in_canada(anchor_strength="18 kN", **mines) == "holds"
    assert in_canada(lifeline_length="90 m", province="Ontario") == "ask"  # nothing said of it there


def test_a_bad_answer_that_a_province_says_nothing_of_is_asked() -> None:
    assert in_canada(rescue_planned=False, province="Ontario") == "fails"
    assert in_canada(rescue_planned=False, province="Alberta") == "ask"


def test_ontario_arrest_force_is_remembered() -> None:
    assert in_canada(arrest_force="7 kN", province="Ontario") == "ask"
    assert in_canada(arrest_force="8.1 kN", province="Ontario") == "fails"
    assert in_canada(arrest_force="1 kN", province="Nova Scotia") == "ask"


def test_without_a_province_nothing_is_settled() -> None:
    assert in_canada(arrest_force="9 kN") == "ask"
    assert in_canada(anchor_strength="100 kN") == "ask"


@pytest.mark.parametrize(
    ("strength", "limited", "users", "expected"),
    [
        ("12 kN", True, 1, "holds"),
        ("11.9 kN", True, 1, "fails"),
        ("12 kN", False, 1, "fails"),
        ("15 kN", False, 1, "holds"),
        ("20.9 kN", False, 2, "fails"),
        ("21 kN", False, 2, "holds"),
    ],
)
def test_queensland_anchors(strength: str, limited: bool, users: int, expected: str) -> None:
    """S 306I(2): 12, 15 and 21 kN."""
    facts = {"state": "Queensland", "limited_free_fall": limited, "anchor_users": users, "free_fall": "0.5 m"}
    findings = check(AUSTRALIA, {"anchor_strength": strength, **facts})
    assert next(f.verdict.value for f in findings if "Queensland" in str(f.sources[0])) == expected


def test_queensland_force_and_contact() -> None:
    """S 306I(4), (7)."""
    assert in_australia(arrest_force="6 kN", state="Queensland") == ["holds"]
    assert in_australia(arrest_force="6.01 kN", state="Queensland") == ["fails"]
    assert in_australia(arrest_force="5 kN", state="Victoria") == ["ask"]
    assert in_australia(clearance="0 m", state="Queensland") == ["fails"]


def test_standard_anchors_go_by_free_fall_and_users() -> None:
    """AS/NZS 1891.4:2009: 12 kN to 600 mm, 15 kN to 2 m, 21 kN for two."""
    alone = {"state": "Victoria", "anchor_users": 1}
    assert in_australia(anchor_strength="12 kN", **alone, free_fall="600 mm") == ["holds"]
    assert in_australia(anchor_strength="12 kN", **alone, free_fall="601 mm") == ["fails"]
    assert in_australia(anchor_strength="21 kN", state="Victoria", anchor_users=2, free_fall="2 m") == ["holds"]


def test_new_zealand_has_no_trigger_height() -> None:
    facts = {"country": "New Zealand", "edge_protected": False, "restraint": False}
    assert in_australia(edge_height="0.3 m", **facts) == ["fails"]
