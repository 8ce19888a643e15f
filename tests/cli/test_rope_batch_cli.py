"""`ropewright rope batch`: keys, exit codes, what is said in words, and the drawing."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

FIVE = [f"{load} lbf" for load in (6500, 6750, 6675, 7005, 6925)]
LBF = 4.4482216152605


def batch(*loads: str, options: tuple[str, ...] = ()) -> Result:
    given = [part for load in loads for part in ("--break", load)]
    return CliRunner().invoke(main, ["rope", "batch", *given, *options])


def test_json_has_the_keys_promised() -> None:
    answer = json.loads(batch(*FIVE, options=("--json",)).stdout)
    assert answer["n"] == 5
    assert answer["minimum_n"] == pytest.approx(6500 * LBF)
    assert answer["mean_n"] == pytest.approx(6771 * LBF)
    assert answer["sd_n"] == pytest.approx(200.98 * LBF, rel=1e-4)
    assert answer["three_sigma_n"] == pytest.approx(6168.06 * LBF, rel=1e-5)
    assert answer["tolerance_n"] == pytest.approx(5617.16 * LBF, rel=1e-5)
    assert answer["tolerance_k"] == pytest.approx(5.741, abs=6e-4)
    assert answer["three_sigma_confidence"] == pytest.approx(0.653, abs=6e-4)


def test_coverage_and_confidence_are_those_asked_for() -> None:
    options = ("--coverage", "90 %", "--confidence", "0.95", "--json")
    answer = json.loads(batch(*FIVE, options=options).stdout)
    assert answer["tolerance_n"] == pytest.approx(6086.34 * LBF, rel=1e-5)
    assert answer["three_sigma_confidence"] == pytest.approx(0.924, abs=6e-4)


def test_text_never_shows_a_figure_above_what_it_is() -> None:
    result = batch(*FIVE, options=("--units", "us"))
    assert result.exit_code == 0
    assert "6,160 lbf" in result.stdout  # 6,168.06 cut off
    assert "65.2 % confidence" in result.stdout  # 65.27 cut off
    assert "kN" not in result.stdout


def test_one_piece_tells_nothing_of_the_spread() -> None:
    result = batch("31.2 kN")
    assert result.exit_code == 0
    assert "not known" in result.stdout
    assert "break more" in result.stdout
    assert json.loads(batch("31.2 kN", options=("--json",)).stdout)["three_sigma_n"] is None


def test_piece_far_from_the_rest_is_counted_and_named() -> None:
    result = batch("31 kN", "30.8 kN", "31.2 kN", "30.9 kN", "31.1 kN", "24 kN")
    assert "stands out" in result.stdout
    assert "weakest piece" in result.stdout
    assert "24.0 kN" in result.stdout


@pytest.mark.parametrize(
    ("loads", "options", "told"),
    [
        (("31.2",), (), "--break: got '31.2'"),
        (("0 kN", "31 kN"), (), "--break: got '0 kN'"),
        (("31 kN", "31 kg"), (), "--break: got '31 kg'"),
        (("31 MN",), (), "--break: got '31 MN'"),
        (("31 kN",), ("--coverage", "1"), "--coverage: got '1'"),
        (("31 kN",), ("--confidence", "0"), "--confidence: got '0'"),
    ],
    ids=["no unit", "nought", "a mass", "too much", "all of it", "no confidence"],
)
def test_wrong_input_is_named(loads: tuple[str, ...], options: tuple[str, ...], told: str) -> None:
    result = batch(*loads, options=options)
    assert result.exit_code == 2
    assert told in result.stderr


@pytest.mark.parametrize("loads", [FIVE, ["31 kN"], ["30 kN"] * 7], ids=["five", "one", "all alike"])
def test_drawing_has_a_ring_for_each_piece(loads: list[str], tmp_path: Path) -> None:
    path = tmp_path / "batch.svg"
    assert batch(*loads, options=("--svg", str(path))).exit_code == 0
    root = ET.parse(path).getroot()
    rings = [tag for tag in root.iter() if tag.tag.endswith("circle")]
    assert len(rings) == len(loads)
    width, height = map(float, root.attrib["viewBox"].split()[2:])
    assert all(0 < float(ring.attrib["cx"]) < width and 0 < float(ring.attrib["cy"]) < height for ring in rings)


def test_drawing_that_can_not_be_written_is_named(tmp_path: Path) -> None:
    result = batch(*FIVE, options=("--svg", str(tmp_path / "missing" / "batch.svg")))
    assert result.exit_code == 2
    assert "--svg" in result.stderr
