"""Numbers on paper: in the job's units, rounded to the side on which nobody is hurt."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ropewright.findings import Finding, Place, Verdict
from ropewright.job.assessment import Assessment
from ropewright.quantity import Dimension, UnitSystem, parse_quantity
from ropewright.sheets.figures import finding_numbers, input_text, number_text
from ropewright.sheets.section import clearance_svg, clearances
from ropewright.sheets.words import length_to_tie, place_of

MOST = Finding(
    id="clearance/a",
    question="?",
    verdict=Verdict.FAILS,
    summary="",
    value=3.001,
    low=2.9,
    high=3.551,
    limit=3.0489,
    operator="<=",
    margin=-0.5021,
    unit="m",
    dimension=Dimension.LENGTH,
)


def test_what_must_stay_small_is_shown_large_and_its_limit_small() -> None:
    assert finding_numbers(MOST, UnitSystem.METRIC) == {
        "value": "3.56 m",
        "likely": "3.01 m",
        "limit": "at most 3.04 m",
        "margin": "-0.51 m",
    }


def test_what_must_be_large_is_shown_small_and_its_limit_large() -> None:
    least = replace(MOST, operator=">=", low=2.999, high=4.0, limit=3.0411)
    numbers = finding_numbers(least, UnitSystem.METRIC)
    assert numbers["value"] == "2.99 m"
    assert numbers["limit"] == "at least 3.05 m"


def test_limit_of_the_law_is_shown_as_the_law_has_it() -> None:
    assert finding_numbers(replace(MOST, limit=1.8288), UnitSystem.US)["limit"] == "at most 6.0 ft"


def test_answer_without_a_number_shows_none() -> None:
    bare = Finding("a", "?", Verdict.ASK, "")
    assert finding_numbers(bare, UnitSystem.US) == {}


@pytest.mark.parametrize(("value", "words"), [(math.nan, "not known"), (math.inf, "without end"), (None, "not known")])
def test_no_number_is_said_in_words(value: float | None, words: str) -> None:
    assert number_text(value, Dimension.LENGTH, UnitSystem.US) == words


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("mass_kg", 100.0, "mass 220 lb"),
        ("stiffness_n_per_m", 10_000.0, "stiffness 685 lbf/ft"),
        ("edge_friction", 0.2, "edge friction 0.2"),
        ("protected", True, "protected: yes"),
        ("speed_m_per_s", 3.048, "speed 10.0 ft/s"),
        ("speed_m_s", 3.048, "speed 10.0 ft/s"),
    ],
)
def test_input_takes_its_unit_from_its_key(key: str, value: float, words: str) -> None:
    assert input_text(key, value, UnitSystem.US) == words


def test_length_to_tie_is_never_longer_than_what_holds(assessment: Assessment) -> None:
    shown = length_to_tie(assessment.job, 6.6, 5.5399)
    assert parse_quantity(shown, Dimension.LENGTH, "x") <= 5.5399
    assert length_to_tie(assessment.job, 6.6, None) == "no length holds"


def test_clearance_is_that_of_the_tightest_place(assessment: Assessment) -> None:
    assert len(clearances(assessment)) == len(assessment.fields)
    for clearance, field in zip(clearances(assessment), assessment.fields, strict=True):
        spare = field.available - np.fmax(field.needed_book, field.needed_high)
        assert clearance.available - clearance.needed == pytest.approx(np.nanmin(spare))


def test_book_terms_are_shown_only_if_they_add_up(assessment: Assessment) -> None:
    field = assessment.fields[1]
    row = int(np.nanargmin(field.available - field.needed_book))
    book = float(field.needed_book[row])
    x, y, z = map(float, field.points[row])
    finding = replace(
        assessment.findings[0],
        where=Place(worker=field.worker, point=(x, y, z)),
        inputs={"free_fall_m": book - 1.0, "margin_m": 1.0, "from": "book"},
    )
    fitting = clearances(replace(assessment, fields=(field,), findings=(finding,)))[0]
    assert [name for name, _ in fitting.terms] == ["free fall", "margin"]
    assert fitting.verdict is finding.verdict
    from_d_ring = replace(finding, inputs={"free_fall_m": book + 0.4, "margin_m": 1.0, "d_ring_start_m": 1.4})
    begun_above = clearances(replace(assessment, fields=(field,), findings=(from_d_ring,)))[0]
    assert begun_above.start == 1.4
    assert [name for name, _ in begun_above.terms] == ["free fall", "margin"]
    other = replace(finding, inputs={"free_fall_m": book, "margin_m": 1.0})
    assert clearances(replace(assessment, fields=(field,), findings=(other,)))[0].terms == ()


def test_sums_that_are_tightest_apart_are_shown_apart(assessment: Assessment) -> None:
    field = assessment.fields[0]
    needed_high = field.needed_high.copy()
    reached = np.flatnonzero(field.reached)
    elsewhere = next(row for row in reached if field.edge[row] == "west rake, south half")
    needed_high[elsewhere] = 20.0
    apart = clearances(replace(assessment, fields=(replace(field, needed_high=needed_high),)))
    assert [clearance.edge for clearance in apart] == ["south eave", "west rake, south half"]


def test_worker_who_reaches_no_edge_has_no_clearance(assessment: Assessment) -> None:
    field = assessment.fields[0]
    held = replace(field, reached=np.zeros_like(field.reached))
    assert len(clearances(replace(assessment, fields=(held,)))) == 0


def test_unknown_depth_is_drawn_broken_and_said(assessment: Assessment, changed: Callable[..., Assessment]) -> None:
    clearance = replace(clearances(assessment)[0], available=math.nan, below="")
    drawn = clearance_svg(clearance, UnitSystem.US)
    assert "not known" in drawn
    assert "stroke-dasharray" in drawn


def test_place_names_worker_and_spot() -> None:
    assert place_of(replace(MOST, where=Place(line="L1", opening="hatch"))) == "line L1, hatch"
