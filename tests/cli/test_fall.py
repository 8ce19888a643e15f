"""`ropewright fall`: options, answers, faults and exit status."""

import json
import subprocess
import sys
from typing import Any

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.fall import fall

PLAIN = ["--mass", "100 kg", "--line-length", "4 m", "--free-fall", "2 m", "--stiffness", "10 kN/m"]
ABSORBER = ["--absorber-force", "4 kN", "--absorber-length", "1.07 m"]
DAMPED = ["--fast-stiffness", "5 kN/m", "--relaxation-time", "0.2 s"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(fall, arguments)


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stderr
    document: dict[str, Any] = json.loads(result.stdout)
    return document


def with_value(option: str, value: str) -> list[str]:
    return [value if before == option else item for before, item in zip(["", *PLAIN], PLAIN, strict=False)]


def test_json_holds_the_promised_numbers_in_si() -> None:
    found = answer(*PLAIN, *ABSORBER)
    keys = ("peak_force_n", "stop_distance_m", "stop_time_s", "absorber_m", "rope_stretch_m", "energy_error",
            "hang_extension_m", "free_fall_m", "total_fall_m")  # fmt: skip
    assert all(isinstance(found[key], float) for key in keys)
    assert found["warnings"] == []
    assert "competent or qualified person" in found["caution"]


def test_energy_is_told_by_what_is_missing_at_most() -> None:
    assert "Energy is accounted for to within 0.01 %." in run(*PLAIN).stdout


def test_plain_rope_gives_the_closed_form() -> None:
    """100 kg, 10 kN/m, 2 m: 7320.09 N and 0.732 m (closed form, confirmed by two physics engines)."""
    found = answer(*PLAIN)
    assert found["peak_force_n"] == pytest.approx(7320.09, rel=2e-5)
    assert found["stop_distance_m"] == pytest.approx(0.732009, rel=2e-5)
    assert found["total_fall_m"] == pytest.approx(2.732009, rel=2e-5)
    assert found["energy_error"] < 0.005


def test_stiffness_as_a_force_is_the_modulus_over_the_length() -> None:
    assert answer(*with_value("--stiffness", "40 kN")) == answer(*PLAIN)
    damped = answer(*PLAIN, "--fast-stiffness", "20 kN", "--relaxation-time", "0.2 s")
    assert damped == answer(*PLAIN, *DAMPED)


def test_feet_and_pounds_give_the_same_as_metres() -> None:
    us = answer("--mass", "220.46226218487757 lb", "--line-length", "10 ft", "--free-fall", "6 ft",
                "--stiffness", "9000 lbf")  # fmt: skip
    metric = answer("--mass", "100 kg", "--line-length", "3.048 m", "--free-fall", "1.8288 m",
                    "--stiffness", f"{9000 * 4.4482216152605} N")  # fmt: skip
    for key in ("peak_force_n", "stop_distance_m", "stop_time_s"):
        assert us[key] == pytest.approx(metric[key], rel=1e-9)


def test_relaxation_time_leads_from_the_slow_spring_to_both() -> None:
    fast = ["--fast-stiffness", "5 kN/m", "--relaxation-time"]
    at_once, never = answer(*PLAIN, *fast, "0 s"), answer(*PLAIN, *fast, "1000000 s")
    assert at_once["peak_force_n"] == pytest.approx(answer(*PLAIN)["peak_force_n"], rel=1e-4)
    both = answer(*with_value("--stiffness", "15 kN/m"))
    assert never["peak_force_n"] == pytest.approx(both["peak_force_n"], rel=1e-4)


def test_yielding_anchor_softens_the_stop() -> None:
    soft = answer(*PLAIN, "--anchor-stiffness", "10 kN/m")
    assert soft["peak_force_n"] < answer(*PLAIN)["peak_force_n"]
    assert soft["spring_stretch_m"] == pytest.approx(soft["rope_stretch_m"], rel=1e-6)


def test_grab_travel_adds_to_the_free_fall_and_its_slide_to_the_stop() -> None:
    found = answer(*PLAIN, "--grab-lock", "0.15 m", "--grab-slip-force", "4 kN", "--grab-slip-length", "0.3 m")
    assert found["free_fall_m"] == pytest.approx(2.15)
    assert found["grab_slip_m"] == pytest.approx(0.3)


def test_book_stands_beside_the_simulation() -> None:
    book = answer(*PLAIN, *ABSORBER)["book"]
    assert book["total_fall_m"] == pytest.approx(2.0 + 1.07 + 0.4)
    assert [term["name"] for term in book["terms"]] == [
        "free fall", "deceleration distance", "stretch of the rope at the arrest force",
    ]  # fmt: skip
    assert book["datum"] == "below the surface stood on"


def test_text_says_what_the_numbers_mean_in_one_system_of_units() -> None:
    metric, us = run(*PLAIN, *ABSORBER).stdout, run(*PLAIN, *ABSORBER, "--units", "us").stdout
    for text in (metric, us):
        assert "Peak force on the D-ring" in text
        assert "by the book" in text
        assert "A planning aid." in text
    assert " lbf" not in metric
    assert " ft" not in metric
    assert " kN" not in us
    assert " m " not in us


def test_text_never_rounds_force_or_fall_down() -> None:
    lines = run(*PLAIN).stdout.splitlines()
    shown = next(line for line in lines if line.startswith("Peak force")).split()
    assert float(shown[shown.index("kN,") - 1]) >= 7.32009


def test_weak_absorber_is_said_not_to_arrest() -> None:
    weak = ["--absorber-force", "600 N", "--absorber-length", "1 m"]
    found = answer(*PLAIN, *weak)
    assert found["arrested"] is False
    assert found["absorber_spent"] is True
    assert found["warnings"][0].startswith("NOT ARRESTED by the absorber")
    assert "NOT ARRESTED" in run(*PLAIN, *weak).stdout.splitlines()[1]


def test_weak_grab_is_said_not_to_hold() -> None:
    found = answer(*PLAIN, "--grab-slip-force", "500 N", "--grab-slip-length", "0.5 m")
    assert any(text.startswith("NOT HELD by the grab") for text in found["warnings"])


def test_spent_absorber_is_warned_of() -> None:
    found = answer(*PLAIN, "--absorber-force", "3 kN", "--absorber-length", "0.2 m")
    assert found["absorber_spent"] is True
    assert found["arrested"] is True
    assert any("opens all the way" in text for text in found["warnings"])


def test_rope_stretched_beyond_belief_is_warned_of() -> None:
    assert any("check its stiffness" in text for text in answer(*with_value("--stiffness", "1 kN/m"))["warnings"])


def test_rope_that_lets_the_person_sink_is_warned_of() -> None:
    found = answer(*with_value("--free-fall", "0 m"), "--fast-stiffness", "90 kN/m", "--relaxation-time", "1 s")
    assert any("sink further" in text for text in found["warnings"])
    assert found["total_fall_m"] == found["greatest_extension_m"] > found["stop_distance_m"]


@pytest.mark.parametrize(
    ("option", "value", "message"),
    [
        ("--mass", "100", "--mass: got '100'; give a mass with its unit"),
        ("--mass", "0 kg", "--mass: got '0 kg'; give more than 0"),
        ("--mass", "-80 kg", "--mass: got '-80 kg'; give more than 0"),
        ("--mass", "100 kN", "--mass: got '100 kN'"),
        ("--mass", "50 t", "--mass: got '50 t'; give at most 10000 kg"),
        ("--line-length", "0 m", "--line-length: got '0 m'; give more than 0"),
        ("--line-length", "4", "--line-length: got '4'; give a length with its unit"),
        ("--free-fall", "-1 m", "--free-fall: got '-1 m'; give 0 or more"),
        ("--free-fall", "1e9 m", "--free-fall: got '1e9 m'; give at most 1000 m"),
        ("--stiffness", "10", "--stiffness: got '10'; give the line's spring rate"),
        ("--stiffness", "10 s", "or its modulus (force per unit strain)"),
        ("--stiffness", "0 kN/m", "--stiffness: got '0 kN/m'; give more than 0"),
    ],
)
def test_bad_value_exits_2_and_names_the_option(option: str, value: str, message: str) -> None:
    result = run(*with_value(option, value))
    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        (["--absorber-force", "4 kN"], "--absorber-length"),
        (["--absorber-length", "1 m"], "--absorber-force"),
        (["--fast-stiffness", "5 kN/m"], "--relaxation-time"),
        (["--relaxation-time", "0.2 s"], "--fast-stiffness"),
        (["--grab-slip-force", "4 kN"], "--grab-slip-length"),
        (["--grab-slip-length", "0.3 m"], "--grab-slip-force"),
    ],
)
def test_option_that_says_nothing_alone_asks_for_its_partner(given: list[str], missing: str) -> None:
    result = run(*PLAIN, *given)
    assert result.exit_code == 2
    assert f"{missing}: missing" in result.stderr


def test_all_faults_are_told_at_once() -> None:
    result = run("--mass", "100", "--line-length", "x", "--free-fall", "-2 m", "--stiffness", "40 kN")
    assert result.exit_code == 2
    assert len(result.stderr.splitlines()) == 3


def test_fall_without_an_answer_exits_2_and_says_why() -> None:
    result = run(*with_value("--stiffness", "1000000 kN/mm"), *ABSORBER)
    assert result.exit_code == 2
    assert "no rest within 2,000,000 steps" in result.stderr


def test_missing_option_exits_2() -> None:
    assert run("--mass", "100 kg").exit_code == 2


def test_one_fall_loads_neither_compiler_nor_scipy() -> None:
    code = (
        "import sys; from ropewright.cli.fall import fall; fall.main(sys.argv[1:], standalone_mode=False);"
        "sys.exit(any(name in sys.modules for name in ('numba', 'scipy', 'matplotlib')))"
    )
    done = subprocess.run([sys.executable, "-c", code, *PLAIN, *ABSORBER, *DAMPED], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr
