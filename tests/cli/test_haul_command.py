"""`ropewright haul`: its contract, its text, and its faults.

Numbers: 100 kg on a three to one of 0.9 per pulley takes 361.869 N, two people at their mean grip of 209 N or eight at
46 N (grip figures quoted at the International Technical Rescue Symposium 2006, read second hand).
"""

import json
import math

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

THREE = ("--mass", "100 kg", "--advantage", "3", "--pulley-efficiency", "0.9")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["haul", *arguments])


def answer(*arguments: str) -> dict:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_three_to_one():
    found = answer(*THREE)
    assert found["pull_n"] == pytest.approx(361.869, rel=1e-6)
    assert found["advantage"] == pytest.approx(2.71)
    assert found["rope_m"] == 3
    assert (found["people"], found["people_weakest_hand"]) == (2, 8)


@pytest.mark.parametrize("text", ["3x3", "3:1 x 3:1", "3:1 on 3:1", "3 \u00d7 3"])
def test_stages_multiply(text):
    found = answer("--mass", "100 kg", "--advantage", text, "--pulley-efficiency", "0.9")
    assert found["pull_n"] == pytest.approx(980.665 / 2.71**2)
    assert found["rope_m"] == 9


def test_pull_is_shown_for_the_worst_pulley():
    found = answer(*THREE[:-1], "0.75 to 0.9")
    assert found["pull_n"] == pytest.approx(980.665 / (1 + 0.75 + 0.75**2))
    assert found["pull_low_n"] == pytest.approx(361.869, rel=1e-6)
    assert found["pull_low_n"] < found["pull_likely_n"] < found["pull_n"]


def test_edge_takes_its_share_of_the_pull_and_helps_to_hold():
    plain, edge = answer(*THREE), answer(*THREE, "--edge-turn", "90 deg", "--edge-friction", "0.2 to 0.4")
    assert edge["pull_n"] == pytest.approx(plain["pull_n"] * math.exp(0.4 * math.pi / 2))
    assert edge["hold_n"] == pytest.approx(plain["hold_n"] * math.exp(-0.2 * math.pi / 2))
    assert answer(*THREE, "--edge-turn", "90 deg", "--edge-surface", "wood")["pull_n"] > plain["pull_n"]


def test_height_and_throw_give_rope_and_resets():
    found = answer(*THREE, "--height", "10 m", "--throw", "4 m", "--people", "3", "--redirects", "1")
    assert found["rope_in_all_m"] == pytest.approx(30)
    assert found["resets"] == 2
    assert found["pull_n"] == pytest.approx(361.869 / 0.9, rel=1e-6)
    assert found["each_n"] == pytest.approx(found["pull_n"] / 3)


def test_text_is_in_the_units_asked_for():
    more = (
        "--height",
        "20 ft",
        "--throw",
        "6 ft",
        "--people",
        "2",
        "--edge-turn",
        "0.25 turns",
        "--edge-surface",
        "steel",
    )
    text = run("--mass", "220 lb", "--advantage", "3x3", "--pulley-efficiency", "85 %", *more, "--units", "us").stdout
    for words in ("Raising 220 lb", "of 9 without", "Set back on the way", "beyond 6 to 1", "Pull of each of 2"):
        assert words in text
    assert " kN" not in text


def test_text_leaves_out_what_was_not_asked():
    text = run(*THREE).stdout
    assert "Pull that raises it" in text
    assert not any(words in text for words in ("Set back", "Rope to pull in all", "Pull of each", "past the edge"))


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        (("--mass", "100", *THREE[2:]), "--mass: got '100'; give a mass with its unit"),
        ((*THREE[:3], "2.5", *THREE[4:]), "--advantage: got '2.5'; give strands at the load"),
        ((*THREE[:-1], "1.2"), "--pulley-efficiency: got '1.2'; give a share above 0 and at most 1"),
        ((*THREE[:-1], "0"), "--pulley-efficiency: got '0'; give a share"),
        ((*THREE, "--edge-friction", "0.3"), "--edge-turn: missing; give the turn over the edge"),
        ((*THREE, "--edge-turn", "90 deg"), "--edge-friction: missing; give it"),
        (
            (*THREE, "--edge-turn", "90 deg", "--edge-surface", "stel"),
            "--edge-surface: got 'stel'; did you mean 'steel'",
        ),
        ((*THREE, "--people", "0"), "--people: got '0'; give 1 or more"),
        ((*THREE, "--redirects", "-1"), "--redirects: got '-1'; give a whole number"),
    ],
)
def test_faults_name_the_option_and_what_would_be_right(arguments, fault):
    result = run(*arguments)
    assert result.exit_code == 2
    assert fault in result.stderr
