"""Where the record is and who writes: from the command line, the environment, or the user's own folder."""

from __future__ import annotations

from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from ropewright.cli.main import main
from ropewright.cli.store_options import keep_store, open_store, store_place, who
from ropewright.errors import InputError


def place(store: str | None) -> str:
    with click.Context(click.Command("x")) as ctx:
        keep_store(ctx, store)
        return store_place(ctx)


def test_the_place_is_as_told_or_in_the_user_s_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert place("r.db") == "r.db"
    assert Path(place(None)).name == "record.db"
    assert Path(place(None)).parent.is_dir()


def test_the_option_goes_before_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ROPEWRIGHT_STORE", str(tmp_path / "environment.db"))
    for words, name in ((["--store", str(tmp_path / "option.db")], "option"), ([], "environment")):
        told = CliRunner().invoke(main, [*words, "gear", "verify"])
        assert (told.exit_code, f"{name}.db" in told.stderr) == (2, True)


def test_the_record_is_closed_when_the_command_ends(tmp_path: Path) -> None:
    with click.Context(click.Command("x")) as ctx:
        keep_store(ctx, str(tmp_path / "r.db"))
        open_store(ctx)
        assert (tmp_path / "r.db-wal").exists()
    assert not (tmp_path / "r.db-wal").exists()  # SQLite puts it away with the last connection


@pytest.mark.parametrize("by", [None, "", "  "])
def test_nobody_is_no_author(by: str | None) -> None:
    with pytest.raises(InputError, match="say who does it: --by NAME, or set ROPEWRIGHT_BY"):
        who(by)


def test_an_author_is_taken_without_blanks_around() -> None:
    assert who(" A. Example ") == "A. Example"
