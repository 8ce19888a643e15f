"""Issue, return and what stands in the way of them; all gear and people are invented."""

from __future__ import annotations

import pytest
from gear_shelf import act, add, count, piece, yearly

from ropewright.errors import InputError, InputErrors
from ropewright.store.gear_actions import (
    destroy,
    give_out,
    quarantine_gear,
    record_fall,
    retire,
    return_gear,
    start_use,
)
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_use import Override, Use
from ropewright.store.ledger import Ledger


def test_first_issue_is_first_use(record: Ledger) -> None:
    tag, other = add(record, "rope", on="2026-11-01"), add(record, "rope", on="2026-11-01")
    start_use(record, [other], act(on="2026-11-05"))
    give_out(record, [tag, other], "P-07", "Mill Lane 4", act(on="2026-11-10"))
    assert [piece(record, one).body["first_use"] for one in (tag, other)] == ["2026-11-10", "2026-11-05"]


def test_issue_names_person_and_job(record: Ledger) -> None:
    tag = add(record, "rope")
    for to, job, match in (("", "x", "say who gets it"), ("x", " ", "say for which job")):
        with pytest.raises(InputError, match=match):
            give_out(record, [tag], to, job, act())


def test_use_is_counted_at_return(record: Ledger) -> None:
    tag = add(record, "rope", on="2026-11-01")
    give_out(record, [tag], "P-07", "Mill Lane 4", act(on="2026-11-10"))
    return_gear(record, [tag], Use(2, 9 * 3600.0), act(on="2026-11-12"))
    body = piece(record, tag).body
    assert (body["uses"], body["sun_s"], body["wear"], body["holder"]) == (2, 32400, "good", None)


def test_use_that_nobody_told_counts_as_every_day_out(record: Ledger) -> None:
    tag = add(record, "rope", on="2026-11-01")
    give_out(record, [tag], "P-07", "Mill Lane 4", act(on="2026-11-10"))
    return_gear(record, [tag], Use(), act(on="2026-11-12"))
    body = piece(record, tag).body
    assert (body["uses"], body["sun_s"], body["days_out"]) == (3, 0, 3)


@pytest.mark.parametrize(
    ("use", "match"), [(Use(4), "give 0 to 3"), (Use(1, 73 * 3600.0), "give 0 to 72 hours"), (Use(-1), "give 0 to 3")]
)
def test_no_more_use_than_days_out(record: Ledger, use: Use, match: str) -> None:
    tag = add(record, "rope", on="2026-11-01")
    give_out(record, [tag], "P-07", "Mill Lane 4", act(on="2026-11-10"))
    with pytest.raises(InputError, match=match):
        return_gear(record, [tag], use, act(on="2026-11-12"))


def test_nobody_returns_what_nobody_has(record: Ledger) -> None:
    tag = add(record, "rope")
    quarantine_gear(record, [tag], "acid", act())
    with pytest.raises(NotAllowedError, match="nobody has it"):
        return_gear(record, [tag], Use(), act())


def test_gear_back_from_quarantine_stays_there(record: Ledger) -> None:
    tag = add(record, "harness")
    give_out(record, [tag], "P-07", "Mill Lane 4", act())
    record_fall(record, act(), tags=[tag])
    return_gear(record, [tag], Use(1, 0.0), act())
    assert (piece(record, tag).standing, piece(record, tag).holder) == ("quarantined", None)


def test_a_fault_told_at_return_quarantines(record: Ledger) -> None:
    tag = add(record, "harness")
    give_out(record, [tag], "P-07", "Mill Lane 4", act())
    return_gear(record, [tag], Use(1, 0.0), act(), fault="strap cut")
    assert piece(record, tag).body["quarantine"]["why"] == "returned with a fault: strap cut"


def test_late_gear_goes_out_only_with_a_named_override_that_is_an_entry(record: Ledger) -> None:
    tag = add(record, "rope", on="2025-01-15", intervals=yearly())
    with pytest.raises(NotAllowedError, match="Its inspection was due 2026-01-15"):
        give_out(record, [tag], "P-07", "Mill Lane 4", act())
    for nameless in (Override("", "no other"), Override("D. Boss", " ")):
        with pytest.raises(InputError, match="override"):
            give_out(record, [tag], "P-07", "Mill Lane 4", act(), override=nameless)
    entries = give_out(record, [tag], "P-07", "Mill Lane 4", act(), override=Override("D. Boss", "no other"))
    assert [entry.kind for entry in entries] == ["gear.overridden", "gear.issued"]
    assert (entries[0].body["who"], entries[0].body["why"]) == ("D. Boss", "no other")


@pytest.mark.parametrize("out", ["quarantined", "retired", "destroyed"])
def test_no_override_lets_out_what_is_out_of_service(record: Ledger, out: str) -> None:
    tag = add(record, "rope")
    {"quarantined": quarantine_gear, "retired": retire, "destroyed": destroy}[out](record, [tag], "old", act())
    with pytest.raises(NotAllowedError, match=f"{tag} is {out}"):
        give_out(record, [tag], "P-07", "Mill Lane 4", act(), override=Override("D. Boss", "no other"))


def test_one_piece_in_the_way_stops_the_whole_issue(record: Ledger) -> None:
    good, late, worse = (
        add(record, "rope"),
        add(record, "grab", on="2024-01-01", intervals=yearly()),
        add(record, "bag"),
    )
    retire(record, [worse], "torn", act())
    before = count(record)
    with pytest.raises(InputErrors) as faults:
        give_out(record, [good, late, worse], "P-07", "Mill Lane 4", act())
    assert [fault.field for fault in faults.value.exceptions] == [late, worse]
    assert count(record) == before


def test_natural_fibre_is_unfit_and_goes_out_only_with_a_named_override(record: Ledger) -> None:
    tag = add(record, "rope", fibre="manila")
    with pytest.raises(NotAllowedError, match="R-001 is unfit: Natural fibre"):
        give_out(record, [tag], "P-07", "Mill Lane 4", act())
    entries = give_out(record, [tag], "P-07", "Mill Lane 4", act(), override=Override("D. Boss", "tag line for loads"))
    assert entries[0].kind == "gear.overridden"


def test_nothing_is_used_before_it_was_made(record: Ledger) -> None:
    tag = add(record, "grab", on="2026-06-01", made="2026-05")
    for action in (lambda on: start_use(record, [tag], on), lambda on: give_out(record, [tag], "P", "x", on)):
        with pytest.raises(InputError, match="G-001 was made on 2026-05-01"):
            action(act(on="2026-04-30"))


def test_of_many_who_take_one_piece_at_once_one_gets_it(record: Ledger) -> None:
    from concurrent.futures import ThreadPoolExecutor

    tag = add(record, "harness")

    def takes(person: str) -> bool:
        try:
            return bool(give_out(record, [tag], person, "Mill Lane 4", act()))
        except NotAllowedError:
            return False

    with ThreadPoolExecutor(8) as threads:
        people = [f"P-{number:02d}" for number in range(8)]
        got = [person for person, has in zip(people, threads.map(takes, people), strict=True) if has]
    assert got == [piece(record, tag).holder]
