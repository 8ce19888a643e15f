"""Inspections and looks before use; all gear and people are invented."""

from __future__ import annotations

import pytest
from gear_shelf import act, add, all_ok, piece, yearly

from ropewright.errors import InputError
from ropewright.store.gear_actions import (
    check,
    inspect,
)
from ropewright.store.gear_points import read_answers
from ropewright.store.gear_words import gear_kinds
from ropewright.store.ledger import Ledger


def test_inspection_renews_the_interval_only_when_every_point_was_answered(record: Ledger) -> None:
    tag = add(record, "grab", on="2026-01-10", interval="1 year")
    part = read_answers(gear_kinds()["grab"], {"locks": "ok"})
    inspect(record, tag, part, act(on="2026-06-01"))
    assert (piece(record, tag).standing, piece(record, tag).state.due) == ("received", "2027-01-10")
    inspect(record, tag, all_ok("grab"), act(on="2026-06-01"))
    assert piece(record, tag).state.due == "2027-06-01"


def test_interval_of_the_rules_is_renewed_by_a_competent_person_alone(record: Ledger) -> None:
    tag = add(record, "grab", on="2026-01-10", intervals=yearly())
    inspect(record, tag, all_ok("grab"), act(on="2026-06-01"))
    assert piece(record, tag).state.due == "2027-01-10"
    inspect(record, tag, all_ok("grab"), act(on="2026-06-01"), competent="course of 2025")
    assert piece(record, tag).state.due == "2027-06-01"


def test_a_fault_quarantines_and_some_faults_retire(record: Ledger) -> None:
    tags = [add(record, "connector") for _ in range(2)]
    first = inspect(record, tags[0], all_ok("connector", gate="fault"), act())
    second = inspect(record, tags[1], all_ok("connector", gate="fault", cracks="fault"), act())
    assert [entry.kind for entry in (*first, *second)] == [
        "gear.inspected",
        "gear.quarantined",
        "gear.inspected",
        "gear.retired",
    ]
    assert first[1].body["sources"] == ["29 CFR 1910.140 (c)(9)"]


def test_a_point_that_applies_to_all_can_not_be_left_out(record: Ledger) -> None:
    rope = gear_kinds()["rope"]
    assert read_answers(rope, {"core": "na"})[0].answer == "na"
    for answers, match in (
        ({"cuts": "na"}, "ok or fault"),
        ({"cuts": "fine"}, "give one of ok"),
        ({"cut": "ok"}, "cuts"),
    ):
        with pytest.raises(InputError, match=match):
            read_answers(rope, answers)
    with pytest.raises(InputError, match="a kit is inspected part by part"):
        read_answers(gear_kinds()["kit"], {})


def test_a_photo_must_be_kept_before_an_answer_names_it(record: Ledger) -> None:
    tag = add(record, "bag")
    photo = "ab" * 32
    answers = read_answers(gear_kinds()["bag"], {"cloth": "ok"}, photos={"cloth": photo})
    with pytest.raises(InputError, match="keep the photo first"):
        inspect(record, tag, answers, act())


def test_the_users_look_is_an_entry_of_its_own_and_does_not_renew_the_interval(record: Ledger) -> None:
    tag = add(record, "harness", on="2026-01-10", intervals=yearly())
    check(record, tag, all_ok("harness", before_use=True), act("P. Sample"))
    assert (piece(record, tag).body["checked"]["by"], piece(record, tag).state.due) == ("P. Sample", "2027-01-10")
    check(record, tag, all_ok("harness", before_use=True, buckles="fault"), act("P. Sample"))
    assert piece(record, tag).standing == "quarantined"


def test_worn_stays_worn_till_an_inspector_says_otherwise(record: Ledger) -> None:
    tag = add(record, "rope", wear="worn")
    inspect(record, tag, all_ok("rope"), act())
    assert piece(record, tag).body["wear"] == "worn"
    inspect(record, tag, all_ok("rope"), act(), wear="good")
    assert piece(record, tag).body["wear"] == "good"
    with pytest.raises(InputError, match="it was used"):
        inspect(record, tag, all_ok("rope"), act(), wear="new")


def test_notes_and_photos_go_with_an_answer(record: Ledger) -> None:
    grab = gear_kinds()["grab"]
    for told, match in (
        ({"notes": {"locks": "slow"}}, "answer the point 'locks'"),
        ({"photos": {"locks": "ab"}}, "SHA-256"),
    ):
        with pytest.raises(InputError, match=match):
            read_answers(grab, {"locks": "ok"} if "photos" in told else {}, **told)
