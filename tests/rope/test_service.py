"""What service does to a rope: it never raises it, more is never better, and what takes it out comes first.

Figures: nylon webbing 50 % to 60 % lost in 36 months, polyester webbing level at about 30 % lost, of an exposure study
of web slings (read second hand); polyester rope 10 % in two years and polypropylene 25 % to 50 % lost by two years,
trade articles (read); line on deck about 30 % in two years, US Navy training manual 14160 (read).
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError
from ropewright.findings import Verdict
from ropewright.quantity import Range
from ropewright.rope import StrengthChain, fibres, rigged_strength
from ropewright.rope.service import FOUND, YEAR, Service, canonical_found, service_losses

SOUND = Service(outdoors=0.0, days_used=0.0, catches=0, age=YEAR)


def judged(service: Service | None, fibre: str = "nylon", condition: str = "new, dry") -> StrengthChain:
    return rigged_strength(
        Range.exact(30e3), strength_basis="maker's minimum", termination="rated assembly", fibre=fibre,
        construction="sheathed core", condition=condition, edge=False, service=service,
    )  # fmt: skip


def outdoors(fibre: str, years: float) -> Range:
    losses = service_losses(fibres()[fibre], Service(outdoors=years * YEAR, catches=0, age=YEAR))
    return losses[-1].factor if losses else Range.exact(1.0)


def test_sound_rope_loses_nothing() -> None:
    assert judged(SOUND).left == Range.exact(30e3)
    assert judged(SOUND).standing is Verdict.HOLDS


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(sorted(fibres())), st.floats(0.0, 20.0), st.floats(0.01, 5.0))
def test_more_weather_never_leaves_more(fibre: str, years: float, more: float) -> None:
    one, later = outdoors(fibre, years), outdoors(fibre, years + more)
    assert 0.0 <= later.low <= one.low <= 1.0
    assert later.likely <= one.likely + 1e-12
    assert later.high <= one.high + 1e-12


def test_weather_gives_the_published_figures() -> None:
    nylon, polyester = outdoors("nylon", 3.0), outdoors("polyester", 2.0)
    assert (nylon.low, nylon.high) == (pytest.approx(0.40, abs=0.005), pytest.approx(0.50, abs=0.005))
    assert polyester.high == pytest.approx(0.90)
    assert polyester.low == pytest.approx(0.70, abs=0.005)
    assert outdoors("polypropylene", 1.0) == Range(0.5, 0.625, 0.75)
    assert outdoors("polypropylene", 3.0).low == pytest.approx(0.1)
    assert outdoors("manila", 2.0) == Range.exact(0.7)


def test_fibre_without_a_figure_is_taken_at_the_worst_and_asked() -> None:
    factor = outdoors("aramid", 1.0)
    assert factor.low == min(outdoors(fibre, 1.0).low for fibre in ("nylon", "polyester", "polypropylene", "manila"))
    assert judged(Service(outdoors=YEAR, catches=0, age=YEAR), "aramid").standing is Verdict.ASK


@pytest.mark.parametrize("found", sorted(FOUND))
def test_anything_found_takes_it_out_whatever_the_number(found: str) -> None:
    chain = judged(Service(outdoors=0.0, catches=0, age=YEAR, found=(found,)))
    assert chain.standing is Verdict.FAILS
    assert chain.high == 0.0
    assert chain.triggers[0].source.document == "29 CFR 1926 Subpart M App C"


def test_catch_takes_it_out_and_silence_about_catches_is_asked() -> None:
    assert judged(Service(outdoors=0.0, catches=1, age=YEAR)).standing is Verdict.FAILS
    silent = judged(Service(outdoors=0.0, age=YEAR))
    assert (silent.standing, silent.low) == (Verdict.ASK, 0.0)


def test_age_past_the_maker_s_life_takes_it_out() -> None:
    assert judged(Service(outdoors=0.0, catches=0, age=6 * YEAR, life=5 * YEAR)).standing is Verdict.FAILS
    assert judged(Service(outdoors=0.0, catches=0, age=5 * YEAR, life=5 * YEAR)).standing is Verdict.HOLDS
    assert judged(Service(outdoors=0.0, catches=0, age=11 * YEAR)).standing is Verdict.ASK
    assert judged(Service(outdoors=0.0, catches=0)).standing is Verdict.ASK


def test_long_use_counts_as_worn_and_is_asked() -> None:
    used = Service(outdoors=0.0, days_used=101.0, catches=0, age=YEAR)
    chain = judged(used, condition="good, dry")
    worn = judged(None, condition="worn, dry")
    assert chain.low == pytest.approx(worn.low)
    assert chain.standing is Verdict.ASK
    assert judged(Service(outdoors=0.0, days_used=100.0, catches=0, age=YEAR)).standing is Verdict.HOLDS


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 10), st.integers(0, 300), st.floats(0, 15))
def test_service_never_raises_a_rope(years: float, days: int, age: float) -> None:
    chain = judged(Service(outdoors=years * YEAR, days_used=days, catches=0, age=age * YEAR))
    assert chain.left.high <= 30e3
    assert all(later.left.low <= before.left.low for before, later in zip(chain.steps, chain.steps[1:], strict=False))


def test_nothing_about_service_is_negative() -> None:
    with pytest.raises(ValueError, match="negative"):
        service_losses(fibres()["nylon"], Service(outdoors=-1.0))


def test_unknown_find_names_what_is_known() -> None:
    assert canonical_found("Core-Seen", "--found") == "core seen"
    with pytest.raises(InputError, match="glazing"):
        canonical_found("dirty", "--found")
