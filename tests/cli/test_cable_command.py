"""`ropewright cable`: its contract, its text, and its faults.

Numbers: the closed form of a massless line under a load at midspan (20 m, 20.05 m of line, 1.7 MN, 6 kN: sag
1.643203 m, 18,501.864 N), and the catenary of A. K. Tayal, *Engineering Mechanics*, Example 10.4 (companion notebook
read): 30 m, 0.5 kg/m, 0.5 m sag.
"""

import json

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

LINE = ("--span", "20 m", "--length", "20.05 m", "--weight", "0 kg/m", "--stiffness", "1700 kN")
HEAVY = ("--span", "20 m", "--sag", "0.3 m", "--weight", "0.25 kg/m", "--stiffness", "1700 kN")
FALL = ("--fall", "100 kg", "1.8 m")
ABSORBER = ("--absorber-force", "4 kN", "--absorber-length", "1.1 m")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["cable", *arguments])


def answer(*arguments: str) -> dict:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def test_load_at_midspan_gives_the_closed_form():
    found = answer(*LINE, "--load", "6 kN", "--at", "10 m")
    assert found["sag_m"] == pytest.approx(1.643203, rel=1e-6)
    assert found["tension_left_n"] == pytest.approx(18501.864, rel=1e-7)
    assert found["tension_right_n"] == pytest.approx(18501.864, rel=1e-7)
    assert found["horizontal_n"] == pytest.approx(6000 / 2 * 10 / 1.643203, rel=1e-6)
    assert found["length_m"] == pytest.approx(20.05 * (1 + 18501.864 / 1.7e6), rel=1e-7)
    assert found["unstressed_length_m"] == pytest.approx(20.05, rel=1e-9)
    assert found["amplification"] == pytest.approx(found["amplification_by_angle"], rel=1e-9)


def test_length_of_a_line_without_load_is_that_of_its_catenary():
    found = answer("--span", "30 m", "--sag", "0.5 m", "--weight", "4.905 N/m")
    assert found["length_m"] == pytest.approx(30.022211, rel=1e-7)
    assert found["tension_left_n"] == pytest.approx(1106.486, rel=1e-6)


def test_verdict_is_to_ask_and_says_what_to_decide():
    found = answer(*HEAVY)
    assert found["verdict"] == "ask"
    assert any("twice as strong" in what for what in found["decide"])
    assert found["sources"] == ["29 CFR 1926.502 (d)(8)", "29 CFR 1910.140 (c)(11)"]
    assert "planning aid" in found["caution"]
    assert run(*HEAVY).stdout.startswith("ASK: a qualified person must decide")


def test_weight_as_mass_or_as_force_is_one():
    assert answer(*HEAVY)["horizontal_n"] == pytest.approx(
        answer(*HEAVY[:5], "2.4516625 N/m", *HEAVY[6:])["horizontal_n"], rel=1e-9
    )


def test_fall_with_an_absorber_is_held_to_its_force():
    (fall,) = answer(*HEAVY, *FALL, *ABSORBER)["falls"]
    assert fall["peak_force_n"] == pytest.approx(4000, rel=1e-6)
    assert fall["at_m"] == 10.0
    assert fall["by_energy"]["peak_tension_n"] == pytest.approx(fall["in_time"]["peak_tension_n"], rel=2e-3)
    assert fall["total_fall_m"] == pytest.approx(1.8 + fall["stop_distance_m"])
    assert fall["in_time"]["energy_error"] < 0.005


def test_second_worker_falls_while_the_first_hangs():
    first, second = answer(
        *HEAVY, *FALL, *FALL, "--fall-at", "8 m", "--fall-at", "13 m", "--lanyard-stiffness", "80 kN/m"
    )["falls"]
    assert second["peak_tension_n"] > first["peak_tension_n"]
    assert first["peak_on_others_n"] == 0 < second["peak_on_others_n"]
    assert len(second["resting"]["loads"]) == 2


def test_several_spans_say_what_each_does():
    spans = ("--span", "10 m", "--span", "12 m", "--level", "0 m", "--level", "0.5 m", "--supports", "slip")
    found = answer(*spans, "--tension", "800 N", "--weight", "0.25 kg/m", "--stiffness", "1700 kN", *LOADED)
    assert [span["span_m"] for span in found["spans"]] == [10.0, 12.0]
    assert found["rigged"]["tension_left_n"] == pytest.approx(800, rel=1e-8)
    assert found["spans"][0]["tension_right_n"] == pytest.approx(found["spans"][1]["tension_left_n"], rel=1e-9)
    assert len(found["supports"]) == 1


LOADED = ("--load", "2 kN", "--at", "15 m")


def test_text_of_several_spans_says_what_supports_carry():
    spans = ("--span", "10 m", "--span", "12 m", "--supports", "held")
    line = ("--line-absorber-force", "2 kN", "--line-absorber-length", "1 m")
    loads = ("--load", "2 kN", "--at", "4 m", "--load", "1 kN", "--at", "15 m")
    result = run(*spans, *HEAVY[2:], *line, *loads)
    assert "Support 1 carries" in result.stdout
    assert "Opening of the absorber in line" in result.stdout
    assert "held fast at each intermediate support" in " ".join(result.stdout.split())


def test_anchors_that_give_and_an_absorber_in_line_soften_the_pull():
    rigid = answer(*HEAVY, *LOADED)["tension_max_n"]
    assert answer(*HEAVY, *LOADED, "--anchor-stiffness", "200 kN/m")["tension_max_n"] < rigid
    opens = answer(*HEAVY, *LOADED, "--line-absorber-force", "3 kN", "--line-absorber-length", "1 m")
    assert opens["tension_left_n"] == pytest.approx(3000, rel=1e-8)
    assert opens["line_absorber_m"] > 0


def test_text_shows_forces_and_sags_in_the_units_asked_for():
    text = run(*HEAVY, *FALL, *ABSORBER, "--load", "1 kN", "--at", "5 m", "--units", "us").stdout
    for words in (
        "With nobody on it",
        "Under its loads, at rest",
        "Fall: 220 lb",
        "for twice the greatest load",
        "rigged sag",
    ):
        assert words in text
    assert "kN" not in text
    assert "1 m" not in text


def test_text_tells_what_counts_as_rigid():
    text = " ".join(run(*HEAVY, *FALL).stdout.split())
    assert "An anchor counts as rigid" in text
    assert "The lanyard counts as rigid" in text
    assert "middle of the longest span" in text
    told = run(*HEAVY, *FALL, "--fall-at", "7 m", "--anchor-stiffness", "1000 kN/m").stdout
    assert "counts as rigid: force errs high, but the line" not in told


def test_spent_absorbers_are_told():
    short = ("--absorber-force", "3 kN", "--absorber-length", "0.1 m")
    line = ("--line-absorber-force", "4 kN", "--line-absorber-length", "0.05 m")
    text = " ".join(run(*HEAVY, *FALL, *short, *line).stdout.split())
    assert "absorber in a lanyard opens all the way" in text
    assert "absorber in line opens all the way" in text


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        (("--span", "20", "--sag", "1 m", "--weight", "1 N/m"), "--span: got '20'; give a length with its unit"),
        (("--span", "20 m", "--weight", "1 N/m"), "--sag: missing; give just one of --sag, --length and --tension"),
        ((*LINE, "--sag", "1 m"), "--sag: got 'sag, length'; give just one of"),
        (
            ("--span", "20 m", "--sag", "1 m", "--weight", "1 kg"),
            "--weight: got '1 kg'; give the line's mass per length",
        ),
        ((*LINE[:-1], "1700 kN/m"), "--stiffness: got '1700 kN/m'; give EA, force per unit strain"),
        ((*LINE, "--load", "1 kN"), "--at: got '0 for 1 loads'; give one place for each --load"),
        ((*LINE, "--load", "1 kN", "--at", "21 m"), "--at: got '21 m'; give a place between two supports"),
        ((*LINE[:-2], "--load", "1 kN", "--at", "3 m"), "--stiffness: missing; give EA of the line"),
        ((*HEAVY, *FALL, *FALL), "--fall-at: got '0 for 2 falls'; give one place for each --fall"),
        ((*HEAVY, "--fall", "100", "2 m"), "--fall: got '100'; give a mass with its unit"),
        ((*HEAVY, *FALL, *ABSORBER[:2]), "--absorber-length: missing; give how far the absorber can open"),
        ((*HEAVY, "--line-absorber-length", "1 m"), "--line-absorber-force: missing"),
        ((*HEAVY, "--span", "10 m"), "--supports: missing; say whether the line may slip"),
        ((*HEAVY, "--level", "1 m", "--level", "1 m"), "--level: got '2 of them'; give one for each span"),
        ((*HEAVY, *("--anchor-stiffness", "1 kN/m") * 3), "--anchor-stiffness: got 3; give one for both anchors"),
        ((*HEAVY, "--load", "1e12 kN", "--at", "3 m"), "--load: got '1e12 kN'; give at most 1e+14 N"),
        (LINE, "line: got 'a weightless slack line takes no shape"),
        (("--span", "20 m", "--length", "19 m", "--weight", "1 N/m"), "must be longer than the straight distance"),
    ],
)
def test_faults_name_the_option_and_what_would_be_right(arguments, fault):
    result = run(*arguments)
    assert result.exit_code == 2
    assert fault in result.stderr
    assert result.stdout == ""


def test_tension_beyond_the_absorber_in_line_is_refused():
    absorber = ("--line-absorber-force", "1 kN", "--line-absorber-length", "1 m")
    result = run("--span", "20 m", "--tension", "2 kN", "--weight", "1 N/m", "--stiffness", "1700 kN", *absorber)
    assert result.exit_code == 2
    assert "--tension: got '2 kN'; give less than the force" in result.stderr


def test_all_faults_are_told_at_once():
    result = run("--span", "x", "--weight", "y", "--load", "z", "--at", "4 m", "--fall", "1", "2")
    assert len(result.stderr.splitlines()) == 7
