"""`ropewright stow`: keys, exit codes, wrong input, and the drawing."""

from __future__ import annotations

import json
import math
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.rope.stow import STEPS, Way

ROPE = ["--length", "60 m", "--diameter", "11 mm"]
CONTRACT = {"mass_kg", "volume_m3", "fill_low", "fill_high", "fits", "twist_turns_per_m"}


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["stow", *arguments])


def told(*arguments: str) -> dict[str, object]:
    answer: dict[str, object] = json.loads(run(*ROPE, *arguments, "--json").stdout)
    return answer


def test_document_has_the_promised_keys() -> None:
    answer = told("--container-volume", "40 L")
    assert set(answer) >= CONTRACT
    assert answer["fits"] is True
    assert answer["volume_m3"] == pytest.approx(math.pi / 4 * 0.011**2 * 60)


def test_round_container_is_its_cylinder() -> None:
    answer = told("--container-diameter", "30 cm", "--container-height", "40 cm")
    assert answer["container_m3"] == pytest.approx(math.pi / 4 * 0.3**2 * 0.4)


def test_each_loop_of_a_coil_leaves_a_turn() -> None:
    assert told("--way", "coil", "--loop", "0.9m")["twist_turns_per_m"] == pytest.approx(1 / 0.9)
    assert told("--way", "back-and-forth", "--loop", "0.9m")["twist_turns_per_m"] == 0.0
    assert told("--way", "straight-in")["twist_turns_per_m"] == 0.0


def test_what_does_not_fit_ends_with_1_and_says_so() -> None:
    result = run(*ROPE, "--container-volume", "5 L")
    assert result.exit_code == 1
    assert "does not fit" in result.stdout


@pytest.mark.parametrize(("hole", "word"), [("20 mm", "can't pass"), ("30 mm", "smaller"), ("60 mm", "wrong")])
def test_hole_is_held_against_the_stopper(hole: str, word: str) -> None:
    assert word in run(*ROPE, "--hole", hole).stdout.replace("\n  ", " ")


def test_text_says_what_is_judged_and_gives_no_ladder_figure() -> None:
    shown = run(*ROPE, "--way", "coil", "--loop", "3 ft", "--units", "us").stdout
    assert "judged" in shown
    assert "No figure was found" in shown
    assert "Throws a loop below" in shown


@pytest.mark.parametrize(
    ("more", "field"),
    [
        (["--way", "coil"], "--loop"),
        (["--loop", "70 m"], "--loop"),
        (["--container-volume", "20"], "--container-volume"),
        (["--container-diameter", "30 cm"], "--container-height"),
        (["--container-height", "30 cm"], "--container-diameter"),
        (
            ["--container-volume", "9 L", "--container-diameter", "1 m", "--container-height", "1 m"],
            "--container-volume",
        ),
        (["--fibre", "spaghetti"], "--fibre"),
        (["--overhang", "30 cm"], "--drop"),
        (["--drop", "3 cm"], "--overhang"),
        (["--overhang", "30 cm", "--drop", "20 cm"], "--drop"),
        (["--svg", "/no/such/folder/s.svg"], "--svg"),
    ],
)
def test_wrong_input_names_its_field_and_ends_with_2(more: list[str], field: str) -> None:
    result = run(*ROPE, *more)
    assert result.exit_code == 2
    assert field in result.stderr


def test_a_rope_as_thick_as_a_post_is_refused() -> None:
    result = run("--length", "60 m", "--diameter", "1 m")
    assert result.exit_code == 2
    assert "--diameter" in result.stderr


def test_measured_droop_narrows_the_pull() -> None:
    answer = told("--way", "coil", "--loop", "1 m", "--overhang", "30 cm", "--drop", "10 cm")
    assert answer["bending_stiffness_low_n_m2"] == answer["bending_stiffness_high_n_m2"]


@pytest.mark.parametrize("way", list(Way))
def test_drawing_has_a_sentence_for_each_picture(way: Way, tmp_path: Path) -> None:
    file = tmp_path / "stow.svg"
    assert run(*ROPE, "--way", way.value, "--loop", "1 m", "--svg", str(file)).exit_code == 0
    root = ET.fromstring(file.read_text())
    words = " ".join(element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text"))
    for number, step in enumerate(STEPS[way], start=1):
        assert f"{number} {step.split()[0]}" in words


def test_the_drawing_names_the_rope_in_the_units_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "s.svg"
    run("--length", "60 m", "--diameter", "0.5 in", "--units", "us", "--svg", str(path))
    assert "(0.5 in rope)" in path.read_text(encoding="utf-8")
