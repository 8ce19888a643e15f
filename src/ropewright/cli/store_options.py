"""Options of the commands that read or write the record: where it is kept, and who does it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from ropewright.errors import InputError

if TYPE_CHECKING:
    from ropewright.store.ledger import Ledger

__all__ = ["by_option", "is_store_given", "keep_store", "open_store", "store_option", "store_place", "who"]

_PLACE = "ropewright.store"

store_option = click.option(
    "--store",
    envvar="ROPEWRIGHT_STORE",
    metavar="FILE|URL",
    help="Where the record is kept: a file, or postgresql://user@host/name; ROPEWRIGHT_STORE says it too.",
)
by_option = click.option(
    "--by", envvar="ROPEWRIGHT_BY", metavar="NAME", help="Who did it; ROPEWRIGHT_BY says it too. Never blank."
)


def keep_store(ctx: click.Context, store: str | None) -> None:
    """Keep what ``--store`` said for the commands below."""
    ctx.meta[_PLACE] = store


def store_place(ctx: click.Context) -> str:
    """Where the record is kept: as ``--store`` says, or in the user's own data folder."""
    from ropewright.store.opening import default_place

    given: str | None = ctx.meta.get(_PLACE)
    return str(default_place()) if given is None else given


def is_store_given(ctx: click.Context) -> bool:
    """Return whether ``--store`` or the environment says where the record is kept."""
    return ctx.meta.get(_PLACE) is not None


def open_store(ctx: click.Context, *, create: bool = True) -> Ledger:
    """Record that the command works on; it is closed when the command ends.

    Parameters
    ----------
    ctx : click.Context
    create : bool, optional
        False refuses a place where there is no record yet.

    Raises
    ------
    InputError
        As `ropewright.store.opening.open_record`.
    """
    from ropewright.store.opening import open_record

    record = open_record(store_place(ctx), create=create)
    ctx.call_on_close(record.close)
    return record


def who(by: str | None) -> str:
    """Who does it, as ``--by`` or the environment says.

    Raises
    ------
    InputError
        If nobody is named.
    """
    if by is None or not by.strip():
        raise InputError("--by", by, "say who does it: --by NAME, or set ROPEWRIGHT_BY")
    return by.strip()
