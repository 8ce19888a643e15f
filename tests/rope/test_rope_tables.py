"""Every table of the rope package: units known, sources named, values in their stated range, keys unique and sorted."""

import csv
import io
import tomllib
from importlib import resources

import pytest

from ropewright.findings import SourceStatus, Verdict
from ropewright.rope.tables import UNITS, Figure, Grade, data_text, figures, rows, source_of

NUMBER_COLUMNS = ["key", "low", "likely", "high", "unit", "source", "locator", "status", "grade", "samples", "note"]
TEXT_COLUMNS = {
    "fibre_facts": ["key", "text", "source", "locator", "status", "grade", "note"],
    "fibres": ["key", "family", "source", "locator", "status", "grade", "note"],
    "suitability": ["key", "verdict", "question", "reason", "source", "locator", "status", "grade", "note"],
}
#: Least and greatest value that a row may hold, in the unit it is printed in, by table and unit.
STATED_RANGE = {
    ("bend_ratio", "-"): (0.5, 1),
    ("double_braid_nylon", "kip"): (30, 600),
    ("fibre_properties", "-"): (0, 1),
    ("fibre_properties", "degC"): (-30, 510),
    ("fibre_properties", "g/cm3"): (0.9, 1.6),
    ("friction", "-"): (0.1, 1.2),
    ("handling_figures", "-"): (0.25, 12),
    ("handling_figures", "kN/mm2"): (0.2, 0.3),
    ("handling_figures", "m"): (0.05, 1.3),
    ("ideal_rope_length", "radii"): (6.28, 100),
    ("knot_observations", "-"): (0.35, 0.95),
    ("sheathed_core", "-"): (0.6, 0.8),
    ("sheathed_core", "g/m"): (60, 70),
    ("sheathed_core", "g/m/mm2"): (0.55, 0.75),
    ("sheathed_core", "kN"): (20, 50),
    ("sheathed_core", "kN/mm2"): (0.2, 0.3),
    ("sheathed_core", "kgf"): (100, 1400),
    ("stiffness", "-"): (0.7, 34),
    ("stiffness", "kN"): (8, 170),
    ("stiffness", "kN/mm2"): (0.2, 0.5),
    ("stiffness", "mm"): (10, 11),
    ("stiffness", "s"): (0.1, 0.5),
    ("strength_figures", "-"): (0, 2.5),
    ("strength_figures", "kN"): (7, 9.5),
    ("strength_figures", "lbf/in2"): (900, 900),
    ("terminations", "-"): (0.3, 1),
    ("three_strand_distributor", "lb/100 ft"): (2.8, 23),
    ("three_strand_distributor", "lbf"): (1000, 20000),
    ("three_strand_reference_pages", "g/m"): (20, 460),
    ("three_strand_reference_pages", "lbf"): (500, 23000),
    ("weathering", "-"): (0.1, 0.9),
    ("weathering", "1/yr"): (0.2, 2.3),
}
TABLES = sorted(
    entry.name.removesuffix(".csv")
    for entry in resources.files("ropewright.rope").joinpath("data").iterdir()
    if entry.name.endswith(".csv")
)
NUMBER_TABLES = [table for table in TABLES if table not in TEXT_COLUMNS]
SOURCES = tomllib.loads(data_text("sources.toml"))


def test_all_tables_are_found():
    assert len(TABLES) == 17


@pytest.mark.parametrize("table", TABLES)
def test_table_has_its_columns(table):
    header = next(csv.reader(io.StringIO(data_text(f"{table}.csv"))))
    expected = TEXT_COLUMNS.get(table, NUMBER_COLUMNS)
    extra = ["kind", "use"] if table == "terminations" else []
    assert header == [expected[0], *extra, *expected[1:]]


@pytest.mark.parametrize("table", TABLES)
def test_keys_are_unique_and_sorted(table):
    keys = [row["key"] for row in rows(table)]
    assert keys == sorted(set(keys))


@pytest.mark.parametrize("table", TABLES)
def test_every_row_names_a_source_a_place_in_it_a_status_and_a_grade(table):
    for row in rows(table):
        assert row["source"] in SOURCES, row["key"]
        assert row["locator"].strip(), row["key"]
        assert Grade(row["grade"]) in Grade
        assert source_of(row).status in SourceStatus


@pytest.mark.parametrize("table", NUMBER_TABLES)
def test_every_number_is_ordered_has_a_known_unit_and_lies_in_its_stated_range(table):
    for row in rows(table):
        assert row["unit"] in UNITS, row["key"]
        least, greatest = STATED_RANGE[table, row["unit"]]
        low, likely, high = (float(row[end]) for end in ("low", "likely", "high"))
        assert least <= low <= likely <= high <= greatest, row["key"]


@pytest.mark.parametrize("table", NUMBER_TABLES)
def test_samples_are_a_whole_number_or_left_out(table):
    for row in rows(table):
        assert row["samples"] == "" or int(row["samples"]) > 0, row["key"]


def test_every_stated_range_is_in_use():
    used = {(table, row["unit"]) for table in NUMBER_TABLES for row in rows(table)}
    assert used == set(STATED_RANGE)


def test_every_source_is_in_use_and_titled_once():
    used = {row["source"] for table in TABLES for row in rows(table)}
    assert used == set(SOURCES)
    titles = [entry["title"] for entry in SOURCES.values()]
    assert len(set(titles)) == len(titles)


def test_sources_are_sorted():
    assert list(SOURCES) == sorted(SOURCES)


def test_judgement_and_practice_are_never_graded():
    for table in TABLES:
        for row in rows(table):
            if row["source"] in ("judgement", "practice", "definition"):
                assert row["grade"] == "-", (table, row["key"])


def test_what_is_remembered_judged_or_of_grade_c_does_not_settle():
    for table in NUMBER_TABLES:
        for figure in figures(table).values():
            weak = figure.source.status in (SourceStatus.MEMORY, SourceStatus.JUDGEMENT) or figure.grade is Grade.C
            assert figure.settles is not weak


def test_figures_are_in_si_units():
    knife = figures("three_strand_reference_pages")["nylon/0.5000 in/strength"]
    assert isinstance(knife, Figure)
    assert knife.unit == "N"
    assert knife.value.likely == pytest.approx(5670 * 4.4482216152605)
    assert figures("fibre_properties")["nylon/density"].unit == "kg/m3"


def test_suitability_rows_hold_verdicts_and_words():
    for row in rows("suitability"):
        assert Verdict(row["verdict"]) in Verdict
        assert row["question"].endswith("?")
        assert row["reason"]


def test_practice_alone_never_fails_a_rope():
    """Common practice without a source makes doubtful; only a rule may fail."""
    for row in rows("suitability"):
        if row["verdict"] == "fails":
            assert row["source"].startswith("cfr_")
