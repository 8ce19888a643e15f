"""The map: to scale, a word on every edge, nothing from outside, nothing that breaks the XML.

Lengths are worked out from the stated scale alone: 40 ft at 1:96 are 40 x 304.8 / 96 = 127 mm.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from ropewright.findings import Verdict
from ropewright.job.assessment import Assessment
from ropewright.job.model import Level, Site
from ropewright.quantity import UnitSystem
from ropewright.sheets import map_svg, write_map
from ropewright.sheets.labels import text_width
from ropewright.sheets.map import map_description, map_scale

SVG = "{http://www.w3.org/2000/svg}"
WORDS = {"holds", "doubtful", "ask", "fails", "not reached"}


def parsed(assessment: Assessment, **options: str) -> ET.Element:
    return ET.fromstring(map_svg(assessment, **options))


def layer(root: ET.Element, name: str) -> ET.Element:
    found = root.find(f".//{SVG}g[@id='rw-{name}']")
    assert found is not None
    return found


def edge_line(root: ET.Element, name: str) -> np.ndarray:
    for line in layer(root, "roof").iter(f"{SVG}line"):
        if line.findtext(f"{SVG}title") == name:
            return np.array([[float(line.get(f"{axis}{end}", "nan")) for axis in "xy"] for end in "12"])
    raise AssertionError(f"no line titled {name}")


@pytest.mark.parametrize("units", UnitSystem)
def test_eave_of_40_ft_measures_40_ft_at_the_stated_scale(
    units: UnitSystem, assessment: Assessment, metric_assessment: Assessment
) -> None:
    shown = assessment if units is UnitSystem.US else metric_assessment
    root = parsed(shown)
    ratio = float(re.search(r"1:(\d+)", " ".join(text.text or "" for text in root.iter(f"{SVG}text")))[1])  # type: ignore[index]
    start, end = edge_line(root, "south eave")
    assert np.linalg.norm(end - start) * ratio / 1000 == pytest.approx(40 * 0.3048, abs=1e-3)
    assert map_scale(shown).ratio == ratio


def test_user_units_are_millimetres(assessment: Assessment) -> None:
    root = parsed(assessment)
    width, height = root.get("width", ""), root.get("height", "")
    assert root.get("viewBox") == f"0 0 {width.removesuffix('mm')} {height.removesuffix('mm')}"


def test_north_of_the_plan_is_up(assessment: Assessment) -> None:
    root = parsed(assessment)
    assert edge_line(root, "north eave")[:, 1].max() < edge_line(root, "south eave")[:, 1].min()


def test_scale_bar_is_as_long_as_it_says(assessment: Assessment) -> None:
    root, scale = parsed(assessment), map_scale(assessment)
    marks = [text for text in layer(root, "block").iter(f"{SVG}text") if re.fullmatch(r"0|\d+ ft", text.text or "")]
    start, end = (float(text.get("x", "nan")) for text in marks)
    feet = float((marks[1].text or "").removesuffix(" ft"))
    assert (end - start) * scale.ratio / 1000 == pytest.approx(feet * 0.3048, abs=1e-3)


def test_every_boundary_edge_has_a_band_and_a_word(assessment: Assessment) -> None:
    root = parsed(assessment)
    titles = [title.text or "" for title in layer(root, "bands").iter(f"{SVG}title")]
    for edge in assessment.job.roof.boundary:
        assert any(title.startswith(f"{edge.name}: ") and title.split(": ")[1] in WORDS for title in titles), edge.name
    written = [text.text for text in layer(root, "text").iter(f"{SVG}text")]
    # the two halves of a rake run on in one line, and share a word where they share a verdict
    sides = 4
    assert sum(word in WORDS for word in written) >= sides


def test_opening_has_its_worst_word(assessment: Assessment) -> None:
    written = [text.text or "" for text in layer(parsed(assessment), "text").iter(f"{SVG}text")]
    assert any(words.startswith("skylight: ") for words in written)


def test_edge_without_a_field_is_to_be_asked(assessment: Assessment) -> None:
    bare = replace(assessment, fields=(), zones=(), rig=())
    titles = {title.text for title in layer(parsed(bare), "bands").iter(f"{SVG}title")}
    assert titles == {f"{edge.name}: ask" for edge in bare.job.roof.boundary}


def test_map_of_one_worker_leaves_out_the_other(assessment: Assessment) -> None:
    words = " ".join(text.text or "" for text in parsed(assessment, worker="Worker one").iter(f"{SVG}text"))
    assert "Worker one" in words
    assert "Worker two" not in words


def test_unknown_worker_is_refused(assessment: Assessment) -> None:
    with pytest.raises(ValueError, match="'Nobody'"):
        map_svg(assessment, worker="Nobody")


def test_hostile_names_stay_text(assessment: Assessment, changed: Callable[..., Assessment]) -> None:
    name = '<script>alert("x")</script> & Söhne \x07'
    root = parsed(changed(name=name, address="</svg>", prepared_by="]]>"))
    assert root.find(f".//{SVG}script") is None
    assert (root.findtext(f"{SVG}title") or "").endswith('<script>alert("x")</script> & Söhne \ufffd')


def test_nothing_is_fetched_from_outside(assessment: Assessment) -> None:
    text = map_svg(assessment).replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?:|//|@import|<image|<foreignObject|xlink|data:", text)
    assert set(re.findall(r"url\(([^)]*)\)", text)) <= {f"#{name}" for name in re.findall(r'id="([^"]*)"', text)}


def test_equal_assessments_give_equal_bytes(assessment: Assessment) -> None:
    assert map_svg(assessment) == map_svg(assessment)


def test_has_title_and_description_for_those_who_cannot_see_it(assessment: Assessment) -> None:
    root = parsed(assessment)
    assert assessment.job.name in (root.findtext(f"{SVG}title") or "")
    assert root.findtext(f"{SVG}desc") == map_description(assessment)
    assert "south eave: holds" in map_description(assessment)


def test_sheet_says_what_it_is(assessment: Assessment) -> None:
    words = " ".join(text.text or "" for text in parsed(assessment).iter(f"{SVG}text"))
    for part in (
        "Invented example",
        "2025-05-03",
        "Planning aid.",
        "fails",
        "N",
        map_scale(assessment).text,
        "service line, 7.2 kV",
        "8:12",
    ):
        assert part in words


def test_metric_sheet_holds_no_feet(metric_assessment: Assessment) -> None:
    words = " ".join(text.text or "" for text in parsed(metric_assessment).iter(f"{SVG}text"))
    assert not re.search(r"\d (ft|in|lb|lbf)\b", words)
    assert "33.7°" in words


def test_verdict_is_told_by_hatch_and_word_as_well_as_colour(assessment: Assessment) -> None:
    for band in layer(parsed(assessment), "bands").iter(f"{SVG}g"):
        word = (band.findtext(f"{SVG}title") or "").rpartition(": ")[2]
        fills = [path.get("fill") for path in band.iter(f"{SVG}path")]
        if word and word != "not reached":
            assert f"url(#rw-{word}-0)" in fills


def overlap(one: ET.Element, other: ET.Element) -> bool:
    """Do two level texts share room, by the widths that the layout itself reckons with."""
    boxes = []
    for text in (one, other):
        size, x, y = (float(text.get(key, "nan")) for key in ("font-size", "x", "y"))
        half = text_width(text.text or "", size) / 2
        boxes.append((x - half, x + half, y - 0.7 * size, y))
    (l1, r1, t1, b1), (l2, r2, t2, b2) = boxes
    return l1 < r2 and l2 < r1 and t1 < b2 and t2 < b1


def test_words_on_the_drawing_do_not_lie_on_each_other(assessment: Assessment) -> None:
    level = [text for text in layer(parsed(assessment), "text").iter(f"{SVG}text") if not text.get("transform")]
    assert len(level) > 10
    pairs = [(a.text, b.text) for i, a in enumerate(level) for b in level[:i] if overlap(a, b)]
    assert pairs == []


def test_far_away_levels_do_not_shrink_the_roof(assessment: Assessment, changed: Callable[..., Assessment]) -> None:
    field = np.array([[-500.0, -500.0], [500.0, -500.0], [500.0, 500.0], [-500.0, 500.0]])
    far = changed(site=Site(levels=(Level("ground", 0.0), Level("field", -1.0, field))))
    assert map_scale(far).ratio <= 2 * map_scale(assessment).ratio


def test_written_map_is_the_text(assessment: Assessment, tmp_path: Path) -> None:
    path = write_map(assessment, tmp_path / "map.svg")
    assert path.read_text(encoding="utf-8") == map_svg(assessment)
    assert [file.name for file in tmp_path.iterdir()] == ["map.svg"]


def test_worst_verdict_of_the_job_stands_in_the_title_block(assessment: Assessment) -> None:
    held = replace(assessment, verdict=Verdict.ASK)
    block = [text.text for text in layer(parsed(held), "block").iter(f"{SVG}text")]
    assert block[block.index("worst of the job") + 1] == "ask"
