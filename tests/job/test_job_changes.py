"""Replacing one field of a job file in a copy."""

from __future__ import annotations

import pytest

from ropewright.job.changes import changed

RAW: dict[str, object] = {"line": [{"length": "40 ft"}, {}], "rope": {"11.5 mm": {"strength": "20 kN"}}}


@pytest.mark.parametrize(
    ("field", "expected"),
    [
        ("line[1].length", {**RAW, "line": [{"length": "40 ft"}, {"length": 1}]}),
        ("line[0]", {**RAW, "line": [1, {}]}),
        ('rope."11.5 mm".strength', {**RAW, "rope": {"11.5 mm": {"strength": 1}}}),
        ("answers.roof_sound.yes", {**RAW, "answers": {"roof_sound": {"yes": 1}}}),
        ("name", {**RAW, "name": 1}),
    ],
)
def test_one_field_is_replaced_or_added(field: str, expected: dict[str, object]) -> None:
    assert changed(RAW, field, 1) == expected


def test_the_original_is_left_alone() -> None:
    result = changed(RAW, "line[0].length", "30 ft")
    result["rope"]["11.5 mm"]["strength"] = "1 N"  # type: ignore[index]
    assert RAW["line"] == [{"length": "40 ft"}, {}]
    assert RAW["rope"] == {"11.5 mm": {"strength": "20 kN"}}


@pytest.mark.parametrize(
    "field",
    [
        "",
        ".",
        "line[9].length",
        "line[0",
        "line[x]",
        "line.length",
        "rope[0]",
        "a..b",
        "line[0].length.x",
        "a.",
        "crew[0].x",
    ],
)
def test_a_path_that_leads_nowhere_is_refused(field: str) -> None:
    with pytest.raises(ValueError, match=r"no path of a field|leads nowhere"):
        changed(RAW, field, 1)
