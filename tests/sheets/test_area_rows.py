"""Where the stopper is tied for each area stands beside the worker's line: on screen, on paper and in the document."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from jsonschema import Draft202012Validator

from ropewright.job.assessment import AreaStop, Assessment
from ropewright.sheets.document import findings_document, findings_schema
from ropewright.sheets.pdf_content import pdf_content
from ropewright.sheets.summary import summary_text
from ropewright.sheets.words import area_to_tie

STOPS = (
    AreaStop("south slope", 7.348, 7.349, 7.348, 0.999),
    AreaStop("ridge", 7.348, 2.0, 2.0, 1.0),
    AreaStop("porch", None, 3.0, None, 0.0),
)


@pytest.fixture(scope="module")
def with_areas(metric_assessment: Assessment) -> Assessment:
    first, *rest = metric_assessment.rig
    return replace(metric_assessment, rig=(replace(first, areas=STOPS), *rest))


def test_lengths_and_shares_are_rounded_down(with_areas: Assessment) -> None:
    told = [area_to_tie(with_areas.job, stop) for stop in STOPS]
    assert told == [
        "south slope: tie the stopper at 7.34 m, which reaches 99 % of it",
        "ridge: tie the stopper at 2.00 m",
        "porch: no length holds",
    ]


def test_screen_and_paper_tell_every_area(with_areas: Assessment) -> None:
    content = pdf_content(with_areas)
    assert content["rig"][0]["areas"] == [area_to_tie(with_areas.job, stop) for stop in STOPS]
    screen = summary_text(with_areas)
    assert all(area_to_tie(with_areas.job, stop) in screen for stop in STOPS)


def test_the_document_with_areas_is_what_the_schema_says(with_areas: Assessment) -> None:
    document = json.loads(json.dumps(findings_document(with_areas)))
    Draft202012Validator(findings_schema()).validate(document)
    assert [area["length_to_tie_m"] for area in document["rig"][0]["areas"]] == [7.348, 2.0, None]
