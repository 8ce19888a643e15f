"""Draws on paper, on screen and in JSON: told as they stand in the finding, rounded so that they claim no more."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest
from jsonschema import Draft202012Validator

from ropewright.findings.drawn import Drawn, PinDown, Share
from ropewright.job.assessment import Assessment
from ropewright.quantity import Dimension
from ropewright.sheets.document import findings_document, findings_schema
from ropewright.sheets.pdf_content import pdf_content
from ropewright.sheets.summary import summary_text

DRAWN = Drawn(
    draws=1000,
    levels=(0.05, 0.5, 0.95),
    values=(3000.0, 4000.0, math.inf),
    here=Share(0.9719, 0.9597, 0.9812),
    everywhere=Share(0.9306, 0.913, 0.9455),
    together=Share(0.9, 0.88, 0.917),
    pin_down=(PinDown("how far the law is off", "", 0.7), PinDown("mass", "Weigh the worker", 0.22)),
    text="1,000 draws of the inputs: ...",
    first="Weigh the worker: it decides 22 % of the spread of the force.",
)


@pytest.fixture(scope="module")
def told(assessment: Assessment) -> Assessment:
    """The assessment with draws told in its findings of force."""
    findings = tuple(
        replace(one, drawn=DRAWN) if one.dimension is Dimension.FORCE and one.where.worker else one
        for one in assessment.findings
    )
    assert any(one.drawn for one in findings)
    return replace(assessment, findings=findings)


def test_document_with_draws_is_what_the_schema_says(told: Assessment) -> None:
    document = json.loads(json.dumps(findings_document(told), allow_nan=False))
    Draft202012Validator(findings_schema()).validate(document)
    draws = next(one["draws"] for one in document["findings"] if one["draws"])
    assert draws["spread"][-1] == {"share": 0.95, "value": None}
    assert draws["holds_here"] == {"share": 0.9719, "low": 0.9597, "high": 0.9812}
    assert draws["pin_down"][1] == {"input": "mass", "advice": "Weigh the worker", "share": 0.22}


def test_document_without_draws_says_null(assessment: Assessment) -> None:
    assert {one["draws"] for one in findings_document(assessment)["findings"]} == {None}


def test_paper_has_a_row_for_each_finding_that_was_drawn(told: Assessment) -> None:
    rows = pdf_content(told)["draws"]
    assert len(rows) == sum(one.drawn is not None for one in told.findings)
    assert rows[0]["here"] == "97.1 % (95.9 to 98.1)"
    assert rows[0]["everywhere"] == "93 % (91.3 to 94.5)"
    assert rows[0]["first"] == "Weigh the worker (22 %)"
    assert rows[0]["values"][-1] == "without end"


def test_paper_without_draws_has_no_table_of_them(assessment: Assessment) -> None:
    content = pdf_content(assessment)
    assert content["draws"] == []
    assert {one["draws"] for one in content["findings"]} == {""}


def test_screen_tells_the_share_and_what_to_do_first(told: Assessment) -> None:
    text = " ".join(summary_text(told).split())
    assert "1,000 draws, share that holds at every edge reached: force in 93 %" in text
    assert DRAWN.first in text


def test_screen_without_draws_tells_of_none(assessment: Assessment) -> None:
    assert "draws" not in summary_text(assessment)
