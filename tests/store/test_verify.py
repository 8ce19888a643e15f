"""Whatever was changed behind the program's back is found, and the first entry that isn't as it was is named."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from record_helpers import draft, filled, record_at
from record_tampering import COLUMNS, photo, rechained, rehashed, renumbered, rows_of, shell, tamper
from sqlalchemy import text

from ropewright.store.chain import Row, explained, followed
from ropewright.store.entry import Head
from ropewright.store.verify import verify, verify_entries


@pytest.fixture
def kept(tmp_path: Path) -> str:
    """A record of 20 entries, of which the last names a photo."""
    place = str(tmp_path / "record.db")
    record = filled(place, 19)
    digest = record.keep_file(photo(), "image/png")
    record.write(lambda _: [draft(checks=[{"photo": digest}])])
    return place


def found(place: str, head: Head | None = None) -> tuple[str, int | None, str] | None:
    verdict = verify(record_at(place), head)
    assert verdict.whole == (verdict.first_bad is None)
    return verdict.first_bad and (verdict.first_bad.what, verdict.first_bad.number, verdict.first_bad.why)


def test_a_record_as_it_was_written_is_whole(place: str) -> None:
    record = filled(place)
    with record.read() as view:
        head = view.head()
    for printed in (None, head, Head(0, "0" * 64)):
        verdict = verify(record, printed)
        assert (verdict.whole, Head(verdict.count, verdict.hash)) == (True, head)


def test_an_empty_record_is_whole(place: str) -> None:
    assert verify(record_at(place)).whole


Change = Callable[[list[Row]], list[Row]]
SIX = slice(6, 6)


def with_seven(change: Callable[[Row], Row]) -> Change:
    return lambda rows: [change(row) if row[0] == 7 else row for row in rows]


def swapped(rows: list[Row]) -> list[Row]:
    return [*rows[:6], rows[7], rows[6], *rows[8:]]


CHANGES: dict[str, tuple[Change, tuple[str, int, str]]] = {
    "author altered": (with_seven(lambda row: (*row[:5], "Bo", *row[6:])), ("entry", 7, "altered")),
    "altered and hashed anew": (with_seven(lambda row: rehashed(row, by="Bo")), ("entry", 7, "altered")),
    "linked to another": (with_seven(lambda row: rehashed(row, previous="f" * 64)), ("entry", 7, "altered")),
    "first altered and hashed anew": (lambda r: [rehashed(r[0], by="Bo"), *r[1:]], ("entry", 1, "altered")),
    "last altered and hashed anew, link broken": (
        lambda rows: [*rows[:-1], rehashed(rows[-1], previous="f" * 64)],
        ("entry", 20, "altered"),
    ),
    "dropped": (lambda rows: rows[:6] + rows[7:], ("entry", 7, "dropped")),
    "first dropped": (lambda rows: rows[1:], ("entry", 1, "dropped")),
    "dropped, the rest numbered anew": (lambda rows: renumbered(rows[:6] + rows[7:]), ("entry", 7, "dropped")),
    "five dropped, the rest numbered anew": (lambda rows: renumbered(rows[:6] + rows[11:]), ("entry", 7, "dropped")),
    "swapped": (lambda rows: renumbered(swapped(rows)), ("entry", 7, "reordered")),
    "moved to the end": (lambda r: renumbered([*r[:6], *r[7:], r[6]]), ("entry", 7, "reordered")),
    "moved to the front": (lambda r: renumbered([r[6], *r[:6], *r[7:]]), ("entry", 1, "reordered")),
    "inserted, the rest numbered anew": (
        lambda rows: renumbered([*rows[:6], rehashed(rows[6], by="Bo"), *rows[6:]]),
        ("entry", 7, "inserted"),
    ),
    "written twice, the rest numbered anew": (
        lambda rows: renumbered([*rows[:7], rows[6], *rows[7:]]),
        ("entry", 8, "inserted"),
    ),
    "inserted, the rest numbered and hashed anew": (
        lambda rows: [rehashed(row) for row in renumbered([*rows[:6], rehashed(rows[6], by="Bo"), *rows[6:]])],
        ("entry", 7, "inserted"),
    ),
}


@pytest.mark.parametrize(("change", "told"), CHANGES.values(), ids=CHANGES.keys())
def test_the_first_entry_that_is_not_as_it_was_is_named(kept: str, change: Change, told: tuple[str, int, str]) -> None:
    tamper(kept, change)
    assert found(kept) == told


def test_a_gap_in_the_numbers_of_a_chain_made_anew_is_found(kept: str) -> None:
    def with_gap(rows: list[Row]) -> list[Row]:
        done = rows[:6]
        for row in rows[6:]:
            done.append(rehashed((row[0] + 1, *row[1:]), previous=done[-1][8]))
        return done

    tamper(kept, with_gap)
    assert found(kept) == ("entry", 7, "dropped")


def printed_head(place: str) -> Head:
    last = rows_of(place)[-1]
    return Head(last[0], last[8])


def test_a_tail_cut_off_is_found_only_against_a_printed_head(kept: str) -> None:
    head = printed_head(kept)
    tamper(kept, lambda rows: rows[:-3])
    record = record_at(kept)
    assert verify_entries(record).whole  # what a chain alone can't know
    assert found(kept, head) == ("entry", 18, "cut-off")


def test_states_ahead_of_the_entries_tell_of_a_cut_tail_before_they_are_made_anew(kept: str) -> None:
    tamper(kept, lambda rows: rows[:-3])
    bad = verify(record_at(kept)).first_bad
    assert bad is not None
    assert bad.what == "state"
    assert "there are 17: the last entries were cut off, or the state was altered" in bad.words
    assert "--head" in bad.words


def test_a_chain_made_anew_is_found_only_against_a_printed_head(kept: str) -> None:
    head = printed_head(kept)
    tamper(kept, lambda rows: rechained([*rows[:6], rehashed(rows[6], by="Bo"), *rows[7:]]))
    assert found(kept) is None
    assert found(kept, head) == ("entry", 20, "rewritten")
    assert found(kept, Head(6, rows_of(kept)[5][8])) is None


def test_entries_written_since_a_print_do_no_harm(kept: str) -> None:
    head = printed_head(kept)
    record_at(kept).write(lambda _: [draft()])
    assert found(kept, head) is None


REST = {
    "standing": ("UPDATE states SET standing = 'fine' WHERE subject = 'gear/R-1'", ("state", 20, "altered")),
    "day": ("UPDATE states SET due = NULL WHERE subject = 'gear/R-2'", ("state", 18, "altered")),
    "number": ("UPDATE states SET number = 3 WHERE subject = 'gear/R-2'", ("state", 18, "altered")),
    "state dropped": ("DELETE FROM states WHERE subject = 'gear/R-2'", ("state", 18, "missing")),
    "state added": (
        "INSERT INTO states SELECT 'gear/X', family, standing, due, words, body, number FROM states LIMIT 1",
        ("state", None, "altered"),
    ),
    "photo altered": ("UPDATE files SET content = CAST(content || x'00' AS BLOB)", ("file", 20, "altered")),
    "photo called another kind": ("UPDATE files SET kind = 'image/jpeg'", ("file", 20, "altered")),
    "photo dropped": ("DELETE FROM files", ("file", 20, "missing")),
    "index dropped": ("DROP INDEX entries_by_subject", ("tables", None, "altered")),
    "table added": ("CREATE TABLE more (a)", ("tables", None, "altered")),
}


@pytest.mark.parametrize(("change", "told"), REST.values(), ids=REST.keys())
def test_what_is_not_an_entry_is_held_against_the_entries(kept: str, change: str, told: tuple[str, int, str]) -> None:
    with shell(kept) as connection:
        connection.execute(change)
    assert found(kept) == told


def test_a_record_no_longer_kept_from_changes_is_found(kept: str) -> None:
    with shell(kept, keeping=False):
        pass
    assert found(kept) == ("tables", None, "altered")


def test_altered_rows_are_found_on_a_server_too(postgresql: str) -> None:
    record = filled(postgresql)
    with record.database.engine.begin() as connection:
        connection.execute(text("ALTER TABLE entries DISABLE TRIGGER USER"))
        connection.execute(text("UPDATE entries SET body = replace(body, '36.5', '96.5')"))
    first_bad = verify(record).first_bad
    assert first_bad is not None
    assert (first_bad.what, first_bad.number, first_bad.why) == ("entry", 7, "altered")
    record.close()


@pytest.mark.parametrize("column", COLUMNS[1:])
def test_text_that_is_no_longer_text_is_found(kept: str, column: str) -> None:
    with shell(kept) as connection:
        connection.execute(
            f'UPDATE entries SET "{column}" = CAST(x\'ff\' || substr("{column}", 2) AS TEXT) WHERE number = 9'
        )
    assert found(kept) == ("entry", 9, "unreadable")


def rows_in_memory(count: int) -> list[Row]:
    row = ("2030-05-01T12:00:00.000000Z", "2030-05-01T12:00:00.000000Z", "gear.washed", "gear/R-1", "Ann", "{}")
    return rechained([(n, *row[:5], f'{{"n":{n}}}', "", "") for n in range(1, count + 1)])


LEDGER = rows_in_memory(12)


@settings(deadline=None)
@given(st.lists(st.integers(0, 11), max_size=14), st.booleans())
def test_any_other_order_of_entries_stops_where_it_differs_and_is_explained(places: list[int], anew: bool) -> None:
    """Whatever was dropped, doubled or moved, numbered anew or not: the first row that differs is where it stops."""
    rows = [LEDGER[place] for place in places]
    rows = renumbered(rows) if anew else rows
    same = 0
    while same < min(len(rows), 12) and rows[same] == LEDGER[same]:
        same += 1
    head, bad = followed(rows)
    assert head.count == same
    assert (bad is None) == (same == len(rows))
    if bad is not None:
        told = explained(bad, head, lambda: rows)
        assert told.what == "entry"
        assert told.number is not None
        assert 1 <= told.number <= same + 1
        assert told.why in {"dropped", "inserted", "reordered", "altered"}


@settings(deadline=None)
@given(st.integers(0, 11), st.integers(1, 7), st.text(max_size=3))
def test_an_entry_with_other_content_is_where_it_stops(place: int, column: int, cell: str) -> None:
    rows = list(LEDGER)
    changed = tuple(cell if n == column else old for n, old in enumerate(rows[place]))
    rows[place] = changed  # type: ignore[call-overload]
    assume(changed != LEDGER[place])
    head, bad = followed(rows)
    assert (head.count, bad) == (place, changed)
    assert explained(changed, head, lambda: rows).why == "altered"  # type: ignore[arg-type]
