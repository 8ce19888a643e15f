"""What is wrong with a row is said with its limit, its key and what would be right."""

from __future__ import annotations

from datetime import date

import pytest

from ropewright.errors import InputError
from ropewright.rules.rows import read_allowance, read_conflict, read_definition, read_limit

DAY = date(2026, 11, 25)
GOOD = {
    "id": "x", "fact": "free_fall", "operator": "<=", "value": "4 ft", "document": "Made up", "status": "read",
    "applies_to": "person", "summary": "Made up.",
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"id": ""}, "limit.id: missing; give the limit an id"),
        ({"fact": "free_fal"}, "limit x.fact: got 'free_fal'.*did you mean 'free_fall'"),
        ({"operator": "=<"}, "limit x.operator: got '=<'.*give one of"),
        ({"operator": "is"}, "limit x.operator: got 'is'; free_fall takes <=, <, >=, >"),
        ({"fact": "roof_sound"}, "roof_sound takes 'is'"),
        ({"value": "4"}, "limit x.value: got '4'; give a length with its unit"),
        ({"value": "4 lb"}, "a length is due"),
        ({"status": "reed"}, "did you mean 'read'"),
        ({"status": "memory"}, "limit x.confidence: missing; a figure from memory"),
        ({"confidence": "high"}, "limit x.confidence: got 'high'; a figure from memory, and no other"),
        ({"document": ""}, "name the document"),
        ({"sumary": "?"}, "limit x.sumary: got '\\?'; there is no such key here, did you mean 'summary'"),
        ({"past": "ask"}, "limit x.decide: missing; say what a person must decide"),
        ({"value": None}, "limit x.decide: missing"),
        ({"kind": "trigger"}, "limit x.decide: missing"),
        ({"compared": "2026-11-25"}, "without quotes"),
        ({"unless": {"residential": True}}, "give a list in square brackets"),
        ({"summary": 3}, "limit x.summary: got 3"),
        ({"fact": "roof_sound", "operator": "is", "value": "perhaps"}, "limit x.value: got 'perhaps'; give yes or no"),
        ({"fact": "attachment", "operator": "is", "value": []}, "limit x.value"),
        ({"growth": {"fact": "lanyard_length"}}, "limit x.growth"),
        ({"growth": {"fact": "trained", "above": 0, "each": 1, "adds": "1 m"}}, "grow only with a figure"),
        ({"growth": {"fact": "lanyard_length", "above": "0 m", "each": "0 m", "adds": "1 m"}}, "more than 0"),
        (
            {"fact": "roof_sound", "operator": "is", "value": True, "kind": "trigger", "decide": "?"},
            "only a figure can be a trigger",
        ),
    ],
)
def test_fault_of_a_limit(change: dict[str, object], says: str) -> None:
    with pytest.raises(InputError, match=says):
        read_limit({**GOOD, **change}, DAY)


def test_good_row_is_read() -> None:
    limit = read_limit(GOOD, DAY)
    assert (limit.value, limit.law_value, limit.law_unit) == (1.2192, 4.0, "ft")
    assert limit.source.compared == DAY


def test_definition_allowance_and_conflict_say_what_is_missing() -> None:
    source = {"document": "Made up", "status": "read"}
    with pytest.raises(InputError, match=r"definition t\.text: missing"):
        read_definition("t", source, DAY)
    with pytest.raises(InputError, match=r"allowance a\.value: missing"):
        read_allowance("a", source, DAY)
    with pytest.raises(InputError, match=r"conflict c\.text: missing"):
        read_conflict({"id": "c", "about": ["free_fall"], "handling": "So."})
    with pytest.raises(InputError, match="did you mean"):
        read_conflict({"id": "c", "about": ["free_fal"], "text": "A.", "handling": "So."})
