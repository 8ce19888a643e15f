"""Every single-byte change to a ledger of 200 entries is found.

Two things are tested. Each byte of each column of each entry is changed, one bit at a time, and the very loop that
`verify` runs must stop at that entry. And bytes of the SQLite file itself are changed: then verifying must find it, or
the byte was one that changes nothing that can be read (free space in a page, a counter, a spare field), which is
proved by reading everything there is by every way the program has and comparing.
"""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
from record_helpers import draft, filled, record_at
from record_tampering import COLUMNS, photo, rows_of, shell

from ropewright.errors import InputError
from ropewright.store.chain import START, Row, followed
from ropewright.store.entry import Head
from ropewright.store.verify import verify

#: Bytes of the file tried at each run, of some 160,000; each takes two readings of all there is.
BYTES_TRIED = 150


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("ledger") / "record.db"
    record = filled(place, 199)
    digest = record.keep_file(photo(), "image/png")
    record.write(lambda _: [draft(photo=digest)])
    record.close()
    with shell(place) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute("VACUUM")  # little free space, in which a byte counts for nothing
    return place


def changed(row: Row, column: int, byte: int, bit: int) -> Row:
    """Row with one bit of one byte of one column changed; what is no UTF-8 then comes as the driver hands it on."""
    cells: list[Any] = list(row)
    content = bytearray(str(cells[column]), "utf-8")
    content[byte] ^= 1 << bit
    cells[column] = content.decode("utf-8", "surrogateescape")
    if column == 0 and cells[0].isdecimal():
        cells[0] = int(cells[0])
    return tuple(cells)  # type: ignore[return-value]


@pytest.mark.parametrize("column", range(9), ids=COLUMNS)
def test_every_bit_of_every_column_counts(ledger: Path, column: int) -> None:
    before = START
    tried = 0
    for row in rows_of(ledger):
        for byte in range(len(str(row[column]).encode())):
            for bit in range(8):
                stopped, bad = followed([changed(row, column, byte, bit)], before)
                assert (stopped, bad is None) == (before, False), f"entry {row[0]}, byte {byte}, bit {bit}"
                tried += 1
        before = Head(row[0], row[8])
    assert before.count == 200
    assert tried >= 200 * 8


def everything(place: Path) -> object:
    """All that can be read of a record, by every way the program has."""
    record = record_at(place, create=False)
    with record.read() as view:
        states = view.states("gear")
        read = (
            view.head(),
            list(view.entries()),
            [list(view.entries(subject=state.subject)) for state in states],
            states,
            [view.state(state.subject) for state in states],
            view.states("gear", due_by="2031-01-01"),
            view.states("gear", standing="gear.washed"),
            [record.file(digest) for entry in view.entries() if (digest := str(entry.body.get("photo", "")))],
        )
    record.close()
    return read


def is_found(place: Path) -> bool:
    try:
        record = record_at(place, create=False)
        whole = verify(record).whole
        record.close()
    except InputError:
        return True  # it can't even be opened
    return not whole


def test_a_changed_byte_of_the_file_is_found_or_changes_nothing(
    ledger: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # nothing is written here; waiting for the disk at each of so many openings would take minutes
    monkeypatch.setattr("ropewright.store.database._SQLITE_SETTINGS", ("PRAGMA synchronous = OFF",))
    whole = ledger.read_bytes()
    readable = everything(ledger)
    draws = random.Random(20300501)
    found = 0
    used = [place for place, byte in enumerate(whole) if byte]  # most of the rest is free space
    for place in draws.sample(used, BYTES_TRIED - 20) + draws.sample(range(len(whole)), 20):
        bit = draws.randrange(8)
        broken = bytearray(whole)
        broken[place] ^= 1 << bit
        file = tmp_path / "broken.db"
        for part in tmp_path.glob("broken.db*"):
            part.unlink()
        file.write_bytes(broken)
        if is_found(file):
            found += 1
        else:
            assert everything(file) == readable, f"byte {place}, bit {bit}"
    assert found > BYTES_TRIED / 2  # else the test would prove little
