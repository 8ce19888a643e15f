"""One file that holds the whole record, and the record made anew from it."""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from ropewright.errors import FileError, InputError
from ropewright.store.chain import START
from ropewright.store.entry import Fold, Head
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record
from ropewright.store.scan import all_rows, stored_files
from ropewright.store.taking import copy_rest, is_prefix, take_into
from ropewright.store.verify import bad_tables, verify_entries
from ropewright.store.view import LedgerView

__all__ = ["back_up", "head_of_file", "restore", "restore_into"]


def back_up(record: Ledger, path: Path) -> Head:
    """Head of the record as it was written to a backup: one SQLite file, whatever the record is kept in.

    Parameters
    ----------
    record : Ledger
    path : Path
        A new file, or an earlier backup of the same record, which is replaced.

    Raises
    ------
    InputError
        If there is another file, or the record isn't whole: then no backup is made, and an earlier one stays.
    """
    _check_target(record, path)
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        part.touch(mode=0o600, exist_ok=False)
        head = _written(record, part)
        _sync(part)
        part.replace(path)
        _sync(path.parent)
    except OSError as error:
        raise FileError("backup", str(path), f"give a file that can be written: {error.strerror}") from error
    except sqlite3.Error as error:
        raise FileError("backup", str(path), f"give a file on a disk with room, of a whole record: {error}") from error
    finally:
        for left in path.parent.glob(f"{part.name}*"):
            left.unlink()
    return head


def _check_target(record: Ledger, path: Path) -> None:
    """Refuse to write over anything but an earlier backup of the same record."""
    if not path.parent.is_dir():
        raise FileError("backup", str(path), "give a file in a folder that exists")
    if not path.exists():
        return
    if record.database.is_sqlite and path.samefile(record.database.url.database or ""):
        raise FileError("backup", str(path), "give another file than the record itself")
    head = head_of_file(path)
    with record.database.reading() as connection:
        if not is_prefix(head, connection):
            raise FileError("backup", str(path), f"give a new file; this holds another record of {head.count} entries")


def head_of_file(path: Path) -> Head:
    """Count and last hash of a record in a SQLite file, which isn't touched.

    Raises
    ------
    FileError
        If it is none.
    """
    query = "SELECT number, hash FROM entries ORDER BY number DESC LIMIT 1"
    try:
        with closing(_opened_to_read(path)) as connection:
            row = connection.execute(query).fetchone()
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise FileError("backup", str(path), "give a backup of a record; this is none") from error
    return START if row is None else Head(*row)


def _opened_to_read(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)


def _written(record: Ledger, part: Path) -> Head:
    """Head of a copy that was made and proved."""
    if record.database.is_sqlite:
        _copy_file(Path(record.database.url.database or ""), part)
    with closing(open_record(part, folds=record.folds)) as copy:
        if not record.database.is_sqlite:
            _take_all(record, copy, "store")
        verdict = verify_entries(copy)
    with closing(sqlite3.connect(part)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")  # one file, which needs no others beside it
    if verdict.first_bad is not None:
        words = f"it isn't whole, so that no backup was made: {verdict.first_bad.words}"
        raise InputError("store", record.database.shown, words)
    return Head(verdict.count, verdict.hash)


def _copy_file(source: Path, copy: Path) -> None:
    with closing(_opened_to_read(source)) as there, closing(sqlite3.connect(copy)) as here:
        there.backup(here)


def _take_all(source: Ledger, target: Ledger, field: str) -> int:
    """Let a record take over all that another holds, and say how many entries were new."""
    with source.database.reading() as there, target.database.writing() as here:
        head = LedgerView(there).head()
        new = take_into(here, target, all_rows(there), stored_files(there), head, field)
        copy_rest(there, here, field)
    return new


def restore(record: Ledger, path: Path) -> tuple[Head, int]:
    """Head of the record after it was made anew from a backup, and how many entries were new to it.

    Parameters
    ----------
    record : Ledger
        Empty, or holding the beginning of what the backup holds.
    path : Path
        A backup; it isn't touched.

    Raises
    ------
    InputError
        If it is no backup or isn't whole, or the record holds entries or jobs that it lacks: nothing is changed then.
    """
    return restore_into(lambda: record, path, folds=record.folds)


def restore_into(
    open_place: Callable[[], Ledger], path: Path, *, folds: Mapping[str, Fold] | None = None
) -> tuple[Head, int]:
    """As `restore`, but the place is opened, and made if need be, only once the backup is proved.

    Parameters
    ----------
    open_place : callable
        Gives the record.
    path : Path
        A backup; it isn't touched.
    folds : mapping, optional
        As in `open_record`.

    Raises
    ------
    InputError
        As `restore`, and what `open_place` raises; no place was made for a backup that isn't whole.
    """
    if not path.is_file():
        raise FileError("backup", str(path), "give the file of a backup; there is none")
    head_of_file(path)
    with TemporaryDirectory(prefix="ropewright-") as folder:
        return _restored(open_place, path, Path(folder) / "copy.db", folds)


def _restored(
    open_place: Callable[[], Ledger], path: Path, copied: Path, folds: Mapping[str, Fold] | None
) -> tuple[Head, int]:
    try:
        _copy_file(path, copied)  # so that one of an older version can be brought up to date
    except sqlite3.Error as error:
        raise FileError("backup", str(path), f"give a backup that is whole: {error}") from error
    with closing(open_record(copied, folds=folds)) as copy:
        verdict = verify_entries(copy)
        first_bad = verdict.first_bad or bad_tables(copy.database)
        if first_bad is not None:
            raise FileError("backup", str(path), f"give a backup that is whole: {first_bad.words}")
        record = open_place()
        if record.database.is_sqlite and path.samefile(record.database.url.database or ""):
            raise FileError("backup", str(path), "give another file than the record itself")
        new = _take_all(copy, record, "backup")
    return Head(verdict.count, verdict.hash), new


def _sync(path: Path) -> None:
    """Wait until a file, or a folder's list of files, is on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
