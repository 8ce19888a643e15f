"""Whether gear may be on a job, and what a rope of the record is worth; all gear is invented.

The single losses have their sources in tests/external/test_rope_strength_sources.py; here they are read off the state.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from gear_shelf import TODAY, Shelf, act, add, all_ok, yearly
from hypothesis import given
from hypothesis import strategies as st

from ropewright.findings import Verdict
from ropewright.store.gear_actions import (
    correct,
    cut,
    destroy,
    give_out,
    inspect,
    put_in_kit,
    re_end,
    record_fall,
    release_gear,
    retire,
    return_gear,
)
from ropewright.store.gear_fitness import fitness, kit_fitness
from ropewright.store.gear_rope import CutPiece
from ropewright.store.gear_strength import rope_today, service_of, working_end
from ropewright.store.gear_use import Override, Use

ROPE = {
    "fibre": "polyester",
    "construction": "kernmantle",
    "stretch": "static",
    "length_m": "60 m",
    "strength_n": "30 kN",
    "strength_basis": "maker's minimum",
    "end_1": "rated assembly",
    "made": "2026-01-01",
    "life_by_age": "10 years",
}


def verdict(shelf: Shelf, tag: str, today: date = TODAY) -> Verdict:
    return fitness(shelf.known[f"gear/{tag}"], today).verdict


def reasons(shelf: Shelf, tag: str, today: date = TODAY) -> str:
    return " | ".join(reason.text for reason in fitness(shelf.known[f"gear/{tag}"], today).reasons)


def test_known_gear_in_order_holds_without_a_reason() -> None:
    shelf = Shelf()
    for tag in (add(shelf, "rope", **ROPE), add(shelf, "grab"), add(shelf, "bag")):
        assert (verdict(shelf, tag), reasons(shelf, tag)) == (Verdict.HOLDS, "")


def test_whatever_is_out_of_service_fails_with_why() -> None:
    shelf = Shelf()
    fallen, old, gone = (add(shelf, "harness") for _ in range(3))
    record_fall(shelf, act(), tags=[fallen])
    retire(shelf, [old], "webbing faded", act())
    destroy(shelf, [gone], "cut up", act())
    assert [verdict(shelf, tag) for tag in (fallen, old, gone)] == [Verdict.FAILS] * 3
    assert "took a fall on 2026-11-28" in reasons(shelf, fallen)
    assert "webbing faded" in reasons(shelf, old)
    assert str(fitness(shelf.known[f"gear/{fallen}"], TODAY).reasons[0].source) == "29 CFR 1926.502 (d)(19)"


def test_late_gear_fails_from_the_day_after_it_was_due() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab", on="2026-01-15", intervals=yearly("6 months"))
    assert verdict(shelf, tag, date(2026, 7, 15)) is Verdict.HOLDS
    assert verdict(shelf, tag, date(2026, 7, 16)) is Verdict.FAILS


def test_an_override_turns_a_late_inspection_into_a_question_till_the_gear_is_back() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab", on="2026-01-15", intervals=yearly("6 months"))
    give_out(shelf, [tag], "P-07", "Mill Lane 4", act(), override=Override("D. Boss", "no other"))
    assert (verdict(shelf, tag), "D. Boss let it out" in reasons(shelf, tag)) == (Verdict.ASK, True)
    return_gear(shelf, [tag], Use(1, 0.0), act())
    assert verdict(shelf, tag) is Verdict.FAILS


def test_an_override_says_nothing_of_what_comes_due_later() -> None:
    shelf = Shelf()
    tag = add(shelf, "grab", on="2026-01-15", intervals=yearly("6 months"), interval="1 year")
    give_out(shelf, [tag], "P-07", "Mill Lane 4", act(), override=Override("D. Boss", "no other"))
    assert verdict(shelf, tag, date(2027, 1, 15)) is Verdict.ASK
    assert verdict(shelf, tag, date(2027, 1, 16)) is Verdict.FAILS


def test_no_override_lengthens_a_life() -> None:
    shelf = Shelf()
    tag = add(shelf, "harness", made="2010", life_by_age="10 years")
    give_out(shelf, [tag], "P-07", "Mill Lane 4", act(), override=Override("D. Boss", "no other"))
    assert (verdict(shelf, tag), "Its life ended 2020-01-01" in reasons(shelf, tag)) == (Verdict.FAILS, True)


def test_what_nobody_told_must_be_asked() -> None:
    shelf = Shelf()
    tag = add(shelf, "harness", life_by_age=" ")
    assert (verdict(shelf, tag), "service life" in reasons(shelf, tag)) == (Verdict.ASK, True)


def test_natural_fibre_is_never_fit() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", **{**ROPE, "fibre": "manila"})
    assert (verdict(shelf, tag), "Natural fibre" in reasons(shelf, tag)) == (Verdict.FAILS, True)


def test_rope_signed_back_after_a_fall_must_be_asked_about() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", **ROPE)
    record_fall(shelf, act(), tags=[tag])
    told = {"finding": "sound", "reason": "low load", "competent": "course", "signed": "A. Example"}
    release_gear(shelf, tag, act(), **told)
    chain = rope_today(shelf.piece(tag), TODAY, edge=False)
    assert chain is not None
    assert (verdict(shelf, tag), chain.standing) == (Verdict.ASK, Verdict.ASK)
    assert str(chain.triggers[0].source) == "29 CFR 1926.104 (a)"


def test_a_kit_is_as_fit_as_its_worst_part() -> None:
    shelf = Shelf()
    kit, rope, grab = add(shelf, "kit"), add(shelf, "rope", **ROPE), add(shelf, "grab")
    states = shelf.known
    assert kit_fitness(states[f"gear/{kit}"], [], TODAY).verdict is Verdict.FAILS
    put_in_kit(shelf, kit, [rope, grab], act())
    parts = [f"gear/{rope}", f"gear/{grab}"]
    ready = kit_fitness(shelf.known[f"gear/{kit}"], [shelf.known[part] for part in parts], TODAY)
    assert ready.verdict is Verdict.HOLDS
    retire(shelf, [grab], "spring broken", act())
    unready = kit_fitness(shelf.known[f"gear/{kit}"], [shelf.known[part] for part in parts], TODAY)
    assert unready.verdict is Verdict.FAILS
    assert unready.reasons[0].text.startswith("G-001: It is retired")


def test_new_rope_with_a_rated_end_has_its_minimum_strength_and_no_more() -> None:
    shelf = Shelf()
    chain = rope_today(shelf.piece(add(shelf, "rope", **ROPE)), TODAY, edge=False)
    assert chain is not None
    assert chain.high == pytest.approx(30e3)
    assert chain.standing is Verdict.HOLDS


def test_rope_whose_strength_nobody_told_has_none_to_show() -> None:
    shelf = Shelf()
    assert rope_today(shelf.piece(add(shelf, "rope")), TODAY) is None
    with pytest.raises(ValueError, match="is a grab, not a rope"):
        rope_today(shelf.piece(add(shelf, "grab")), TODAY)


def test_rope_of_unknown_history_is_worth_nothing_till_somebody_looked() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", **ROPE, wear=" ")
    chain = rope_today(shelf.piece(tag), TODAY, edge=False)
    assert chain is not None
    assert (chain.low, chain.likely) == (0.0, 0.0)
    inspect(shelf, tag, all_ok("rope"), act())
    looked = rope_today(shelf.piece(tag), TODAY, edge=False)
    assert looked is not None
    assert looked.standing is Verdict.ASK  # whether it caught a fall is still not told


def test_a_fall_and_a_found_cut_act_before_any_number() -> None:
    shelf = Shelf()
    fallen, cut_rope = add(shelf, "rope", **ROPE), add(shelf, "rope", **ROPE)
    record_fall(shelf, act(), tags=[fallen])
    inspect(shelf, cut_rope, all_ok("rope", cuts="fault"), act())
    for tag in (fallen, cut_rope):
        chain = rope_today(shelf.piece(tag), TODAY, edge=False)
        assert chain is not None
        assert (chain.standing, chain.high) == (Verdict.FAILS, 0.0)


def test_cut_ends_count_as_unknown_till_they_are_made() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", **ROPE)
    cut(shelf, tag, [CutPiece(None, 30.0), CutPiece(None, 30.0)], act())
    assert working_end(shelf.piece("R-002").told) == "unknown"
    re_end(shelf, "R-002", 1, "sewn eye", act(), taken=0.5)
    assert working_end(shelf.piece("R-002").told) == "sewn eye"


def test_the_weaker_end_counts() -> None:
    assert working_end({"end_1": "sewn eye", "end_2": "overhand loop"}) == "overhand loop"


def test_an_hour_in_the_sun_counts_no_less_than_its_share_of_the_year() -> None:
    """Half the hours of a year are light, so a share by them is the least that an hour in the sun can be."""
    shelf = Shelf()
    tag = add(shelf, "rope", on="2026-11-01", **ROPE)
    give_out(shelf, [tag], "P-07", "Mill Lane 4", act(on="2026-11-10"))
    return_gear(shelf, [tag], Use(2, 10 * 3600.0), act(on="2026-11-12"))
    outdoors = service_of(shelf.piece(tag), TODAY).outdoors
    assert outdoors is not None
    assert outdoors >= 2 * 10 * 3600.0


def test_days_out_with_no_hours_told_count_day_and_night() -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", on="2026-11-01", **ROPE)
    give_out(shelf, [tag], "P-07", "Mill Lane 4", act(on="2026-11-10"))
    return_gear(shelf, [tag], Use(), act(on="2026-11-12"))
    assert service_of(shelf.piece(tag), TODAY).outdoors == 3 * 86400.0


@given(
    strength=st.floats(5, 60),
    uses=st.integers(0, 300),
    hours=st.integers(0, 3000),
    wear=st.sampled_from(["good", "worn"]),
    years=st.integers(0, 30),
    end=st.sampled_from(["bowline", "sewn eye", "eye splice", "rated assembly", "unknown"]),
    fibre=st.sampled_from(["nylon", "polyester", "polypropylene", "unknown"]),
)
def test_no_history_raises_a_rope_above_its_books(
    strength: float, uses: int, hours: int, wear: str, years: int, end: str, fibre: str
) -> None:
    shelf = Shelf()
    told = {
        **ROPE,
        "strength_n": f"{strength:.3f} kN",
        "uses": str(uses),
        "sun_s": f"{hours} h",
        "catches": "0",
        "wear": wear,
        "made": (TODAY - timedelta(days=365 * years)).isoformat(),
        "end_1": end,
        "fibre": fibre,
    }
    piece = shelf.piece(add(shelf, "rope", **told))
    chain = rope_today(piece, TODAY, rule_knot_retention=0.5)
    assert chain is not None
    assert 0 <= chain.low <= chain.likely <= chain.high <= piece.told["strength_n"]


@given(st.integers(0, 2000), st.integers(1, 2000))
def test_more_sun_never_leaves_more_strength(hours: int, more: int) -> None:
    shelf = Shelf()
    tag = add(shelf, "rope", **{**ROPE, "wear": "good", "uses": "5", "catches": "0", "sun_s": f"{hours} h"})
    before = rope_today(shelf.piece(tag), TODAY, edge=False)
    correct(shelf, tag, {"sun_s": (hours + more) * 3600.0}, "logged too little", act())
    after = rope_today(shelf.piece(tag), TODAY, edge=False)
    assert before is not None
    assert after is not None
    assert after.low <= before.low
    assert after.high <= before.high
