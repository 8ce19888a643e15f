"""Falls, quarantine and release; all gear and people are invented."""

from __future__ import annotations

import pytest
from gear_shelf import act, add, piece

from ropewright.errors import InputError
from ropewright.store.gear_actions import (
    correct,
    give_out,
    put_in_kit,
    quarantine_gear,
    record_fall,
    release_gear,
)
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.ledger import Ledger


def test_gear_that_caught_a_fall_before_it_came_is_quarantined(record: Ledger) -> None:
    tag = add(record, "rope", wear="good", catches="1")
    assert piece(record, tag).standing == "quarantined"
    with pytest.raises(NotAllowedError, match=r"1926\.104 \(a\) never lets"):
        release_gear(record, tag, act(), finding="sound", reason="looked", competent="course")


def test_a_fall_takes_all_that_the_person_had_in_one_write(record: Ledger) -> None:
    kit = add(record, "kit")
    held = [add(record, kind) for kind in ("bag", "rope", "grab", "lanyard")]
    put_in_kit(record, kit, held, act())
    harness, other = add(record, "harness"), add(record, "harness")
    give_out(record, [kit, harness], "P. Sample", "Mill Lane 4", act())
    give_out(record, [other], "Q. Pattern", "Mill Lane 4", act())
    entries = record_fall(record, act(), person="p. sample", note="slipped at the eave")
    assert {entry.subject for entry in entries} == {"gear/R-001", "gear/G-001", "gear/L-001", "gear/H-001"}
    assert entries[0].body["chain"] == ["H-001", "L-001", "R-001"]
    assert [piece(record, tag).standing for tag in (*held, harness, other)] == [
        "issued",
        *(["quarantined"] * 3),
        "quarantined",
        "issued",
    ]


def test_a_person_is_found_by_code_and_by_name(record: Ledger) -> None:
    from ropewright.store.crew_actions import add_person
    from ropewright.store.crew_body import Particulars

    add_person(record, "P-02", Particulars("C. Pattern"), by="A. Example")
    harness, rope = add(record, "harness"), add(record, "rope")
    give_out(record, [harness], "P-02", "Mill Lane 4", act())
    give_out(record, [rope], "c. pattern", "Mill Lane 4", act())
    assert {entry.subject for entry in record_fall(record, act(), person="C. Pattern")} == {"gear/H-001", "gear/R-001"}


def test_a_fall_of_a_kit_takes_its_parts(record: Ledger) -> None:
    kit, rope, bag = add(record, "kit"), add(record, "rope"), add(record, "bag")
    put_in_kit(record, kit, [rope, bag], act())
    assert [entry.subject for entry in record_fall(record, act(), kit=kit)] == ["gear/R-001"]
    assert [entry.subject for entry in record_fall(record, act(), tags=[kit])] == ["gear/R-001"]
    assert piece(record, rope).body["catches"] == 2


def test_a_fall_with_nothing_in_the_chain_is_refused(record: Ledger) -> None:
    with pytest.raises(InputError, match="name the pieces by tag"):
        record_fall(record, act(), person="P. Sample")


def test_only_a_competent_person_releases(record: Ledger) -> None:
    from ropewright.store.crew_actions import add_person, grant_role
    from ropewright.store.crew_body import Particulars

    tag = add(record, "grab")
    record_fall(record, act(on="2026-11-20"), tags=[tag])
    with pytest.raises(InputError, match="only a competent person releases gear"):
        release_gear(record, tag, act("C. Pattern"), finding="locks", reason="no crack")
    with pytest.raises(InputError, match="no release comes before that"):
        release_gear(record, tag, act(on="2026-11-19"), finding="locks", reason="no crack", competent="course")
    add_person(record, "P-02", Particulars("C. Pattern"), roles=("competent",), by="A. Example")
    with pytest.raises(InputError, match=r"no grounds on which C\. Pattern is one"):  # its role alone doesn't count
        release_gear(record, tag, act("C. Pattern"), finding="locks", reason="no crack")
    grant_role(record, "P-02", "competent", grounds="course of 2026", by="A. Example")
    entry = release_gear(record, tag, act("c. pattern"), finding="locks", reason="no crack")[0]
    assert entry.body["competent"] == {"how": "crew record", "person": "P-02", "grounds": "course of 2026"}
    assert entry.body["sources"] == ["29 CFR 1926.502 (d)(19)", "29 CFR 1910.140 (c)(17)"]
    assert piece(record, tag).standing == "in service"


def test_textile_gear_that_arrested_a_fall_comes_back_only_signed_with_both_texts(record: Ledger) -> None:
    tag = add(record, "harness")
    record_fall(record, act(), tags=[tag])
    told = {"finding": "sound", "reason": "low load", "competent": "course"}
    with pytest.raises(NotAllowedError, match=r"retire it\. 29 CFR 1926\.104 \(a\).*1926\.502 \(d\)\(19\)"):
        release_gear(record, tag, act(), **told)
    with pytest.raises(InputError, match="the one who releases it signs"):
        release_gear(record, tag, act(), **told, signed="Somebody Else")
    entry = release_gear(record, tag, act(), **told, signed="A. Example")[0]
    assert entry.body["sources"] == ["29 CFR 1926.104 (a)", "29 CFR 1926.502 (d)(19)", "29 CFR 1910.140 (c)(17)"]


def test_textile_gear_quarantined_without_a_fall_needs_no_signature(record: Ledger) -> None:
    tag = add(record, "harness")
    quarantine_gear(record, [tag], "label unreadable", act())
    release_gear(record, tag, act(), finding="new label", reason="serial known", competent="course")
    assert piece(record, tag).standing == "in service"


def test_a_fall_told_by_correction_quarantines(record: Ledger) -> None:
    tag = add(record, "rope")
    correct(record, tag, {"catches": 1}, "told by the last user", act())
    assert (piece(record, tag).standing, piece(record, tag).body["fallen"]) == ("quarantined", True)


def test_a_correction_brings_nothing_back_from_a_fall(record: Ledger) -> None:
    tag = add(record, "rope")
    record_fall(record, act(), tags=[tag])
    correct(record, tag, {"catches": 0}, "wrong rope", act())
    assert piece(record, tag).standing == "quarantined"
    with pytest.raises(NotAllowedError, match="never lets such gear"):
        release_gear(record, tag, act(), finding="sound", reason="not in the chain", competent="course")


def test_a_fall_of_a_kit_that_is_none_is_refused(record: Ledger) -> None:
    with pytest.raises(InputError, match="it is a grab, not a kit"):
        record_fall(record, act(), kit=add(record, "grab"))
