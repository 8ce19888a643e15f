"""Taking gear into the record, and correcting what the record says of it; all gear is invented."""

from __future__ import annotations

from datetime import date

import pytest
from gear_shelf import act, add, count, piece, yearly

from ropewright.errors import InputError, InputErrors
from ropewright.store.gear_actions import (
    correct,
    receive,
    set_intervals,
    wash,
)
from ropewright.store.gear_piece import Act
from ropewright.store.gear_words import gear_kinds, next_tag, read_tag
from ropewright.store.ledger import Ledger


@pytest.mark.parametrize(
    ("written", "kept"), [(" r-001 ", "R-001"), ("r 001", "R-001"), ("\uff32\uff11", "R1"), ("é.7", "É.7")]
)
def test_codes_are_kept_as_written_but_for_capitals_and_blanks(written: str, kept: str) -> None:
    assert read_tag(written, "tag") == kept


@pytest.mark.parametrize("bad", ["", "-R", "R/1", "R#1", "R\n1x" * 9, "a" * 25, None, "R?", "../x"])
def test_codes_that_could_not_stand_on_a_label_are_refused(bad: object) -> None:
    with pytest.raises(InputError, match="give a code of up to 24"):
        read_tag(bad, "tag")


def test_next_free_code_is_offered_for_each_kind(record: Ledger) -> None:
    assert [add(record, "rope"), add(record, "harness"), add(record, "rope")] == ["R-001", "H-001", "R-002"]
    add(record, "rope", "R-003")
    with record.read() as view:
        assert next_tag(view, gear_kinds()["rope"]) == "R-004"


def test_no_code_is_used_twice(record: Ledger) -> None:
    add(record, "rope", "R-001")
    with pytest.raises(InputError, match="this code is taken, and no code is used twice; R-002 is free"):
        add(record, "rope", "r 001")


def test_nothing_happens_without_a_name_or_on_a_day_to_come() -> None:
    with pytest.raises(InputError, match="say who does it"):
        Act("  ", date(2026, 1, 1), date(2026, 1, 1))
    with pytest.raises(InputError, match="yet to come"):
        Act("A", date(2026, 1, 2), date(2026, 1, 1))


@pytest.mark.parametrize(
    ("told", "match"),
    [
        ({"bought": "2027-01"}, "yet to come"),
        ({"made": "2025-02", "bought": "2025-01-31"}, "lies before made"),
        ({"uses": "3"}, "it was used: uses told"),
        ({"first_use": "2026-01-01"}, "first_use told"),
        ({"length_m": "60"}, "with its unit"),
        ({"length_m": "-2 m"}, "give more than 0"),
        ({"life_by_age": "ten"}, "give a time such as"),
        ({"gate_strength_n": "16 kN"}, "a rope has no such field"),
        ({"note": "two\nlines"}, "give one line of text"),
        ({"uses": "some"}, "give a whole number"),
        ({"uses": "-1"}, "give a whole number"),
        ({"sun_s": "all day"}, "such as"),
        ({"sun_s": "nan"}, "such as"),
        ({"sun_s": "-2 h"}, "give 0 to"),
        ({"uses": "9" * 5000}, "give a whole number"),
        ({"uv_inhibitor": "maybe"}, "give yes or no"),
        ({"wear": "fair"}, "give new, good or worn"),
    ],
)
def test_what_cannot_be_is_refused_at_the_door(record: Ledger, told: dict[str, str], match: str) -> None:
    with pytest.raises(InputError, match=match):
        add(record, "rope", **told)
    assert count(record) == 0


def test_nothing_comes_in_before_it_was_made(record: Ledger) -> None:
    with pytest.raises(InputError, match="nothing comes in before it was made"):
        add(record, "rope", on="2026-01-10", made="2026-02")


def test_all_faults_of_a_piece_are_told_at_once(record: Ledger) -> None:
    with pytest.raises(InputErrors) as faults:
        add(record, "rope", length_m="60", fibre="polyestre")
    assert [fault.field for fault in faults.value.exceptions] == ["length_m", "fibre"]


def test_corrections_are_entries_and_say_what_stood_there(record: Ledger) -> None:
    tag = add(record, "rope", made="2024-05")
    entry = correct(record, tag, {"made": "2023-04-01", "length_m": 50.0}, "label read again", act())[0]
    assert entry.body["was"] == {"made": "2024-05-01", "length_m": None}
    assert piece(record, tag).told["made"] == "2023-04-01"
    correct(record, tag, {"made": None}, "label is another's", act())
    assert "made" not in piece(record, tag).told
    for changes, reason, match in (
        ({}, "x", "say what to correct"),
        ({"made": "2024-01-01"}, "", "what was wrong"),
        ({"standing": "in service"}, "x", "no such field"),
        ({"made": "2030-01-01"}, "x", "yet to come"),
    ):
        with pytest.raises(InputError, match=match):
            correct(record, tag, changes, reason, act())


def test_intervals_in_force_are_entries(record: Ledger) -> None:
    rope, grab, bag = add(record, "rope", on="2026-01-01"), add(record, "grab", on="2026-01-01"), add(record, "bag")
    found = {kind.name: yearly("6 months") for kind in gear_kinds().values()}
    assert [entry.subject for entry in set_intervals(record, [], found, act())] == ["gear/G-001", "gear/R-001"]
    assert [piece(record, tag).state.due for tag in (rope, grab, bag)] == ["2026-07-01", "2026-07-01", None]


def test_what_the_record_does_not_know_is_said(record: Ledger) -> None:
    with pytest.raises(InputError, match="the record has no such piece"):
        wash(record, ["R-404"], act())
    with pytest.raises(InputError, match="name at least one piece"):
        wash(record, [], act())


def test_a_grab_is_made_for_the_thinner_rope_first(record: Ledger) -> None:
    with pytest.raises(InputError, match="give the thicker rope"):
        add(record, "grab", rope_least_m="12 mm", rope_most_m="10 mm")


def test_hours_in_the_sun_are_told_with_or_without_their_unit(record: Ledger) -> None:
    tags = [add(record, "rope", wear="good", sun_s=text) for text in ("6 h", "6", "360 min", "6.0 hours")]
    assert {piece(record, tag).body["sun_s"] for tag in tags} == {21600}


def test_first_use_can_be_corrected(record: Ledger) -> None:
    tag = add(record, "grab", life_by_use="5 years", life_by_age=" ")
    correct(record, tag, {"first_use": "2024-01-01"}, "told by the seller", act())
    assert [row["day"] for row in piece(record, tag).due if row["what"] == "retire"] == ["2029-01-01"]


def test_a_bag_takes_no_intervals(record: Ledger) -> None:
    entries = receive(record, gear_kinds()["bag"], None, {}, act(), intervals=yearly())
    assert [entry.kind for entry in entries] == ["gear.received"]
