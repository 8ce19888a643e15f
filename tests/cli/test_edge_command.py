"""`ropewright edge`: its contract, its text, and its faults.

Numbers: three turns on a post at 0.3 hold 1000 N with 3.5004 N (A. K. Tayal, *Engineering Mechanics*, Example 7.6,
companion notebook read); cord on a pine roller held 14 to 1 and slipped at 19 to 1 over 1.5 turns: 0.280 to 0.312.
"""

import json
import math

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.edge import parse_turn
from ropewright.cli.main import main
from ropewright.errors import QuantityError
from ropewright.rope import bend_retention, friction_figure, surface_names

POST = ("--tension", "1 kN", "--turn", "3 turns", "--friction", "0.3")
CORNER = ("--tension", "1 kN", "--turn", "90 deg")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["edge", *arguments])


def answer(*arguments: str) -> dict:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_three_turns_on_a_post():
    found = answer(*POST)
    assert found["held_n"] == pytest.approx(3.5004394, rel=1e-7)
    assert found["raising_n"] == pytest.approx(1e6 / 3.5004394, rel=1e-7)
    assert found["edge_force_n"] is None


def test_holding_is_shown_for_the_least_friction_and_raising_for_the_most():
    found = answer(*CORNER, "--friction", "0.2 to 0.4")
    quarter = math.pi / 2
    assert found["held_n"] == pytest.approx(1000 * math.exp(-0.2 * quarter))
    assert found["held_low_n"] == pytest.approx(1000 * math.exp(-0.4 * quarter))
    assert found["raising_n"] == pytest.approx(1000 * math.exp(0.4 * quarter))
    assert found["raising_low_n"] == pytest.approx(1000 * math.exp(0.2 * quarter))
    assert found["edge_force_n"] == pytest.approx(math.hypot(1000, found["raising_n"]))


@pytest.mark.parametrize("surface", surface_names())
def test_every_surface_has_its_friction_with_its_source(surface):
    found = answer(*CORNER, "--surface", surface, "--dry")["friction"]
    figure = friction_figure(surface, wet=False)
    assert (found["low"], found["likely"], found["high"]) == (figure.value.low, figure.value.likely, figure.value.high)
    assert found["source"] == str(figure.source)


def test_wet_surface_widens_the_range():
    dry, either = (answer(*CORNER, "--surface", "steel", *how)["friction"] for how in (["--dry"], []))
    assert either["low"] < dry["low"] < dry["high"] < either["high"]


def test_friction_is_measured_from_two_weights():
    found = answer("--tension", "266 N", "--turn", "1.5 turns", "--held-by", "19 N", "--slips-at", "14 N")["friction"]
    assert found["low"] == pytest.approx(0.280012679, rel=1e-8)
    assert found["high"] == pytest.approx(0.312414679, rel=1e-8)


def test_one_weight_bounds_friction_on_one_side():
    turned = ("--tension", "140 N", "--turn", "1.5 turns")
    held = answer(*turned, "--held-by", "10 N")["friction"]
    slipped = answer(*turned, "--slips-at", "10 N")["friction"]
    assert held["low"] == held["high"] == pytest.approx(0.28, abs=1e-3)
    assert (slipped["low"], slipped["high"]) == (0.0, pytest.approx(0.28, abs=1e-3))


def test_bend_leaves_what_the_rope_table_says():
    found = answer(*CORNER, "--friction", "0.3", "--diameter", "11 mm", "--edge-radius", "22 mm")["bend"]
    figure = bend_retention(4.0, "fibre")
    assert found["bend_ratio"] == pytest.approx(4.0)
    assert found["strength_left_low"] == figure.value.low
    assert found["source"] == str(figure.source)
    wire = answer(*CORNER, "--friction", "0.3", "--diameter", "11 mm", "--edge-radius", "22 mm", "--rope", "wire")
    assert wire["bend"]["strength_left_likely"] == 0.75


def test_sharp_edge_counts_as_bare():
    found = answer(*CORNER, "--friction", "0.3", "--diameter", "11 mm", "--edge-radius", "0 mm")["bend"]
    assert found["strength_left_likely"] == 0.3


def test_text_rounds_forces_up_and_strength_down():
    text = run(*CORNER, "--friction", "0.2 to 0.4", "--diameter", "11 mm", "--edge-radius", "20 mm").stdout
    assert "0.74 kN, with the least friction; 0.54 kN at best" in text
    assert "1.88 kN, with the most friction" in text
    assert "Strength left in the bend" in text
    assert "lbf" in run(*POST, "--units", "us").stdout


@pytest.mark.parametrize(
    ("text", "degrees"), [("3 turns", 1080), ("1/2 turn", 180), ("0.5 rev", 180), ("90 deg", 90), ("0 deg", 0)]
)
def test_turns_and_angles(text, degrees):
    assert parse_turn(text, "--turn") == pytest.approx(degrees)


@pytest.mark.parametrize("text", ["90", "-1 turns", "x turns", "turns", "-90 deg", "5000 turns"])
def test_no_turn(text):
    with pytest.raises(QuantityError, match=r"such as '90 deg' or '1\.5 turns'"):
        parse_turn(text, "--turn")


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        (CORNER, "--friction: missing; give its value or range"),
        ((*CORNER, "--friction", "0.3", "--surface", "steel"), "--friction: got 'friction, surface'; give"),
        ((*CORNER, "--friction", "-0.3"), "--friction: got '-0.3'; give 0 or more"),
        ((*CORNER, "--surface", "tmber"), "--surface: got 'tmber'; did you mean 'timber'"),
        ((*CORNER, "--held-by", "2 kN"), "--held-by: got 2000.0; give the smaller of the two weights"),
        ((*CORNER, "--held-by", "0.1 kN", "--slips-at", "0.2 kN"), "--slips-at: got 200.0; what slips must be less"),
        (("--tension", "1 kN", "--turn", "0 deg", "--held-by", "1 N"), "--turn: got '0'; friction can't be measured"),
        ((*POST, "--diameter", "11 mm"), "--edge-radius: missing; give the radius of the edge"),
        ((*POST, "--edge-radius", "11 mm"), "--diameter: missing; give the diameter of the rope"),
    ],
)
def test_faults_name_the_option_and_what_would_be_right(arguments, fault):
    result = run(*arguments)
    assert result.exit_code == 2
    assert fault in result.stderr
