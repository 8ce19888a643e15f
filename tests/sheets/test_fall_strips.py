"""The drawings of the fall bench: whole, to scale, and in the words they are given."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from ropewright.job.bench_fall import BenchFall, answer_bench_fall, shared_span
from ropewright.quantity import Range, UnitSystem
from ropewright.sheets.fall_ladder import DEEP, TOP, ladder_svg
from ropewright.sheets.fall_strips import Span, strips_svg

SETUP = BenchFall(
    Range(90.0, 100.0, 110.0), Range.exact(1.8), 6.0, absorber="EN 355", setback=4.0, clearance=7.0, force_limit=6e3
)


@pytest.fixture(scope="module")
def answer():
    return answer_bench_fall(SETUP)


def _ladder(answer, deepest=0.0, **more):
    return ET.fromstring(ladder_svg(answer, deepest, UnitSystem.METRIC, title="ladder", **more))


def test_rungs_are_to_scale(answer):
    rungs = [one for one in _ladder(answer, 8.0) if "rung" in one.get("class", "")][: len(answer.book.terms)]
    heights = [float(one.get("height")) for one in rungs]
    low = max(8.0, answer.needed, 7.0) * 1.04
    assert heights == pytest.approx([float(term.value) * DEEP / low for term in answer.book.terms], abs=2e-3)


def test_ground_line_stands_at_the_clearance(answer):
    ground = next(one for one in _ladder(answer, 8.0) if one.get("class") == "ground")
    low = max(8.0, answer.needed, 7.0) * 1.04
    assert float(ground.get("y1")) == pytest.approx(TOP + 7.0 * DEEP / low, abs=2e-3)


def test_strips_tell_limit_floor_and_the_two_figures(answer):
    text = strips_svg(answer, Span(*shared_span((answer,))), UnitSystem.METRIC, title="a fall")
    words = re.findall(r">([^<>]+)</text>", text)
    assert {"limit 6.00 kN", "feet touch, 7.00 m", "4.40 kN"} <= set(words)
    ET.fromstring(text)


def test_drawings_speak_the_language_they_are_given(answer):
    shout = str.upper
    text = strips_svg(answer, Span(*shared_span((answer,))), UnitSystem.US, title="t", say=shout)
    told = ladder_svg(answer, 0.0, UnitSystem.US, title="t", say=shout)
    assert "FREE FALL" in text
    assert "MARGIN" in told
    assert not re.search(r">[a-z]{4,}", re.sub(r"<desc>.*?</desc>", "", text))


def test_band_is_drawn_only_where_something_is_in_doubt():
    none = answer_bench_fall(replace(SETUP, absorber="", setback=0.0))
    sure = replace(none, fall=replace(none.fall, corners=replace(none.fall.corners, cases=none.fall.corners.cases[:1])))
    assert "band" not in strips_svg(sure, Span(*shared_span((sure,))), UnitSystem.METRIC, title="t")
    assert "band" in strips_svg(none, Span(*shared_span((none,))), UnitSystem.METRIC, title="t")
