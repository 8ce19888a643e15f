"""Killed, crowded, on a full disk: nothing that was acknowledged is lost, and nothing is half-written."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from multiprocessing import get_context
from multiprocessing.context import ForkServerContext
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

import pytest
from record_helpers import draft, filled, record_at
from record_writers import AT_ONCE, write_many, write_till_full, write_till_killed

from ropewright.errors import InputError
from ropewright.store.backup import back_up
from ropewright.store.bundle import write_bundle
from ropewright.store.ledger import Ledger
from ropewright.store.verify import verify


@pytest.fixture(scope="module")
def processes() -> ForkServerContext:
    context = get_context("forkserver")
    context.set_forkserver_preload(["record_writers", "ropewright.store.database"])
    return context


def started(processes: ForkServerContext, target: Callable[..., None], *args: Any) -> BaseProcess:
    process = processes.Process(target=target, args=args, daemon=True)
    process.start()
    return process


def test_kill_9_loses_nothing_that_was_acknowledged(processes: ForkServerContext, tmp_path: Path) -> None:
    """500 writes, killed some thirty times at random moments of a write."""
    place = str(tmp_path / "record.db")
    draws = random.Random(20300501)
    writes, acknowledged, kills = 0, 0, 0
    while writes < 500:
        before = acknowledged
        acknowledged = killed_while_writing(processes, place, draws)
        kills += 1
        record = record_at(place)
        verdict = verify(record)
        record.close()
        assert verdict.whole
        assert verdict.count % AT_ONCE == 0
        assert acknowledged <= verdict.count <= acknowledged + AT_ONCE  # at most the one that was under way
        writes += (acknowledged - before) // AT_ONCE
        acknowledged = verdict.count
    assert kills > 10


def killed_while_writing(processes: ForkServerContext, place: str, draws: random.Random) -> int:
    """Last entry that was acknowledged by a process that was killed after some writes, within the next one."""
    here, there = processes.Pipe(duplex=False)
    process = started(processes, write_till_killed, place, there)
    there.close()
    last = 0
    for _ in range(draws.randrange(1, 32)):
        last = here.recv()
    until = time.perf_counter() + draws.random() * 0.005  # about as long as a write takes
    while time.perf_counter() < until:
        pass
    os.kill(process.pid or 0, signal.SIGKILL)
    process.join()
    try:
        while True:
            last = here.recv()  # what it still said before it died
    except EOFError:
        return last
    finally:
        here.close()


def test_four_processes_write_10_000_entries_at_once(processes: ForkServerContext, place: str) -> None:
    writes, at_once, names = 50, 50, ("A", "B", "C", "D")
    start = processes.Barrier(len(names))
    crowd = [started(processes, write_many, place, name, start, writes, at_once) for name in names]
    for process in crowd:
        process.join()
    assert [process.exitcode for process in crowd] == [0] * 4
    record = record_at(place)
    verdict = verify(record)
    assert (verdict.whole, verdict.count) == (True, 10_000)
    with record.read() as view:
        assert {state.subject: state.body["seen"] for state in view.states("gear")} == {
            f"gear/{name}": writes * at_once for name in names
        }
        turns = [(entry.body["turn"], entry.body["place"]) for entry in view.entries(subject="gear/A")]
        numbers = [entry.number for entry in view.entries(subject="gear/A")]
    assert turns == [(turn, one) for turn in range(writes) for one in range(at_once)]
    # what was decided together stands together
    assert all(
        last - first == at_once - 1 for first, last in zip(numbers[::at_once], numbers[49::at_once], strict=True)
    )
    record.close()


def test_threads_of_one_program_share_a_record(place: str) -> None:
    record = record_at(place)

    def work(name: str) -> int:
        for _ in range(20):
            record.write(lambda _: [draft(name), draft(name)])
            with record.read() as view:
                assert view.state(f"gear/{name}") is not None
        return verify(record).count

    with ThreadPoolExecutor(6) as threads:
        counts = list(threads.map(work, "ABCDEF"))
    verdict = verify(record)
    assert (verdict.whole, verdict.count, max(counts)) == (True, 240, 240)
    record.close()


def is_as_before(place: Path, count: int) -> bool:
    """Whether a record is whole, has so many entries, and takes more."""
    record = record_at(place)
    verdict = verify(record)
    (entry,) = record.write(lambda _: [draft()])
    record.close()
    return (verdict.whole, verdict.count, entry.number) == (True, count, count + 1)


def test_a_full_database_says_so_and_stays_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = tmp_path / "record.db"
    filled(place).close()
    from ropewright.store import database

    with closing(sqlite3.connect(place)) as connection:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
    with monkeypatch.context() as patch:
        patch.setattr(database, "_SQLITE_SETTINGS", (*database._SQLITE_SETTINGS, f"PRAGMA max_page_count = {pages}"))
        record = record_at(place)
        with pytest.raises(InputError, match="the disk is full; nothing of this was written"):
            record.write(lambda _: [draft("small"), draft("large", note="x" * 60_000)])
        record.close()
    assert is_as_before(place, 20)


def test_a_file_that_may_not_grow_says_so_and_stays_as_it_was(processes: ForkServerContext, tmp_path: Path) -> None:
    """The limit of the system on a file's size, as a quota has it: writing itself fails, half-way in a page."""
    place = tmp_path / "record.db"
    filled(place).close()
    here, there = processes.Pipe(duplex=False)
    process = started(processes, write_till_full, str(place), 300_001, there)
    last, told = here.recv()
    process.join()
    here.close()
    there.close()
    assert "full; nothing of this was written" in told
    assert last > 20
    assert is_as_before(place, last)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own with little room, where the tests may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounting = ["mount", "-t", "tmpfs", "-o", "size=600k", "tmpfs", str(folder)]
    try:
        mounted = subprocess.run(mounting, capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        mounted = False
    if not mounted:
        pytest.skip("no disk may be mounted here; the two tests above need none")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def write_on(record: Ledger, acknowledged: list[int]) -> None:
    while True:
        acknowledged.append(record.write(lambda _: [draft(note="x" * 5000)])[-1].number)


def test_a_full_disk_says_so_and_leaves_all_as_it_was(small_disk: Path, tmp_path: Path) -> None:
    place = small_disk / "record.db"
    record = filled(place)
    (small_disk / "ballast").write_bytes(b"x" * 100_000)
    acknowledged = [20]
    with pytest.raises(InputError, match="full; nothing of this was written"):
        write_on(record, acknowledged)
    for copy in (back_up, write_bundle):
        with pytest.raises(InputError, match=r"(?i)no space|room"):
            copy(record, small_disk / "copy")
        assert not list(small_disk.glob("*copy*"))
    record.close()
    (small_disk / "ballast").unlink()
    assert is_as_before(place, acknowledged[-1])
