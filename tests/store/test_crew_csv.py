"""People through a spreadsheet and back are known as they were; what a row can't mean for certain is refused."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from crew_people import BY, TODAY, a_training, add, new_record
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_actions import (
    add_person,
    grant_role,
    leave,
    need_training,
    sign_off,
    train,
)
from ropewright.store.crew_body import Need, Particulars, SignOff
from ropewright.store.crew_csv import CREW_HEADERS, crew_csv, crew_fates
from ropewright.store.crew_state import open_needs
from ropewright.store.csv_fate import Fate, all_or_none
from ropewright.store.csv_text import write_csv
from ropewright.store.entry import State
from ropewright.store.ledger import Ledger


def read_in(record: Ledger, content: bytes, *, dry: bool = False) -> tuple[list[Fate], int]:
    fates, written = all_or_none(record, lambda view: crew_fates(content, view, by=BY, today=TODAY), dry=dry)
    return fates, len(written)


def people(record: Ledger) -> list[State]:
    with record.read() as view:
        return view.states("crew")


def known(state: State) -> dict[str, Any]:
    """All that counts of a person, without who wrote it in which entry; of needs only the open ones."""

    def bare(value: Any) -> Any:
        if isinstance(value, dict):
            return {
                key: bare(one) for key, one in value.items() if key not in ("number", "by", "answers", "answered_by")
            }
        return [bare(one) for one in value] if isinstance(value, list) else value

    body = {**state.body, "needs": open_needs(state.body)}
    return {"subject": state.subject, "standing": state.standing, "due": state.due, **bare(body)}


def a_crew(record: Ledger) -> None:
    """Take in people of whom everything is known that can be."""
    add(record)
    add_person(record, "P-08", Particulars(name='=Ö. Example, "jr"', mass=82.123456789), by=BY)
    add_person(record, "P-09", Particulars(name="no. 9"), roles=("authorised", "rescuer"), by=BY)
    grant_role(record, "P-09", "competent", grounds="may stop the work; 20 years", by=BY)
    number = need_training(record, "P-07", Need(date(2026, 2, 1), "workplace"), by=BY)[0].number
    train(record, "P-07", a_training(answers=(number,)), by=BY)
    other = {"employer": "Another employer", "judged_on": date(2026, 4, 1), "judged_by": "D. Example"}
    train(record, "P-07", a_training(certificate=None, trainer_is=(), systems=(), **other), by=BY)
    train(record, "P-07", a_training(expires=date(2027, 3, 2), expires_by="company rule 4"), by=BY)
    need_training(record, "P-07", Need(date(2026, 5, 1), "systems", "new grabs", ("use",), ("grab",)), by=BY)
    sign_off(record, "P-07", SignOff(date(2026, 3, 3), "haul", "not yet", "C. Example", "too slow"), by=BY)
    sign_off(record, "P-07", SignOff(date(2026, 3, 3), "haul", "can", "C. Example"), by=BY)
    leave(record, "P-09", date(2026, 5, 5), by=BY)


def test_export_and_import_into_an_empty_record_gives_the_same_people(tmp_path: Path) -> None:
    record = new_record(tmp_path)
    a_crew(record)
    (tmp_path / "other").mkdir()
    fresh = new_record(tmp_path / "other")
    fates, _ = read_in(fresh, crew_csv(people(record)))
    assert [fault for fate in fates for fault in fate.faults] == []
    assert [known(state) for state in people(fresh)] == [known(state) for state in people(record)]


def test_an_export_carries_the_head_of_its_record_and_is_read_all_the_same(tmp_path: Path) -> None:
    record = new_record(tmp_path)
    a_crew(record)
    with record.read() as view:
        head = view.head()
    content = crew_csv(people(record), head)
    assert f",record ({head.count}:{head.hash})\r\n" in content.decode("utf-8-sig")
    (tmp_path / "other").mkdir()
    fates, written = read_in(new_record(tmp_path / "other"), content)
    assert written > 0
    assert [fault for fate in fates for fault in fate.faults] == []


def faults(tmp_path: Path, *lines: str) -> list[str]:
    record = new_record(tmp_path)
    fates, written = read_in(record, "\n".join(lines).encode())
    assert written == 0
    assert people(record) == []
    return [str(fault) for fate in fates for fault in fate.faults]


PERSON = "P-07;;A. Example;;;;;;"
HEAD = "code;what;name;mass;on;topics;trainer;skill;assessor"
ROWS: list[tuple[str, str]] = [
    ("P-08;person;;;;;;;", "row 3, name: missing"),
    ("P/7;person;A. Example;;;;;;", "row 3, code"),
    (";person;A. Example;;;;;;", "row 3, code: missing"),
    ("P-08;worker;A. Example;;;;;;", "row 3, what: got 'worker'; give one of"),
    ("P-07;person;A. Example;;;;;;", "a row before has this code too"),
    ("P-08;person;A. Example;82;;;;;", "row 3, mass: got '82'; give a mass with its unit"),
    ("P-08;person;A. Example;82,5 kg;;;;;", "without a comma"),
    ("P-08;person;A. Example;82 kg;2026-01-01;;;;", "a row on a person has no such column"),
    ("P-99;training;;;2026-01-01;use;C. Example;;", "neither a row before nor the record knows"),
    ("P-07;training;;;1/2/2026;use;C. Example;;", "write 2026-02-01 or 2026-01-02"),
    ("P-07;training;;;2026-01-01;use, care;C. Example;;", "row 3, topics: got 'use, care'"),
    ("P-07;training;;;2026-01-01;use;a. example;;", "nobody trains themselves"),
    ("P-07;training;;;2027-01-01;use;C. Example;;", "yet to come"),
    ("P-07;sign-off;;;;;;haul;C. Example", "say on which day it was seen"),
    ("P-07;sign-off;;;2026-01-01;;;hauling;C. Example", "row 3, skill"),
    ("P-07;sign-off;;;2026-01-01;;;haul;", "row 3, assessor"),
    ("P-07;left;;;;;;;", "row 3, on"),
]


@pytest.mark.parametrize(("row", "says"), ROWS, ids=[row for row, _ in ROWS])
def test_a_row_that_can_not_be_is_refused_and_nothing_is_written(tmp_path: Path, row: str, says: str) -> None:
    found = faults(tmp_path, HEAD, PERSON, row)
    assert any(says in fault for fault in found), found


def test_rows_may_add_to_people_whom_the_record_knows(tmp_path: Path) -> None:
    record = new_record(tmp_path)
    add(record)
    _, written = read_in(record, b"code,what,on,skill,assessor\nP-07,sign-off,2026-03-03,haul,C. Example\n")
    assert written == 1
    assert people(record)[0].body["sign_offs"]


def test_a_dry_run_says_how_each_would_stand(tmp_path: Path) -> None:
    record = new_record(tmp_path)
    content = b"code,what,name,on,trigger\nP-07,,A. Example,,\nP-07,need,,2026-03-03,systems\n"
    fates, written = read_in(record, content, dry=True)
    assert (written, people(record)) == (0, [])
    assert [fate.standing for fate in fates] == ["on the crew", "to train anew"]


CELL = st.sampled_from(
    ["", "P-07", "person", "training", "sign-off", "need", "role", "left", "A. Example", "82 kg", "82", "use", "all",
     "2026-01-01", "1/2/2026", "competent", "trainer", "haul", "can", "systems", "authorised; rescuer"]
) | st.text(max_size=10)  # fmt: skip


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.dictionaries(st.sampled_from(CREW_HEADERS), CELL), max_size=5))
def test_no_file_breaks_the_reader(tmp_path_factory: pytest.TempPathFactory, rows: list[dict[str, str]]) -> None:
    record = _EMPTY.get("record") or _EMPTY.setdefault("record", new_record(tmp_path_factory.mktemp("fuzz")))
    content = write_csv(CREW_HEADERS, [{"code": "P-07", "name": "A. Example", **row} for row in rows])
    try:
        fates, written = read_in(record, content, dry=True)
    except (InputError, InputErrors):
        return
    assert written == 0
    assert all(bool(fate.faults) != bool(fate.standing) for fate in fates)


#: One empty record for all examples: nothing is ever written to it.
_EMPTY: dict[str, Ledger] = {}
