"""The map of anchors says with words and hatches, not by colour alone, what is covered, and all fits the sheet."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
from made_jobs import a_job

from ropewright.findings import Finding, Verdict
from ropewright.job.area_model import Area
from ropewright.job.layout_model import Bare, Cut, Layout, Placed, Setting, Wanted
from ropewright.job.layout_site import Places
from ropewright.quantity import UnitSystem
from ropewright.roof.height import grid_on
from ropewright.sheets.layout_map import layout_map_svg
from ropewright.sheets.layout_text import layout_text
from ropewright.sheets.layout_words import anchor_place, bound_line, cuts_lines, headline, share_line
from ropewright.sheets.paper import sheet_for

SVG = "{http://www.w3.org/2000/svg}"


def a_layout(units: UnitSystem = UnitSystem.METRIC, *, anchors: int = 2, bare: int = 12) -> Layout:
    """A layout made up for the drawing: anchors along the ridge, the first places uncovered."""
    job = a_job(units)
    points = grid_on(job.roof, 0.5)
    ridge = next(edge for edge in job.roof.edges if edge.name == "ridge" or edge.type == "ridge")
    along = np.linspace(ridge.start, ridge.end, anchors + 2)[1:-1]
    setting = Setting("Sam", "L1", 7.348, 7.42, 0.3, False, Verdict.HOLDS, "free-fall", 40)
    placed = tuple(
        Placed(f"N{k + 1}", point, ridge.name, kept=False, settings=(setting,)) for k, point in enumerate(along)
    )
    covered = np.arange(len(points)) >= bare
    why = Bare("Sam", "whole roof", "with a line that gets there, a fall would swing too far", tuple(range(bare)))
    return Layout(
        job=job,
        wanted=Wanted(),
        places=Places(points, 0.5, (Area("whole roof"),), np.ones((len(points), 1), bool)),
        candidates=np.linspace(ridge.start, ridge.end, 20),
        anchors=placed,
        kept=(),
        bound=anchors,
        proven=True,
        bare=(why,) if bare else (),
        covered=covered,
        share=None,
        findings=(),
        verdict=Verdict.HOLDS,
    )


def root_of(layout: Layout) -> ET.Element:
    return ET.fromstring(layout_map_svg(layout))


def words_of(root: ET.Element) -> list[str]:
    return ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("units", list(UnitSystem))
def test_both_states_have_a_word_and_a_hatch(units: UnitSystem) -> None:
    root = root_of(a_layout(units))
    words = words_of(root)
    assert words.count("covered") >= 2  # on the roof and in the key
    assert words.count("not covered") >= 2
    hatches = {element.get("fill") for element in root.iter(f"{SVG}path")}
    assert {"url(#rw-covered-0)", "url(#rw-not-covered-0)"} <= hatches
    named = {element.get("id") for element in root.iter(f"{SVG}pattern")}
    assert {fill[5:-1] for fill in hatches if fill and fill.startswith("url")} <= named


def test_a_roof_all_covered_says_nothing_of_uncovered_places() -> None:
    assert "not covered" not in words_of(root_of(a_layout(bare=0)))


@pytest.mark.parametrize("anchors", [1, 8, 15])
def test_everything_written_stays_on_the_sheet(anchors: int) -> None:
    root = root_of(a_layout(anchors=anchors))
    _, _, width, height = map(float, (root.get("viewBox") or "").split())
    for text in root.iter(f"{SVG}text"):
        if text.get("transform") is None and text.get("x") is not None:
            assert 0 <= float(text.get("x") or 0) <= width
            assert 0 <= float(text.get("y") or 0) <= height


@pytest.mark.parametrize("units", list(UnitSystem))
def test_every_anchor_is_told_whole_however_many_there_are(units: UnitSystem) -> None:
    """Lines hang on as far as they need, and the sheet grows: nothing is cut or left to another file."""
    layout = a_layout(units, anchors=15, bare=0)
    root = root_of(layout)
    said = " ".join(words_of(root))
    assert "…" not in said
    for placed in layout.anchors:
        assert anchor_place(layout.job, placed).removesuffix(", measured level") in said
    (_, _, _, height), paper = map(float, (root.get("viewBox") or "").split()), sheet_for(units).height
    assert height > paper


def test_few_anchors_leave_the_sheet_as_it_is() -> None:
    root = root_of(a_layout(anchors=2, bare=0))
    assert (root.get("viewBox") or "").split()[-1] == f"{sheet_for(UnitSystem.METRIC).height:g}"


def test_lines_of_the_foot_fit_the_sheet_in_wide_letters() -> None:
    """DejaVu Sans, the widest of the fonts that a plain machine has; it comes with matplotlib."""
    from matplotlib import get_data_path
    from PIL import ImageFont

    root = root_of(a_layout(anchors=6))
    width = float((root.get("viewBox") or "").split()[2])
    fonts = {
        bold: ImageFont.truetype(f"{get_data_path()}/fonts/ttf/DejaVuSans{'-Bold' if bold else ''}.ttf", 1000)
        for bold in (False, True)
    }
    rows = [text for text in root.iter(f"{SVG}text") if text.get("text-anchor") in (None, "start") and text.get("x")]
    rows = [text for text in rows if text.get("transform") is None and (text.text or "").count(" ") > 5]
    assert len(rows) > 10
    for text in rows:
        font = fonts[text.get("font-weight") == "600"]
        assert (
            float(text.get("x") or 0) + font.getlength(text.text or "") / 1000 * float(text.get("font-size") or 0)
            <= width
        )


def test_every_anchor_has_its_sign_and_name() -> None:
    root = root_of(a_layout(anchors=3))
    said = " ".join(words_of(root))
    for name in ("N1", "N2", "N3"):
        assert f"{name}, stop 7.34 m" in said
        assert f"{name}: " in said


def test_the_same_layout_gives_the_same_drawing() -> None:
    assert layout_map_svg(a_layout()) == layout_map_svg(a_layout())


def test_a_place_is_told_from_a_corner_with_a_name() -> None:
    layout = a_layout(UnitSystem.US)
    told = anchor_place(layout.job, layout.anchors[0])
    assert re.match(r"\d+ ft .* along .* from its end at .*; .* from .*, measured level", told)


def test_settings_are_rounded_down_and_swings_up() -> None:
    said = " ".join(layout_text(a_layout()).split())
    assert "tie the stopper at 7.34 m" in said
    assert "greatest swing drop 0.30 m" in said


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, "Proven least"),
        ({"proven": False, "bound": 1}, "the gap is 1"),
        ({"bound": 4, "wanted": Wanted(most=2)}, "At least 4 are needed"),
    ],
)
def test_what_is_proven_is_said(change: dict[str, object], said: str) -> None:
    assert said in bound_line(replace(a_layout(), **change))  # type: ignore[arg-type]


def test_one_anchor_is_one() -> None:
    assert headline(a_layout(anchors=1, bare=0)) == "1 new anchor: every place is covered."


def test_what_was_left_out_and_what_the_proof_rests_on_is_said() -> None:
    layout = a_layout(anchors=3)
    assert list(cuts_lines(layout)) == []
    finding = Finding("contact/w", "What is met?", Verdict.FAILS, "Meets a wall.")
    cut = Cut(("Sam",), "ridge", layout.anchors[0].point, 5.0, 3.2, "the body would meet a wall", finding)
    first, second = cuts_lines(replace(layout, cuts=(cut, cut), bound_uncut=2))
    assert first.startswith("Left out: 1 line that would hold at every edge")
    assert "(contact)" in first
    assert "bound of 3" in second
    assert "at least 2 are needed" in second
    assert len(list(cuts_lines(replace(layout, cuts=(cut,), bound_uncut=3)))) == 1


@pytest.mark.parametrize(("held", "said"), [(0.994, "99.4 %"), (0.95, "less than the 99 % asked for")])
def test_the_share_of_draws_is_told_beside_what_was_asked(held: float, said: str) -> None:
    layout = replace(a_layout(bare=0), share=held, wanted=Wanted(share=0.99))
    assert said in share_line(layout)
    assert layout.holds == (held >= 0.99)
