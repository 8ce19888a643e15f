"""A backup holds all there is in one file, and what was restored from it is the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from record_helpers import NOW, draft, filled, record_at
from record_tampering import photo, shell

from ropewright.errors import InputError
from ropewright.store.backup import back_up, head_of_file, restore
from ropewright.store.jobs import Jobs
from ropewright.store.ledger import Ledger
from ropewright.store.verify import verify


def everything(record: Ledger) -> Any:
    """Head, entries, states, photos and jobs of a record."""
    with record.read() as view:
        kept = list(view.entries())
        jobs = Jobs(record.database).listed()
        names = [str(entry.body["photo"]) for entry in kept if "photo" in entry.body]
        return view.head(), kept, view.states("gear"), [record.file(name) for name in names], jobs


def with_photo(place: str | Path) -> Ledger:
    record = filled(place)
    digest = record.keep_file(photo(), "image/png")
    record.write(lambda _: [draft(photo=digest)])
    return record


def test_what_was_restored_is_what_was_backed_up(place: str, tmp_path: Path) -> None:
    record = with_photo(place)
    head = back_up(record, tmp_path / "backup.db")
    assert head == head_of_file(tmp_path / "backup.db") == everything(record)[0]
    again = record_at(tmp_path / "again.db")
    assert restore(again, tmp_path / "backup.db") == (head, 21)
    assert everything(again) == everything(record)
    assert verify(again, head).whole


def test_a_file_s_backup_restores_into_a_server_and_back(tmp_path: Path, postgresql: str) -> None:
    record = with_photo(tmp_path / "record.db")
    back_up(record, tmp_path / "backup.db")
    served = record_at(postgresql)
    restore(served, tmp_path / "backup.db")
    assert everything(served) == everything(record)
    assert verify(served).whole
    served.write(lambda _: [draft()])
    back_up(served, tmp_path / "served.db")
    assert restore(record, tmp_path / "served.db")[1] == 1
    assert everything(served) == everything(record)


def test_a_backup_is_one_file_that_only_its_owner_reads(place: str, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    back_up(filled(place), folder / "b.db")
    assert [file.name for file in folder.iterdir()] == ["b.db"]
    assert (folder / "b.db").stat().st_mode & 0o777 == 0o600


def test_an_earlier_backup_of_the_same_record_is_replaced(place: str, tmp_path: Path) -> None:
    record = filled(place)
    first = back_up(record, tmp_path / "b.db")
    record.write(lambda _: [draft()])
    assert back_up(record, tmp_path / "b.db").count == first.count + 1 == head_of_file(tmp_path / "b.db").count


def test_nothing_else_is_written_over(place: str, tmp_path: Path) -> None:
    record = filled(place)
    other, text = tmp_path / "other.db", tmp_path / "notes.txt"
    filled(other, 3).close()
    text.write_text("notes")
    for path, told in ((other, "this holds another record of 3 entries"), (text, "this is none")):
        before = path.read_bytes()
        with pytest.raises(InputError, match=told):
            back_up(record, path)
        assert path.read_bytes() == before
    with pytest.raises(InputError, match="a folder that exists"):
        back_up(record, tmp_path / "none" / "b.db")


def test_the_record_itself_is_no_place_for_its_backup(tmp_path: Path) -> None:
    record = filled(tmp_path / "record.db")
    with pytest.raises(InputError, match="another file than the record"):
        back_up(record, tmp_path / "record.db")
    with pytest.raises(InputError, match="another file than the record"):
        restore(record, tmp_path / "record.db")


def test_a_broken_record_makes_no_backup_and_an_earlier_one_stays(tmp_path: Path) -> None:
    record = filled(tmp_path / "record.db")
    head = back_up(record, tmp_path / "b.db")
    with shell(tmp_path / "record.db") as connection:
        connection.execute("UPDATE entries SET by = 'Bo' WHERE number = 7")
    with pytest.raises(InputError, match="entry 7 was altered"):
        back_up(record, tmp_path / "b.db")
    assert head_of_file(tmp_path / "b.db") == head
    assert sorted(file.name for file in tmp_path.iterdir() if "part" in file.name) == []


def test_a_broken_backup_is_refused_and_the_record_stays(place: str, tmp_path: Path) -> None:
    back_up(filled(tmp_path / "source.db"), tmp_path / "b.db")
    with shell(tmp_path / "b.db") as connection:
        connection.execute("UPDATE entries SET by = 'Bo' WHERE number = 7")
    record = filled(place, 3)
    before = everything(record)
    with pytest.raises(InputError, match="entry 7 was altered"):
        restore(record, tmp_path / "b.db")
    assert everything(record) == before


def test_a_backup_with_tables_of_its_own_is_refused(tmp_path: Path) -> None:
    back_up(filled(tmp_path / "source.db"), tmp_path / "b.db")
    with shell(tmp_path / "b.db") as connection:
        connection.execute("CREATE TRIGGER more AFTER INSERT ON states BEGIN SELECT 1; END")
    with pytest.raises(InputError, match="a table isn't as it was made"):
        restore(record_at(tmp_path / "record.db"), tmp_path / "b.db")


@pytest.mark.parametrize("content", [b"", b"notes", b"SQLite format 3\0" + b"\0" * 200], ids=["empty", "text", "torn"])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "b.db").write_bytes(content)
    with pytest.raises(InputError, match="give a backup"):
        restore(record_at(tmp_path / "record.db"), tmp_path / "b.db")
    assert (tmp_path / "b.db").read_bytes() == content


def test_a_record_with_entries_of_its_own_is_not_overwritten(place: str, tmp_path: Path) -> None:
    back_up(filled(tmp_path / "source.db", 5), tmp_path / "b.db")
    longer, other = record_at(place), record_at(tmp_path / "other.db")
    restore(longer, tmp_path / "b.db")
    longer.write(lambda _: [draft()])
    other.write(lambda _: [draft(by="Bo")])
    for record, told in ((longer, "holds 6 entries already"), (other, "the record holds other entries")):
        before = everything(record)
        with pytest.raises(InputError, match=told):
            restore(record, tmp_path / "b.db")
        assert everything(record) == before


def test_the_beginning_of_the_same_record_is_completed(place: str, tmp_path: Path) -> None:
    source = filled(tmp_path / "source.db", 5)
    back_up(source, tmp_path / "early.db")
    source.write(lambda _: [draft(), draft("new")])
    back_up(source, tmp_path / "late.db")
    record = record_at(place)
    restore(record, tmp_path / "early.db")
    assert restore(record, tmp_path / "late.db")[1] == 2
    assert restore(record, tmp_path / "late.db")[1] == 0
    assert everything(record) == everything(source)


def test_a_backup_is_made_while_others_write(tmp_path: Path) -> None:
    record = filled(tmp_path / "record.db")
    record.write(lambda _: [draft()] if back_up(record, tmp_path / "b.db").count == 20 else [])
    assert head_of_file(tmp_path / "b.db").count == 20


def with_job(place: str | Path, name: str = "Barn") -> Ledger:
    record = filled(place, 2)
    Jobs(record.database, lambda: NOW).create(name, "# a job", by="Ann", files={"roof.csv": b"x,y"})
    return record


def test_jobs_and_their_files_come_along(place: str, tmp_path: Path) -> None:
    back_up(with_job(place), tmp_path / "b.db")
    again = record_at(tmp_path / "again.db")
    for _ in range(2):  # the second finds the same jobs there
        restore(again, tmp_path / "b.db")
    (job,) = Jobs(again.database).listed()
    assert (job.name, job.by, Jobs(again.database).files(job.number)) == ("Barn", "Ann", {"roof.csv": b"x,y"})


def test_other_jobs_are_not_overwritten(place: str, tmp_path: Path) -> None:
    back_up(with_job(tmp_path / "source.db"), tmp_path / "b.db")
    record = with_job(place, "Mill")
    with pytest.raises(InputError, match="the place holds other jobs already"):
        restore(record, tmp_path / "b.db")
    assert [job.name for job in Jobs(record.database).listed()] == ["Mill"]


def test_backup_that_is_not_whole_makes_no_record_where_there_was_none(tmp_path):
    from click.testing import CliRunner

    from ropewright.cli.main import main

    run = CliRunner()
    store, kept, new = (str(tmp_path / name) for name in ("record.db", "kept.db", "new.db"))
    assert run.invoke(main, ["--store", store, "gear", "add", "bag", "--by", "A. Example"]).exit_code == 0
    assert run.invoke(main, ["--store", store, "gear", "backup", kept]).exit_code == 0
    whole = Path(kept).read_bytes()
    Path(kept).write_bytes(whole.replace(b"A. Example", b"B. Example"))
    answer = run.invoke(main, ["--store", new, "gear", "restore", kept])
    assert answer.exit_code == 2, answer.output
    assert not Path(new).exists()
    Path(kept).write_bytes(whole)
    assert run.invoke(main, ["--store", new, "gear", "restore", kept]).exit_code == 0
