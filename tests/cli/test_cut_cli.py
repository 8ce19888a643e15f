"""`ropewright cut`: keys, exit codes, wrong input, and the drawing."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

ROOT = Path(__file__).parents[2]
FOOT = 0.3048

TWO_ROPES = """
units = "metric"
[[piece]]
name = "line"
length = "12 m"
count = 3
rope = "red"
[[piece]]
name = "tail"
length = "8 m"
count = 3
rope = "red"
[[piece]]
name = "tag"
length = "15 m"
rope = "blue"
[[spool]]
name = "R"
length = "20 m"
count = 5
rope = "red"
[[spool]]
name = "B"
length = "20 m"
rope = "blue"
"""


def cut(path: Path, *options: str) -> Result:
    return CliRunner().invoke(main, ["cut", str(path), *options])


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "list.toml"
    path.write_text(text)
    return path


def test_json_has_the_keys_promised(tmp_path: Path) -> None:
    result = cut(written(tmp_path, TWO_ROPES), "--json")
    assert result.exit_code == 0
    answer = json.loads(result.stdout)
    assert [piece["name"] for piece in answer["pieces"]].count("line") == 3
    assert len(answer["spools"]) == 4
    assert answer["waste_m"] == pytest.approx(5.0)  # the blue spool's rest; the red ones come out even
    assert answer["bound"] == pytest.approx(5.0)
    assert answer["proven"] is True


def test_rope_is_cut_off_spools_of_its_own_only(tmp_path: Path) -> None:
    answer = json.loads(cut(written(tmp_path, TWO_ROPES), "--json").stdout)
    assert {(piece["rope"], piece["spool"]) for piece in answer["pieces"]} == {("red", "R"), ("blue", "B")}


def test_example_runs_and_claims_what_it_proves() -> None:
    result = cut(ROOT / "examples" / "cutting-list.toml")
    assert result.exit_code == 0
    assert "38 ft 6 in" in result.stdout
    assert result.stdout.count("(proven)") == 2
    answer = json.loads(cut(ROOT / "examples" / "cutting-list.toml", "--json").stdout)
    pieces = sum(piece["length_m"] for piece in answer["pieces"])
    assert pieces == pytest.approx((6 * 38.5 + 4 * 27 + 3 * 16.25 + 2 * 40) * FOOT)
    assert answer["waste_m"] == pytest.approx(15 * 0.0254)  # one inch a cut, no rest too short to keep


def test_too_little_stock_is_said_and_exits_1(tmp_path: Path) -> None:
    path = written(tmp_path, TWO_ROPES.replace("count = 5", "count = 2"))
    result = cut(path)
    assert result.exit_code == 1
    assert "NOT CUT" in result.stdout
    answer = json.loads(cut(path, "--json").stdout)
    assert answer["uncut"]
    assert answer["bound"] is None
    assert answer["proven"] is False


def test_rope_without_any_spool_is_uncut(tmp_path: Path) -> None:
    path = written(
        tmp_path, TWO_ROPES.replace('name = "B"\nlength = "20 m"\nrope = "blue"', 'name = "B"\nlength = "20 m"')
    )
    answer = json.loads(cut(path, "--json").stdout)
    assert [(one["name"], one["rope"]) for one in answer["uncut"]] == [("tag", "blue")]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('length = "12 m"', 'length = "12"', "piece[0].length: got '12'"),
        ('length = "12 m"', 'length = "-2 m"', "piece[0].length: got '-2 m'"),
        ('name = "tail"', 'name = "line"', "piece: got 'line'"),
        ("count = 5", "count = 0", "spool[0].count: got 0"),
        ("count = 5", "count = 2.5", "spool[0].count: got 2.5"),
        ("count = 5", "number = 5", "spool[0].number: got 5; there is no such field here"),
        ('units = "metric"', "", "units: missing"),
        ('units = "metric"', 'units = "metric"\nkeep = "4 kg"', "keep: got '4 kg'"),
        ("[[spool]]", "[[spools]]", "spool: missing"),
        ("[[spool]]", "[spool", "TOML is broken"),
    ],
)
def test_wrong_input_is_named(tmp_path: Path, old: str, new: str, told: str) -> None:
    result = cut(written(tmp_path, TWO_ROPES.replace(old, new)))
    assert result.exit_code == 2
    assert told in result.stderr


def test_missing_file_is_named(tmp_path: Path) -> None:
    result = cut(tmp_path / "none.toml")
    assert result.exit_code == 2
    assert "there is no such file" in result.stderr


def test_drawing_shows_every_spool_within_its_bounds(tmp_path: Path) -> None:
    path = tmp_path / "cuts.svg"
    assert cut(ROOT / "examples" / "cutting-list.toml", "--svg", str(path)).exit_code == 0
    root = ET.parse(path).getroot()
    width, height = map(float, root.attrib["viewBox"].split()[2:])
    bars = [tag.attrib for tag in root.iter() if tag.tag.endswith("rect")]
    assert all(float(bar.get("x", 0)) + float(bar["width"]) <= width + 1e-6 for bar in bars)
    assert all(float(bar.get("y", 0)) + float(bar["height"]) <= height + 1e-6 for bar in bars)
    words = " ".join(tag.text or "" for tag in root.iter() if tag.tag.endswith("text"))
    assert words.count("spool") == 4


def test_lines_of_a_job_are_shown_part_by_part(tmp_path: Path) -> None:
    path = tmp_path / "cut.toml"
    job = ROOT / "examples" / "gable-house.toml"
    path.write_text(
        f"units = 'us'\njob = '{job}'\n[lines]\nend = '2 ft'\n"
        "[[spool]]\nname = 'A'\nlength = '100 ft'\nrope = 'polyester, sheathed core, 11.1 mm'\n"
        "[[spool]]\nname = 'B'\nlength = '100 ft'\nrope = 'polyester-polyolefin, laid, 15.9 mm'\n"
    )
    answer = json.loads(CliRunner().invoke(main, ["cut", str(path), "--json"]).stdout)
    assert [line["name"] for line in answer["lines"]] == ["blue", "white"]
    for line, piece in zip(answer["lines"], answer["pieces"], strict=True):
        assert line["length_m"] == pytest.approx(sum(part["length_m"] for part in line["parts"]))
        assert line["length_m"] == pytest.approx(piece["length_m"])
    text = CliRunner().invoke(main, ["cut", str(path)]).stdout
    assert "11 ft 0 in  anchor to stop" in text
