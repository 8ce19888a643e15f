"""Facts put to a pack."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.errors import RulesError
from ropewright.findings import SEVERITY, Finding, Verdict
from ropewright.quantity import Range
from ropewright.rules import FACTS, check, load_pack, pack_names

US = load_pack("us-construction")


def one(pack: str = "us-construction", **facts: object) -> Finding:
    return check(load_pack(pack), facts, only=list(facts)[:1])[0]


def test_findings_come_worst_first() -> None:
    findings = check(US, {"free_fall": "7 ft", "user_mass": "310 lb", "roof_sound": True})
    assert [finding.verdict.value for finding in findings] == ["fails", "ask", "holds"]


def test_a_finding_says_all_that_it_rests_on() -> None:
    finding = one(free_fall="7 ft", positioning=False)
    assert (finding.value, finding.limit, finding.operator, finding.unit) == (2.1336, 1.8288, "<=", "m")
    assert finding.margin == pytest.approx(-0.3048)
    assert finding.formula == "free_fall <= 6 ft"
    assert finding.inputs == {"free_fall_m": 2.1336}
    assert str(finding.sources[0]) == "29 CFR 1926.502(d)(16)(iii)"
    assert finding.question == "Is the free fall short enough?"


def test_the_remedy_is_the_limit_and_is_proved() -> None:
    remedy = one(free_fall="7 ft").remedy
    assert remedy is not None
    assert (remedy.change, remedy.proven, remedy.verdict_after) == ({"free_fall": "6 ft"}, True, Verdict.HOLDS)
    assert one(free_fall="6 ft").remedy is None


def test_a_remedy_that_may_not_be_enough_is_not_called_proved() -> None:
    """Without the line's voltage 10 ft may be too little."""
    remedy = one(power_line_distance="5 ft").remedy
    assert remedy is not None
    assert not remedy.proven
    assert remedy.verdict_after is Verdict.ASK


def test_a_missing_guard_is_mended_by_a_guard() -> None:
    finding = one(edge_height="20 ft", edge_protected=False)
    assert finding.remedy is not None
    assert finding.remedy.change == {"edge_protected": "yes"}
    assert finding.remedy.proven


def test_no_least_change_beyond_an_open_limit() -> None:
    assert one(clearance="-1 ft").remedy is None


def test_a_spread_over_the_limit_is_doubtful() -> None:
    finding = one(arrest_force="7 kN to 9 kN")
    assert finding.verdict is Verdict.DOUBTFUL
    assert (finding.low, finding.value, finding.high) == (7000.0, 8000.0, 9000.0)
    assert one(arrest_force=Range(4e3, 5e3, 6e3)).verdict is Verdict.HOLDS


def test_what_nobody_knows_is_asked() -> None:
    finding = one(roof_sound=None)
    assert finding.verdict is Verdict.ASK
    assert finding.decide.startswith("find out:")


def test_what_the_pack_says_nothing_of_is_asked_unless_plainly_safe() -> None:
    assert one("canada", gate_strength="16 kN").verdict is Verdict.ASK
    assert one("canada", natural_fibre=True).verdict is Verdict.ASK
    assert not check(load_pack("canada"), {"natural_fibre": False})


def test_context_alone_raises_no_question() -> None:
    assert not check(US, {"roof_slope": "8:12", "residential": True, "power_line_voltage": "7 kV"})


def test_only_narrows_the_findings_and_not_the_case() -> None:
    facts = {"free_fall": "3 ft", "positioning": True, "user_mass": "200 lb"}
    findings = check(US, facts, only=["free_fall"])
    assert {finding.id: finding.verdict.value for finding in findings} == {
        "free-fall": "holds",
        "free-fall-positioning": "fails",
    }


def test_unknown_facts_are_refused_also_where_only_asks_for_them() -> None:
    for call in ({"fre_fall": "1 ft"}, {"fre_fall": None}):
        with pytest.raises(RulesError, match="free_fall"):
            check(US, call)
    with pytest.raises(RulesError):
        check(US, {}, only=["fre_fall"])


def test_a_limit_that_may_not_apply_asks_and_says_what_to_tell() -> None:
    finding = one("canada", lifeline_length="95 m")
    assert finding.verdict is Verdict.ASK
    assert finding.decide == "tell province, regime: it decides whether this limit applies"


def test_a_limit_that_may_not_apply_and_holds_does_no_harm() -> None:
    assert one("canada", lifeline_length="20 m").verdict is Verdict.HOLDS


def test_a_weaker_remembered_figure_does_not_spoil_a_read_one() -> None:
    """1926.1408 was read and is no weaker than the remembered slope of 1910.333."""
    finding = one(power_line_distance="15 ft", power_line_voltage="70 kV")
    assert finding.verdict is Verdict.HOLDS
    assert len(finding.sources) == 2


def test_a_remembered_figure_that_governs_asks() -> None:
    assert one(net_extension="20 ft", net_depth="12 ft").verdict is Verdict.ASK
    assert one(net_extension="12 ft", net_depth="12 ft").verdict is Verdict.FAILS


def test_excuses_that_nobody_told_of_are_asked_for() -> None:
    finding = one(line_tail="2 ft", line_reaches_level=True)
    assert finding.verdict is Verdict.HOLDS
    assert one(line_tail="2 ft").verdict is Verdict.FAILS  # untold: does not reach the ground
    assert "nothing told of edge_protected" in one(edge_height="9 ft").summary


def test_required_facts_are_asked_when_they_matter() -> None:
    asked = check(US, {"horizontal_line": True})
    assert {finding.id for finding in asked} == {"horizontal-line", "horizontal-line-person"}
    assert all(finding.verdict is Verdict.ASK for finding in asked)
    assert not check(US, {"horizontal_line": False})


def test_a_fact_that_only_an_assumption_rules_out_is_judged() -> None:
    """Who tells the factor of a horizontal line has one."""
    assert one(horizontal_line_factor=1.5).verdict is Verdict.ASK
    assert "horizontal_line" in one(horizontal_line_factor=1.5).decide
    assert one(horizontal_line_factor=1.5, horizontal_line=True).verdict is Verdict.FAILS
    without = one(horizontal_line_factor=1.5, horizontal_line=False)
    assert without.formula == "horizontal_line_factor: no rule for this case in this text"


def test_the_wrong_regime_is_asked() -> None:
    assert one(regime="general industry").verdict is Verdict.ASK
    assert one("us-general-industry", regime="general industry").verdict is Verdict.HOLDS


def test_units_do_not_change_the_answer() -> None:
    for feet, metres in (("6 ft", "1.8288 m"), ("7 ft", "2.1336 m")):
        assert one(free_fall=feet).verdict is one(free_fall=metres).verdict


NUMERIC = [(name, fact) for name in pack_names() for fact in load_pack(name).facts if FACTS[fact].dimension]


@given(st.sampled_from(NUMERIC), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
@settings(deadline=None, max_examples=150)
def test_nothing_remembered_or_missing_ever_gives_a_bare_holds(
    asked: tuple[str, str], one_share: float, other_share: float
) -> None:
    name, fact = asked
    pack = load_pack(name)
    figures = [limit.figure.value for limit in pack.limits if limit.fact == fact and limit.figure] or [1.0]
    low, high = sorted((one_share * max(figures), other_share * max(figures)))
    for finding in check(pack, {fact: Range(low, low, high)}, only=[fact]):
        limit = pack.limit(finding.id)
        assert limit is not None
        if finding.verdict is Verdict.HOLDS:
            assert limit.settles
            assert limit.figure is not None


@given(st.sampled_from(NUMERIC), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
@settings(deadline=None, max_examples=150)
def test_a_safer_value_is_never_answered_worse(asked: tuple[str, str], one_share: float, other_share: float) -> None:
    name, fact = asked
    pack = load_pack(name)
    limits = [limit for limit in pack.limits if limit.fact == fact and limit.figure]
    if not limits or len({limit.safe_operator[0] for limit in limits}) > 1:
        return
    shares = sorted((one_share, other_share), reverse=limits[0].safe_operator[0] == ">")
    scale = max(limit.figure.value for limit in limits if limit.figure) or 1.0
    safer, worse = (check(pack, {fact: share * scale}, only=[fact]) for share in shares)
    assert [max(SEVERITY[f.verdict] for f in found) for found in (safer, worse)] == sorted(
        max(SEVERITY[f.verdict] for f in found) for found in (safer, worse)
    )
