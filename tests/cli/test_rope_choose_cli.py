"""`ropewright rope choose`: each rope's word first, with reason and source for every answer."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

OWN = ("--fibre", "PES", "--construction", "kernmantle", "--stretch", "static", "--strength", "30 kN")
GRAB = ("--diameter", "11 mm", "--grab-from", "10 mm", "--grab-to", "12 mm")


def choose(*options: str) -> Result:
    return CliRunner().invoke(main, ["rope", "choose", *options])


def test_own_rope_of_enough_strength_is_fit_and_says_what_was_not_asked() -> None:
    result = choose(*GRAB, *OWN, "--basis", "maker's minimum", "--uv-inhibitor")
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("FIT    polyester, sheathed core, static; 30.0 kN as new")
    assert "Not asked, since nothing was told of it: temperature, chemicals, wet, sun, bare edge." in result.stdout


def test_strength_of_a_basis_that_nobody_names_is_taken_down_and_asked() -> None:
    rope = json.loads(choose(*GRAB, *OWN, "--json").stdout)["ropes"][0]
    assert rope["word"] == "ask"
    assert rope["strength_low_n"] < 30e3


def test_every_answer_carries_reason_source_and_grade() -> None:
    told = ("--wet", "--sun", "--bare-edge", "--temperature", "140 degF", "--chemical", "acid", "--length", "30 m")
    result = choose(*GRAB, *told, "--json")
    answer = json.loads(result.stdout)
    assert result.exit_code == 1
    assert answer["not_asked"] == []
    assert len(answer["ropes"]) == 32  # eight fibres, each in four ways
    for rope in answer["ropes"]:
        assert all(one["reason"] and one["source"] and one["grade"] for one in rope["answers"])
        assert rope["mass_kg"] is None or rope["mass_kg"] == pytest.approx(30 * rope["mass_kg_per_m"])


@pytest.mark.parametrize(
    ("options", "text"),
    [
        (("--diameter", "11 mm", "--chemical", "paint"), "--chemical: got 'paint'"),
        (("--diameter", "11 mm", "--grab-from", "10 mm"), "both ends of the range"),
        (("--diameter", "11 mm", "--grab-to", "10 mm"), "both ends of the range"),
        (("--diameter", "11 mm", "--grab-from", "12 mm", "--grab-to", "10 mm"), "no less than --grab-from"),
        (("--diameter", "11 mm", "--strength", "30 kN"), "one fibre, construction and stretch class"),
        (("--diameter", "11 mm", "--fibre", "polyestre"), "did you mean 'polyester'"),
        (("--diameter", "11"), "--diameter"),
        (("--diameter", "900 m"), "from 3 mm to 60 mm"),
        (("--diameter", "11 mm", "--fibre", "steel"), "--fibre: got 'steel'"),
        (("--diameter", "11 mm", "--construction", "woven"), "--construction: got 'woven'"),
        (("--diameter", "11 mm", "--strength", "30 kN"), "--strength: got '30 kN'"),
    ],
)
def test_fault_says_what_would_be_right(options: tuple[str, ...], text: str) -> None:
    result = choose(*options)
    assert result.exit_code == 2
    assert text in result.stderr
