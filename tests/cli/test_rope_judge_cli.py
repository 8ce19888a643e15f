"""`ropewright rope judge`: what a rope may do, said before any number."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

SOUND = {
    "--strength": "30 kN",
    "--basis": "maker's minimum",
    "--fibre": "nylon",
    "--construction": "sheathed core",
    "--stretch": "static",
    "--end": "rated assembly",
    "--condition": "new, dry",
    "--age": "3 months",
    "--outdoors": "0 days",
    "--catches": "0",
}


def judge(changes: dict[str, str | None] | None = None, *options: str) -> Result:
    given = {**SOUND, **(changes or {})}
    told = [part for name, value in given.items() if value is not None for part in (name, value)]
    return CliRunner().invoke(main, ["rope", "judge", *told, "--no-edge", *options])


def test_sound_rope_of_enough_strength_may_be_a_lifeline() -> None:
    result = judge()
    assert result.exit_code == 0, result.stdout
    assert result.stdout.startswith("HOLDS     lifeline")
    answer = json.loads(judge(None, "--json").stdout)
    assert answer["strength_low_n"] == pytest.approx(30e3)
    assert (answer["working_load_low_n"], answer["working_load_high_n"]) == (pytest.approx(3e3), pytest.approx(6e3))


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({"--strength": "5000 lbf"}, "holds"),  # 29 CFR 1926.502(d)(9): 5,000 pounds, read
        ({"--strength": "4999 lbf"}, "fails"),
        ({"--catches": "1"}, "fails"),
        ({"--catches": None}, "ask"),
        ({"--age": None}, "ask"),
        ({"--found": "glazing"}, "fails"),
        ({"--age": "6 years", "--life": "5 years"}, "fails"),
        ({"--fibre": "manila"}, "fails"),
        ({"--stretch": "dynamic"}, "doubtful"),
        ({"--end": "figure-eight loop"}, "fails"),
        ({"--condition": "unknown"}, "ask"),
        ({"--outdoors": "1 year"}, "doubtful"),
    ],
)
def test_lifeline_by_what_was_told(changes: dict[str, str | None], verdict: str) -> None:
    result = judge(changes, "--json")
    answer = json.loads(result.stdout)
    assert answer["uses"][0]["verdict"] == verdict
    assert result.exit_code == (0 if verdict == "holds" else 1)


def test_what_takes_it_out_is_said_before_any_number() -> None:
    shown = judge({"--found": "cut"}).stdout
    assert shown.startswith("FAILS")
    assert shown.index("out of service at once") < shown.index("kN")


def test_what_takes_it_out_stands_before_what_is_asked() -> None:
    told = json.loads(judge({"--found": "cut", "--age": None, "--catches": None}, "--json").stdout)["triggers"]
    assert told[0]["subject"] == "inspection"
    assert [one["verdict"] for one in told] == sorted((one["verdict"] for one in told), reverse=True)  # fails, ask


def test_every_step_has_its_source_and_grade() -> None:
    answer = json.loads(
        judge({"--outdoors": "2 years", "--end": "eye splice", "--construction": "laid"}, "--json").stdout
    )
    assert all(step["source"] and step["grade"] for step in answer["steps"])
    assert not answer["settles"]


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [
        ("--strength", "30", "--strength: got '30'"),
        ("--age", "3", "--age: got '3'"),
        ("--age", "-3 years", "--age: got '-3 years'"),
        ("--found", "dirty", "--found: got 'dirty'"),
        ("--end", "granny", "--end: got 'granny'"),
        ("--catches", "1.5", "--catches: got '1.5'"),
        ("--rules", "mars", "mars"),
    ],
)
def test_wrong_input_is_named(option: str, value: str, told: str) -> None:
    result = judge({option: value})
    assert result.exit_code == 2
    assert told in result.stderr


def site_rules(tmp_path: Path, share: str) -> str:
    path = tmp_path / "site.toml"
    path.write_text(
        'extends = "us-construction"\nid = "ours"\ntitle = "Our yard rules"\n[allowance.working_load_share]\n'
        f'dimension = "ratio"\nvalue = {share}\nsummary = "Share of its strength that rope works under."\n'
    )
    return str(path)


def test_working_load_by_practice_is_ten_to_one_to_five_to_one() -> None:
    answer = json.loads(judge(None, "--json").stdout)
    assert (answer["design_factor_low"], answer["design_factor_high"]) == (pytest.approx(5), pytest.approx(10))
    assert "common practice, no source" in answer["working_load_source"]
    assert "(10:1) to 6.00 kN (5:1)" in judge().stdout


def test_rules_of_one_s_own_give_the_design_factor(tmp_path: Path) -> None:
    """Twelve to one of 30 kN is 2.5 kN, whichever end."""
    answer = json.loads(judge({"--rules": site_rules(tmp_path, "0.0833333333")}, "--json").stdout)
    assert answer["working_load_low_n"] == pytest.approx(2500, rel=1e-6)
    assert answer["working_load_high_n"] == answer["working_load_low_n"]
    assert "Our yard rules" in answer["working_load_source"]


def test_a_share_that_can_t_be_meant_is_refused(tmp_path: Path) -> None:
    result = judge({"--rules": site_rules(tmp_path, "5.0")})
    assert result.exit_code == 2
    assert "working_load_share: got '5.0'; give a share above 0 and at most 1" in result.stderr


def test_each_step_tells_what_is_left_and_how_it_was_worked_out() -> None:
    """Share by share from the strength told to what is left: the chain has no gap."""
    answer = json.loads(judge({"--outdoors": "2 years", "--condition": "good, dry"}, "--json").stdout)
    left = dict.fromkeys(("low", "likely", "high"), 30000.0)
    for step in answer["steps"]:
        for end in left:
            left[end] *= step[f"share_{end}"]
            assert step[f"left_{end}_n"] == pytest.approx(left[end])
        assert step["formula"] == "S = S0 x k"
        assert {"s0_n", "k"} <= step["inputs"].keys()
    assert answer["strength_low_n"] == pytest.approx(left["low"])


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"--strength": "1e30 kN"}, "--strength: got '1e30 kN'; give at most"),
        ({"--strength": "30 MN"}, "--strength"),
        ({"--bend-ratio": "0"}, "--bend-ratio: got '0'; give more than 0"),
        ({"--rules": "nowhere"}, "the packs are"),
    ],
)
def test_what_can_t_be_meant_is_refused_and_never_judged(changes: dict[str, str | None], says: str) -> None:
    result = judge(changes)
    assert result.exit_code == 2
    assert says in result.stderr
    assert result.stdout == ""


def test_what_fails_for_its_knot_names_the_rule_of_knots() -> None:
    """29 CFR 1910.140(c)(6), read: with a knot the line still holds 5,000 lbf; half of 30 kN does not."""
    told = json.loads(judge({"--rules": "us-general-industry", "--end": "figure-eight loop"}, "--json").stdout)
    assert told["uses"][0]["verdict"] == "fails"
    assert "1910.140(c)(6)" in told["uses"][0]["source"].replace(" ", "").replace("CFR", "CFR ")


def test_rules_without_a_figure_are_asked_and_said_to_have_none() -> None:
    told = json.loads(judge({"--rules": "canada"}, "--json").stdout)["uses"][0]
    assert told["verdict"] == "ask"
    assert "no figure for a line" in told["source"]


def test_what_the_rules_ask_stands_beside_what_is_left() -> None:
    """29 CFR 1926.502(d)(9), read: 5,000 pounds, shown rounded up."""
    told = json.loads(judge(None, "--json").stdout)
    assert told["asked_n"] == pytest.approx(5000 * 4.4482216)
    assert "1926.502(d)(9)" in told["asked_source"].replace(" (", "(")
    (line,) = [line for line in judge(None, "--units", "us").stdout.splitlines() if "asked of a line" in line]
    assert "5,000 lbf" in line
