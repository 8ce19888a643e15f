"""The record as a whole from the shell: verified, backed up, restored, bundled; exit 0 whole, 1 broken, 2 misused."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from ropewright.cli.main import main
from ropewright.store.jobs import Jobs
from ropewright.store.opening import open_record


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A record with three entries on one person."""
    monkeypatch.chdir(tmp_path)
    place = tmp_path / "record.db"
    monkeypatch.setenv("ROPEWRIGHT_STORE", str(place))
    monkeypatch.setenv("ROPEWRIGHT_BY", "A. Example")
    for name in ("P-1", "P-2", "P-3"):
        assert run("crew", "add", name, "--name", f"{name} Example")[0] == 0
    return place


def run(*words: str | Path) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, [str(word) for word in words])
    return result.exit_code, result.stdout, result.stderr


def told(*words: str | Path, code: int = 0) -> dict[str, Any]:
    exit_code, out, err = run(*words, "--json")
    assert (exit_code, err) == (code, "")
    found: dict[str, Any] = json.loads(out)
    return found


def alter(place: Path, change: str) -> None:
    with closing(sqlite3.connect(place, isolation_level=None)) as connection:
        triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(change)
        for _, text in triggers:
            connection.execute(text)


def test_a_whole_record_is_status_0_and_names_its_head(store: Path) -> None:
    verdict = told("gear", "verify")
    assert (verdict["whole"], verdict["first_bad"]) == (True, None)
    assert told("gear", "head")["head"] == {"count": verdict["count"], "hash": verdict["hash"]}
    code, out, _ = run("gear", "verify")
    assert (code, out) == (0, f"whole: {verdict['count']} entries, head {verdict['count']}:{verdict['hash']}\n")
    assert run("gear", "head")[1] == f"{verdict['count']}:{verdict['hash']}\n"


def test_a_broken_record_is_status_1_and_names_the_first(store: Path) -> None:
    alter(store, "UPDATE entries SET by = 'Somebody' WHERE number = 2")
    first_bad = told("gear", "verify", code=1)["first_bad"]
    assert (first_bad["what"], first_bad["number"], first_bad["why"]) == ("entry", 2, "altered")
    assert run("gear", "verify")[:2] == (1, "broken: entry 2 was altered: it doesn't make its own hash\n")


def test_a_cut_tail_is_found_against_a_printed_head(store: Path) -> None:
    printed = run("gear", "head")[1].strip()
    alter(store, "DELETE FROM entries WHERE number = 3")
    first_bad = told("gear", "verify", "--head", f" {printed.upper()} ", code=1)["first_bad"]
    assert (first_bad["number"], first_bad["why"]) == (3, "cut-off")
    code, _, err = run("gear", "verify", "--head", "3")
    assert (code, err) == (
        2,
        "error: --head: got '3'; give the count and the 64 digits of the last hash as printed: COUNT:HASH\n",
    )


def test_a_damaged_file_is_broken_too(store: Path) -> None:
    content = bytearray(store.read_bytes())
    content[100:4096] = b"\xff" * 3996  # the page that says which tables there are
    store.write_bytes(content)
    first_bad = told("gear", "verify", code=1)["first_bad"]
    assert (first_bad["what"], first_bad["why"]) == ("tables", "unreadable")


def test_no_record_is_made_by_looking_for_one(store: Path, tmp_path: Path) -> None:
    for words in (("verify",), ("head",), ("backup", "b.db"), ("bundle", "b.zip"), ("rebuild",)):
        code, _, err = run("--store", "none.db", "gear", *words)
        assert code == 2
        assert "there is none" in err
    for words in (("restore", "none.bak"), ("open-bundle", "none.zip")):
        code, _, err = run("--store", "none.db", "gear", *words)
        assert code == 2
        assert "this is none" in err or "there is none" in err
    assert not (tmp_path / "none.db").exists()


def test_a_backup_restores_into_a_new_place(store: Path) -> None:
    head = told("gear", "head")["head"]
    assert told("gear", "backup", "b.db") == {"file": "b.db", "head": head}
    assert told("--store", "new.db", "gear", "restore", "b.db") == {"file": "b.db", "head": head, "new": head["count"]}
    assert told("--store", "new.db", "gear", "verify", "--head", f"{head['count']}:{head['hash']}")["whole"]
    assert told("--store", "new.db", "crew", "show", "P-1") == told("crew", "show", "P-1")
    assert "0 of them new here" in run("--store", "new.db", "gear", "restore", "b.db")[1]


def test_a_bundle_verifies_on_its_own_and_opens_in_a_new_place(store: Path) -> None:
    made = told("gear", "bundle", "b.zip")
    verdict = told("gear", "verify", "--bundle", "b.zip")
    assert (verdict["whole"], verdict["key"], verdict["count"]) == (True, made["key"], made["head"]["count"])
    assert verdict["public_key"] == made["public_key"]
    assert sha256(bytes.fromhex(made["public_key"])).hexdigest() == made["key"]
    assert run("gear", "verify", "--bundle", "b.zip")[0] == 0
    opened = told("--store", "new.db", "gear", "open-bundle", "b.zip")
    assert (opened["new"], opened["key"]) == (made["head"]["count"], made["key"])
    assert told("--store", "new.db", "gear", "verify")["hash"] == made["head"]["hash"]


def test_a_broken_bundle_is_status_1_and_opens_nowhere(store: Path) -> None:
    run("gear", "bundle", "b.zip")
    content = bytearray(Path("b.zip").read_bytes())
    content[len(content) // 2] ^= 1
    Path("b.zip").write_bytes(content)
    verdict = told("gear", "verify", "--bundle", "b.zip", code=1)
    assert verdict["first_bad"]["words"]
    code, _, err = run("--store", "new.db", "gear", "open-bundle", "b.zip")
    assert code == 2
    assert "give a bundle that is whole" in err
    assert not Path("new.db").exists()


def test_states_that_do_not_follow_are_worked_out_anew(store: Path) -> None:
    alter(store, "UPDATE states SET standing = 'fine' WHERE subject = 'crew/P-1'")
    first_bad = told("gear", "verify", code=1)["first_bad"]
    assert (first_bad["what"], first_bad["why"]) == ("state", "altered")
    assert told("gear", "verify", "--entries-only")["whole"]
    assert told("gear", "rebuild")["states"] == 3
    assert told("gear", "verify")["whole"]


def test_a_record_may_hold_jobs_beside(store: Path) -> None:
    record = open_record(store)
    Jobs(record.database).create("Barn", "# a job", by="A. Example")
    assert told("gear", "verify")["whole"]
