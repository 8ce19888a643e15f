"""One limit and one value."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.findings import SEVERITY, Verdict
from ropewright.rules import Limit
from ropewright.rules.figure import OPERATORS
from ropewright.rules.rows import read_limit


def limit(**row: object) -> Limit:
    plain = {
        "id": "made-up", "fact": "free_fall", "operator": "<=", "value": "6 ft", "document": "Made up", "clause": "1",
        "status": "read", "applies_to": "person", "summary": "Made up.", "decide": "who decides",
    }  # fmt: skip
    return read_limit({**plain, **row}, date(2026, 11, 25))


@pytest.mark.parametrize(
    ("operator", "value", "verdict"),
    [
        ("<=", 1.8288, "holds"), ("<", 1.8288, "fails"), (">=", 1.8288, "holds"), (">", 1.8288, "fails"),
        ("<=", 1.83, "fails"), ("<", 1.82, "holds"), (">=", 1.82, "fails"), (">", 1.83, "holds"),
    ],
)  # fmt: skip
def test_operator_is_kept_at_the_limit(operator: str, value: float, verdict: str) -> None:
    assert limit(operator=operator).judge(value).verdict.value == verdict


def test_margin_is_that_of_the_unsafe_end() -> None:
    assert limit().judge(1.0, 1.5).margin == pytest.approx(1.8288 - 1.5)
    assert limit(operator=">=").judge(1.0, 1.5).margin == pytest.approx(1.0 - 1.8288)


def test_spread_over_the_limit_is_doubtful() -> None:
    assert limit().judge(1.8, 1.9).verdict is Verdict.DOUBTFUL
    assert limit().judge(1.7, 1.8).verdict is Verdict.HOLDS
    assert limit().judge(1.9, 2.0).verdict is Verdict.FAILS


def test_a_remembered_figure_never_holds_and_still_fails() -> None:
    remembered = limit(status="memory", confidence="high")
    assert remembered.judge(1.0).verdict is Verdict.ASK
    assert remembered.judge(1.8, 1.9).verdict is Verdict.ASK
    assert remembered.judge(2.0).verdict is Verdict.FAILS
    assert "memory (high confidence), not verified: confirm it" in remembered.judge(1.0).text


def test_a_missing_figure_only_asks() -> None:
    missing = limit(value=None)
    assert missing.judge(0.0).verdict is Verdict.ASK
    assert missing.judge(0.0).text == "no figure in this text"
    assert missing.judge(0.0).margin is None
    assert missing.value == ""


def test_past_a_limit_that_a_person_decides_is_asked() -> None:
    assert limit(past="ask").judge(2.0).verdict is Verdict.ASK
    assert limit(past="ask").judge(1.0).verdict is Verdict.HOLDS


def test_a_trigger_asks_where_its_duty_begins() -> None:
    trigger = limit(fact="edge_height", kind="trigger", operator=">=")
    assert (trigger.judge(1.8288).verdict, trigger.judge(1.82).verdict) == (Verdict.ASK, Verdict.HOLDS)
    assert (trigger.is_due(1.8288), trigger.is_due(1.82), trigger.is_due(1.0, 2.0)) == (True, False, None)
    assert trigger.judge(1.0).margin == pytest.approx(0.8288)
    with pytest.raises(ValueError, match="no trigger"):
        limit().is_due(1.0)


def test_yes_no_and_words() -> None:
    sound = limit(fact="roof_sound", operator="is", value=True)
    assert (sound.judge(True).verdict, sound.judge(False).verdict) == (Verdict.HOLDS, Verdict.FAILS)
    where = limit(fact="attachment", operator="is", value=["dorsal", "overhead"])
    assert (where.judge("overhead").verdict, where.judge("waist").verdict) == (Verdict.HOLDS, Verdict.FAILS)
    assert where.value == "dorsal or overhead"


def test_wrong_kinds_of_value_are_refused() -> None:
    with pytest.raises(ValueError, match="judged by a figure"):
        limit().judge("six")
    with pytest.raises(ValueError, match="in order"):
        limit().judge(2.0, 1.0)


OPPOSITE_ENDS = st.floats(0.01, 100.0)


@given(st.sampled_from(OPERATORS), OPPOSITE_ENDS, OPPOSITE_ENDS, st.sampled_from(["read", "memory"]))
@settings(deadline=None, max_examples=150)
def test_a_safer_value_is_never_judged_worse(operator: str, one: float, other: float, status: str) -> None:
    judged = limit(operator=operator, value="6 ft", status=status, confidence="high" if status == "memory" else "")
    safer, worse = sorted((one, other), reverse=operator in (">=", ">"))
    assert SEVERITY[judged.judge(safer).verdict] <= SEVERITY[judged.judge(worse).verdict]


@given(st.sampled_from(OPERATORS), OPPOSITE_ENDS, OPPOSITE_ENDS, OPPOSITE_ENDS)
@settings(deadline=None, max_examples=150)
def test_a_stricter_limit_never_judges_better(operator: str, one: float, other: float, value: float) -> None:
    a, b = (limit(operator=operator, value=f"{round(number, 3)} ft") for number in (one, other))
    stricter, looser = (a, b) if a.strictness >= b.strictness else (b, a)
    assert SEVERITY[stricter.judge(value).verdict] >= SEVERITY[looser.judge(value).verdict]


@given(st.sampled_from(OPERATORS), OPPOSITE_ENDS, OPPOSITE_ENDS)
@settings(deadline=None, max_examples=100)
def test_a_spread_is_judged_no_better_than_its_worse_end(operator: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    judged = limit(operator=operator)
    ends = [SEVERITY[judged.judge(end).verdict] for end in (low, high)]
    assert min(ends) <= SEVERITY[judged.judge(low, high).verdict] <= max(ends)


@pytest.mark.parametrize("operator", OPERATORS)
def test_strict_operator_is_the_stricter(operator: str) -> None:
    assert limit(operator=operator[0]).strictness > limit(operator=f"{operator[0]}=").strictness


def test_demand_reads_as_the_law_says_it() -> None:
    assert limit().demand == "no more than 6 ft is allowed"
    assert limit(fact="user_mass", operator="<", value="310 lb").demand == "less than 310 lb is allowed"
    assert limit(fact="edge_height", kind="trigger", operator=">").demand == "protection is due above 6 ft"
    assert limit(value=None).demand == "no figure in this text"
