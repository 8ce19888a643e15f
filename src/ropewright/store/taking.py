"""Taking over what another record holds: all of it is proved first, and all of it or nothing is kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import Connection, Table, func, insert, select

from ropewright.errors import InputError
from ropewright.store.chain import START, Row, followed
from ropewright.store.entry import Head
from ropewright.store.kept_files import KeptFile, keep
from ropewright.store.ledger import Ledger
from ropewright.store.schema import entries, files, marks, metadata, revisions, states
from ropewright.store.stated import make_anew
from ropewright.store.view import LedgerView

__all__ = ["copy_rest", "is_prefix", "take"]

_T = TypeVar("_T")
_CHUNK = 2000

#: Tables that follow from others, or say something of the database they stand in.
_NOT_COPIED = {entries, states, files, marks, revisions}


def take(record: Ledger, rows: Iterable[Row], files_there: Iterable[KeptFile], head: Head, field: str) -> int:
    """How many entries were new, after a record took over all that another holds.

    Parameters
    ----------
    record : Ledger
        Empty, or holding the beginning of the same ledger.
    rows : iterable of Row
        All entries of the other, in order.
    files_there : iterable of KeptFile
        Its kept files, each proved to be what its hash says.
    head : Head
        What the other says it holds.
    field : str
        What the other is called in errors.

    Raises
    ------
    InputError
        If the rows don't follow one from another up to the head, or the record holds entries that they lack: nothing
        is taken then.
    """
    with record.database.writing() as connection:
        return take_into(connection, record, rows, files_there, head, field)


def take_into(
    connection: Connection, record: Ledger, rows: Iterable[Row], files_there: Iterable[KeptFile], head: Head, field: str
) -> int:
    """As `take`, in a transaction that is open already."""
    view = LedgerView(connection)
    have = view.head()
    for file in files_there:
        keep(connection, file)
    at = START
    for part in _parts(rows):
        at = _checked(part, at, have, field)
        new = [dict(zip(entries.c.keys(), row, strict=True)) for row in part if row[0] > have.count]
        if new:
            connection.execute(insert(entries), new)
    if at.count < have.count:
        raise InputError(field, at.count, f"the record holds {have.count} entries already, more than are here")
    if at != head:
        raise InputError(field, f"{at.count}:{at.hash}", f"it should end with {head.count}:{head.hash}")
    make_anew(connection, view.entries(), record.folds)
    return at.count - have.count


def _checked(part: list[Row], at: Head, have: Head, field: str) -> Head:
    """Head after a part, which must follow and hold what the record has."""
    after, bad = followed(part, at)
    if bad is not None:
        raise InputError(field, after.count + 1, f"entry {after.count + 1} doesn't follow from those before it")
    if at.count < have.count <= after.count and part[have.count - at.count - 1][8] != have.hash:
        raise InputError(field, have.count, "the record holds other entries; take it into an empty one")
    return after


def _parts(items: Iterable[_T]) -> Iterator[list[_T]]:
    rest = iter(items)
    while part := list(islice(rest, _CHUNK)):
        yield part


def is_prefix(head: Head, connection: Connection) -> bool:
    """True if a ledger that ends with this head is the beginning of the one that is read here."""
    query = select(entries.c.hash).where(entries.c.number == head.count)
    return head == START or connection.execute(query).scalar_one_or_none() == head.hash


def copy_rest(there: Connection, here: Connection, field: str) -> None:
    """Copy what stands beside the ledger: jobs, their files and plans.

    Parameters
    ----------
    there, here : Connection
        Of the database that gives and of the one that takes, each in a transaction.
    field : str
        What the giving one is called in errors.

    Raises
    ------
    InputError
        If there are jobs already, and not the same.
    """
    for table in metadata.sorted_tables:
        if table in _NOT_COPIED:
            continue
        if here.execute(select(func.count()).select_from(table)).scalar_one():
            _refuse_others(table, there, here, field)
        else:
            for part in _parts(dict(row._mapping) for row in _rows(table, there)):
                here.execute(insert(table), part)


def _rows(table: Table, connection: Connection) -> Iterator[Any]:
    query = select(table).order_by(*table.primary_key.columns)
    with connection.execute(query, execution_options={"yield_per": 10}) as rows:
        yield from rows


def _refuse_others(table: Table, there: Connection, here: Connection, field: str) -> None:
    ours, theirs = (sorted(tuple(map(str, row)) for row in _rows(table, one)) for one in (here, there))
    if ours != theirs:
        raise InputError(field, table.name, f"the place holds other {table.name} already; restore into a new one")
