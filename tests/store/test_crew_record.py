"""What the record makes of entries about people, and what it refuses. Clauses: 29 CFR 1926.503(b) and (c)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from crew_people import BY, a_training, add, new_record, state_of

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_actions import (
    add_person,
    change_person,
    come_back,
    grant_role,
    leave,
    need_training,
    sign_off,
    train,
    withdraw,
)
from ropewright.store.crew_body import Certificate, Need, Particulars, SignOff
from ropewright.store.crew_state import fold, open_needs
from ropewright.store.crew_words import skills, systems, topics, triggers
from ropewright.store.ledger import Ledger


@pytest.fixture
def record(tmp_path: Path) -> Ledger:
    made = new_record(tmp_path)
    add(made)
    return made


def count(record: Ledger) -> int:
    with record.read() as view:
        return view.head().count


def test_particulars_are_si_and_nothing_else_is_kept(record: Ledger) -> None:
    body = state_of(record).body
    assert body["mass_kg"] == 82.0
    assert body["mass_with_tools_kg"] == 95.0
    assert set(body) == {
        "name",
        "mass_kg",
        "mass_with_tools_kg",
        "harness_size",
        "roles",
        "trainings",
        "sign_offs",
        "needs",
        "left",
    }


def test_a_change_keeps_what_it_does_not_tell(record: Ledger) -> None:
    change_person(record, "P-07", Particulars(mass_with_tools=99.0), by=BY)
    body = state_of(record).body
    assert (body["mass_with_tools_kg"], body["mass_kg"], body["name"]) == (99.0, 82.0, "A. Example")


def test_codes_are_never_given_twice(record: Ledger) -> None:
    leave(record, "P-07", date(2026, 4, 1), by=BY)
    with pytest.raises(InputError, match="taken, also by those who left"):
        add_person(record, "P-07", Particulars(name="D. Example"), by=BY)


def test_a_need_stays_open_until_a_training_answers_it_by_number(record: Ledger) -> None:
    """1926.503(c): training anew is called for by events, not by the calendar."""
    number = need_training(record, "P-07", Need(date(2026, 3, 1), "systems", systems=("grab",)), by=BY)[0].number
    train(record, "P-07", a_training(), by=BY)
    assert state_of(record).standing == "to train anew"
    assert state_of(record).due == "2026-03-01"
    train(record, "P-07", a_training(answers=(number,)), by=BY)
    assert state_of(record).standing == "on the crew"
    assert state_of(record).due is None


UNANSWERED = [
    ({"on": date(2026, 2, 28)}, "after this training"),
    ({"systems": ("harness",)}, "the systems grab too"),
    ({"topics": ("hazards",)}, "the topics use too"),
]


@pytest.mark.parametrize(("changes", "says"), UNANSWERED, ids=["earlier", "other system", "other topic"])
def test_a_training_that_does_not_meet_the_need_answers_nothing(
    record: Ledger, changes: dict[str, object], says: str
) -> None:
    need = Need(date(2026, 3, 1), "systems", topics=("use",), systems=("grab",))
    number = need_training(record, "P-07", need, by=BY)[0].number
    with pytest.raises(InputError, match=says):
        train(record, "P-07", a_training(answers=(number,), **changes), by=BY)
    assert len(open_needs(state_of(record).body)) == 1


def test_a_need_that_is_not_open_can_not_be_answered(record: Ledger) -> None:
    with pytest.raises(InputError, match="no open need to train anew of this number; none is open"):
        train(record, "P-07", a_training(answers=(1,)), by=BY)


def test_withdrawing_the_training_opens_the_need_again(record: Ledger) -> None:
    number = need_training(record, "P-07", Need(date(2026, 3, 1), "understanding"), by=BY)[0].number
    trained = train(record, "P-07", a_training(answers=(number,)), by=BY)[0].number
    withdraw(record, "P-07", trained, why="another person's", by=BY)
    state = state_of(record)
    assert state.standing == "to train anew"
    assert state.body["trainings"] == []


def test_what_is_withdrawn_stays_in_the_ledger(record: Ledger) -> None:
    seen = sign_off(record, "P-07", SignOff(date(2026, 3, 3), "haul", "can", "C. Example"), by=BY)[0]
    withdraw(record, "P-07", seen.number, why="not seen", by=BY)
    with record.read() as view:
        assert seen.hash in {entry.hash for entry in view.entries(subject="crew/P-07")}
    assert state_of(record).body["sign_offs"] == []
    with pytest.raises(InputError, match="no such entry that can be withdrawn; there is none"):
        withdraw(record, "P-07", seen.number, why="not seen", by=BY)


SELF: list[tuple[str, Callable[[Ledger], object]]] = [
    ("nobody trains themselves", lambda record: train(record, "P-07", a_training(trainer="a. EXAMPLE"), by=BY)),
    (
        "nobody certifies their own",
        lambda record: train(record, "P-07", a_training(certificate=Certificate("P-07", "trainer")), by=BY),
    ),
    (
        "nobody signs off their own",
        lambda record: sign_off(record, "P-07", SignOff(date(2026, 3, 3), "haul", "can", "p-07"), by=BY),
    ),
]


@pytest.mark.parametrize(("says", "act"), SELF, ids=["trainer", "signature", "assessor"])
def test_nobody_vouches_for_themselves(record: Ledger, says: str, act: Callable[[Ledger], object]) -> None:
    before = count(record)
    with pytest.raises(InputError, match=says):
        act(record)
    assert count(record) == before


def test_all_faults_of_a_training_are_told_at_once_and_nothing_is_written(record: Ledger) -> None:
    before = count(record)
    with pytest.raises(InputErrors) as caught:
        train(record, "P-07", a_training(expires=date(2026, 3, 1), judged_on=date(2026, 3, 1), topics=()), by=BY)
    assert {fault.field for fault in caught.value.exceptions} == {"expires", "expires-by", "judged-on", "topic"}
    assert count(record) == before


def test_a_training_ends_only_where_somebody_set_it_and_a_later_one_takes_its_place(record: Ledger) -> None:
    train(record, "P-07", a_training(), by=BY)
    assert state_of(record).due is None
    train(record, "P-07", a_training(expires=date(2027, 3, 2), expires_by="company rule 4"), by=BY)
    assert state_of(record).due == "2027-03-02"
    train(record, "P-07", a_training(on=date(2026, 5, 1)), by=BY)
    assert state_of(record).due is None


def test_whoever_left_can_do_nothing_until_they_are_back(record: Ledger) -> None:
    leave(record, "P-07", date(2026, 4, 1), by=BY)
    assert state_of(record).standing == "left"
    with pytest.raises(InputError, match="left on 2026-04-01"):
        train(record, "P-07", a_training(), by=BY)
    with pytest.raises(InputError, match="nobody comes back before"):
        come_back(record, "P-07", date(2026, 3, 31), by=BY)


def test_coming_back_calls_for_training_unless_somebody_judges_it_adequate(record: Ledger) -> None:
    leave(record, "P-07", date(2026, 4, 1), by=BY)
    come_back(record, "P-07", date(2026, 5, 1), by=BY)
    assert state_of(record).standing == "to train anew"
    leave(record, "P-07", date(2026, 5, 2), by=BY)
    come_back(record, "P-07", date(2026, 5, 3), judged_by="D. Example", by=BY)
    assert [need["on"] for need in open_needs(state_of(record).body)] == ["2026-05-01"]


def test_a_role_ends_when_it_is_said_so(record: Ledger) -> None:
    grant_role(record, "P-07", "competent", grounds="may stop the work", by=BY)
    assert state_of(record).body["roles"]["competent"]["grounds"] == "may stop the work"  # type: ignore[index, call-overload]
    grant_role(record, "P-07", "competent", grounds="", held=False, by=BY)
    assert list(state_of(record).body["roles"]) == ["authorised"]  # type: ignore[arg-type]
    with pytest.raises(InputError, match="does not hold it"):
        grant_role(record, "P-07", "competent", grounds="", held=False, by=BY)


def test_an_unknown_code_offers_the_nearest(record: Ledger) -> None:
    with pytest.raises(InputError, match="did you mean 'P-07'"):
        train(record, "P-70", a_training(), by=BY)


def test_the_state_is_what_all_entries_make_anew(record: Ledger) -> None:
    """The state kept beside the ledger is the fold of the entries, whatever way it came about."""
    number = need_training(record, "P-07", Need(date(2026, 3, 1), "workplace"), by=BY)[0].number
    train(record, "P-07", a_training(answers=(number,)), by=BY)
    sign_off(record, "P-07", SignOff(date(2026, 3, 3), "haul", "not yet", "C. Example"), by=BY)
    leave(record, "P-07", date(2026, 4, 1), by=BY)
    with record.read() as view:
        state = None
        for entry in view.entries(subject="crew/P-07"):
            state = fold(state, entry)
        assert state is not None
        kept = view.state("crew/P-07")
    assert kept is not None
    assert (kept.standing, kept.due, kept.body) == (state.standing, state.due, state.body)


def test_the_lists_of_words_have_sources_and_are_sorted() -> None:
    for words in (topics(), systems(), skills(), triggers()):
        assert list(words) == sorted(words)
        assert all(word.text and word.source.document for word in words.values())


def test_the_triggers_are_those_of_the_rule_and_one_of_our_own() -> None:
    """1926.503(c)(1)-(3)."""
    clauses = {key: word.source.clause for key, word in triggers().items()}
    assert clauses == {"return": "judgement", "systems": "(c)(2)", "understanding": "(c)(3)", "workplace": "(c)(1)"}
