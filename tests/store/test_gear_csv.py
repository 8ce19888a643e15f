"""Gear through a spreadsheet and back stands as it stood; what a row can't mean for certain is refused."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError, InputErrors
from ropewright.rules import load_pack
from ropewright.rules.intervals import intervals_in_force
from ropewright.store.csv_fate import Fate, all_or_none
from ropewright.store.entry import State
from ropewright.store.gear_actions import (
    destroy,
    give_out,
    inspect,
    put_in_kit,
    quarantine_gear,
    receive,
    record_fall,
    release_gear,
    retire,
    return_gear,
    start_use,
)
from ropewright.store.gear_csv import gear_fates, gear_headers
from ropewright.store.gear_csv_out import gear_csv
from ropewright.store.gear_fields import read_told
from ropewright.store.gear_fitness import fitness
from ropewright.store.gear_piece import Act, Piece
from ropewright.store.gear_points import Answer, points_of
from ropewright.store.gear_use import Override, Use
from ropewright.store.gear_words import gear_kinds, read_kind
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record

TODAY = date(2026, 6, 1)
BY = "B. Example"
PACK = load_pack("australia-nz")  # one that has intervals of inspection

ROPE = {
    "fibre": "polyester", "construction": "sheathed core", "stretch": "static", "diameter_m": "11 mm",
    "length_m": "200 ft", "strength_n": "5,000 lbf", "strength_basis": "batch minimum", "made": "2024-01-01",
    "bought": "2026-01-02", "life_by_age": "10 years", "interval": "6 months", "batch": "B-7", "note": "=1+1, \"x\"",
    "wear": "good", "uses": "12", "sun_s": "36.7 h", "catches": "0", "uv_inhibitor": "no",
}  # fmt: skip


def intervals(kind: str) -> dict[str, Any]:
    return intervals_in_force(PACK, kind)


def act(day: date = TODAY) -> Act:
    return Act(BY, day, TODAY)


def new_record(folder: Path, name: str = "record") -> Ledger:
    return open_record(folder / f"{name}.db", clock=lambda: datetime(2026, 6, 1, 23, 59, tzinfo=UTC))


def take_in(record: Ledger, tag: str, kind: str = "rope", day: date = date(2026, 1, 5), **told: str) -> None:
    known = read_kind(kind, "kind")
    fields = read_told(known, told or (ROPE if kind == "rope" else {"wear": "good"} if known.in_chain else {}))
    receive(record, known, tag, fields, act(day), intervals=intervals(kind) if known.in_chain else None)


def states(record: Ledger) -> dict[str, State]:
    with record.read() as view:
        return {state.subject: state for state in view.states("gear")}


def read_in(record: Ledger, content: bytes, *, dry: bool = False) -> tuple[list[Fate], int]:
    fates, written = all_or_none(
        record, lambda view: gear_fates(content, view, by=BY, today=TODAY, intervals=intervals), dry=dry
    )
    return fates, len(written)


def faults(record: Ledger, *lines: str) -> list[str]:
    """Read rows that are wrong: the faults, and nothing written."""
    fates, written = read_in(record, "\n".join(lines).encode())
    assert written == 0
    assert states(record) == {}
    return [str(fault) for fate in fates for fault in fate.faults]


#: What is history: who, in which entry, and looks that left no trace in how the piece stands.
_HISTORY = {"number", "by", "inspected", "checked", "washed", "override", "cut_from", "pieces"}


def standing(state: State) -> dict[str, Any]:
    """How a piece stands, without its history."""

    def bare(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: bare(one) for key, one in value.items() if key not in _HISTORY}
        return [bare(one) for one in value] if isinstance(value, list) else value

    body = Piece(state).body
    told = {key: value for key, value in body["told"].items() if key != "first_use"}
    return {"standing": state.standing, "due": state.due, **bare(dict(body)), "told": told}


def ok(kind: str) -> list[Answer]:
    return [Answer(point.key, "ok") for point in points_of(gear_kinds()[kind])]


def found_points() -> list[str]:
    """Points of rope, one at which a fault is something found on it first."""
    return [point.key for point in sorted(points_of(gear_kinds()["rope"]), key=lambda point: not point.found)]


def a_store(record: Ledger) -> None:
    """Take in pieces that stand in every way they can."""
    take_in(record, "R-001")
    take_in(record, "R-002")
    take_in(record, "R-012", fibre="nylon")
    for tag in ("R-003", "R-004", "R-005", "R-006", "R-007", "R-008", "R-009", "R-010"):
        take_in(record, tag)
    take_in(
        record, "R-011", wear="new", made="2026-01", diameter_m="0.43 in", length_m="33.333333 m", strength_n="27 kN"
    )
    start_use(record, ["R-002", "R-003", "R-008", "R-009", "R-011"], act(date(2026, 2, 1)))
    give_out(record, ["R-003", "R-008", "R-009", "R-002"], "P-07", "a job", act(date(2026, 3, 1)))
    return_gear(record, ["R-008"], Use(days=2), act(date(2026, 3, 20)))
    quarantine_gear(record, ["R-004"], "stiff place", act(date(2026, 3, 2)))
    record_fall(record, act(date(2026, 3, 3)), tags=["R-009"])
    quarantine_gear(record, ["R-009"], "cut; sheath", act(date(2026, 3, 4)))
    retire(record, ["R-005"], "worn, by the book", act(date(2026, 3, 5)))
    retire(record, ["R-006"], "worn", act(date(2026, 3, 6)))
    destroy(record, ["R-006"], "cut in short lengths", act(date(2026, 3, 7)))
    retire(record, ["R-002"], "lost over the edge", act(date(2026, 3, 8)))
    inspect(record, "R-007", ok("rope"), act(date(2026, 3, 8)), wear="worn", competent="trained inspector")
    start_use(record, ["R-010"], act(date(2026, 3, 9)))
    record_fall(record, act(date(2026, 3, 10)), tags=["R-010"])
    release_gear(record, "R-010", act(date(2026, 3, 10)), finding="no mark", reason="slow slip", competent="inspector",
                 signed=BY)  # fmt: skip
    take_in(record, "R-013")
    faulty = [
        Answer(point, "fault") if number == 0 else Answer(point, "ok") for number, point in enumerate(found_points())
    ]
    inspect(record, "R-013", faulty, act(date(2026, 3, 10)))
    take_in(record, "R-014", **{**ROPE, "catches": "2"})
    take_in(record, "R-015")
    start_use(record, ["R-015"], act(date(2026, 3, 11)))
    for day in (12, 13):
        record_fall(record, act(date(2026, 3, day)), tags=["R-015"])
    release_gear(
        record, "R-015", act(date(2026, 3, 14)), finding="none", reason="slow", competent="inspector", signed=BY
    )
    take_in(record, "C-001", "connector")
    quarantine_gear(record, ["C-001"], "fell off the roof", act(date(2026, 3, 10)))
    take_in(record, "G-001", "grab", rope_least_m="10.5 mm", rope_most_m="11 mm", life_by_age="no limit", wear="good")
    take_in(record, "K-001", "kit", note="north crew")
    take_in(record, "B-001", "bag", size="30 L")
    put_in_kit(record, "K-001", ["B-001", "G-001"], act(date(2026, 3, 11)))


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Ledger:
    record = new_record(tmp_path_factory.mktemp("store"))
    a_store(record)
    return record


def test_export_and_import_into_an_empty_record_gives_the_same_standing(store: Ledger, tmp_path: Path) -> None:
    before = states(store)
    content, left_out = gear_csv(before.values())
    assert left_out == 0
    fresh = new_record(tmp_path)
    fates, _ = read_in(fresh, content)
    assert [fault for fate in fates for fault in fate.faults] == []
    after = states(fresh)
    assert after.keys() == before.keys()
    for subject, state in before.items():
        assert standing(after[subject]) == standing(state), subject


def test_an_export_carries_the_head_of_its_record_and_is_read_all_the_same(store: Ledger, tmp_path: Path) -> None:
    with store.read() as view:
        head = view.head()
    content, _ = gear_csv(states(store).values(), head)
    assert f",record ({head.count}:{head.hash})\r\n" in content.decode("utf-8-sig")
    fates, _ = read_in(new_record(tmp_path), content)
    assert [fault for fate in fates for fault in fate.faults] == []


def test_no_piece_is_fitter_after_the_way_through_a_file(store: Ledger, tmp_path: Path) -> None:
    fresh = new_record(tmp_path)
    read_in(fresh, gear_csv(states(store).values())[0])
    for subject, state in states(store).items():
        if state.body["kind"] == "kit":
            continue
        was, now = fitness(state, TODAY), fitness(states(fresh)[subject], TODAY)
        assert now.verdict is was.verdict, subject
        assert len(now.reasons) >= len(was.reasons), subject


def test_what_comes_from_a_file_says_so_in_the_ledger(store: Ledger, tmp_path: Path) -> None:
    fresh = new_record(tmp_path)
    read_in(fresh, gear_csv(states(store).values())[0])
    with fresh.read() as view:
        notes = [str(entry.body) for entry in view.entries() if entry.kind in ("gear.inspected", "gear.fell")]
        authors = {entry.by for entry in view.entries()}
    assert notes
    assert all("as told by a file" in note for note in notes)
    assert authors == {BY}


def test_a_dry_run_shows_each_fate_and_writes_nothing(store: Ledger, tmp_path: Path) -> None:
    content = gear_csv(states(store).values())[0]
    fresh = new_record(tmp_path)
    dry, written = read_in(fresh, content, dry=True)
    assert written == 0
    assert states(fresh) == {}
    wet, written = read_in(fresh, content)
    assert written > len(wet)
    assert [(fate.name, fate.standing) for fate in dry] == [(fate.name, fate.standing) for fate in wet]


def test_nothing_is_read_in_if_one_row_is_wrong(tmp_path: Path) -> None:
    found = faults(new_record(tmp_path), "tag,kind,length", "R-001,rope,60 m", "R-002,rope,60", "R-003,rope,60 m")
    assert found == ["row 3, length: got '60'; give a length with its unit, such as '6 ft' or '1.8 m'"]


def test_a_code_that_is_taken_is_refused(store: Ledger) -> None:
    fates, written = read_in(store, b"tag,kind\nr-001,rope\n")
    assert written == 0
    assert "taken" in str(fates[0].faults[0])
    assert fates[0].faults[0].field == "row 2, tag"


ROWS: list[tuple[str, str, str]] = [
    ("kind", "", "kind: missing; give one of"),
    ("kind", "roap", "did you mean 'rope'"),
    ("tag", "a/b", "give a code"),
    ("length", "1,500 m", "without a comma"),
    ("strength", "22,5 kN", "without a comma"),
    ("bought", "3/4/2025", "write 2025-04-03 or 2025-03-04"),
    ("bought", "2026-06-02", "yet to come"),
    ("received", "31.12.2025", "write 2025-12-31"),
    ("standing", "lost", "give one of"),
    ("standing", "cut up", "give one of"),
    ("standing", "quarantined", "say why it is out of service"),
    ("standing", "issued", "say who has it"),
    ("reason", "stiff", "speaks against 'received'"),
    ("found", "cut", "speaks against 'received'"),
    ("holder", "P-07", "nobody has what is received"),
    ("inspected", "2026-03-01", "say who inspected it"),
    ("fallen", "maybe", "give one of"),
    ("examined", "2026-03-01", "say which competent person examined it"),
    ("days out", "-3", "give a whole number of days"),
    ("cleared", "2026-03-01", "say which competent person"),
    ("found on", "2026-03-01", "say what was found"),
    ("kit", "K-404", "neither the file nor the record has this kit"),
    ("kit", "R-001", "not a kit"),
    ("user mass", "100 kg", "a rope has no such field"),
    ("wear", "shiny", "give new, good or worn"),
]


@pytest.mark.parametrize(("header", "text", "says"), ROWS, ids=[f"{row[0]} {row[1]}" for row in ROWS])
def test_a_cell_that_can_not_be_is_refused_by_its_row_and_column(
    tmp_path: Path, header: str, text: str, says: str
) -> None:
    cells = {"tag": "R-001", "kind": "rope", header: text}
    row = ";".join(f'"{cell}"' for cell in cells.values())
    (found,) = faults(new_record(tmp_path), ";".join(cells), row)
    assert says in found
    assert found.startswith("row 2, ")


def test_an_inspection_needs_the_wear_that_it_found(tmp_path: Path) -> None:
    """A rope of unknown condition does not become a good one by a line in a spreadsheet."""
    (found,) = faults(new_record(tmp_path), "tag,kind,inspected,inspected by", "R-001,rope,2026-03-01,C. Example")
    assert "wear: missing" in found


def test_a_fall_told_in_other_words_is_refused_so_that_it_is_not_lost(tmp_path: Path) -> None:
    lines = ["tag,kind,standing,reason", "R-001,rope,quarantined,someone fell on it"]
    (found,) = faults(new_record(tmp_path), *lines)
    assert "took a fall on 2026-05-31" in found
    record = new_record(tmp_path, "other")
    read_in(record, b"tag,kind,standing,reason\nR-001,rope,quarantined,took a fall on 2026-05-31\n")
    (state,) = states(record).values()
    assert Piece(state).body["fallen"] is True


def test_what_caught_a_fall_is_not_in_service_unless_somebody_cleared_it(tmp_path: Path) -> None:
    for standing in ("received", "in service", "issued"):
        cells = f"R-001,rope,{standing},2,P-07,a job" if standing == "issued" else f"R-001,rope,{standing},2,,"
        (found,) = faults(new_record(tmp_path), "tag,kind,standing,catches,holder,job", cells)
        assert "say under 'cleared' who let it back" in found


def test_more_falls_than_catches_are_refused(tmp_path: Path) -> None:
    reason = "took a fall on 2026-05-30; took a fall on 2026-05-31"
    (found,) = faults(new_record(tmp_path), "tag,kind,standing,catches,reason", f"R-001,rope,quarantined,1,{reason}")
    assert "the row tells of 2 falls" in found


def test_parts_find_their_kit_wherever_it_stands_in_the_file(tmp_path: Path) -> None:
    record = new_record(tmp_path)
    read_in(record, b"tag,kind,kit\nG-001,grab,K-001\nK-001,kit,\nG-002,grab,k-001\n")
    assert Piece(states(record)["gear/K-001"]).body["parts"] == ["G-001", "G-002"]


def test_the_columns_are_named_as_the_options_of_the_command_line() -> None:
    headers = gear_headers()
    assert len(set(headers)) == len(headers)
    assert {"tag", "kind", "length", "user mass", "strength", "life in use", "first use"} <= set(headers)


CELL = st.sampled_from(
    ["", "R-001", "rope", "grab", "60 m", "60", "1,5 m", "2026-01-01", "1/2/2026", "yes", "new", "quarantined",
     "issued", "took a fall on 2026-01-01", "took a fall on never", "cut", "=1", "999999999999", "-1", "K-1", "kit"]
) | st.text(max_size=12)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.dictionaries(st.sampled_from(gear_headers()), CELL), max_size=4))
def test_no_file_breaks_the_reader_and_a_wrong_one_writes_nothing(
    tmp_path_factory: pytest.TempPathFactory, rows: list[dict[str, str]]
) -> None:
    from ropewright.store.csv_text import write_csv

    record = _EMPTY.get("record") or _EMPTY.setdefault("record", new_record(tmp_path_factory.mktemp("fuzz")))
    content = write_csv(gear_headers(), [{"kind": "rope", **row} for row in rows])
    try:
        fates, written = read_in(record, content, dry=True)
    except (InputError, InputErrors):
        return
    assert written == 0
    assert all(bool(fate.faults) != bool(fate.standing) for fate in fates)


#: One empty record for all examples: nothing is ever written to it.
_EMPTY: dict[str, Ledger] = {}

#: What can happen to a rope, each tried on a day; what can't be as it stands is left out.
DEEDS: dict[str, Callable[[Ledger, Act], object]] = {
    "start": lambda record, on: start_use(record, ["R-1"], on),
    "issue": lambda record, on: give_out(
        record, ["R-1"], "P-07", "a job", on, override=Override("D. Example", "needed")
    ),
    "return": lambda record, on: return_gear(record, ["R-1"], Use(), on),
    "return, sun told": lambda record, on: return_gear(record, ["R-1"], Use(days=0, sun=3600.0), on),
    "quarantine": lambda record, on: quarantine_gear(record, ["R-1"], "stiff; fell off a cart", on),
    "fall": lambda record, on: record_fall(record, on, tags=["R-1"]),
    "release": lambda record, on: release_gear(
        record, "R-1", on, finding="none", reason="slow", competent="inspector", signed=BY
    ),
    "inspect": lambda record, on: inspect(record, "R-1", ok("rope"), on),
    "examine": lambda record, on: inspect(record, "R-1", ok("rope"), on, wear="worn", competent="inspector"),
    "fault": lambda record, on: inspect(
        record, "R-1", [Answer(key, "ok" if number else "fault") for number, key in enumerate(found_points())], on
    ),
    "retire": lambda record, on: retire(record, ["R-1"], "worn", on),
    "destroy": lambda record, on: destroy(record, ["R-1"], "cut up small", on),
}

TOLD = st.fixed_dictionaries(
    {},
    optional={
        "uses": st.sampled_from(["0", "7"]),
        "sun_s": st.just("3.1 h"),
        "catches": st.sampled_from(["0", "2"]),
        "wear": st.sampled_from(["good", "worn"]),
        "first_use": st.just("2026-01-03"),
    },
) | st.just({"wear": "new"})


@example(told={"wear": "new"}, deeds=[("issue", 0), ("return, sun told", 0)])
@settings(max_examples=25, deadline=None)
@given(told=TOLD, deeds=st.lists(st.tuples(st.sampled_from(list(DEEDS)), st.integers(0, 9)), max_size=8))
def test_whatever_happened_to_a_rope_it_stands_the_same_after_the_way_through_a_file(
    tmp_path_factory: pytest.TempPathFactory, told: dict[str, str], deeds: list[tuple[str, int]]
) -> None:
    folder = tmp_path_factory.mktemp("way")
    record, fresh = new_record(folder, "one"), new_record(folder, "other")
    take_in(record, "R-1", **{"fibre": "polyester", "made": "2026-01-01", "life_by_use": "5 years", **told})
    day = date(2026, 1, 6)
    for deed, later in deeds:
        day += timedelta(days=later)
        with contextlib.suppress(InputError, InputErrors):
            DEEDS[deed](record, act(day))
    (before,) = states(record).values()
    fates, _ = read_in(fresh, gear_csv([before])[0])
    assert [str(fault) for fate in fates for fault in fate.faults] == []
    (after,) = states(fresh).values()
    if before.standing == "in service" and Piece(before).body["first_use"] is None:
        # let back before it was ever put into use: it counts as used from the day on which it came, which is no better
        assert Piece(after).body["first_use"] in (None, Piece(before).body["received"])
    else:
        assert standing(after) == standing(before)
    assert fitness(after, TODAY).verdict is fitness(before, TODAY).verdict
