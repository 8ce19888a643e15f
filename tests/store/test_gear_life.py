"""What is decided about gear from purchase to the bin, on a record in a file; all gear and people are invented."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from gear_shelf import act, add, all_ok, yearly

from ropewright.errors import InputError, InputErrors
from ropewright.store.gear_actions import (
    check,
    correct,
    cut,
    destroy,
    give_out,
    inspect,
    put_in_kit,
    quarantine_gear,
    re_end,
    receive,
    record_fall,
    release_gear,
    retire,
    return_gear,
    set_intervals,
    start_use,
    take_out_of_kit,
    wash,
)
from ropewright.store.gear_history import history
from ropewright.store.gear_piece import Act, Piece, known_piece
from ropewright.store.gear_points import read_answers
from ropewright.store.gear_rope import CutPiece
from ropewright.store.gear_steps import NotAllowedError
from ropewright.store.gear_use import Override, Use
from ropewright.store.gear_words import gear_kinds, next_tag, read_tag
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Ledger]:
    with_file = open_record(tmp_path / "record.db")
    yield with_file
    with_file.close()


def piece(record: Ledger, tag: str) -> Piece:
    with record.read() as view:
        return known_piece(view, tag)


def count(record: Ledger) -> int:
    with record.read() as view:
        return view.head().count


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


def test_gear_that_caught_a_fall_before_it_came_is_quarantined(record: Ledger) -> None:
    tag = add(record, "rope", wear="good", catches="1")
    assert piece(record, tag).standing == "quarantined"
    with pytest.raises(NotAllowedError, match=r"1926\.104 \(a\) never lets"):
        release_gear(record, tag, act(), finding="sound", reason="looked", competent="course")


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


def test_a_kit_comes_back_without_the_part_that_was_destroyed(record: Ledger) -> None:
    kit, rope, grab = add(record, "kit"), add(record, "rope"), add(record, "grab")
    put_in_kit(record, kit, [rope, grab], act())
    give_out(record, [kit], "P-07", "Mill Lane 4", act())
    destroy(record, [rope], "cut up on site", act())
    return_gear(record, [kit], Use(1, 0.0), act())
    assert [piece(record, tag).standing for tag in (kit, rope, grab)] == ["in service", "destroyed", "in service"]


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


def test_cut_pieces_have_tags_lengths_and_the_history_of_the_whole(record: Ledger) -> None:
    rope = add(record, "rope", on="2026-11-01", length_m="60 m", fibre="nylon", made="2024-05")
    give_out(record, [rope], "P-07", "Mill Lane 4", act(on="2026-11-02"))
    return_gear(record, [rope], Use(1, 3600.0), act(on="2026-11-02"))
    cut(record, rope, [CutPiece(None, 30.0), CutPiece("R-9", 29.5)], act(), loss=0.5)
    first, second, whole = (piece(record, tag) for tag in ("R-002", "R-9", rope))
    assert (first.length, second.length, whole.standing) == (30, 29.5, "cut up")
    assert (first.body["uses"], first.told["fibre"], first.body["first_use"]) == (1, "nylon", "2026-11-02")
    wash(record, ["R-9"], act())
    with record.read() as view:
        told = [(entry.subject, entry.kind) for entry in history(view, "R-9")]
    assert told[:2] == [("gear/R-001", "gear.received"), ("gear/R-001", "gear.intervals-set")]
    assert ("gear/R-001", "gear.returned") in told
    assert told[-3:] == [("gear/R-001", "gear.cut"), ("gear/R-9", "gear.cut-from"), ("gear/R-9", "gear.washed")]


def test_history_of_a_piece_ends_for_the_rest_of_the_rope_at_the_cut(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    cut(record, rope, [CutPiece("R-A", 20.0)], act(), kept=40.0)
    wash(record, [rope], act())
    cut(record, "R-A", [CutPiece("R-B", 10.0), CutPiece("R-C", 10.0)], act())
    with record.read() as view:
        kinds = [entry.kind for entry in history(view, "R-C")]
    assert "gear.washed" not in kinds
    assert kinds[-4:] == ["gear.cut-off", "gear.cut-from", "gear.cut", "gear.cut-from"]
    assert (piece(record, rope).length, piece(record, rope).standing) == (40, "received")


@pytest.mark.parametrize(
    ("lengths", "loss", "match"),
    [
        ((30.0, 31.0), 5.0, "1.000 m longer than the rope"),
        ((30.0, 29.0), 0.5, "1.000 m are missing"),
        ((60.0,), 0.0, "one rope becomes two or more"),
        ((60.0, 0.0), 0.0, "above 0"),
    ],
)
def test_lengths_of_a_cut_add_up(record: Ledger, lengths: tuple[float, ...], loss: float, match: str) -> None:
    rope = add(record, "rope", length_m="60 m")
    with pytest.raises(InputError, match=match):
        cut(record, rope, [CutPiece(None, length) for length in lengths], act(), loss=loss)


def test_one_piece_may_be_the_rest(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    cut(record, rope, [CutPiece(None, 20.0), CutPiece(None, None)], act(), kept=10.0, loss=0.5)
    assert [piece(record, tag).length for tag in (rope, "R-002", "R-003")] == [10, 20, 29.5]
    with pytest.raises(InputError, match="only one piece can be the rest"):
        cut(record, rope, [CutPiece(None, None), CutPiece(None, None)], act())
    with pytest.raises(InputError, match="the rope has 10 m"):
        cut(record, rope, [CutPiece(None, 11.0), CutPiece(None, None)], act())


def test_cut_refuses_codes_that_are_taken_and_ropes_without_a_length(record: Ledger) -> None:
    rope, other, bare = add(record, "rope", length_m="60 m"), add(record, "rope"), add(record, "grab")
    with pytest.raises(InputError, match=r"R-002.*this code is taken; R-003 is free"):
        cut(record, rope, [CutPiece(other, 30.0), CutPiece(None, 30.0)], act())
    with pytest.raises(InputError, match="two pieces can't have one code"):
        cut(record, rope, [CutPiece("x", 30.0), CutPiece("X", 30.0)], act())
    with pytest.raises(NotAllowedError, match="its length is not told"):
        cut(record, other, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act())
    with pytest.raises(InputError, match="only rope is cut"):
        cut(record, bare, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act())


def test_pieces_of_a_quarantined_rope_are_quarantined(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    record_fall(record, act(), tags=[rope])
    cut(record, rope, [CutPiece("R-A", 20.0), CutPiece("R-B", 40.0)], act())
    with pytest.raises(NotAllowedError, match="never lets such gear"):
        release_gear(record, "R-A", act(), finding="sound", reason="looked", competent="course")


def test_new_end_takes_its_length(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    re_end(record, rope, 1, "eye splice", act(), taken=0.6)
    assert (piece(record, rope).told["end_1"], piece(record, rope).length) == ("eye splice", pytest.approx(59.4))
    with pytest.raises(InputError, match="less than the rope"):
        re_end(record, rope, 1, "eye splice", act(), taken=60.0)


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
    from ropewright.store.crew_actions import add_person
    from ropewright.store.crew_body import Particulars

    tag = add(record, "grab")
    record_fall(record, act(on="2026-11-20"), tags=[tag])
    with pytest.raises(InputError, match="only a competent person releases gear"):
        release_gear(record, tag, act("C. Pattern"), finding="locks", reason="no crack")
    with pytest.raises(InputError, match="no release comes before that"):
        release_gear(record, tag, act(on="2026-11-19"), finding="locks", reason="no crack", competent="course")
    add_person(record, "P-02", Particulars("C. Pattern"), roles=("competent",), by="A. Example")
    entry = release_gear(record, tag, act("c. pattern"), finding="locks", reason="no crack")[0]
    assert entry.body["competent"] == {"how": "crew record", "person": "P-02", "grounds": ""}
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


def test_kits_hold_what_is_in_no_other_kit(record: Ledger) -> None:
    kit, other, rope = add(record, "kit"), add(record, "kit"), add(record, "rope")
    put_in_kit(record, kit, [rope], act())
    assert (piece(record, kit).body["parts"], piece(record, rope).body["kit"]) == ([rope], kit)
    for whole, part, match in (
        (other, rope, "it is in K-001"),
        (other, kit, "can't be part of a kit"),
        (rope, other, "it is a rope, not a kit"),
    ):
        with pytest.raises(InputError, match=match):
            put_in_kit(record, whole, [part], act())
    with pytest.raises(InputError, match="it is not in K-002, which holds nothing"):
        take_out_of_kit(record, other, [rope], act())
    take_out_of_kit(record, kit, [rope], act())
    assert (piece(record, kit).body["parts"], piece(record, rope).body["kit"]) == ([], None)
    with pytest.raises(InputError, match="this kit holds nothing"):
        give_out(record, [kit], "P-07", "Mill Lane 4", act())


def test_a_kit_goes_out_and_comes_back_with_its_parts(record: Ledger) -> None:
    kit, rope, grab = add(record, "kit"), add(record, "rope"), add(record, "grab")
    put_in_kit(record, kit, [rope, grab], act())
    give_out(record, [kit], "P-07", "Mill Lane 4", act())
    assert [piece(record, tag).standing for tag in (kit, rope, grab)] == ["issued"] * 3
    return_gear(record, [kit], Use(1, 0.0), act())
    assert [piece(record, tag).standing for tag in (kit, rope, grab)] == ["in service"] * 3


def test_a_kit_with_a_part_in_the_way_does_not_go_out(record: Ledger) -> None:
    kit, rope, grab = add(record, "kit"), add(record, "rope"), add(record, "grab")
    put_in_kit(record, kit, [rope, grab], act())
    quarantine_gear(record, [grab], "spring weak", act())
    with pytest.raises(NotAllowedError, match="G-001 is quarantined"):
        give_out(record, [kit], "P-07", "Mill Lane 4", act())
    assert piece(record, rope).standing == "received"


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


def test_notes_and_photos_go_with_an_answer(record: Ledger) -> None:
    grab = gear_kinds()["grab"]
    for told, match in (
        ({"notes": {"locks": "slow"}}, "answer the point 'locks'"),
        ({"photos": {"locks": "ab"}}, "SHA-256"),
    ):
        with pytest.raises(InputError, match=match):
            read_answers(grab, {"locks": "ok"} if "photos" in told else {}, **told)


def test_ends_and_kept_lengths_are_told_as_they_can_be(record: Ledger) -> None:
    rope = add(record, "rope", length_m="60 m")
    with pytest.raises(InputError, match="1 for the working end or 2"):
        re_end(record, rope, 3, "eye splice", act())
    with pytest.raises(InputError, match="keep: got 0"):
        cut(record, rope, [CutPiece(None, 60.0)], act(), kept=0.0)
    with pytest.raises(InputError, match="loss: got -1"):
        cut(record, rope, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act(), loss=-1.0)
    re_end(record, rope, 2, "sewn eye", act())
    assert (piece(record, rope).told["end_2"], piece(record, rope).length) == ("sewn eye", 60)


def test_a_fall_of_a_kit_that_is_none_is_refused(record: Ledger) -> None:
    with pytest.raises(InputError, match="it is a grab, not a kit"):
        record_fall(record, act(), kit=add(record, "grab"))


def test_a_bag_takes_no_intervals(record: Ledger) -> None:
    entries = receive(record, gear_kinds()["bag"], None, {}, act(), intervals=yearly())
    assert [entry.kind for entry in entries] == ["gear.received"]
