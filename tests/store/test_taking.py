"""What one record takes from another must end as it was said to, follow, and go on from what is there."""

from __future__ import annotations

from pathlib import Path

import pytest
from record_helpers import filled, record_at
from record_tampering import photo, rows_of

from ropewright.errors import InputError
from ropewright.store.chain import START, Row
from ropewright.store.entry import Head
from ropewright.store.kept_files import checked_photo
from ropewright.store.taking import take


@pytest.fixture
def rows(tmp_path: Path) -> list[Row]:
    filled(tmp_path / "source.db").close()
    return rows_of(tmp_path / "source.db")


def head_of(rows: list[Row]) -> Head:
    return Head(rows[-1][0], rows[-1][8]) if rows else START


def test_all_rows_are_taken_with_their_files_and_states(place: str, rows: list[Row]) -> None:
    record, file = record_at(place), checked_photo(photo(), "image/png")
    assert take(record, rows, [file], head_of(rows), "there") == 20
    with record.read() as view:
        assert view.head() == head_of(rows)
        assert len(view.states("gear")) == 5
    assert record.file(file.hash) == file
    assert take(record, rows, [file], head_of(rows), "there") == 0


def test_nothing_taken_from_nothing_is_nothing(place: str) -> None:
    assert take(record_at(place), [], [], START, "there") == 0


@pytest.mark.parametrize(
    ("cut", "told"),
    [
        (slice(0, 15), "it should end with 20:"),
        (slice(1, 20), "entry 1 doesn't follow"),
        (slice(0, 20, 2), "entry 2 doesn't follow"),
    ],
    ids=["cut off", "first dropped", "every second"],
)
def test_rows_that_are_not_all_there_leave_nothing_behind(place: str, rows: list[Row], cut: slice, told: str) -> None:
    record = record_at(place)
    with pytest.raises(InputError, match=told):
        take(record, rows[cut], [checked_photo(photo(), "image/png")], head_of(rows), "there")
    with record.read() as view:
        assert (view.head(), view.states("gear")) == (START, [])
    with pytest.raises(InputError, match="there is none of this"):
        record.file(checked_photo(photo(), "image/png").hash)
