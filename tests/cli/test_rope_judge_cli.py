"""`ropewright rope judge`: what a rope may do, said before any number."""

from __future__ import annotations

import json

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
