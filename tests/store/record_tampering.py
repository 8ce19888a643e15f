"""Changing a record behind the program's back, as somebody with the file and a database shell can."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from io import BytesIO
from pathlib import Path

from PIL import Image

from ropewright.store.canonical import entry_hash, entry_text
from ropewright.store.chain import Row

COLUMNS = ("number", "at", "written", "kind", "subject", "by", "body", "previous", "hash")


@contextmanager
def shell(place: str | Path, *, keeping: bool = True) -> Iterator[sqlite3.Connection]:
    """Connection without what keeps entries from being changed; it is put back afterwards."""
    with closing(sqlite3.connect(place, isolation_level=None)) as connection:
        triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        yield connection
        for _, text in triggers if keeping else []:
            connection.execute(text)
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def rows_of(place: str | Path) -> list[Row]:
    with closing(sqlite3.connect(place)) as connection:
        return connection.execute("SELECT * FROM entries ORDER BY number").fetchall()


def put_rows(place: str | Path, rows: list[Row]) -> None:
    """Replace all entries."""
    with shell(place) as connection:
        connection.execute("DELETE FROM entries")
        connection.executemany(f"INSERT INTO entries VALUES ({', '.join('?' * 9)})", rows)


def tamper(place: str | Path, change: Callable[[list[Row]], list[Row]]) -> None:
    put_rows(place, change(rows_of(place)))


def renumbered(rows: list[Row]) -> list[Row]:
    """Rows numbered from 1 in the order they stand in, hashes left as they are."""
    return [(place, *row[1:]) for place, row in enumerate(rows, 1)]


def rehashed(row: Row, **changes: str) -> Row:
    """Row with other content that makes its own hash again."""
    cells = dict(zip(COLUMNS, row, strict=True)) | changes
    cells.pop("hash")
    return (*cells.values(), entry_hash(entry_text(**cells)))  # type: ignore[arg-type, return-value]


def rechained(rows: list[Row]) -> list[Row]:
    """Rows numbered and chained anew, as only somebody who rewrites all that follows can."""
    done: list[Row] = []
    for place, row in enumerate(rows, 1):
        previous = done[-1][8] if done else "0" * 64
        done.append(rehashed((place, *row[1:]), previous=previous))
    return done


def photo(colour: str = "red", kind: str = "PNG") -> bytes:
    file = BytesIO()
    Image.new("RGB", (8, 6), colour).save(file, kind)
    return file.getvalue()
