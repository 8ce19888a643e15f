"""The gear commands from the shell: contract, exit status, tables that fit a terminal; all gear is invented."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image

from ropewright.cli.gear import _TABLE
from ropewright.cli.main import main

ROPE = (
    *("--fibre", "polyester", "--construction", "kernmantle", "--stretch", "static", "--length", "60 m"),
    *("--strength", "30 kN", "--basis", "maker's minimum", "--end", "figure-eight", "--wear", "new"),
    *("--made", "2026-01", "--life", "10 years", "--interval", "10 years"),
)


class Shell:
    """The command with one record and one author."""

    def __init__(self, store: Path) -> None:
        self.store = store

    def run(self, *arguments: str, by: str | None = "A. Example") -> Result:
        author = {"ROPEWRIGHT_BY": by} if by else {"ROPEWRIGHT_BY": ""}
        return CliRunner().invoke(main, ["--store", str(self.store), "gear", *arguments], env=author)

    def done(self, *arguments: str) -> str:
        result = self.run(*arguments)
        assert result.exit_code == 0, result.output
        return result.stdout

    def json(self, *arguments: str, code: int = 0) -> Any:
        result = self.run(*arguments, "--json")
        assert result.exit_code == code, result.output
        return json.loads(result.stdout)


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    return Shell(tmp_path / "record.db")


def test_a_rope_from_purchase_to_the_bin(shell: Shell) -> None:
    added = shell.json("add", "rope", "--tag", "r-001", *ROPE)
    assert (added["tag"], added["standing"]) == ("R-001", "received")
    assert "before each use" in shell.done("issue", "R-001", "--to", "P-07", "--job", "Mill Lane 4")
    shell.done("return", "R-001", "--uses", "1", "--sun", "6 h")
    shell.done("inspect", "R-001", "--all-ok", "--answer", "inside=na", "--wear", "good", "--competent", "course")
    cut = shell.json("cut", "R-001", "--piece", "R-002=30 m", "--piece", "29.5 m", "--loss", "0.5 m")
    assert [(piece["tag"], piece["standing"]) for piece in cut["gear"]] == [
        ("R-001", "cut up"),
        ("R-002", "in service"),
        ("R-003", "in service"),
    ]
    shell.done("re-end", "R-002", "--end", "eye splice", "--taken", "0.5 m")
    shell.done("wash", "R-002")
    shell.done("fall", "R-002", "--note", "slipped")
    assert shell.run("issue", "R-002", "--to", "P-07", "--job", "x").exit_code == 1
    shell.done("retire", "R-002", "--reason", "arrested a fall")
    shell.done("destroy", "R-002", "--how", "cut in lengths of 1 m")
    shown = shell.json("show", "R-002")
    assert (shown["standing"], shown["told"]["length_m"], shown["fitness"]["verdict"]) == ("destroyed", 29.5, "fails")
    kinds = [entry["kind"].partition(".")[2] for entry in shown["history"]]
    assert kinds[0] == "received"
    assert kinds[-5:] == ["re-ended", "washed", "fell", "retired", "destroyed"]
    assert shown["head"]["count"] == shown["entry"] == len({entry["number"] for entry in shown["history"]}) + 1


def test_a_rope_is_cut_in_two_at_a_length(shell: Shell) -> None:
    shell.done("add", "rope", *ROPE)
    cut = shell.json("cut", "R-001", "--at", "20 m", "--loss", "10 cm")
    assert [piece["tag"] for piece in cut["gear"]] == ["R-001", "R-002", "R-003"]
    assert shell.json("show", "R-003")["told"]["length_m"] == pytest.approx(39.9)
    assert shell.run("cut", "R-002", "--at", "2 m", "--piece", "3 m").exit_code == 2
    assert "65.6 ft" in shell.done("show", "R-003", "--units", "us")  # 20 m


def test_every_action_with_json_tells_what_was_written_and_the_head(shell: Shell) -> None:
    told = shell.json("add", "grab", "--wear", "new")
    assert [entry["kind"] for entry in told["written"]] == ["gear.received", "gear.intervals-set"]
    assert told["head"] == {"count": 2, "hash": told["written"][-1]["hash"]}
    told = shell.json("quarantine", "G-001", "--reason", "sand in it")
    assert told["gear"][0]["due"] == date.today().isoformat()  # noqa: DTZ011 - as the command has it


def test_nobody_is_never_the_author(shell: Shell) -> None:
    for by in (None, "  "):
        result = shell.run("add", "bag", by=by)
        assert (result.exit_code, "--by" in result.stderr) == (2, True)


def test_the_answer_no_is_1_and_bad_input_is_2(shell: Shell) -> None:
    shell.done("add", "rope", *ROPE)
    shell.done("quarantine", "R-001", "--reason", "acid")
    no = shell.run("issue", "R-001", "--to", "P-07", "--job", "x")
    assert (no.exit_code, no.stderr.startswith("refused: R-001 is quarantined: it can't be issued;")) == (1, True)
    for wrong in (
        ("issue", "R-404", "--to", "P-07", "--job", "x"),
        ("add", "rope", "--length", "60"),
        ("add", "rope", "--tag", "R/1"),
        ("due", "--within", "soon"),
        ("list", "--standing", "lost"),
        ("wash", "R-001", "--on", "2999-01-01"),
        ("inspect", "R-001"),
        ("inspect", "R-001", "--answer", "cuts"),
        ("inspect", "R-001", "--answer", "cuts=fault", "--answer", "cuts=ok"),
        ("points", "kit"),
        ("correct", "R-001", "--set", "made", "--reason", "x"),
        ("correct", "R-001", "--set", "made=2026", "--set", "made=2025", "--reason", "x"),
        ("intervals",),
        ("intervals", "--all", "--fact", "rope_access=yes", "--fact", "rope_access=no"),
        ("add", "rope", "--fact", "rope_access"),
    ):
        result = shell.run(*wrong)
        assert (result.exit_code, result.stderr.startswith("error: ")) == (2, True), wrong


def test_late_gear_needs_a_named_override(shell: Shell) -> None:
    shell.done("add", "grab", "--wear", "new", "--interval", "1 month", "--on", "2026-01-05")
    assert "due 2026-02-05" in shell.run("issue", "G-001", "--to", "P", "--job", "x").stderr
    told = ("--override-by", "D. Boss", "--override-reason", "no other")
    entries = shell.json("issue", "G-001", "--to", "P", "--job", "x", *told)["written"]
    assert [entry["kind"] for entry in entries] == ["gear.overridden", "gear.issued"]


def test_due_lists_overdue_first_with_why(shell: Shell) -> None:
    now = date.today()  # noqa: DTZ011 - as the command has it
    soon, later = now - timedelta(days=360), now - timedelta(days=200)
    shell.done("add", "grab", "--wear", "new", "--interval", "365 days", "--on", soon.isoformat())
    shell.done("add", "rope", *ROPE[:-2], "--interval", "365 days", "--on", later.isoformat())
    shell.done("add", "harness", "--wear", "new", "--interval", "30 days", "--on", soon.isoformat())
    rows = shell.json("due", "--within", "30d")["due"]
    assert [(row["tag"], row["what"], row["days_late"]) for row in rows] == [
        ("H-001", "inspect", 330),
        ("G-001", "inspect", 0),
    ]
    assert rows[0]["why"].startswith("every 30 days")
    assert [row["tag"] for row in shell.json("due", "--within", "1 year")["due"]] == ["H-001", "G-001", "R-001"]
    first = shell.json("due", "--within", "1 year", "--limit", "1")
    assert ([row["tag"] for row in first["due"]], first["more"]) == (["H-001"], True)
    assert "MORE is due than these 1 pieces" in shell.done("due", "--within", "1 year", "--limit", "1")


def test_nothing_due_is_said_and_a_record_that_is_not_there_is_no_empty_one(shell: Shell) -> None:
    shell.done("add", "bag")
    assert "nothing is due up to" in shell.done("due")
    assert Shell(shell.store.with_name("none.db")).run("due").exit_code == 2


def test_all_ok_lists_every_point_it_answers(shell: Shell) -> None:
    shell.done("add", "connector", "--wear", "new")
    listed = shell.done("inspect", "C-001", "--all-ok")
    for word in ("marks", "history", "gate", "springs", "body", "cracks", "rust", "alterations"):
        assert f"\n{word}" in listed
    result = shell.run("inspect", "C-001", "--all-ok", "--json")
    assert "gate" in result.stderr
    json.loads(result.stdout)


def test_an_inspection_that_was_not_passed_ends_with_1(shell: Shell) -> None:
    shell.done("add", "connector", "--wear", "new")
    part = shell.run("inspect", "C-001", "--answer", "gate=ok")
    assert (part.exit_code, "not answered, so not in order" in part.stdout) == (1, True)
    fault = shell.run("inspect", "C-001", "--all-ok", "--answer", "cracks=fault", "--note", "cracks=at the hinge")
    assert (fault.exit_code, "fault at cracks" in fault.stdout) == (1, True)
    shown = shell.json("show", "C-001")
    assert shown["standing"] == "retired"
    answers = shown["history"][-2]["body"]["answers"]
    assert {"point": "cracks", "answer": "fault", "note": "at the hinge", "photo": ""} in answers


def test_a_photo_is_kept_under_its_hash(shell: Shell, tmp_path: Path) -> None:
    shell.done("add", "bag")
    picture, text = tmp_path / "cloth.png", tmp_path / "cloth.txt"
    Image.new("RGB", (4, 4)).save(picture)
    text.write_text("no picture")
    told = ("inspect", "B-001", "--all-ok", "--answer", "cloth=fault")
    assert shell.run(*told, "--photo", f"cloth={text}").exit_code == 2
    assert shell.run(*told, "--photo", f"cloth={tmp_path / 'none.png'}").exit_code == 2
    assert shell.run(*told, "--photo", f"cloth={picture}").exit_code == 1
    answers = shell.json("show", "B-001")["history"][1]["body"]["answers"]
    assert [len(answer["photo"]) for answer in answers if answer["point"] == "cloth"] == [64]


def test_check_is_the_users_look(shell: Shell) -> None:
    shell.done("add", "harness", "--wear", "new")
    shell.done("check", "H-001", "--all-ok", "--by", "P. Sample")
    assert shell.json("show", "H-001")["checked"]["by"] == "P. Sample"
    assert shell.run("check", "H-001", "--all-ok", "--answer", "buckles=fault").exit_code == 1


def test_release_after_a_fall_cites_both_texts(shell: Shell) -> None:
    shell.done("add", "harness", "--wear", "new")
    shell.done("fall", "H-001")
    told = ("release", "H-001", "--finding", "sound", "--reason", "low load", "--competent", "course")
    refused = shell.run(*told)
    assert refused.exit_code == 1
    assert "1926.104 (a)" in refused.stderr
    assert "1926.502 (d)(19)" in refused.stderr
    assert shell.json(*told, "--signed", "A. Example")["standing"] == "in service"


def test_a_fall_asks_for_the_rest_of_the_chain(shell: Shell) -> None:
    for kind in ("harness", "grab"):
        shell.done("add", kind, "--wear", "new", "--life", "no limit", "--interval", "1 year")
    shell.done("issue", "H-001", "G-001", "--to", "P-07", "--job", "x")
    assert "P-07 has G-001 as well" in shell.done("fall", "H-001")
    assert shell.json("fall", "--person", "p-07")["gear"][0]["tag"] == "G-001"


def test_a_kit_is_one_thing_to_take(shell: Shell) -> None:
    shell.done("add", "rope", *ROPE)
    shell.done("add", "bag")
    shell.done("kit", "add", "--note", "north crew")
    assert shell.run("kit", "ready", "K-001").exit_code == 1
    shell.done("kit", "put", "K-001", "R-001", "B-001")
    assert "K-001 ready" in shell.done("kit", "ready", "K-001")
    issued = shell.json("issue", "K-001", "--to", "P-07", "--job", "x")
    assert {piece["tag"] for piece in issued["gear"]} == {"K-001", "R-001", "B-001"}
    shell.done("return", "K-001", "--uses", "1", "--sun", "2 h")
    shell.done("kit", "take", "K-001", "B-001")
    assert shell.json("kit", "ready", "K-001")["parts"] == ["R-001"]
    assert shell.run("kit", "ready", "R-001").exit_code == 2


def test_corrections_and_intervals_are_entries(shell: Shell) -> None:
    shell.done("add", "rope", *ROPE)
    shell.done("correct", "R-001", "--set", "made=2025-03", "--set", "length_m=50 m", "--reason", "measured")
    shown = shell.json("show", "R-001")
    assert (shown["told"]["made"], shown["told"]["length_m"]) == ("2025-03-01", 50)
    shell.done("intervals", "--all", "--rules", "eu-uk")
    assert "every 12 months" in shell.done("show", "R-001")
    assert shell.run("intervals", "R-001", "--rules", "nowhere").exit_code == 2


def test_facts_of_the_case_choose_the_intervals(shell: Shell) -> None:
    told = ("--rules", "eu-uk", "--fact", "country=Great Britain", "--fact", "rope_access=yes")
    shell.done("add", "harness", "--wear", "new", *told)
    inspect = [row["why"] for row in shell.json("show", "H-001")["due"] if row["what"] == "inspect"]
    assert [why.partition(",")[0] for why in inspect] == ["every 6 months", "every 12 months"]


def test_an_inspector_whom_nobody_calls_competent_is_told_what_was_not_renewed(shell: Shell) -> None:
    shell.done("add", "grab", "--wear", "new", "--rules", "eu-uk")
    assert "interval is not renewed" in shell.done("inspect", "G-001", "--all-ok").replace("\n", " ")
    assert "not renewed" not in shell.done("inspect", "G-001", "--all-ok", "--competent", "course")


def test_gear_is_put_into_use_once(shell: Shell) -> None:
    shell.done("add", "bag")
    assert "in service" in shell.done("start", "B-001")
    assert shell.run("start", "B-001").exit_code == 1


def test_faults_of_several_pieces_are_told_each_and_one_bad_input_makes_it_2(shell: Shell) -> None:
    for _ in range(2):
        shell.done("add", "grab", "--wear", "new", "--made", "2026-02", "--on", "2026-03-01")
    shell.done("quarantine", "G-001", "--reason", "sand")
    both = shell.run("issue", "G-001", "G-002", "--to", "P", "--job", "x", "--on", "2026-01-15")
    assert both.exit_code == 2
    assert [line.partition(":")[0] for line in both.stderr.splitlines()] == ["refused", "error"]
    shell.done("quarantine", "G-002", "--reason", "sand")
    none = shell.run("issue", "G-001", "G-002", "--to", "P", "--job", "x")
    assert (none.exit_code, none.stderr.count("refused: ")) == (1, 2)


def test_every_command_has_its_help() -> None:
    for name in _TABLE:
        result = CliRunner().invoke(main, ["gear", name, "--help"])
        assert (result.exit_code, "Usage:" in result.stdout) == (0, True), name


def test_list_cuts_by_kind_standing_and_words(shell: Shell) -> None:
    shell.done("add", "rope", *ROPE)
    shell.done("add", "grab", "--wear", "new", "--serial", "XK-77")
    shell.done("issue", "R-001", "--to", "P-07", "--job", "Mill Lane 4")
    for options, tags in (
        ((), ["G-001", "R-001"]),
        (("--kind", "rope"), ["R-001"]),
        (("--standing", "issued"), ["R-001"]),
        (("--search", "mill lane"), ["R-001"]),
        (("--search", "xk-77"), ["G-001"]),
        (("--to-ask",), ["G-001"]),
        (("--limit", "1"), ["G-001"]),
    ):
        assert [piece["tag"] for piece in shell.json("list", *options)["gear"]] == tags, options


def test_everything_shown_fits_80_columns(shell: Shell) -> None:
    long = "a very long word about everything that was ever told of it " * 3
    shell.done("add", "rope", *ROPE, "--note", long.strip())
    shell.done("add", "harness", "--made", "2000", "--life", "10 years", "--wear", "worn")
    shell.done("kit", "add")
    shell.done("kit", "put", "K-001", "R-001")
    shell.done("issue", "K-001", "--to", "Bartholomew Example of the North Crew", "--job", "Mill Lane 4, back roof")
    shell.run("check", "R-001", "--answer", "cuts=fault", "--note", long.strip())
    pages = [
        shell.done("list"),
        shell.done("due"),
        shell.done("show", "R-001"),
        shell.done("show", "K-001", "--units", "us"),
        shell.run("kit", "ready", "K-001").stdout,
        *(shell.done("points", kind) for kind in ("rope", "harness", "anchor")),
        shell.done("points", "rope", "--before-use"),
    ]
    assert max(len(line) for page in pages for line in page.splitlines()) <= 80


@pytest.mark.parametrize("listing", [("show", "R-001"), ("list",), ("due",), ("due", "--within", "20 years")])
def test_whatever_is_printed_carries_the_head_that_finds_a_cut_tail(shell: Shell, listing: tuple[str, ...]) -> None:
    shell.done("add", "rope", *ROPE)
    head = shell.done("head").strip()
    assert shell.done(*listing).splitlines()[-1] == f"record {head}"
    assert shell.run("verify", "--head", head).exit_code == 0


def test_strength_is_shown_as_it_is_with_its_sources(shell: Shell) -> None:
    shell.done("add", "rope", *ROPE)
    strength = shell.json("show", "R-001", "--no-edge")["strength"]
    # 30 kN as new, half of it left at a knot by 29 CFR 1926 Subpart M App C II(h)(3)
    assert (strength["strength_low_n"], strength["strength_high_n"]) == (15000, 15000)
    assert "29 CFR 1926 Subpart M App C II(h)(3)" in [step["source"] for step in strength["steps"]]
    text = shell.done("show", "R-001")
    assert "left" in text
    assert "damaged or" in text  # the caution


def test_points_go_with_their_sources(shell: Shell) -> None:
    points = shell.json("points", "rope")["points"]
    assert {"point", "look_for", "fault", "before_use", "may_not_apply", "source", "note"} == set(points[0])
    assert "29 CFR 1926 Subpart M App C II(g)" in shell.done("points", "rope")


def test_every_kind_has_an_example_that_works(shell: Shell) -> None:
    import shlex

    from ropewright.cli.gear_add import _EXAMPLES
    from ropewright.store.gear_words import gear_kinds

    assert set(_EXAMPLES) == set(gear_kinds())
    for kind, options in _EXAMPLES.items():
        shell.done("add", kind, *shlex.split(options))


def test_the_list_of_commands_imports_none_of_them() -> None:
    result = CliRunner().invoke(main, ["gear", "--help"])
    assert result.exit_code == 0
    assert "inspect" in result.stdout
    near = CliRunner().invoke(main, ["gear", "insepct"])
    assert (near.exit_code, "Did you mean 'inspect'?" in near.stderr) == (2, True)
    assert list(_TABLE)[:3] == ["add", "show", "list"]
