"""Opening the record, wherever it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from ropewright.store.entry import Fold
from ropewright.store.folds import default_folds
from ropewright.store.ledger import Clock, Ledger

__all__ = ["open_record"]


def _now() -> datetime:
    return datetime.now(UTC)


def open_record(place: str | Path, *, folds: Mapping[str, Fold] | None = None, clock: Clock | None = None) -> Ledger:
    """Record kept in a file or on a server; a new one if there is none.

    Parameters
    ----------
    place : str or Path
        A file (SQLite), or a URL such as ``postgresql://user@host/name``.
    folds : mapping of str to Fold, optional
        What makes states of entries, for each family; those of the program if left out.
    clock : callable, optional
        Gives the present moment with its zone; that of the machine if left out.

    Raises
    ------
    InputError
        If the place can't be opened or holds something else.
    """
    from ropewright.store.database import Database
    from ropewright.store.schema import metadata

    database = Database(place)
    with database.writing() as connection:
        metadata.create_all(connection)
    return Ledger(database, default_folds() if folds is None else folds, clock or _now)
