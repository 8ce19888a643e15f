"""What may be read of the record, whatever holds it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager
from typing import TYPE_CHECKING, Protocol

from ropewright.store.entry import Draft, Entry, Head, State

if TYPE_CHECKING:
    from ropewright.store.kept_files import KeptFile

__all__ = ["Decision", "Record", "View"]


class View(Protocol):
    """The record at one moment; inside `Record.write` nobody else can write meanwhile."""

    def head(self) -> Head:
        """How many entries there are and the hash of the last."""

    def state(self, subject: str) -> State | None:
        """What is known of a subject; None if the record doesn't know it."""

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
        """States of a family ordered by subject (by day, then subject, where `due_by` cuts them)."""

    def entries(self, *, subject: str | None = None, after: int = 0, limit: int | None = None) -> Iterator[Entry]:
        """Entries in order, those of one subject or all, with a number above `after`."""


#: What shall be written, decided on what the record holds at that moment; an `InputError` writes nothing.
Decision = Callable[[View], Sequence[Draft]]


class Record(Protocol):
    """Where the ledger is kept. `store.opening.open_record(place)` gives one; `place` is a file or a URL."""

    def read(self) -> AbstractContextManager[View]:
        """The record as it is now; it doesn't change while it is read."""

    def write(self, decide: Decision) -> list[Entry]:
        """Append what is decided, all of it or nothing, durably; states follow in the same transaction."""

    def keep_file(self, content: bytes, kind: str) -> str:
        """SHA-256 under which a photo is kept from now on; an entry names it under ``photo`` or in ``photos``."""

    def file(self, digest: str) -> KeptFile:
        """File that is kept under a hash; an `InputError` if there is none."""
