"""`ropewright rules`, end to end."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.rules import load_pack, pack_names

MAY_I = ("check", "us-construction", "user_mass=310 lb", "free_fall=7 ft")


def rules(*args: str) -> Result:
    return CliRunner().invoke(main, ["rules", *args], catch_exceptions=False)


def document(*args: str) -> Any:
    return json.loads(rules(*args, "--json").stdout)


def test_packs_are_listed() -> None:
    result = rules()
    assert result.exit_code == 0
    assert all(name in result.stdout for name in pack_names())
    assert {pack["id"] for pack in document()["packs"]} == set(pack_names())


def test_310_lb_and_7_ft_of_free_fall_may_i() -> None:
    result = rules(*MAY_I)
    assert result.exit_code == 1
    lines = result.stdout.splitlines()
    assert lines[0] == "United States, construction: fails."
    assert lines[2] == "FAILS: Is the free fall short enough?"
    assert "MUST BE ASKED: Is the worker light enough for this equipment?" in lines
    assert "29 CFR 1926.502(d)(16)(iii) (read)" in result.stdout
    assert "Bring free_fall down to 6 ft; then this holds." in result.stdout
    assert "Caution: A planning aid." in result.stdout


def test_the_same_as_one_json_document(contract: frozenset[str]) -> None:
    answer = document(*MAY_I)
    assert (answer["pack"], answer["verdict"]) == ("us-construction", "fails")
    first = answer["findings"][0]
    assert contract <= first.keys()
    assert (first["id"], first["verdict"], first["value"], first["limit"], first["unit"]) == (
        "free-fall", "fails", 2.1336, 1.8288, "m",
    )  # fmt: skip
    assert first["inputs"] == {"free_fall_m": 2.1336}
    assert first["source"][0] == {
        "document": "29 CFR", "clause": "1926.502(d)(16)(iii)", "status": "read", "compared": "2026-11-25",
    }  # fmt: skip
    assert first["remedy"]["change"] == {"free_fall": "6 ft"}


@pytest.mark.parametrize(
    ("facts", "status", "verdict"),
    [
        (["free_fall=6 ft"], 0, "holds"),
        (["free_fall=6.1 ft"], 1, "fails"),
        (["arrest_force=7 kN to 9 kN"], 1, "doubtful"),
        (["gate_strength=3,600 lbf"], 1, "ask"),
        (["roof_sound=yes"], 0, "holds"),
        (["roof_sound=unknown"], 1, "ask"),
        (["roof_slope=8:12"], 1, "ask"),  # nothing judged, so nothing shown to hold
    ],
)
def test_exit_status_is_that_of_the_worst(facts: list[str], status: int, verdict: str) -> None:
    assert rules("check", "us-construction", *facts).exit_code == status
    assert document("check", "us-construction", *facts)["verdict"] == verdict


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("check", "us-constuction", "free_fall=1 ft"), "did you mean 'us-construction'"),
        (("check", "us-construction", "fre_fall=1 ft"), "did you mean 'free_fall'"),
        (("check", "us-construction", "free_fall=7 lb"), "a length is due"),
        (("check", "us-construction", "free_fall=7"), "give a length with its unit"),
        (("check", "us-construction", "free_fall"), "write it as fact=value"),
        (("check", "us-construction"), "give at least one fact"),
        (("check", "us-construction", "free_fall=1 ft", "free_fall=2 ft"), "told twice"),
        (("explain", "us-construction", "fre_fall"), "did you mean 'free_fall'"),
        (("compare", "us-construction", "eu-uk", "--fact", "fre_fall"), "did you mean 'free_fall'"),
        (("facts", "nowhere"), "the packs are"),
    ],
)
def test_bad_input_is_said_on_stderr_with_status_2(args: tuple[str, ...], says: str) -> None:
    result = rules(*args)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("error: ")
    assert says in result.stderr


def test_all_bad_facts_are_said_at_once() -> None:
    result = rules("check", "us-construction", "fre_fall=1 ft", "user_mass=310", "roof_sound=perhaps")
    assert len(result.stderr.splitlines()) == 3


def test_explain_gives_a_limit_a_fact_and_a_term() -> None:
    by_fact = rules("explain", "us-construction", "free_fall").stdout
    assert "no more than 6 ft is allowed" in by_fact
    assert "leaves out: deceleration, lanyard stretch, lifeline stretch" in by_fact
    by_id = document("explain", "us-construction", "user-mass")["limits"]
    assert [(one["operator"], one["law"], one["confidence"]) for one in by_id] == [("<", "310 lb", "high")]
    assert by_id[0]["value_kg"] == pytest.approx(140.6, abs=0.05)
    assert "rope_grab" in rules("explain", "us-construction", "rope_grab").stdout
    assert "1 ft" in rules("explain", "us-construction", "d_ring_shift").stdout


@pytest.mark.parametrize("pack", pack_names())
def test_explain_shows_the_whole_pack_with_its_conflicts(pack: str) -> None:
    text = rules("explain", pack).stdout
    loaded = load_pack(pack)
    assert all(f"    {limit.id}:" in text for limit in loaded.limits)
    assert "Where texts disagree:" in text
    whole = document("explain", pack)
    assert len(whole["limits"]) == len(loaded.limits)
    assert len(whole["conflicts"]) == len(loaded.conflicts)


def test_compare_sets_packs_side_by_side() -> None:
    text = rules("compare", *pack_names(), "--fact", "gate_strength").stdout
    assert "us-construction      no figure in this text" in text
    assert "us-general-industry  at least 3,600 lbf is needed" in text
    assert "canada               says nothing" in text
    row = document("compare", "us-construction", "eu-uk", "--fact", "arrest_force")["rows"][0]
    assert [row["limits"][pack][0]["value_n"] for pack in ("us-construction", "eu-uk")] == pytest.approx(
        [8006.8, 6000], rel=1e-5
    )


def test_facts_lists_what_can_be_told_with_an_example() -> None:
    assert "free_fall='4 ft'" in rules("facts", "us-construction").stdout
    listed = {one["fact"]: one for one in document("facts", "us-construction")["facts"]}
    assert listed["free_fall"]["unit"] == "m"
    assert listed["attachment"]["choices"] == ["dorsal", "overhead", "sternal", "waist"]
    assert "positioning" in listed
    assert set(listed) == set(load_pack("us-construction").facts_told)


@pytest.mark.parametrize(
    "args",
    [(), MAY_I, ("explain", "us-construction"), ("explain", "eu-uk"), ("facts", "canada"), ("compare", *pack_names())],
    ids=str,
)
def test_text_fits_100_columns(args: tuple[str, ...]) -> None:
    assert max(map(len, rules(*args).stdout.splitlines())) <= 100


def test_local_rules_are_laid_over_and_printed(tmp_path: Path) -> None:
    local = tmp_path / "ours.toml"
    local.write_text(
        'extends = "us-construction"\nid = "ours"\ntitle = "Our yard rules"\n'
        '[[limit]]\nid = "free-fall"\nvalue = "7 ft"\n'
        'decided_by = "A. Example"\ndecided_on = 2026-11-20\nreason = "tested by the maker"\n',
        encoding="utf-8",
    )
    laid = rules("check", "us-construction", "free_fall=6.5 ft", "--local", str(local))
    assert laid.exit_code == 0
    assert laid.stdout == rules("check", str(local), "free_fall=6.5 ft").stdout
    flat = " ".join(laid.stdout.split())
    assert "looser by decision of A. Example on 2026-11-20: tested by the maker" in flat
    local.write_text(local.read_text(encoding="utf-8").replace("decided_by", "# decided_by"), encoding="utf-8")
    assert rules("check", str(local), "free_fall=6.5 ft").exit_code == 2


@pytest.mark.parametrize("command", ["", "explain", "compare", "check", "facts"])
def test_every_command_has_help_with_an_example(command: str) -> None:
    result = rules(*filter(None, [command]), "--help")
    assert result.exit_code == 0
    assert "Example: ropewright rules" in result.stdout
    assert "--json" in result.stdout
