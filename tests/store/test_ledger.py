"""What is appended stays, in order, chained; states follow from it; and what can't be kept is refused whole."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from record_helpers import NOW, draft, filled, record_at
from sqlalchemy import delete, exc, update

from ropewright.errors import InputError
from ropewright.store.canonical import BODY_LIMIT, GENESIS, json_text
from ropewright.store.entry import Draft, Head, State
from ropewright.store.opening import open_record
from ropewright.store.schema import entries


def test_each_entry_carries_the_hash_of_the_one_before(place: str) -> None:
    kept = record_at(place)
    first = kept.write(lambda _: [draft()])
    rest = kept.write(lambda _: [draft(), draft("R-2")])
    rows = first + rest
    assert [row.number for row in rows] == [1, 2, 3]
    assert [row.previous for row in rows] == [GENESIS, rows[0].hash, rows[1].hash]
    with kept.read() as view:
        assert list(view.entries()) == rows
        assert view.head() == Head(3, rows[2].hash)


def test_the_hash_is_that_of_the_canonical_json_of_all_else(place: str) -> None:
    """RFC 8785 says which text, FIPS 180-4 which hash; both through libraries here, by hand there."""
    from dataclasses import asdict
    from hashlib import sha256

    body = {"note": 'sheath "fuzzy"\t\u20ac \\ \u0001 \U0001f600', "b": 1e21, "a": [True, None, 0.1, -0.0, {}]}
    (entry,) = record_at(place).write(lambda _: [Draft("gear.washed", 'gear/R "1" \\é', 'Ann "A" \\ Å', body)])
    all_else = {key: value for key, value in asdict(entry).items() if key != "hash"}
    assert entry.hash == sha256(json_text(all_else).encode()).hexdigest()


def test_an_empty_record_has_a_head(place: str) -> None:
    with record_at(place).read() as view:
        assert view.head() == Head(0, GENESIS)
        assert view.state("gear/R-1") is None


def test_states_follow_in_the_same_transaction(place: str) -> None:
    kept = record_at(place)
    kept.write(lambda _: [draft(due="2030-06-01"), draft("R-2"), draft(kind="gear.cut")])
    with kept.read() as view:
        assert view.state("gear/R-1") == State("gear/R-1", "gear.cut", None, "gear/r-1", {"seen": 2}, 3)
    kept.write(lambda _: [draft()])
    with kept.read() as view:
        assert view.state("gear/R-1") == State("gear/R-1", "gear.washed", None, "gear/r-1", {"seen": 3}, 4)


def test_a_decision_sees_what_is_there_and_may_write_nothing(place: str) -> None:
    kept = filled(place)
    seen = []
    assert kept.write(lambda view: seen.append(view.head().count) or []) == []  # type: ignore[func-returns-value]
    assert seen == [20]


def test_a_fold_sees_the_body_as_it_will_be_read_back(place: str) -> None:
    seen: list[Any] = []

    def fold(_: State | None, entry: Any) -> State:
        seen.append(entry.body["length_m"])
        return State(entry.subject, "new", None, "", {})

    kept = open_record(place, folds={"gear": fold}, clock=lambda: NOW)
    kept.write(lambda _: [draft(length_m=30.0)])
    with kept.read() as view:
        assert [repr(value) for value in seen] == [repr(next(view.entries()).body["length_m"])] == ["30"]


def test_a_fold_sees_the_state_as_it_will_be_read_back_within_one_write_too(place: str) -> None:
    seen: list[str] = []

    def fold(state: State | None, entry: Any) -> State:
        seen.append(repr(state.body["length_m"]) if state else "none")
        return State(entry.subject, "new", None, "", {"length_m": 30.0})

    kept = open_record(place, folds={"gear": fold}, clock=lambda: NOW)
    kept.write(lambda _: [draft(), draft()])
    kept.write(lambda _: [draft()])
    assert seen == ["none", "30", "30"]


NEXT = NOW + timedelta(microseconds=1)
REFUSED = {
    "blank author": (replace(draft(), by=" "), "by: got ' '; say who does it"),
    "no author": (replace(draft(), by=None), "by: missing; say who does it"),  # type: ignore[arg-type]
    "author of two lines": (replace(draft(), by="Ann\nBo"), "by: got 'Ann\\\\nBo'; give one line"),
    "no family": (replace(draft(), subject="R-1"), "subject: got 'R-1'; give a family and a tag"),
    "no tag": (replace(draft(), subject="gear/"), "subject: got 'gear/'; give a family and a tag"),
    "long tag": (draft("R" * 300), "subject: .*at most 200"),
    "tag with half a sign": (draft("\ud800"), "subject: .*printable"),
    "future": (replace(draft(), at=NEXT), "at: .*isn't in the future"),
    "future elsewhere": (replace(draft(), at=NEXT.astimezone(timezone(timedelta(hours=-7)))), "at: .*in the future"),
    "no zone": (replace(draft(), at=NOW.replace(tzinfo=None)), "at: .*give the time with its zone"),
    "not a number": (draft(length_m=float("nan")), "body: .*nan is not representable"),
    "infinite": (draft(a=[{"b": float("inf")}]), "body: .*inf is not representable"),
    "inexact whole number": (draft(cycles=2**53), "body: .*exceeds safe integer"),
    "key that is no text": (replace(draft(), body={1: 2}), "body: .*keys must be strings"),  # type: ignore[dict-item]
    "half a sign": (draft(note="\ud800"), "body: .*non-UTF-8"),
    "half a sign in a key": (replace(draft(), body={"\ud800": 1}), "body: .*"),
    "no json": (draft(day=NOW), "body: .*unsupported"),  # type: ignore[arg-type]
    "no object": (replace(draft(), body=[]), "body: got .*give a JSON object"),  # type: ignore[arg-type]
    "too large": (draft(note="x" * BODY_LIMIT), f"body: .*at most {BODY_LIMIT:,} bytes"),
}


@pytest.mark.parametrize(("wrong", "told"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_kept_is_refused_with_all_that_came_with_it(tmp_path, wrong: Draft, told: str) -> None:
    kept = record_at(tmp_path / "record.db")
    with pytest.raises(InputError, match=told) as caught:
        kept.write(lambda _: [draft("R-7"), wrong])
    assert len(str(caught.value)) < 500
    with kept.read() as view:
        assert (view.head().count, view.states("gear")) == (0, [])


def test_endless_nesting_is_refused(tmp_path) -> None:
    deep: Any = 1
    for _ in range(100_000):
        deep = [deep]
    with pytest.raises(InputError, match="nested deeper"):
        record_at(tmp_path / "record.db").write(lambda _: [draft(deep=deep)])


def test_what_only_a_programmer_can_mend_is_no_fault_of_the_user(tmp_path) -> None:
    kept = record_at(tmp_path / "record.db")
    with pytest.raises(LookupError, match="no fold for the family 'bird'"):
        kept.write(lambda _: [Draft("bird.seen", "bird/1", "Ann", {})])
    with pytest.raises(ValueError, match="kind must look like"):
        kept.write(lambda _: [draft(kind="Washed")])
    wrong = open_record(
        tmp_path / "r2.db", folds={"gear": lambda *_: State("gear/other", "", None, "", {})}, clock=lambda: NOW
    )
    with pytest.raises(ValueError, match="made a state of 'gear/other'"):
        wrong.write(lambda _: [draft()])
    with kept.read() as view:
        assert view.head().count == 0


def test_both_times_are_kept_in_utc(place: str) -> None:
    at = datetime(2030, 5, 1, 2, 30, tzinfo=timezone(timedelta(hours=5, minutes=30)))
    (entry,) = record_at(place).write(lambda _: [replace(draft(), at=at)])
    assert (entry.at, entry.written) == ("2030-04-30T21:00:00.000000Z", "2030-05-01T12:00:00.000000Z")


def test_an_error_inside_a_decision_leaves_the_record_free_for_the_next(place: str) -> None:
    kept = record_at(place)
    with pytest.raises(ZeroDivisionError):
        kept.write(lambda _: [draft(n=1 // 0)])
    assert [entry.number for entry in kept.write(lambda _: [draft()])] == [1]


def test_reading_sees_one_moment_while_others_write(place: str) -> None:
    kept, other = filled(place, 3), record_at(place)
    with kept.read() as view:
        other.write(lambda _: [draft("new")])
        assert (view.head().count, len(list(view.entries())), view.state("gear/new")) == (3, 3, None)
    with kept.read() as view:
        assert view.head().count == 4


def test_the_database_itself_refuses_to_change_or_drop_an_entry(place: str) -> None:
    kept = filled(place, 3)
    for act in (update(entries).values(by="Bo"), delete(entries)):
        with (
            pytest.raises(exc.DBAPIError, match="never changed or dropped"),
            kept.database.engine.begin() as connection,
        ):
            connection.execute(act)
    with kept.read() as view:
        assert [entry.by for entry in view.entries()] == ["Ann"] * 3


def test_entries_are_read_by_subject_from_a_number_on(place: str) -> None:
    with filled(place).read() as view:
        assert [entry.number for entry in view.entries(subject="gear/R-1")] == [2, 7, 12, 17]
        assert [entry.number for entry in view.entries(subject="gear/R-1", after=2, limit=2)] == [7, 12]
        assert [entry.number for entry in view.entries(after=18)] == [19, 20]


def tags(states: list[State]) -> list[str]:
    return [state.subject.partition("/")[2] for state in states]


def test_states_are_cut_by_family_standing_and_words(place: str) -> None:
    kept = record_at(place)
    kept.write(lambda _: [draft(tag) for tag in ("b", "B 2", "a_1", "é", "a%2")])
    kept.write(lambda _: [Draft("crew.added", "crew/b", "Ann", {}), draft("é", kind="gear.cut")])
    with kept.read() as view:
        assert tags(view.states("gear")) == ["B 2", "a%2", "a_1", "b", "é"]  # by bytes, as RFC 3629 orders text
        assert tags(view.states("gear", standing="gear.cut")) == ["é"]
        assert tags(view.states("gear", search="2 B")) == ["B 2"]
        assert tags(view.states("gear", search="_")) == ["a_1"]
        assert tags(view.states("gear", search="%")) == ["a%2"]
        assert tags(view.states("gear", after="gear/a_1", limit=1)) == ["b"]
        assert tags(view.states("crew")) == ["b"]


def test_what_is_due_is_listed_by_day_then_subject_in_pages(place: str) -> None:
    kept = record_at(place)
    days = {"a": "2030-06-03", "b": "2030-06-01", "c": "2030-06-03", "d": None, "e": "2030-06-04"}
    kept.write(lambda _: [draft(tag, due=day) for tag, day in days.items()])
    with kept.read() as view:
        assert tags(view.states("gear", due_by="2030-06-03")) == ["b", "a", "c"]
        assert tags(view.states("gear", due_by="2030-06-03", limit=2)) == ["b", "a"]
        assert tags(view.states("gear", due_by="2030-06-03", after="gear/a")) == ["c"]


def test_a_clock_set_back_stops_nobody(place: str) -> None:
    filled(place, 1)
    early = record_at(place, datetime(2020, 1, 1, tzinfo=UTC))
    assert [entry.written[:4] for entry in early.write(lambda _: [draft()])] == ["2020"]
