"""The record in a database: entries are appended, each chained to the one before, and states follow."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from typing import TypeAlias

from sqlalchemy import Connection, bindparam, delete, insert

from ropewright.errors import InputError
from ropewright.store.database import Database
from ropewright.store.entry import Entry, Fold
from ropewright.store.folds import folded
from ropewright.store.kept_files import KeptFile, checked_photo, keep, kept, kept_hashes, named_files
from ropewright.store.reading import Decision
from ropewright.store.rows import chained, entry_of
from ropewright.store.schema import entries, states
from ropewright.store.stated import make_anew, mark, read_back, set_mark, state_row
from ropewright.store.view import LedgerView

__all__ = ["Clock", "Ledger"]

#: Gives the present moment with its zone.
Clock: TypeAlias = Callable[[], datetime]


class Ledger:
    """The record in one database, as `Record` has it; `open_record` makes one.

    Parameters
    ----------
    database : Database
        With the schema in it.
    folds : mapping of str to Fold
    clock : callable
        Gives the present moment with its zone.
    """

    def __init__(self, database: Database, folds: Mapping[str, Fold], clock: Clock) -> None:
        self.database = database
        self.folds = folds
        self._clock = clock

    @contextmanager
    def read(self) -> Iterator[LedgerView]:
        """The record as it is now; it doesn't change while it is read."""
        with self.database.reading() as connection:
            view = LedgerView(connection)
            view.head()  # SQLite fixes what is seen only at the first query
            yield view

    def write(self, decide: Decision) -> list[Entry]:
        """Append what is decided, all of it or nothing, durably; states follow in the same transaction.

        Parameters
        ----------
        decide : callable
            Makes drafts of a `View`; nobody else writes meanwhile.

        Returns
        -------
        list of Entry
            What was written.

        Raises
        ------
        InputError
            From `decide`, or if a draft can't be written: its author is blank, it lies in the future, its body can't
            be carried by canonical JSON; or the disk is full. Nothing is written then.
        """
        with self.database.writing() as connection:
            view = LedgerView(connection)
            drafts = decide(view)
            rows = chained(drafts, view.head(), self._clock())
            written = [entry_of(row) for row in rows]
            _check_files(connection, written)
            if rows:
                connection.execute(insert(entries), rows)
            _follow(connection, view, self.folds, written)
        return written

    def keep_file(self, content: bytes, kind: str) -> str:
        """SHA-256 under which a photo is kept from now on; an entry names it under ``photo`` or in ``photos``.

        Parameters
        ----------
        content : bytes
        kind : str
            Media type: one of `kept_files.KINDS`.

        Raises
        ------
        InputError
            If it is no whole photo of that kind, or too large.
        """
        file = checked_photo(content, kind)
        with self.database.writing() as connection:
            keep(connection, file)
        return file.hash

    def file(self, digest: str) -> KeptFile:
        """File that is kept under a hash.

        Raises
        ------
        InputError
            If there is none.
        """
        with self.database.reading() as connection:
            return kept(connection, digest)

    def rebuild(self) -> int:
        """Make the states anew from the entries, and say how many there are."""
        with self.database.writing() as connection:
            return make_anew(connection, LedgerView(connection).entries(), self.folds)

    def follow_folds(self, version: str) -> None:
        """Make the states anew if they were made with another version of the folds."""
        with self.database.reading() as connection:
            if mark(connection, "folds") == version:
                return
        with self.database.writing() as connection:
            make_anew(connection, LedgerView(connection).entries(), self.folds)
            set_mark(connection, "folds", version)

    def now(self) -> datetime:
        """Present moment, as the record's clock has it."""
        return self._clock()

    def close(self) -> None:
        """Let go of the database; it is opened again when it is needed."""
        self.database.engine.dispose()


def _check_files(connection: Connection, written: Sequence[Entry]) -> None:
    """Refuse an entry that names a file that isn't kept: it could never be mended."""
    named = {digest for entry in written for digest in named_files(entry.body)}
    missing = named - kept_hashes(connection, sorted(named)) if named else named
    if missing:
        raise InputError("photo", min(missing), "keep the photo first, and name it by the SHA-256 of its content")


def _follow(connection: Connection, view: LedgerView, folds: Mapping[str, Fold], written: Sequence[Entry]) -> None:
    """Bring the states of all subjects of these entries up to date."""
    before = {subject: view.state(subject) for subject in {entry.subject for entry in written}}
    after = dict(before)
    for entry in written:
        after[entry.subject] = read_back(folded(folds, after[entry.subject], entry))
    changed = [{"sought": subject} for subject, state in before.items() if state is not None]
    if changed:
        connection.execute(_FORGET, changed)
    if after:
        connection.execute(insert(states), [state_row(state) for state in after.values() if state is not None])


#: A state is replaced as a whole; all of a write at once.
_FORGET = delete(states).where(states.c.subject == bindparam("sought"))
