"""Opening the record, wherever it is kept."""

from __future__ import annotations

import os
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path

from ropewright.errors import InputError
from ropewright.store.entry import Fold
from ropewright.store.folds import FOLDS_VERSION, default_folds
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
    if database.is_sqlite:
        _check_file(Path(database.url.database or ""), create=create)
    bring_up(database, create=create)
    record = Ledger(database, default_folds() if folds is None else folds, clock or _now)
    if folds is None:
        record.follow_folds(FOLDS_VERSION)
    return record


def _check_file(path: Path, *, create: bool) -> None:
    """Make the file where there is none, for its owner alone: it says what people weigh and can do."""
    if path.is_file():
        return
    if not create:
        raise InputError("store", str(path), "give the file of a record; there is none")
    try:
        os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    except OSError as error:
        raise InputError("store", str(path), f"give a file in a folder that exists: {error.strerror}") from error
