"""The database under the record: SQLite in a file, or PostgreSQL by URL; its transactions and its errors."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from weakref import finalize

from sqlalchemy import Connection, Engine, create_engine, event, exc
from sqlalchemy.engine import URL, make_url

from ropewright.errors import InputError

__all__ = ["DamagedError", "Database", "place_url", "shown_place"]

#: How long a writer waits for its turn. [s]
_PATIENCE = 30

_SQLITE_SETTINGS = (
    f"PRAGMA busy_timeout = {_PATIENCE * 1000}",
    "PRAGMA journal_mode = WAL",
    "PRAGMA synchronous = FULL",  # a commit that returned outlives a power cut
    "PRAGMA foreign_keys = ON",
    "PRAGMA trusted_schema = OFF",  # a file from elsewhere may define what isn't ours
    "PRAGMA cell_size_check = ON",
)


def place_url(place: str | Path) -> URL:
    """URL of a file or of a PostgreSQL database.

    Parameters
    ----------
    place : str or Path
        ``records.db``, or ``postgresql://user@host/name``.

    Raises
    ------
    InputError
        If it is a URL of another kind.

    Examples
    --------
    >>> place_url("records.db").drivername
    'sqlite'
    >>> place_url("postgresql://crew@localhost/record").drivername
    'postgresql+psycopg'
    """
    text = str(place)
    if not text.strip():
        raise InputError("store", text, "give a file, or a URL such as postgresql://user@host/name")
    if "://" not in text:
        return URL.create("sqlite", database=text)
    try:
        url = make_url(text)
    except (exc.ArgumentError, ValueError) as error:
        raise InputError("store", "a URL", "give one such as postgresql://user@host/name") from error
    if url.drivername not in ("postgresql", "postgres", "postgresql+psycopg"):
        raise InputError("store", url.render_as_string(), "give a file, or a URL such as postgresql://user@host/name")
    return url.set(drivername="postgresql+psycopg")


def shown_place(url: URL) -> str:
    """Return a place as it may be shown: a password is hidden."""
    if url.drivername == "sqlite":
        return url.database or ""
    return url.set(drivername="postgresql").render_as_string(hide_password=True)


class DamagedError(InputError):
    """A database that can't be read because its own bytes are wrong."""


class Database:
    """Connections to one database.

    Parameters
    ----------
    place : str or Path
        As in `place_url`.

    Raises
    ------
    InputError
        If the place is none, or the driver for PostgreSQL isn't installed.
    """

    def __init__(self, place: str | Path) -> None:
        self.url = place_url(place)
        self.shown = shown_place(self.url)
        self.is_sqlite = self.url.drivername == "sqlite"
        self.engine = self._engine()
        finalize(self, self.engine.dispose)

    def _engine(self) -> Engine:
        if self.is_sqlite:
            engine = create_engine(self.url)
            event.listen(engine, "connect", _set_up_sqlite)
            event.listen(engine, "begin", _begin_sqlite)
            return engine
        try:
            return create_engine(self.url, pool_pre_ping=True, connect_args={"connect_timeout": _PATIENCE})
        except ModuleNotFoundError as error:
            raise InputError(
                "store", self.shown, "install the extra for it: pip install 'ropewright[postgresql]'"
            ) from error

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Transaction that sees the database as it is now, and writes nothing."""
        options: dict[str, Any] = {} if self.is_sqlite else _POSTGRESQL_READS
        with self.told(), self.engine.connect().execution_options(**options) as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Transaction during which nobody else writes; what it wrote is on the disk when it ends."""
        options = {"ropewright_begin": "BEGIN IMMEDIATE"}
        with self.told(), self.engine.connect().execution_options(**options) as connection, connection.begin():
            if not self.is_sqlite:
                connection.exec_driver_sql("SET LOCAL synchronous_commit = on")
                connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{_PATIENCE}s'")
                connection.exec_driver_sql(_POSTGRESQL_LOCK)
            yield connection

    @contextmanager
    def told(self) -> Iterator[None]:
        """Turn what the database says into an error that names the store."""
        try:
            yield
        except (exc.DBAPIError, *_BARE_ERRORS) as error:
            message = str(error.orig if isinstance(error, exc.DBAPIError) else error)
            kind = DamagedError if _is_damaged(message) else InputError
            raise kind("store", self.shown, _mend(message)) from error


#: What SQLAlchemy doesn't wrap: a connection's first settings, a message that is damaged itself, too many at once.
_BARE_ERRORS = (sqlite3.Error, UnicodeDecodeError, exc.TimeoutError)

#: One lock for all who write to a record or change its schema; the number is ours ("rope" in ASCII).
_POSTGRESQL_LOCK = "SELECT pg_advisory_xact_lock(1919905893)"
_POSTGRESQL_READS = {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}


def _set_up_sqlite(connection: Any, _: object) -> None:
    connection.isolation_level = None  # transactions begin where we say, not where the driver guesses
    for setting in _SQLITE_SETTINGS:
        connection.execute(setting)


def _begin_sqlite(connection: Connection) -> None:
    connection.exec_driver_sql(connection.get_execution_options().get("ropewright_begin", "BEGIN"))


#: Part of a database's message -> what the user can do.
_MENDS = {
    "is full": "the disk is full; nothing of this was written: make room and do it again",
    "disk i/o error": "the disk failed or is full; nothing of this was written: look at the disk",
    "no space left": "the server's disk is full; nothing of this was written",
    "locked": "others are writing to it and didn't end; do it again",
    "lock timeout": "others are writing to it and didn't end; do it again",
    "queuepool limit": "too many are using it at once; do it again",
    "readonly": "it may not be written to; give rights to the file and its folder",
    "read-only": "it may not be written to; give rights to it",
    "unable to open": "it can't be opened; give a file in a folder that exists, with rights to both",
    "not a database": "it is no record; give the file of one",
    "decode": "the file is damaged; restore a backup, and keep the damaged file",
    "no such": "the file is damaged or no record; restore a backup, and keep the damaged file",
    "malformed": "the file is damaged; restore a backup, and keep the damaged file",
}


def _is_damaged(message: str) -> bool:
    return any(
        part in message.lower() for part in ("malformed", "not a database", "decode", "no such", "unsupported file")
    )


def _mend(message: str) -> str:
    """Say what to do about a database's message."""
    lowered = message.lower()
    line = " ".join(message.split())
    known = next((mend for part, mend in _MENDS.items() if part in lowered), "look at what the database says")
    return f"{known} ({line})"
