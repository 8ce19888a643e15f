"""All rows of a record's tables in order, some thousands at once."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain as one_after_another
from typing import cast

from sqlalchemy import Connection, select

from ropewright.store.chain import Row
from ropewright.store.kept_files import KeptFile
from ropewright.store.schema import entries, files

__all__ = ["CHUNK", "all_rows", "row_parts", "stored_files"]

#: Rows fetched at once.
CHUNK = 2000


def row_parts(connection: Connection, chunk: int = CHUNK) -> Iterator[list[Row]]:
    """Entries in order of their numbers, as rows, some at once."""
    query = select(entries).order_by(entries.c.number)
    with connection.execute(query, execution_options={"yield_per": chunk}) as rows:
        yield from cast("Iterator[list[Row]]", rows.partitions())


def all_rows(connection: Connection) -> Iterator[Row]:
    """Entries in order of their numbers, as rows."""
    return one_after_another.from_iterable(row_parts(connection))


def stored_files(connection: Connection) -> Iterator[KeptFile]:
    """Kept files, one at a time: each may be large."""
    with connection.execute(select(files).order_by(files.c.hash), execution_options={"yield_per": 1}) as rows:
        for row in rows:
            yield KeptFile(row.hash, row.kind, row.content)
