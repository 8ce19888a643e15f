"""--svg and --pdf of the commands about rope: written whole, the same bytes each time, a fault told by its option."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.job.cut_file import CutFile, RopeToCut, cut_all
from ropewright.quantity import UnitSystem
from ropewright.rope.cutting import Piece, Spool
from ropewright.sheets.cut_drawing import cuts_pages, cuts_svg
from ropewright.sheets.drawing_pdf import drawing_pdf
from ropewright.sheets.ink import PALE

CUT = Path(__file__).parents[2] / "examples" / "cutting-list.toml"
BREAKS = [part for load in (6500, 6750, 6675) for part in ("--break", f"{load} lbf")]
SOUND = ["--strength", "30 kN", "--fibre", "polyester", "--construction", "sheathed core", "--end", "bowline"]
COMMANDS = {
    "rope batch": ["rope", "batch", *BREAKS],
    "rope choose": ["rope", "choose", "--diameter", "11 mm", "--wet"],
    "rope judge": ["rope", "judge", *SOUND],
    "rope stretch": ["rope", "stretch", "--diameter", "11 mm", "--length", "15 m", "--mass", "100 kg"],
    "knot": ["knot", "bowline", "--diameter", "11 mm"],
    "stow": ["stow", "--length", "60 m", "--diameter", "11 mm", "--way", "back-and-forth"],
    "cut": ["cut", str(CUT)],
}


def run(name: str, *options: object) -> Result:
    return CliRunner().invoke(main, [*COMMANDS[name], *map(str, options)])


@pytest.mark.parametrize("name", COMMANDS)
def test_drawing_and_paper_are_written_alike_each_time(name: str, tmp_path: Path) -> None:
    plain = run(name)
    files = [(tmp_path / f"{k}.svg", tmp_path / f"{k}.pdf") for k in "ab"]
    for svg, pdf in files:
        drawn = run(name, "--svg", svg, "--pdf", pdf)
        assert (drawn.exit_code, drawn.stdout) == (plain.exit_code, plain.stdout)
    root = ET.fromstring(files[0][0].read_text(encoding="utf-8"))
    assert root.get("role") == "img"
    assert files[0][1].read_bytes().startswith(b"%PDF")
    for one, other in zip(*files, strict=True):
        assert one.read_bytes() == other.read_bytes()


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("option", ["--svg", "--pdf"])
def test_a_file_that_can_t_be_written_is_told_by_its_option(name: str, option: str, tmp_path: Path) -> None:
    result = run(name, option, tmp_path / "no" / "such.file")
    assert result.exit_code == 2
    assert f"{option}: got" in result.stderr
    assert "give a file that can be written" in result.stderr


def test_a_long_cutting_list_goes_on_as_many_pages_as_it_needs_and_no_spool_is_lost() -> None:
    """215 mm below a top of 4 mm and a heading of 10 mm hold 11 spools of 17 mm; without the heading 12."""
    rope = RopeToCut("red", (Piece("line", 9.0, 30),), (Spool("R", 10.0, 30),))
    asked = CutFile(UnitSystem.METRIC, (rope,), 0.0, float("inf"))
    plans = cut_all(asked)
    pages = cuts_pages(asked, plans)
    assert [page.count("spool R no.") for page in pages] == [11, 12, 7]
    assert cuts_svg(asked, plans).count("spool R no.") == 30


def test_paper_without_a_view_box_is_a_programming_mistake() -> None:
    with pytest.raises(ValueError, match="view box"):
        drawing_pdf(["<svg/>"], "t", UnitSystem.US)


def drawn(name: str, tmp_path: Path, *options: str) -> str:
    run(name, *options, "--svg", tmp_path / "d.svg")
    return (tmp_path / "d.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_drawing_carries_the_caution(name: str, tmp_path: Path) -> None:
    assert "Planning aid. The law" in drawn(name, tmp_path)


def test_a_judged_rope_is_drawn_with_each_cause_and_what_the_rules_ask(tmp_path: Path) -> None:
    """29 CFR 1926.502(d)(9): 5,000 lbf."""
    shown = drawn("rope judge", tmp_path, "--units", "us", "--outdoors", "2 years")
    for words in ("told", "weather *", "termination", "asked: 5,000 lbf", "as a lifeline"):
        assert words in shown
    assert shown.index("as a lifeline") < shown.index("asked: 5,000 lbf")


def test_the_low_end_that_is_filled_is_no_longer_than_what_is_left(tmp_path: Path) -> None:
    """Bars run from 0; 30 kN told, so each filled bar is as much shorter as its share is."""
    root = ET.fromstring(drawn("rope judge", tmp_path))
    space = "{http://www.w3.org/2000/svg}"
    filled = [float(bar.get("width", 0)) for bar in root.iter(f"{space}rect") if bar.get("fill") == PALE]
    answer = json.loads(run("rope judge", "--json").stdout)
    left = [30e3, *(step["left_low_n"] for step in answer["steps"])]
    assert filled == pytest.approx([filled[0] * force / 30e3 for force in left if force > 0], rel=0.01)


def test_each_compared_rope_has_a_row_with_its_word(tmp_path: Path) -> None:
    shown = drawn("rope choose", tmp_path, "--fibre", "nylon", "--chemical", "acid")
    answer = json.loads(run("rope choose", "--fibre", "nylon", "--chemical", "acid", "--json").stdout)
    described = shown.split("<desc>")[1].split("</desc>")[0]
    for rope in answer["ropes"]:
        assert f"{rope['fibre']}, {rope['construction']}" in described
    assert described.count("unfit") == sum(rope["word"] == "unfit" for rope in answer["ropes"]) == 4  # acid: all nylon
