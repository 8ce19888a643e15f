"""The pack `us-general-industry` against the published figures: 29 CFR 1910.27-.30, 1910.140, read."""

from __future__ import annotations

import pytest

from ropewright.findings import Verdict
from ropewright.rules import check, load_pack

PACK = load_pack("us-general-industry")

PUBLISHED = [
    ("edge", ">=", "4 ft", "1910.28(b)(1)(i)"),
    ("hole-fall", ">=", "4 ft", "1910.28(b)(3)(i)"),
    ("near-edge", "<", "6 ft", "1910.28(b)(13)(i)"),
    ("middle-edge", "<", "15 ft", "1910.28(b)(13)(ii)"),
    ("far-edge", ">=", "15 ft", "1910.28(b)(13)(iii)(A), (B)"),
    ("cover-strength", ">=", "2", "1910.29(e)(1)"),
    ("designated-line-strength", ">=", "200 lbf", "1910.29(d)(2)(i)"),
    ("designated-line-low", ">=", "34 in", "1910.29(d)(2)(ii)"),
    ("designated-line-high", "<=", "39 in", "1910.29(d)(2)(ii)"),
    ("designated-line-setback", ">=", "15 ft", "1910.29(d)(2)(vi)"),
    ("designated-line-setback-across", ">=", "10 ft", "1910.29(d)(3)"),
    ("line-users", "<=", "1", "1910.140(c)(3)"),
    ("lifeline", ">=", "5,000 lbf", "1910.140(c)(4)"),
    ("device-low-fall", ">=", "3,000 lbf", "1910.140(c)(5)"),
    ("knotted", ">=", "5,000 lbf", "1910.140(c)(6)"),
    ("connector", ">=", "5,000 lbf", "1910.140(c)(7)"),
    ("proof-load", ">=", "3,600 lbf", "1910.140(c)(8)"),
    ("gate", ">=", "3,600 lbf", "1910.140(c)(8)"),
    ("gate-gap", "<=", "0.125 in", "1910.140(c)(8)"),
    ("horizontal-line", ">=", "2", "1910.140(c)(11)"),
    ("anchor", ">=", "5,000 lbf", "1910.140(c)(13)"),
    ("restraint-line", ">=", "5,000 lbf", "1910.140(c)(14)"),
    ("arrest-force", "<=", "1,800 lbf", "1910.140(d)(1)(i)"),
    ("deceleration", "<=", "3.5 ft", "1910.140(d)(1)(ii)"),
    ("user-mass", "<", "310 lb", "1910.140(d)(1)(v)"),
    ("free-fall", "<=", "6 ft", "1910.140(d)(2)(ii)"),
    ("rigid-mass-force", "<=", "2,520 lbf", "(d)(4)"),
    ("descent-anchor", ">=", "5,000 lbf", "1910.27(b)(1)(i)"),
    ("descent-anchor-inspection", "<=", "1 years", "1910.27(b)(1)(i)"),
    ("descent-anchor-certification", "<=", "10 years", "1910.27(b)(1)(i)"),
    ("descent-height", "<=", "300 ft", "1910.27(b)(2)(i)"),
    ("descent-seat", ">=", "300 lb", "1910.27(b)(2)(vii)"),
]


@pytest.mark.parametrize(("name", "operator", "figure", "clause"), PUBLISHED, ids=str)
def test_limit_is_as_published(name: str, operator: str, figure: str, clause: str) -> None:
    limit = PACK.limit(name)
    assert limit is not None
    assert limit.figure is not None
    found = (limit.operator, limit.figure.text, limit.source.clause, limit.source.status.value)
    assert found == (operator, figure, clause, "read")


def verdict(**facts: object) -> str:
    return check(PACK, facts, only=list(facts)[:1])[0].verdict.value


def test_310_lb_was_read_here_and_may_hold() -> None:
    """1910.140(d)(1)(v)."""
    assert verdict(user_mass="309.9 lb") == "holds"
    assert verdict(user_mass="310 lb") == "ask"


@pytest.mark.parametrize(("height", "expected"), [("3.99 ft", "holds"), ("4 ft", "fails")])
def test_edges_and_holes_both_begin_at_four_feet(height: str, expected: str) -> None:
    """1910.28(b)(1)(i), (b)(3)(i): 4 ft or more, both."""
    unguarded = {"edge_protected": False, "restraint": False, "hole_guarded": False, "residential": False}
    slope = {"roof_slope": "8:12"}
    assert verdict(edge_height=height, **unguarded, **slope) == expected
    assert verdict(hole_height=height, **unguarded) == expected


@pytest.mark.parametrize(
    ("distance", "area", "rare", "expected"),
    [
        ("5.9 ft", True, True, "fails"),
        ("6 ft", True, True, "holds"),
        ("6 ft", True, False, "fails"),
        ("14.9 ft", False, True, "fails"),
        ("15 ft", True, False, "holds"),
        ("1.6 m", True, True, "fails"),  # the printed metric figure, which is not 6 ft
    ],
)
def test_low_slope_work_goes_by_distance_from_the_edge(distance: str, area: bool, rare: bool, expected: str) -> None:
    """1910.28(b)(13)."""
    facts = {
        "edge_distance": distance, "roof_slope": "1:12", "edge_protected": False, "restraint": False,
        "designated_area": area, "infrequent_and_temporary": rare, "stay_back_rule": False,
    }  # fmt: skip
    assert verdict(**facts) == expected


def test_nothing_is_needed_far_from_the_edge_for_rare_work_with_a_rule() -> None:
    """1910.28(b)(13)(iii)(A), (B): both infrequent and temporary, and an enforced rule to stay back."""
    far = {"edge_distance": "15 ft", "roof_slope": "1:12", "edge_protected": False, "infrequent_and_temporary": True}
    assert verdict(**far, stay_back_rule=True) == "holds"
    assert verdict(**far, stay_back_rule=False) == "fails"


def test_longer_free_fall_only_if_the_maker_tested_it() -> None:
    """1910.140(d)(2)(ii)."""
    assert verdict(free_fall="7 ft") == "fails"
    assert verdict(free_fall="7 ft", maker_free_fall_tested=True) == "holds"


@pytest.mark.parametrize(
    ("attachment", "free_fall", "expected"),
    [("dorsal", None, "holds"), ("sternal", "2 ft", "holds"), ("sternal", "2.1 ft", "fails"), ("sternal", None, "ask"),
     ("waist", "1 ft", "fails")],
)  # fmt: skip
def test_breastbone_only_up_to_two_feet(attachment: str, free_fall: str | None, expected: str) -> None:
    """1910.140(c)(22)."""
    assert verdict(attachment=attachment, free_fall=free_fall) == expected


def test_a_rope_descent_asks_for_all_that_was_not_told() -> None:
    """1910.27(b)(1), (2)."""
    asked = {finding.id for finding in check(PACK, {"rope_descent": True, "descent_height": "150 ft"})}
    assert {"descent-statement", "descent-backup", "descent-stable", "descent-anchor-certification"} <= asked
    low = {finding.id for finding in check(PACK, {"rope_descent": True, "descent_height": "130 ft"})}
    assert "descent-stable" not in low


def test_ten_years_and_a_day_is_too_long() -> None:
    """1910.27(b)(1)(i): at least every 10 years."""
    assert verdict(anchor_certification_age="3650 d", rope_descent=True) == "holds"
    assert verdict(anchor_certification_age="3654 d", rope_descent=True) == "fails"


def test_wind_has_no_figure() -> None:
    """1910.27(b)(2)(xi) gives no speed."""
    assert verdict(wind_speed="5 mph", rope_descent=True) == "ask"


def test_polypropylene_needs_a_uv_inhibitor() -> None:
    """1910.140(c)(15)."""
    assert verdict(uv_inhibitor=False, polypropylene=True) == "fails"
    assert verdict(uv_inhibitor=False, polypropylene=False) == "holds"
    assert verdict(uv_inhibitor=False) == "ask"


def test_rescue_by_others_is_needed() -> None:
    """1910.140(c)(21) prints no self-rescue."""
    assert check(PACK, {"rescue_provided": False})[0].verdict is Verdict.FAILS
