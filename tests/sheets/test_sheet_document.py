"""``findings.json``: what the published schema says, SI, and no number that JSON does not know."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from jsonschema import Draft202012Validator

from ropewright import __version__
from ropewright.job.assessment import Assessment
from ropewright.sheets.document import findings_document, findings_json, findings_schema, findings_text, write_findings


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    schema = findings_schema()
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)


@pytest.fixture(scope="module")
def document(assessment: Assessment) -> dict[str, Any]:
    return findings_document(assessment)


def test_document_is_what_the_schema_says(document: dict[str, Any], validator: Draft202012Validator) -> None:
    validator.validate(json.loads(json.dumps(document)))


def test_document_of_an_empty_assessment_is_too(
    assessment: Assessment, changed: Callable[..., Assessment], validator: Draft202012Validator
) -> None:
    empty = replace(changed(date=None, path=Path("/home/somebody/job.toml")), findings=(), fields=(), zones=(), rig=())
    document = findings_document(empty)
    validator.validate(document)
    assert document["job"]["file"] == "job.toml"  # no folder of the machine it was made on


def missing(document: dict[str, Any]) -> None:
    del document["findings"][0]["remedy"]


def another_verdict(document: dict[str, Any]) -> None:
    document["findings"][0]["verdict"] = "fine"


def another_key(document: dict[str, Any]) -> None:
    document["edges"][0]["colour"] = "red"


def text_for_a_number(document: dict[str, Any]) -> None:
    document["rig"][0]["length_set_m"] = "6 ft"


@pytest.mark.parametrize("spoil", [missing, another_verdict, another_key, text_for_a_number])
def test_schema_refuses(
    spoil: Callable[[dict[str, Any]], None], document: dict[str, Any], validator: Draft202012Validator
) -> None:
    spoilt = deepcopy(document)
    spoil(spoilt)
    assert not validator.is_valid(spoilt)


def test_findings_have_the_keys_of_the_contract(document: dict[str, Any], contract: frozenset[str]) -> None:
    assert document["ropewright"] == __version__
    assert document["units"] == "SI"
    for finding in document["findings"]:
        assert contract <= set(finding)
    assert document["findings"][0]["where"]["edge"] == "south eave"
    assert document["findings"][0]["where"]["point"] == {"x_m": 8.6, "y_m": 0.0, "z_m": 3.048}


def test_no_number_that_json_does_not_know(assessment: Assessment, validator: Draft202012Validator) -> None:
    field = assessment.fields[0]
    n = len(field.points)
    wild = replace(field, power=np.full(n, np.inf), available=np.full(n, np.nan), force_high=np.full(n, -np.inf))
    finding = replace(assessment.findings[0], value=float("inf"), margin=float("nan"), inputs={"a_m": float("nan")})
    document = findings_document(replace(assessment, fields=(wild,), findings=(finding,)))
    validator.validate(json.loads(json.dumps(document, allow_nan=False)))
    assert {row["power_distance_m"] for row in document["edges"]} == {None}


def test_every_edge_point_of_every_worker_is_there(assessment: Assessment, document: dict[str, Any]) -> None:
    assert len(document["edges"]) == sum(len(field.points) for field in assessment.fields)
    for row in document["edges"]:
        assert (row["verdict"] is None) == (not row["reached"])


def test_length_to_tie_is_the_shorter_one(document: dict[str, Any]) -> None:
    assert [row["length_to_tie_m"] for row in document["rig"]] == [5.4, 5.54]


def test_text_reads_back_as_the_document(assessment: Assessment, document: dict[str, Any], tmp_path: Path) -> None:
    path = write_findings(assessment, tmp_path / "findings.json")
    assert json.loads(path.read_text(encoding="utf-8")) == json.loads(json.dumps(document))
    assert findings_json(assessment) == findings_json(assessment)


def test_text_refuses_nan() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        findings_text({"a": float("nan")})


def test_schema_describes_every_verdict_and_status() -> None:
    from ropewright.findings import SourceStatus, Verdict

    kinds = findings_schema()["$defs"]
    assert kinds["verdict"]["enum"] == [verdict.value for verdict in Verdict]
    assert kinds["status"]["enum"] == [status.value for status in SourceStatus]
