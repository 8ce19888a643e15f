"""Places for records: a file, and a server where one is installed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest
from record_servers import PROGRAMS, new_database, running_server

from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record

_NUMBERS = count(1)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    if not PROGRAMS:
        pytest.skip("PostgreSQL isn't installed")
    with running_server() as socket:
        yield socket


@pytest.fixture
def postgresql(server: str) -> str:
    return new_database(server, f"record_{next(_NUMBERS)}")


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new record may be kept; each test with it runs on both."""
    if request.param == "sqlite":
        return str(tmp_path / "record.db")
    return str(request.getfixturevalue("postgresql"))


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Ledger]:
    """A record in a file, with the program's own families."""
    kept = open_record(tmp_path / "record.db")
    yield kept
    kept.close()
