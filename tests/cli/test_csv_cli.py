"""`import` and `export` from the shell: the fate of each row, exit statuses, nothing written where one row is wrong."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from ropewright.cli.main import main

Run = Callable[..., Result]

GOOD = {
    "gear": "tag;kind;length (m);bought;note\nR-001;rope;60;2026-01-02;=1+1\nK-001;kit;;;\n",
    "crew": "code;what;name;mass with tools [kg];note\nP-07;person;A. Example;95;\n",
}
BAD = {
    "gear": GOOD["gear"] + "R-002;rope;1,5 m;1/2/2026;\n",
    "crew": GOOD["crew"] + "P-08;person;;95;\n",
}


@pytest.fixture
def run(tmp_path: Path) -> Run:
    def call(*args: str, code: int = 0) -> Result:
        result = CliRunner().invoke(main, ["--store", str(tmp_path / "record.db"), *args])
        assert result.exit_code == code, result.output
        return result

    return call


def file(tmp_path: Path, text: str) -> str:
    path = tmp_path / "file.csv"
    path.write_bytes(text.encode("utf-16"))  # with its mark, as some spreadsheets write
    return str(path)


@pytest.mark.parametrize("group", ["gear", "crew"])
def test_a_dry_run_tells_each_row_and_writes_nothing(run: Run, tmp_path: Path, group: str) -> None:
    document = json.loads(
        run(group, "import", file(tmp_path, GOOD[group]), "--dry-run", "--by", "B. Example", "--json").stdout
    )
    assert {row["fate"] for row in document["rows"]} == {"taken in"}
    assert document["written"] == document["head"]["count"] == document["wrong"] == 0


@pytest.mark.parametrize("group", ["gear", "crew"])
def test_all_rows_are_taken_in_and_come_out_again(run: Run, tmp_path: Path, group: str) -> None:
    document = json.loads(run(group, "import", file(tmp_path, GOOD[group]), "--by", "B. Example", "--json").stdout)
    assert document["written"] == document["head"]["count"] >= len(document["rows"])
    out = tmp_path / "out.csv"
    told = json.loads(run(group, "export", str(out), "--json").stdout)
    assert told["head"] == document["head"]
    assert told["rows"] == len(document["rows"])
    content = out.read_bytes()
    assert content.startswith(b"\xef\xbb\xbf")
    assert b"\n=" not in content
    assert b",=" not in content


@pytest.mark.parametrize("group", ["gear", "crew"])
def test_one_wrong_row_stops_them_all(run: Run, tmp_path: Path, group: str) -> None:
    result = run(group, "import", file(tmp_path, BAD[group]), "--by", "B. Example", code=2)
    assert "so nothing is written" in result.stdout
    assert "refused" in result.stdout
    assert "taken in" in result.stdout
    assert "error: row " in result.stderr
    assert run(group, "import", file(tmp_path, BAD[group]), "--by", "B. Example", "--dry-run", code=2).stdout
    listed = json.loads(run(group, "list", "--json").stdout)
    assert listed["head"]["count"] == 0


REFUSED = [
    ("import", "none.csv", "--by", "B. Example"),
    ("import", ".", "--by", "B. Example"),
    ("import", "file.csv"),
    ("export", "no/file.csv"),
]


@pytest.mark.parametrize("group", ["gear", "crew"])
@pytest.mark.parametrize("args", REFUSED, ids=" ".join)
def test_what_can_not_be_read_or_written_is_one_line(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, group: str, args: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("ROPEWRIGHT_BY", raising=False)
    run(group, "import", file(tmp_path, GOOD[group]), "--by", "B. Example")
    result = run(group, *args, code=2)
    assert result.stderr.startswith("error: ")
    assert result.stderr.count("\n") == 1


def test_a_table_of_rows_fits_a_terminal(run: Run, tmp_path: Path) -> None:
    rows = "\n".join(f"A-VERY-LONG-TAG-{number:08d};rope;60;;" for number in range(100))
    result = run("gear", "import", file(tmp_path, f"tag;kind;length (m);bought;note\n{rows}\n"), "--by", "B. Example")
    lines = result.stdout.splitlines()
    assert max(len(line) for line in lines if "record:" not in line) <= 80
    assert "... and 60 more rows that are taken in" in lines


def test_a_file_may_come_by_the_standard_input(tmp_path: Path) -> None:
    command = ["--store", str(tmp_path / "record.db"), "gear", "import", "-", "--by", "B. Example", "--json"]
    result = CliRunner().invoke(main, command, input=GOOD["gear"].encode())
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["written"] == 3  # two pieces, and the intervals in force for the rope


def test_too_large_a_file_is_refused_before_it_is_read(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "large.csv"
    path.write_bytes(b"tag,kind\n" + b"x" * 8_000_000)
    assert "at most 8 MB" in run("gear", "import", str(path), "--by", "B. Example", code=2).stderr


def test_pieces_that_were_cut_up_are_left_out_and_told(run: Run, tmp_path: Path) -> None:
    run("gear", "import", file(tmp_path, GOOD["gear"]), "--by", "B. Example")
    run("gear", "start", "R-001", "--by", "B. Example")
    run("gear", "cut", "R-001", "--piece", "R-002=20 m", "--piece", "R-003=40 m", "--by", "B. Example")
    document = json.loads(run("gear", "export", str(tmp_path / "out.csv"), "--json").stdout)
    assert document["rows"] == 3
    assert "1 cut up left out" in document["note"]
