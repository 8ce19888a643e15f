"""Tables of default parts and of model errors: sources named, values in their stated range, sets complete."""

import tomllib

import pytest

from ropewright.arrest.part_sets import (
    TABLES,
    Condition,
    PartKind,
    absorber_force,
    model_errors,
    part_set,
    part_sets,
)
from ropewright.errors import InputError
from ropewright.findings.figures import UNITS, Grade

#: Least and greatest value that a row may hold, in the unit it is printed in.
STATED_RANGE = {
    ("parts", "-"): (0.8, 1.25),
    ("parts", "kN"): (2, 6),
    ("parts", "kN/m"): (1, float("inf")),
    ("parts", "kg"): (40, 160),
    ("parts", "lbf"): (500, 1350),
    ("parts", "in"): (30, 60),
    ("parts", "m"): (0, 1.75),
    ("model_errors", "-"): (0.7, 1.7),
    ("roof_friction", "-"): (0, 1),
}
COLUMNS = ["key", "low", "likely", "high", "unit", "source", "locator", "status", "grade", "samples", "note"]
SOURCES = tomllib.loads(TABLES.text("sources.toml"))
TABLE_NAMES = ("parts", "model_errors", "roof_friction")
EACH = pytest.mark.parametrize("table", TABLE_NAMES)


@EACH
def test_rows_are_sorted_ordered_in_range_and_name_their_source(table: str) -> None:
    rows = TABLES.rows(table)
    keys = [row["key"] for row in rows]
    assert keys == sorted(set(keys))
    for row in rows:
        assert list(row) == COLUMNS
        assert row["unit"] in UNITS
        assert row["source"] in SOURCES
        assert row["locator"].strip()
        least, greatest = STATED_RANGE[table, row["unit"]]
        low, likely, high = (float(row[end]) for end in ("low", "likely", "high"))
        assert least <= low <= likely <= high <= greatest, row["key"]


def test_every_source_and_stated_range_is_in_use() -> None:
    rows = [(table, row) for table in TABLE_NAMES for row in TABLES.rows(table)]
    assert {row["source"] for _, row in rows} == set(SOURCES)
    assert {(table, row["unit"]) for table, row in rows} == set(STATED_RANGE)
    assert list(SOURCES) == sorted(SOURCES)


@EACH
def test_judgement_and_defaults_are_never_graded(table: str) -> None:
    for row in TABLES.rows(table):
        assert (Grade(row["grade"]) is Grade.NONE) == (row["source"] in ("judgement", "defaults")), row["key"]


def test_every_kind_has_a_set_with_what_the_chain_needs() -> None:
    needed = {
        PartKind.ABSORBER: {"force", "length", "conditioned"},
        PartKind.GRAB: {"lock", "slide"},
        PartKind.LANYARD: {"stiffness"},
        PartKind.ANCHOR: {"stiffness"},
        PartKind.BODY: {"shift", "stiffness", "d-ring fraction"},
        PartKind.PERSON: {"mass"},
    }
    for kind, quantities in needed.items():
        sets = part_sets(kind)
        assert sets
        for found in sets.values():
            assert quantities <= set(found.figures), (kind, found.name)


@pytest.mark.parametrize(
    ("name", "mass", "free_fall", "travel"),
    [("EN 355", 100.0, 4.0, 1.75), ("ANSI 6 ft", 127.9, 1.829, 1.219), ("ANSI 12 ft", 127.9, 3.658, 1.524)],
)
def test_softest_absorber_just_stops_the_drop_of_its_standard(
    name: str, mass: float, free_fall: float, travel: float
) -> None:
    """F X = W (h + X) for the standard's mass, fall and travel; the average force can't be less."""
    absorber = part_sets(PartKind.ABSORBER)[name]
    force, length = absorber.range("force"), absorber.range("length")
    assert force is not None
    assert length is not None
    weight = mass * 9.80665
    assert force.low == pytest.approx(weight * (1 + free_fall / travel), rel=0.01)
    assert length.low == pytest.approx(weight * free_fall / (force.high - weight), rel=0.01)
    assert length.high == pytest.approx(travel, rel=1e-3)


def test_condition_hardens_the_absorber_and_an_unknown_one_spans_both() -> None:
    absorber = part_sets(PartKind.ABSORBER)["ANSI 6 ft"]
    dry, wet, either = (absorber_force(absorber, c) for c in (Condition.DRY, Condition.CONDITIONED, Condition.UNKNOWN))
    assert wet.likely > dry.likely
    assert wet.high == pytest.approx(1125 * 4.4482216152605)
    assert (either.low, either.likely, either.high) == (dry.low, dry.likely, wet.high)


def test_only_an_absorber_has_a_force_to_open_at() -> None:
    with pytest.raises(ValueError, match="grab EN 353-2 has no force"):
        absorber_force(part_sets(PartKind.GRAB)["EN 353-2"])


def test_unknown_set_names_those_there_are() -> None:
    with pytest.raises(InputError, match="--absorber: got 'EN 999'; give one of 'ANSI 12 ft', 'ANSI 6 ft', 'EN 355'"):
        part_set(PartKind.ABSORBER, "EN 999", "--absorber")


def test_model_errors_are_the_published_sizes() -> None:
    """30 % (Weber 2002), 70 % (Carrion 2021), 1/0.875 (Carrion 2020), 17 % (Galy and Lan 2017)."""
    errors = model_errors()
    assert errors["rope/undamped peak"].value.high == 1.30
    assert errors["absorber/opening"].value.high == 1.70
    assert errors["absorber/peak over average"].value.likely == pytest.approx(1 / 0.875, rel=1e-3)
    assert errors["horizontal line/static tension"].value.low == pytest.approx(1 / 1.17, rel=1e-3)
