"""`ropewright knot`: keys, exit codes, wrong input, and the drawing."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.rope.knots import knots
from ropewright.rope.made_ends import made_end_names

CONTRACT = {"rope_m", "knot_type", "least_rope_m", "strength_low", "strength_likely", "strength_high"}


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["knot", *arguments])


@pytest.mark.parametrize("name", list(knots()))
def test_document_has_the_promised_keys(name: str) -> None:
    told = json.loads(run(name, "--diameter", "11 mm", "--json").stdout)
    assert set(told) >= CONTRACT
    assert told["rope_m"] >= told["least_rope_m"] > 0
    assert told["strength_low"] <= told["strength_likely"] <= told["strength_high"]
    assert told["rules"]


@pytest.mark.parametrize("name", made_end_names())
def test_an_end_that_is_no_knot_has_the_same_keys_and_claims_no_rope(name: str) -> None:
    told = json.loads(run(name, "--diameter", "11 mm", "--json").stdout)
    assert set(told) >= CONTRACT
    assert told["rope_m"] is None
    assert 0 < told["strength_low"] <= told["strength_likely"] <= told["strength_high"] <= 1
    assert any("No published figure" in note for note in told["notes"])
    assert "No published figure" in run(name, "--diameter", "11 mm").stdout


def test_tails_of_a_splice_are_six_diameters_and_six_inches_from_an_inch_on() -> None:
    """29 CFR 1926.251(d)(4)(iii), read, for slings."""
    tails = [
        json.loads(run("eye splice", "--diameter", size, "--json").stdout)["tail_m"]
        for size in ("0.5 in", "1 in", "2 in")
    ]
    assert tails == pytest.approx([6 * 0.0127, 6 * 0.0254, 6 * 0.0254])
    assert json.loads(run("sewn eye", "--diameter", "11 mm", "--json").stdout)["tail_m"] is None


def test_an_end_is_drawn_where_there_is_something_to_draw(tmp_path: Path) -> None:
    assert run("eye splice", "--diameter", "11 mm", "--svg", str(tmp_path / "s.svg")).exit_code == 0
    ET.fromstring((tmp_path / "s.svg").read_text(encoding="utf-8"))
    refused = run("rated assembly", "--diameter", "11 mm", "--svg", str(tmp_path / "r.svg"))
    assert refused.exit_code == 2
    assert "--svg: got" in refused.stderr
    assert "leave it out" in refused.stderr


def test_a_name_that_is_none_offers_knots_and_ends_that_are_none() -> None:
    said = run("zzz", "--diameter", "11 mm").stderr
    assert "'bowline'" in said
    assert "'eye splice'" in said


def test_rules_stand_before_any_number() -> None:
    shown = run("prusik", "--diameter", "8 mm").stdout
    assert shown.index("70 %") < shown.index("Rope in the knot")


def test_feet_tell_the_same_as_metres() -> None:
    metric = json.loads(run("bowline", "--diameter", "12.7 mm", "--json").stdout)
    inches = json.loads(run("bowline", "--diameter", "0.5 in", "--json", "--units", "us").stdout)
    assert inches["rope_m"] == pytest.approx(metric["rope_m"])


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        (["nonsense", "--diameter", "11 mm"], "NAME"),
        (["bowline", "--diameter", "11"], "--diameter"),
        (["bowline", "--diameter", "-11 mm"], "--diameter"),
        (["bowline", "--diameter", "3 m"], "--diameter"),
        (["stopper", "--diameter", "11 mm", "--loop", "1 m"], "--loop"),
        (["sewn eye", "--diameter", "11 mm", "--loop", "1 m"], "--loop"),
        (["sewn eye", "--diameter", "0 mm"], "--diameter"),
        (["stopper", "--diameter", "11 mm", "--svg", "/no/such/folder/k.svg"], "--svg"),
    ],
)
def test_wrong_input_names_its_field_and_ends_with_2(arguments: list[str], field: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert field in result.stderr


@pytest.mark.parametrize("name", ["figure-eight follow-through", "double fisherman's bend", "one-and-one hitch"])
def test_drawing_has_a_sentence_for_each_picture(name: str, tmp_path: Path) -> None:
    file = tmp_path / "knot.svg"
    assert run(name, "--diameter", "11 mm", "--svg", str(file), "--units", "us").exit_code == 0
    root = ET.fromstring(file.read_text())
    words = " ".join(element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text"))
    for number, step in enumerate(knots()[name].steps, start=1):
        assert f"{number} {step.split()[0]}" in words
    assert "Planning aid" in words
