"""The record of people from the shell: what is written, shown and refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.store.crew_words import skills

Run = Callable[..., Result]

EXAMPLE = Path(__file__).parents[2] / "examples" / "gable-house.toml"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("ROPEWRIGHT_STORE", str(tmp_path / "record.db"))
    monkeypatch.setenv("ROPEWRIGHT_BY", "B. Example")
    runner = CliRunner()

    def call(*args: str, code: int = 0) -> Result:
        result = runner.invoke(main, ["crew", *args])
        assert result.exit_code == code, result.output
        return result

    return call


def add(run: Run, *more: str) -> Result:
    told = ("--name", "A. Example", "--mass", "180 lb", "--with-tools", "210 lb", "--harness", "M")
    return run("add", "p-07", *told, "--role", "authorised", *more)


TRAINED = (
    "train", "P-07", "--on", "2026-03-02", "--topic", "all", "--system", "all", "--trainer", "C. Example",
    "--trainer-is", "competent", "--signed-by", "C. Example", "--signed-as", "trainer",
)  # fmt: skip


def told(result: Result) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(result.stdout)
    return document


def test_a_person_is_kept_in_si_under_a_code_in_capitals(run: Run) -> None:
    document = told(add(run, "--json"))
    assert document["person"]["code"] == "P-07"
    assert document["person"]["mass_with_tools_kg"] == pytest.approx(95.2544, abs=1e-4)  # 210 lb x 0.45359237
    assert document["written"][0]["kind"] == "crew.added"
    assert document["head"] == {"count": 1, "hash": document["written"][0]["hash"]}


def test_who_did_it_is_never_blank(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROPEWRIGHT_BY", " ")
    result = add_refused(run)
    assert "--by" in result.stderr
    assert "say who does it" in result.stderr
    assert "there is none" in run("list", code=2).stderr


def add_refused(run: Run) -> Result:
    return run("add", "P-07", "--name", "A. Example", code=2)


def test_every_fault_of_a_command_is_told_at_once(run: Run) -> None:
    add(run)
    result = run("train", "P-07", "--on", "3/4/2026", "--topic", "hazard", "--trainer", " ", code=2)
    assert "write 2026-04-03 or 2026-03-04, whichever is meant" in result.stderr
    assert "--topic: got 'hazard'; did you mean 'hazards'?" in result.stderr
    assert "--trainer: got ' '; say who gave the training" in result.stderr


MASSES = [
    ("95", "give a mass with its unit"),
    ("95 kN", "is a force"),
    ("9.5 kg", "give a mass from 30 kg to 300 kg"),
    ("60 kg", "with clothing and tools nobody weighs less"),
]


@pytest.mark.parametrize(("mass", "says"), MASSES)
def test_a_mass_without_its_unit_or_sense_is_refused(run: Run, mass: str, says: str) -> None:
    result = run("add", "P-07", "--name", "A. Example", "--mass", "82 kg", "--with-tools", mass, code=2)
    assert "--with-tools" in result.stderr
    assert says in result.stderr


def test_missing_ends_with_1_until_all_is_there_and_then_with_0(run: Run) -> None:
    add(run)
    document = told(run("missing", "P-07", "--json", code=1))
    assert document["ready"] is False
    assert {"topic/use", "skill/tie-on"} <= {one["what"] for one in document["missing"]}
    run(*TRAINED)
    for skill in skills():
        run("sign-off", "P-07", "--skill", skill, "--assessor", "C. Example")
    document = told(run("missing", "P-07", "--json"))
    assert document["missing"] == []
    assert document["head"]["count"] == 2 + len(skills())
    assert told(run("missing", "P-07", "--job", str(EXAMPLE), "--json"))["ready"] is True


def test_another_pack_asks_for_other_things(run: Run) -> None:
    add(run)
    run(*TRAINED)
    result = run("missing", "P-07", "--rules", "us-general-industry", code=1)
    assert "qualified person" in result.stdout
    assert "29 CFR 1910.30" in result.stdout
    assert "A planning aid" in result.stdout


def test_a_trigger_is_open_until_a_training_answers_it(run: Run) -> None:
    add(run)
    number = told(run("trigger", "P-07", "systems", "--system", "grab", "--json"))["written"][0]["number"]
    assert "to train anew" in run("list").stdout
    refused = run(*TRAINED, "--answers", str(number), code=2)
    assert "after this training" in refused.stderr


def test_show_tells_all_with_the_head_of_the_ledger(run: Run) -> None:
    add(run)
    run(*TRAINED, "--expires", "2030-03-02", "--expires-by", "company rule 4")
    shown = run("show", "P-07").stdout
    assert "counts up to 2030-03-02 (company rule 4)" in shown
    document = told(run("show", "P-07", "--json"))
    assert [one["kind"] for one in document["history"]] == ["crew.added", "crew.trained"]
    assert document["head"]["hash"] == document["history"][-1]["hash"]
    assert document["head"]["hash"] in shown
    assert document["person"]["due"] == "2030-03-02"


def test_whoever_leaves_stays_in_the_list(run: Run) -> None:
    add(run)
    run("leave", "P-07")
    assert told(run("list", "--standing", "left", "--json"))["people"][0]["standing"] == "left"
    run("return", "P-07", "--judged-by", "D. Example")
    assert told(run("list", "--standing", "left", "--json"))["people"] == []
    assert run("list", "--standing", "gone", code=2).stderr


def test_a_wrong_entry_is_withdrawn_with_a_reason(run: Run) -> None:
    add(run)
    number = told(run(*TRAINED, "--json"))["written"][0]["number"]
    document = told(run("withdraw", "P-07", "--entry", str(number), "--why", "another person", "--json"))
    assert document["person"]["trainings"] == []
    assert document["head"]["count"] == 3


def test_a_role_is_told_with_its_grounds(run: Run) -> None:
    add(run)
    document = told(run("role", "P-07", "competent", "--grounds", "may stop the work", "--json"))
    assert document["person"]["roles"]["competent"] == {"by": "B. Example", "grounds": "may stop the work", "number": 2}
    assert "competent" not in told(run("role", "P-07", "competent", "--end", "--json"))["person"]["roles"]


def test_tables_and_texts_fit_a_terminal(run: Run) -> None:
    add(run)
    run("add", "P-08", "--name", "A name that is much longer than any column of a table could ever be " * 2)
    run(*TRAINED)
    for command in (("list",), ("show", "P-07"), ("words",)):
        assert max(len(line) for line in run(*command).stdout.splitlines() if "record:" not in line) <= 80
    assert max(map(len, run("missing", "P-08", code=1).stdout.splitlines())) <= 80


def test_a_code_that_can_not_stand_on_a_label_is_refused(run: Run) -> None:
    assert "give a code" in run("add", "P/07", "--name", "A. Example", code=2).stderr


def test_the_words_are_listed(run: Run) -> None:
    lists = told(run("words", "--json"))
    assert set(lists) == {"topics", "systems", "skills", "triggers", "roles"}


def test_a_change_tells_what_is_new_and_keeps_the_rest(run: Run) -> None:
    add(run)
    person = told(run("change", "P-07", "--with-tools", "100 kg", "--json"))["person"]
    assert (person["mass_with_tools_kg"], person["harness_size"]) == (100, "M")
    assert "give at least one of" in run("change", "P-07", code=2).stderr


def test_show_tells_what_is_open_and_what_was_not_shown_yet(run: Run) -> None:
    add(run)
    run("role", "P-07", "competent", "--grounds", "may stop the work")
    run("trigger", "P-07", "systems", "--note", "new grabs", "--on", "2026-03-01")
    run("sign-off", "P-07", "--skill", "haul", "--result", "not yet", "--assessor", "C. Example", "--note", "too slow")
    other = ("--employer", "Another (invented)", "--judged-on", "2026-03-05", "--judged-by", "D. Example")
    run("train", "P-07", "--on", "2026-03-02", "--topic", "use", "--trainer", "C. Example", *other)
    shown = " ".join(run("show", "P-07").stdout.split())
    assert "competent, says B. Example: may stop the work" in shown
    assert "OPEN since 2026-03-01, entry 3: train anew, systems (new grabs)" in shown
    assert "haul: not yet, says C. Example (too slow)" in shown
    assert "NO certificate told; given by Another (invented), judged adequate on 2026-03-05 by D. Example" in shown


def test_when_nothing_is_missing_it_is_said_with_the_caution(run: Run) -> None:
    add(run)
    run(*TRAINED)
    for skill in skills():
        run("sign-off", "P-07", "--skill", skill, "--assessor", "C. Example")
    shown = run("missing", "P-07").stdout
    assert "nothing that this record and these rules ask for is missing" in shown
    assert "A planning aid" in shown
