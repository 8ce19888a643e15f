"""Findings as plain data."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date

import pytest

from ropewright.findings import Finding, Place, Remedy, Source, SourceStatus, Verdict
from ropewright.findings.document import finding_document, key_with_unit
from ropewright.findings.drawn import Drawn, PinDown, Share
from ropewright.quantity import Dimension

FINDING = Finding(
    id="free-fall/worker-1",
    question="Is the free fall short enough?",
    verdict=Verdict.FAILS,
    summary="7 ft is too far.",
    value=2.1336,
    low=2.0,
    high=math.inf,
    limit=1.8288,
    operator="<=",
    margin=-math.inf,
    unit="m",
    dimension=Dimension.LENGTH,
    where=Place(edge="south eave", point=(1.0, 2.0, 3.0), worker="1"),
    formula="free_fall <= 6 ft",
    inputs={"free_fall_m": 2.1336, "rope_m": math.nan, "grab": "none"},
    sources=(Source("29 CFR", "1926.502(d)(16)(iii)", SourceStatus.READ, date(2026, 11, 25)),),
    remedy=Remedy("Shorten it.", {"line": "6 ft"}, True, Verdict.HOLDS, Verdict.ASK),
)


def test_document_has_every_key_of_the_contract(contract: frozenset[str]) -> None:
    assert contract | {"summary", "low", "high", "operator", "decide", "draws"} == finding_document(FINDING).keys()


def test_place_has_a_point_with_units() -> None:
    where = finding_document(FINDING)["where"]
    assert where["point"] == {"x_m": 1.0, "y_m": 2.0, "z_m": 3.0}
    assert (where["edge"], where["worker"], where["line"]) == ("south eave", "1", None)


def test_what_is_not_finite_is_null() -> None:
    made = finding_document(FINDING)
    assert (made["high"], made["margin"], made["inputs"]["rope_m"]) == (None, None, None)
    json.dumps(made, allow_nan=False)


def test_source_and_remedy_are_spelt_out() -> None:
    made = finding_document(FINDING)
    assert made["source"] == [
        {"document": "29 CFR", "clause": "1926.502(d)(16)(iii)", "status": "read", "compared": "2026-11-25"}
    ]
    assert made["remedy"] == {
        "text": "Shorten it.",
        "change": {"line": "6 ft"},
        "proven": True,
        "verdict_after": "holds",
        "job_after": "ask",
    }


def test_empty_finding_has_nulls() -> None:
    made = finding_document(Finding("x", "Is it?", Verdict.ASK, "Ask."))
    assert (made["value"], made["remedy"], made["source"], made["where"]["point"]) == (None, None, [], None)


@pytest.mark.parametrize(
    ("dimension", "key"),
    [
        (Dimension.LENGTH, "x_m"),
        (Dimension.FORCE, "x_n"),
        (Dimension.ANGLE, "x_deg"),
        (Dimension.SPEED, "x_m_per_s"),
        (Dimension.VOLTAGE, "x_v"),
        (Dimension.RATIO, "x"),
        (None, "x"),
    ],
)
def test_keys_say_their_unit(dimension: Dimension | None, key: str) -> None:
    assert key_with_unit("x", dimension) == key


def test_draws_are_spelt_out_and_what_has_no_end_is_null() -> None:
    share = Share(0.5, 0.4, 0.6)
    pins = (PinDown("mass", "Weigh the worker", 0.6),)
    drawn = Drawn(64, (0.05, 0.95), (1.5, math.inf), None, share, share, pins, "64 draws.", "Weigh the worker: ...")
    made = finding_document(replace(FINDING, drawn=drawn))["draws"]
    assert made["count"] == 64
    assert made["spread"] == [{"share": 0.05, "value": 1.5}, {"share": 0.95, "value": None}]
    assert (made["holds_here"], made["holds_everywhere"]) == (None, {"share": 0.5, "low": 0.4, "high": 0.6})
    assert made["pin_down"] == [{"input": "mass", "advice": "Weigh the worker", "share": 0.6}]
    assert (made["text"], made["first"]) == ("64 draws.", "Weigh the worker: ...")
    assert finding_document(FINDING)["draws"] is None
