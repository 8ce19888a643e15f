"""Making the tables of a new record, and bringing those of an older one up to date."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sqlalchemy import Connection, insert, inspect, select

from ropewright.errors import InputError
from ropewright.store import job_schema  # noqa: F401 - its tables belong to the same metadata
from ropewright.store.database import Database
from ropewright.store.schema import REVISION, metadata, revisions

if TYPE_CHECKING:
    from alembic.script import ScriptDirectory

__all__ = ["bring_up", "known_revisions", "upgrade"]


def bring_up(database: Database, *, create: bool = True) -> None:
    """Give a database the tables of today, whatever it holds.

    Parameters
    ----------
    database : Database
    create : bool, optional
        False refuses a database that holds no record yet.

    Raises
    ------
    InputError
        If it holds something else, or was made by a newer version of the program.
    """
    with database.reading() as connection:
        revision = _revision(database, connection)
    if revision == REVISION:
        return
    if revision is None and not create:
        raise InputError("store", database.shown, "give the place of a record; there is none")
    with database.writing() as connection:
        revision = _revision(database, connection)  # another may have done it meanwhile
        if revision is None:
            metadata.create_all(connection)
            connection.execute(insert(revisions), {"version_num": REVISION})
        elif revision != REVISION:
            if revision not in known_revisions():
                raise InputError("store", database.shown, "it was made by a newer Ropewright; use that one")
            upgrade(connection)


def _revision(database: Database, connection: Connection) -> str | None:
    """Revision of the tables; None where there are none yet."""
    tables = set(inspect(connection).get_table_names())
    if revisions.name in tables:
        return " ".join(connection.execute(select(revisions.c.version_num)).scalars())  # one, in a record of ours
    others = tables if database.is_sqlite else tables & set(metadata.tables)
    if others:
        raise InputError("store", database.shown, f"it is no record; it holds the table {min(others)!r}")
    return None


def known_revisions() -> Sequence[str]:
    """Revisions that the program can bring up to date, newest first."""
    return [script.revision for script in _scripts().walk_revisions()]


def upgrade(connection: Connection, to: str = "head") -> None:
    """Run the steps from a record's revision to another, all of them or none.

    Parameters
    ----------
    connection : Connection
        In a transaction.
    to : str, optional
    """
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext

    scripts = _scripts()
    # the transaction is ours, so that a step that fails leaves the tables as they were
    with EnvironmentContext(
        Config(), scripts, fn=lambda revision, _: scripts._upgrade_revs(to, revision)
    ) as environment:
        environment.configure(connection=connection, transactional_ddl=True, version_table=revisions.name)
        environment.run_migrations()


def _scripts() -> ScriptDirectory:
    from importlib.resources import files

    from alembic.script import ScriptDirectory

    return ScriptDirectory(str(files("ropewright.store") / "migrations"))
