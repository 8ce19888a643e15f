"""Proving that a record is as it was written, or naming the first thing that isn't."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from hashlib import sha256

from sqlalchemy import Connection, Engine, create_engine, exc, select

from ropewright.errors import InputError
from ropewright.store.canonical import GENESIS, read_json
from ropewright.store.chain import START, Break, Row, explained, followed, held_against
from ropewright.store.database import DamagedError, Database
from ropewright.store.entry import Entry, Head, State
from ropewright.store.folds import UnknownFamilyError
from ropewright.store.kept_files import NAMES_FILE, KeptFile, kept_hashes, kind_of, named_files
from ropewright.store.ledger import Ledger
from ropewright.store.scan import CHUNK, row_parts, stored_files
from ropewright.store.schema import entries, metadata
from ropewright.store.stated import differing_states, folded_strictly, state_row, states_of
from ropewright.store.view import LedgerView

__all__ = ["Verdict", "bad_tables", "verify", "verify_entries"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What verifying came to.

    Attributes
    ----------
    count : int
        Entries that follow from the start, without a break.
    hash : str
        Of the last of them.
    first_bad : Break or None
        The first thing that isn't as it was written.
    """

    count: int
    hash: str
    first_bad: Break | None

    @property
    def whole(self) -> bool:
        """True if nothing was altered, dropped, reordered, inserted or cut off."""
        return self.first_bad is None


def verify(record: Ledger, head: Head | None = None) -> Verdict:
    """Whether a record is as it was written: entries, tables, states and kept files.

    Parameters
    ----------
    record : Ledger
    head : Head, optional
        Count and last hash from a print, an export or a backup: finds a tail that was cut off, and a chain that was
        made anew as a whole, which a chain alone can't.

    Raises
    ------
    InputError
        If it can't be read at all.
    """
    with ThreadPoolExecutor(1) as beside:  # SQLite looks at its own pages while we hash
        tables = beside.submit(bad_tables, record.database)
        verdict = verify_entries(record, head)
        wrong = tables.result()
    if not verdict.whole:
        return verdict
    return Verdict(verdict.count, verdict.hash, wrong or _bad_rest(record))


def verify_entries(record: Ledger, head: Head | None = None) -> Verdict:
    """Whether the chain of entries is whole; parameters as for `verify`."""
    try:
        return _followed(record.database, head, CHUNK)
    except InputError:  # one by one, so that we know which can't be read
        return _followed(record.database, head, 1)


def _followed(database: Database, printed: Head | None, chunk: int) -> Verdict:
    with database.reading() as connection:
        head, bad = _follow(connection, chunk)
        if bad is None and printed is not None:
            query = select(entries.c.hash).where(entries.c.number == printed.count)
            there = GENESIS if printed.count == 0 else connection.execute(query).scalar_one_or_none()
            bad = held_against(head, printed, there)
    return Verdict(head.count, head.hash, bad)


def _follow(connection: Connection, chunk: int) -> tuple[Head, Break | None]:
    head = START
    try:
        for part in row_parts(connection, chunk):
            head, row = followed(part, head)
            if row is not None:
                return head, explained(row, head, lambda: _readable_rows(connection))
    except exc.DBAPIError as error:
        if chunk > 1:
            raise
        number = head.count + 1
        return head, Break("entry", number, "unreadable", f"entry {number} can't be read: {_line(error)}")
    return head, None


def _readable_rows(connection: Connection) -> Iterator[Row]:
    """All rows, up to the first that can't be read."""
    try:
        for part in row_parts(connection, 1):
            yield from part
    except exc.DBAPIError:
        return


def _line(error: exc.DBAPIError) -> str:
    return " ".join(str(error.orig).split())


def bad_tables(database: Database) -> Break | None:
    """What SQLite finds wrong in its own pages and indexes, and a table that isn't as we made it."""
    if not database.is_sqlite:
        return None  # a server looks after its own
    try:
        with database.reading() as connection:
            found = connection.exec_driver_sql("PRAGMA integrity_check(1)").scalar_one()
            altered = _made(connection) != _made_here()
    except InputError as error:
        return Break("tables", None, "unreadable", f"a table can't be read: {error.expected}")
    if found != "ok":
        return Break("tables", None, "altered", f"SQLite finds the file damaged: {found}")
    return Break("tables", None, "altered", "a table isn't as it was made") if altered else None


def _made(connection: Connection) -> set[tuple[object, ...]]:
    rows = connection.exec_driver_sql("SELECT type, name, tbl_name, sql FROM sqlite_master")
    return {tuple(row) for row in rows if not str(row[1]).startswith("sqlite_stat")}


@cache
def _made_here() -> set[tuple[object, ...]]:
    """Tables, indexes and triggers as the program makes them today."""
    engine: Engine = create_engine("sqlite://")
    with engine.begin() as connection:
        metadata.create_all(connection)
        made = _made(connection)
    engine.dispose()
    return made


def _bad_rest(record: Ledger) -> Break | None:
    """First state that doesn't follow from the entries, and first file that isn't what it was."""
    named: dict[str, int] = {}
    try:
        with record.database.reading() as connection:
            states = states_of(_entries(connection, named), record.folds)
            return _bad_state(record, connection, states) or _bad_file(connection, named)
    except UnknownFamilyError as error:
        raise InputError("store", str(error), "it was written by a newer Ropewright; use that one") from error
    except DamagedError as error:
        return Break("tables", None, "unreadable", f"a table can't be read: {error.expected}")


def _entries(connection: Connection, named: dict[str, int]) -> Iterator[Entry]:
    """Entries, noting the files that they name."""
    for part in row_parts(connection):
        for number, at, written, kind, subject, by, text, previous, digest in part:
            body = read_json(text)
            if NAMES_FILE.search(text):
                named.update((name, number) for name in named_files(body))
            yield Entry(number, at, written, kind, subject, by, body, previous, digest)


def _bad_state(record: Ledger, connection: Connection, states: dict[str, State]) -> Break | None:
    view = LedgerView(connection)
    for subject, stored in differing_states(connection, states):
        strict = folded_strictly(view.entries(subject=subject), record.folds)
        if strict is None or stored != state_row(strict):
            number = strict.number if strict else None
            words = _state_words(subject, stored["number"] if stored else 0, view.head().count)
            return Break("state", number, "altered" if stored else "missing", words)
    return None


def _state_words(subject: str, rests_on: object, count: int) -> str:
    """What is wrong with a state; one that is ahead of the entries may be all that is left of a tail cut off."""
    if isinstance(rests_on, int) and rests_on > count:  # a damaged page may hold anything there
        return (
            f"the state of {subject} rests on entry {rests_on}, and there are {count}: the last entries were cut off, "
            "or the state was altered; hold it against a printed head (--head) before gear rebuild wipes this out"
        )
    return f"the state of {subject} doesn't follow from its entries; gear rebuild works it out anew"


def _is_as_named(file: KeptFile) -> bool:
    try:
        return sha256(file.content).hexdigest() == file.hash and kind_of(file.content) == file.kind
    except TypeError:  # the column holds text now
        return False


def _bad_file(connection: Connection, named: dict[str, int]) -> Break | None:
    for name in sorted(named.keys() - kept_hashes(connection), key=lambda name: named[name]):
        return Break("file", named[name], "missing", f"entry {named[name]} names the file {name}, which isn't kept")
    for file in stored_files(connection):
        if not _is_as_named(file):
            return Break("file", named.get(file.hash), "altered", f"the file {file.hash} isn't what it was")
    return None
