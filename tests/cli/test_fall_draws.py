"""`ropewright fall` with ranges, limits, draws, named parts and load curves."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.fall import fall

PLAIN = ["--mass", "100 kg", "--line-length", "4 m", "--free-fall", "2 m", "--stiffness", "40 kN"]
RANGES = ["--mass", "90 kg to 100 kg to 110 kg", "--line-length", "4 m", "--free-fall", "1.8 m to 2.2 m",
          "--stiffness", "26 kN to 35 kN to 41 kN"]  # fmt: skip
ABSORBER = ["--absorber-force", "3.5 kN to 4 kN to 4.5 kN", "--absorber-length", "1.5 m"]
BARE = ["--mass", "100 kg", "--line-length", "4 m", "--free-fall", "2 m"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(fall, arguments)


def answer(*arguments: str, status: int = 0) -> dict[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == status, result.stderr
    document: dict[str, Any] = json.loads(result.stdout)
    return document


def test_ranges_give_the_likely_case_and_its_ends() -> None:
    found, likely = answer(*RANGES), answer(*BARE, "--stiffness", "35 kN")
    assert found["peak_force_n"] == likely["peak_force_n"]
    spread = found["spread"]["peak_force_n"]
    assert spread["low"] < spread["likely"] == pytest.approx(found["peak_force_n"])
    # hardest: 110 kg, 2.2 m, 41 kN over 4 m, and the 30 % of an undamped rope
    hardest = answer("--mass", "110 kg", "--line-length", "4 m", "--free-fall", "2.2 m", "--stiffness", "41 kN")
    assert spread["high"] == pytest.approx(1.3 * hardest["peak_force_n"], rel=1e-4)
    assert found["ranges"]["mass"] == {"low": 90.0, "likely": 100.0, "high": 110.0, "unit": "kg"}


def test_every_quantity_of_the_fall_takes_a_range() -> None:
    ranges = {
        "--mass": "80 kg to 120 kg", "--line-length": "3 m to 5 m", "--free-fall": "1 m to 2 m",
        "--stiffness": "30 kN to 40 kN", "--fast-stiffness": "10 kN to 20 kN", "--relaxation-time": "0.1 s to 0.5 s",
        "--absorber-force": "3 kN to 5 kN", "--absorber-length": "1 m to 1.5 m", "--grab-lock": "5 cm to 20 cm",
        "--grab-slip-force": "3 kN to 6 kN", "--grab-slip-length": "0 m to 0.2 m",
        "--lanyard-stiffness": "50 kN/m to 100 kN/m", "--anchor-stiffness": "100 kN/m to 200 kN/m",
        "--d-ring-shift": "0.2 m to 0.4 m",
    }  # fmt: skip
    found = answer(*(item for pair in ranges.items() for item in pair), "--draws", "64")
    told = {name for name, value in found["ranges"].items() if value["low"] < value["high"]}
    assert len(told) == len(ranges)
    listed = {row["input"] for row in found["draws"]["indices"]["clearance_needed_m"]}
    assert told <= listed, "each is drawn"


def test_limits_are_judged_at_the_unsafe_end() -> None:
    verdicts = [
        answer(*PLAIN, "--limit-force", force, status=status)["limits"][0]["verdict"]
        for force, status in (("10 kN", 0), ("8 kN", 1), ("7 kN", 1))
    ]
    assert verdicts == ["holds", "doubtful", "fails"], "7.32 kN likely, 9.52 kN with the model's error"


def test_clearance_is_held_against_the_larger_of_simulation_and_book() -> None:
    """The book lets the absorber open all the way: 2 + 1.5 + 4 kN x 4 m/40 kN + 0.30 m of D-ring shift."""
    limit = answer(*PLAIN, *ABSORBER, "--clearance", "4 m", status=1)["limits"][0]
    assert limit["quantity"] == "clearance_needed_m"
    assert limit["likely"] == pytest.approx(2.0 + 1.5 + 0.4 + 0.3)
    assert limit["verdict"] == "fails"
    assert answer(*PLAIN, *ABSORBER, "--clearance", "6 m")["limits"][0]["verdict"] == "holds"


def test_fall_that_is_not_held_fails_every_limit() -> None:
    weak = ["--absorber-force", "600 N", "--absorber-length", "1 m", "--limit-force", "100 kN", "--clearance", "90 m"]
    found = answer(*PLAIN, *weak, status=1)
    assert [limit["verdict"] for limit in found["limits"]] == ["fails", "fails"]
    assert found["limits"][0]["worst"] is None


def test_draws_give_spread_shares_and_indices() -> None:
    found = answer(*RANGES, *ABSORBER, "--limit-force", "5 kN", "--clearance", "3.4 m", "--draws", "256", status=1)
    draws = found["draws"]
    assert draws["n"] == 256
    spread = draws["spread"]["peak_force_n"]
    assert spread["least"] <= spread["p5"] <= spread["p50"] <= spread["p95"] <= spread["greatest"]
    assert spread["greatest"] <= found["spread"]["peak_force_n"]["high"] * (1 + 1e-3)
    for name in ("arrested", "peak_force_n", "clearance_needed_m", "all"):
        share = draws["shares"][name]
        assert 0 <= share["low"] <= share["share"] <= share["high"] <= 1
    assert draws["shares"]["all"]["share"] <= draws["shares"]["peak_force_n"]["share"]
    totals = [row["total"] for row in draws["indices"]["peak_force_n"]]
    assert totals == sorted(totals, reverse=True)


def test_same_draws_on_every_run() -> None:
    assert run(*RANGES, "--draws", "100").stdout == run(*RANGES, "--draws", "100").stdout


def test_text_tells_ends_limits_shares_and_what_to_pin_down() -> None:
    lines = run(*RANGES, *ABSORBER, "--limit-force", "6 kN", "--draws", "256", "--units", "us").stdout.splitlines()
    text = "\n".join(lines)
    assert "at likely inputs." in lines[0]
    assert "At the ends of the inputs" in text
    assert "Hardest with mass" in text
    assert "Force of at most 1,340 lbf: " in text
    assert "with 95 % confidence" in text
    assert "To know the force better, pin down first: " in text
    assert " kN" not in text
    assert max(map(len, lines)) <= 110


def test_plain_fall_stays_as_short_as_it_was() -> None:
    text = run(*PLAIN).stdout
    assert "At the ends" not in text
    assert "likely" not in text


def test_named_absorber_and_grab_bring_their_range_and_source() -> None:
    found = answer(*PLAIN, "--absorber", "EN 355", "--grab", "en 353-2", "--condition", "dry")
    assert found["ranges"]["absorber_force"] == {"low": 3200.0, "likely": 4400.0, "high": 5700.0, "unit": "N"}
    assert found["ranges"]["grab_slide"]["high"] == 1.0
    assert "PMC7589197" in found["parts"]["absorber_force"]["source"]
    text = run(*PLAIN, "--absorber", "EN 355").stdout
    assert "Taken from the tables:" in text
    assert "[derived]" in text


def test_condition_of_a_named_absorber_moves_its_force() -> None:
    high = {c: answer(*PLAIN, "--absorber", "EN 355", "--condition", c)["ranges"]["absorber_force"]
            for c in ("dry", "conditioned", "unknown")}  # fmt: skip
    assert high["dry"]["high"] < high["conditioned"]["high"] == high["unknown"]["high"]
    assert high["conditioned"]["likely"] > high["dry"]["likely"] == high["unknown"]["likely"]


def test_option_beside_a_named_part_wins() -> None:
    found = answer(*PLAIN, "--absorber", "EN 355", "--absorber-force", "4 kN")
    assert found["ranges"]["absorber_force"]["high"] == 4000.0
    assert "absorber_force" not in found["parts"]
    assert found["ranges"]["absorber_length"]["high"] == 1.75


def test_parts_are_listed_without_a_fall() -> None:
    result = run("--list-parts")
    assert result.exit_code == 0
    for text in ("absorber EN 355", "grab EN 353-2", "rope/undamped peak", "[memory]", "rigid"):
        assert text in result.stdout


def test_load_curve_stands_for_the_stiffness() -> None:
    """A straight curve is the spring of the same slope."""
    curve = answer(*BARE, "--load-curve", "10 % 4 kN, 20 % 8 kN", "--recovery", "60 %")
    spring = answer(*PLAIN)
    for key in ("peak_force_n", "stop_distance_m", "stop_time_s"):
        assert curve[key] == pytest.approx(spring[key], rel=1e-4)
    assert curve["hang_extension_m"] > spring["hang_extension_m"], "it keeps a set"


def test_load_curve_left_behind_is_warned_of() -> None:
    warnings = answer(*BARE, "--load-curve", "2 % 0.4 kN, 5 % 2 kN")["warnings"]
    assert not any("without damping" in warning for warning in warnings)  # it gives back less than it takes
    assert any("beyond the last point of its load curve" in text for text in warnings)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([*BARE], "--stiffness: missing; give the line's stiffness"),
        ([*PLAIN, "--load-curve", "5 % 1 kN"], "--load-curve: missing; give either the stiffness or a load curve"),
        ([*BARE, "--load-curve", "5 kN"], "--load-curve: got '5 kN'; give points of strain and force"),
        ([*BARE, "--load-curve", "5 % 2 kN, 4 % 3 kN"], "give points of strain and force, rising"),
        ([*BARE, "--load-curve", "5 % 1 kN, 10 % 4 kN", "--recovery", "99 %"], "--recovery: got '99 %'; this curve"),
        ([*PLAIN, "--recovery", "50 %"], "--load-curve: missing; give the measured points"),
        ([*PLAIN, "--mass", "120 kg to 90 kg"], "put the lowest value of a range first"),
        ([*PLAIN, "--mass", "0 kg to 90 kg"], "--mass: got '0 kg to 90 kg'; give more than 0"),
        ([*PLAIN, "--limit-force", "6 kN to 8 kN"], "--limit-force: got '6 kN to 8 kN'; give one value"),
        ([*PLAIN, "--absorber", "EN 1"], "--absorber: got 'EN 1'; give one of"),
        (["--mass", "90 kg", "--line-length", "3 m to 4 m", "--free-fall", "1 m", "--stiffness", "10 kN/m"],
         "give the modulus (force per unit strain)"),
    ],
)  # fmt: skip
def test_fault_is_named_with_what_would_be_right(arguments: list[str], message: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize("draws", ["0", "15", "2000000", "many"])
def test_impossible_number_of_draws_exits_2(draws: str) -> None:
    assert run(*RANGES, "--draws", draws).exit_code == 2


def test_ranges_and_limits_load_neither_scipy_nor_matplotlib() -> None:
    code = (
        "import sys; from ropewright.cli.fall import fall; fall.main(sys.argv[1:], standalone_mode=False);"
        "sys.exit(any(name in sys.modules for name in ('scipy.stats', 'matplotlib', 'typst')))"
    )
    arguments = [*PLAIN, "--absorber", "EN 355", "--limit-force", "90 kN"]
    done = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, check=False, cwd=Path.cwd())
    assert done.returncode == 0, done.stderr
