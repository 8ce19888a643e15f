"""Opening the record, wherever it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from ropewright.errors import InputError
from ropewright.store.entry import Fold
from ropewright.store.folds import default_folds
from ropewright.store.ledger import Clock, Ledger

__all__ = ["default_place", "open_record"]


def default_place() -> Path:
    """File of the record in the user's own data folder, which is made if it isn't there."""
    from platformdirs import user_data_path

    return user_data_path("ropewright", appauthor=False, ensure_exists=True) / "record.db"


def _now() -> datetime:
    return datetime.now(UTC)


def open_record(
    place: str | Path,
    *,
    folds: Mapping[str, Fold] | None = None,
    clock: Clock | None = None,
    create: bool = True,
) -> Ledger:
    """Record kept in a file or on a server; a new one if there is none.

    Parameters
    ----------
    place : str or Path
        A file (SQLite), or a URL such as ``postgresql://user@host/name``.
    folds : mapping of str to Fold, optional
        What makes states of entries, for each family; those of the program if left out.
    clock : callable, optional
        Gives the present moment with its zone; that of the machine if left out.
    create : bool, optional
        False refuses a place where there is no record yet.

    Raises
    ------
    InputError
        If the place can't be opened or holds something else.
    """
    from ropewright.store.database import Database
    from ropewright.store.upgrade import bring_up

    database = Database(place)
    if not create and database.is_sqlite and not Path(place).is_file():
        raise InputError("store", str(place), "give the file of a record; there is none")
    bring_up(database)
    return Ledger(database, default_folds() if folds is None else folds, clock or _now)
