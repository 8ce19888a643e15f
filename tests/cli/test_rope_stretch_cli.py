"""`ropewright rope stretch`: keys, units, wrong input, and the drawing."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

GIVEN = {
    "--fibre": "polyester",
    "--construction": "sheathed core",
    "--stretch": "static",
    "--diameter": "11 mm",
    "--length": "15 m",
    "--mass": "100 kg",
}


def stretch(changes: dict[str, str] | None = None, *options: str) -> Result:
    given = {**GIVEN, **(changes or {})}
    return CliRunner().invoke(main, ["rope", "stretch", *(part for pair in given.items() for part in pair), *options])


def test_json_gives_each_length_and_the_room_it_asks_for() -> None:
    answer = json.loads(stretch({"--stiffness": "40 kN to 50 kN to 60 kN", "--force": "5 kN"}, "--json").stdout)
    assert [row["rope_m"] for row in answer["rows"]] == pytest.approx([3, 6, 9, 12, 15])
    assert answer["rows"][-1]["in_catch_likely_m"] == pytest.approx(1.5)
    assert answer["clearance_m"] == pytest.approx(15 * 5 / 40)
    assert answer["source"]


def test_both_units_say_the_same() -> None:
    metric = stretch({"--stiffness": "50 kN", "--force": "5 kN"})
    us = stretch({"--stiffness": "50 kN", "--force": "5 kN"}, "--units", "us")
    assert "1.50 m (high end)" in metric.stdout
    assert "5.0 ft (high end)" in us.stdout  # 4.92 ft, shown high
    assert " m " not in us.stdout


def test_rope_that_nobody_knows_is_taken_at_its_widest() -> None:
    known, unknown = stretch(None, "--json"), stretch({"--fibre": "unknown"}, "--json")
    assert json.loads(unknown.stdout)["clearance_m"] >= json.loads(known.stdout)["clearance_m"]


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [
        ("--fibre", "nylin", "--fibre: got 'nylin'"),
        ("--diameter", "11 m", "--diameter: got '11 m'"),
        ("--diameter", "11", "--diameter: got '11'"),
        ("--length", "0 m", "--length: got '0 m'"),
        ("--mass", "100 kN", "--mass: got '100 kN'"),
        ("--condition", "fine", "--condition: got 'fine'"),
        ("--stiffness", "9 GN", "stiffness: got"),
    ],
)
def test_wrong_input_is_named(option: str, value: str, told: str) -> None:
    result = stretch({option: value})
    assert result.exit_code == 2
    assert told in result.stderr


def test_drawing_keeps_its_curves_inside(tmp_path: Path) -> None:
    path = tmp_path / "stretch.svg"
    assert stretch(None, "--svg", str(path)).exit_code == 0
    root = ET.parse(path).getroot()
    width, height = map(float, root.attrib["viewBox"].split()[2:])
    curves = [tag.attrib["points"] for tag in root.iter() if tag.tag.endswith("polyline")]
    assert len(curves) == 6
    for x, y in (pair.split(",") for points in curves for pair in points.split()):
        assert 0 <= float(x) <= width
        assert 0 <= float(y) <= height
