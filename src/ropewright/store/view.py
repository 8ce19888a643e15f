"""What is read of the record in one transaction."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Row, Select, bindparam, select, tuple_

from ropewright.store.canonical import GENESIS, read_json
from ropewright.store.entry import Entry, Head, State
from ropewright.store.schema import entries, states
from ropewright.store.stated import state_of

__all__ = ["LedgerView"]

#: Rows fetched at once where many are read.
_CHUNK = 1000


#: Made once: a write of many entries asks for the state of each of their subjects.
_OF_SUBJECT = select(states).where(states.c.subject == bindparam("sought"))


class LedgerView:
    """The record at one moment, as `View` has it.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def head(self) -> Head:
        """How many entries there are and the hash of the last."""
        query = select(entries.c.number, entries.c.hash).order_by(entries.c.number.desc()).limit(1)
        row = self._connection.execute(query).first()
        return Head(0, GENESIS) if row is None else Head(row.number, row.hash)

    def state(self, subject: str) -> State | None:
        """What is known of a subject; None if the record doesn't know it."""
        row = self._connection.execute(_OF_SUBJECT, {"sought": subject}).first()
        return None if row is None else state_of(row)

    def states(
        self,
        family: str,
        *,
        standing: str | None = None,
        due_by: str | None = None,
        search: str | None = None,
        after: str = "",
        limit: int | None = None,
    ) -> list[State]:
        """States of a family ordered by subject (by day, then subject, where `due_by` cuts them).

        Parameters
        ----------
        family : str
        standing : str, optional
            Only those of this standing.
        due_by : str, optional
            Only those due on this day or before, ISO 8601.
        search : str, optional
            Only those whose words hold each of these, parted by blanks.
        after : str, optional
            Only those that stand behind this subject in the same order.
        limit : int, optional
            At most so many.
        """
        query = select(states).where(states.c.family == family)
        if standing is not None:
            query = query.where(states.c.standing == standing)
        for word in (search or "").lower().split():
            query = query.where(states.c.words.contains(word, autoescape=True))
        query = _by_subject(query, after) if due_by is None else _by_day(query, due_by, after)
        return [state_of(row) for row in self._connection.execute(query.limit(limit))]

    def entries(self, *, subject: str | None = None, after: int = 0, limit: int | None = None) -> Iterator[Entry]:
        """Entries in order, those of one subject or all, with a number above `after`."""
        query = select(entries).where(entries.c.number > after).order_by(entries.c.number).limit(limit)
        if subject is not None:
            query = query.where(entries.c.subject == subject)
        with self._connection.execute(query, execution_options={"yield_per": _CHUNK}) as rows:
            for row in rows:  # closed too where the caller stops half-way
                yield _entry(row)


def _by_subject(query: Select[Any], after: str) -> Select[Any]:
    return query.where(states.c.subject > after).order_by(states.c.subject)


def _by_day(query: Select[Any], due_by: str, after: str) -> Select[Any]:
    place = tuple_(states.c.due, states.c.subject)
    if after:
        last = select(states.c.due).where(states.c.subject == after).scalar_subquery()
        query = query.where(place > tuple_(last, after))
    return query.where(states.c.due <= due_by).order_by(states.c.due, states.c.subject)


def _entry(row: Row[Any]) -> Entry:
    return Entry(**{**row._mapping, "body": read_json(row.body)})
