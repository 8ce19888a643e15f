"""What the processes do that the tests start: they write to one record till they are done or killed."""

from __future__ import annotations

import resource
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Barrier

from record_helpers import FOLDS, draft

from ropewright.errors import InputError
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record

#: Entries of one write: they are all there or none is.
AT_ONCE = 3


def opened(place: str) -> Ledger:
    return open_record(place, folds=FOLDS, clock=lambda: datetime.now(UTC))


def write_till_killed(place: str, told: Connection) -> None:
    """Say after each write the number of the last entry that it acknowledged."""
    record = opened(place)
    while True:
        written = record.write(lambda _: [draft(f"R-{n}", note="x" * 300) for n in range(AT_ONCE)])
        told.send(written[-1].number)


def write_many(place: str, name: str, start: Barrier, writes: int, at_once: int) -> None:
    """Write with others at the same time, each on a subject of its own."""
    start.wait()
    record = opened(place)
    for turn in range(writes):
        record.write(lambda _, turn=turn: [draft(name, turn=turn, place=n) for n in range(at_once)])
    record.close()


def write_till_full(place: str, limit: int, told: Connection) -> None:
    """Write on a disk that takes files of so many bytes only, and say what came of it."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    record = opened(place)
    last = 0
    try:
        while True:
            last = record.write(lambda _: [draft(note="x" * 5000)])[-1].number
    except InputError as error:
        told.send((last, str(error)))
