"""`plan` with a record: findings from it, and its head on everything that is printed."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
import tomlkit
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.sheets.pdf_content import pdf_content

EXAMPLE = Path(__file__).parents[2] / "examples" / "gable-house.toml"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    document = tomlkit.parse(EXAMPLE.read_text(encoding="utf-8"))
    document["crew"][0]["person"] = "P-07"  # type: ignore[index]
    path = tmp_path / "job.toml"
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    return path


def run(*args: str) -> Result:
    return CliRunner().invoke(main, list(args))


def findings(result: Result) -> dict[str, str]:
    return {finding["id"]: finding["verdict"] for finding in json.loads(result.stdout)["findings"]}


def test_a_plan_without_a_record_asks_and_with_one_answers(job: Path, tmp_path: Path) -> None:
    name = tomllib.loads(job.read_text(encoding="utf-8"))["crew"][0]["name"]
    alone = run("plan", str(job), "--json")
    assert findings(alone)[f"crew-record/{name}"] == "ask"
    assert json.loads(alone.stdout)["record"] is None
    store = ("--store", str(tmp_path / "record.db"))
    assert run(*store, "crew", "add", "P-07", "--name", "A. Example", "--by", "B. Example").exit_code == 0
    head = json.loads(run(*store, "crew", "list", "--json").stdout)["head"]
    looked = run(*store, "plan", str(job), "--json")
    assert looked.exit_code == 1
    assert findings(looked)[f"crew-record/{name}"] == "fails"
    told = json.loads(looked.stdout)["record"]
    assert {key: told[key] for key in ("count", "hash")} == head


def test_a_record_that_is_not_there_is_no_record(job: Path, tmp_path: Path) -> None:
    missing = run("--store", str(tmp_path / "none.db"), "plan", str(job))
    assert missing.exit_code == 2
    assert "there is none" in missing.stderr
    assert not (tmp_path / "none.db").exists()
    plain = run("--store", str(tmp_path / "none.db"), "plan", str(EXAMPLE), "--json")
    assert plain.exit_code == 1, "a job that names nothing needs none"


def test_the_paper_carries_the_head(job: Path, tmp_path: Path) -> None:
    from datetime import date

    from ropewright.job import assess, read_job
    from ropewright.job.real_gear import with_record
    from ropewright.job.recorded import Recorded
    from ropewright.store.entry import Head

    record = Recorded(Head(12, "ab" * 32), date(2026, 6, 1))
    assessment = assess(with_record(read_job(job), record), remedies=False)
    line = pdf_content(assessment)["job"]["record"]
    assert line == f"12 entries, the last {'ab' * 32}, gear and people looked up for 2026-06-01"
