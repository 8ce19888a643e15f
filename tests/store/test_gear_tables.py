"""The tables of the gear record: every row can be read, has its source, and agrees with the others."""

from __future__ import annotations

import pytest

from ropewright.findings import SourceStatus
from ropewright.rope import canonical_construction, canonical_fibre
from ropewright.rope.service import FOUND
from ropewright.store.gear_fields import _READERS, fields_of, gear_fields, read_field
from ropewright.store.gear_points import points_of
from ropewright.store.gear_words import TABLES, gear_kinds

KINDS = [kind for kind in gear_kinds().values() if kind.name != "kit"]
EXAMPLES = {
    "line": "as marked",
    "length": "11 mm",
    "force": "22 kN",
    "mass": "140 kg",
    "count": "3",
    "hours": "6 h",
    "day": "2026-01-01",
    "life": "10 years",
    "span": "6 months",
    "wear": "good",
    "yes/no": "yes",
    "fibre": "nylon",
    "construction": "laid",
    "stretch": "static",
    "basis": "average",
    "end": "bowline",
}


@pytest.mark.parametrize("table", ["gear_kinds", "gear_fields", "gear_steps", "gear_points", "gear_figures"])
def test_keys_are_unique_and_no_cell_has_blanks_around_it(table: str) -> None:
    rows = TABLES.rows(table)
    first = next(iter(rows[0]))
    assert len({row[first] for row in rows}) == len(rows)
    assert all(value == value.strip() for row in rows for value in row.values())


def test_prefixes_and_options_tell_kinds_and_fields_apart() -> None:
    assert len({kind.prefix for kind in gear_kinds().values()}) == len(gear_kinds())
    for kind in gear_kinds().values():
        options = [field.option for field in fields_of(kind)]
        assert len(set(options)) == len(options)


def test_every_field_belongs_to_a_kind_and_can_be_read() -> None:
    assert set(EXAMPLES) == set(_READERS)
    for field in gear_fields().values():
        assert set(field.kinds) <= set(gear_kinds())
        read_field(field, EXAMPLES[field.type], field.option)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_point_says_what_to_look_for_and_where_that_comes_from(kind) -> None:  # type: ignore[no-untyped-def]
    points = points_of(kind)
    assert len({point.key for point in points}) == len(points) >= 3
    for point in points:
        assert point.look_for.endswith(".")
        assert point.look_for[0].isupper()
        assert point.source.document
        assert point.source.status in (SourceStatus.READ, SourceStatus.PRACTICE)
        assert "=" not in point.key
    if kind.in_chain:
        assert any(point.before_use for point in points)


def test_what_a_rope_can_be_found_with_is_what_its_strength_knows() -> None:
    found = {point.found for point in points_of(gear_kinds()["rope"]) if point.found}
    assert found <= set(FOUND)
    assert set(FOUND) - found == {"melt"}  # melted is answered at the same point as glazed


def test_rope_words_are_those_of_the_rope_package() -> None:
    assert read_field(gear_fields()["fibre"], "PES", "f") == canonical_fibre("PES", "f")
    assert read_field(gear_fields()["construction"], "3-strand", "f") == canonical_construction("3-strand", "f")


def test_a_figure_of_judgement_says_so() -> None:
    figure = TABLES.figures("gear_figures")["sun/hours in a year outdoors"]
    assert figure.source.status is SourceStatus.JUDGEMENT
    assert 0 < figure.value.low <= 8766 / 2  # no more hours of sun than of light
