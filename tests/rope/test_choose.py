"""Choosing rope: what speaks for and against each kind, and that no weak source lets one be fit.

Limits: 29 CFR 1926.502(d)(9), 5,000 lbf as new, and (d)(14), no natural fibre; WAC 296-24-29429(2), fibre-rope slings
from -20 F to 180 F; US Army TB 55-1900-232-10 App. C, polypropylene softens at about 300 F; UFC 4-159-03 Table 6-8
note, wet nylon: all read.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from ropewright.errors import InputError
from ropewright.findings import SEVERITY, Source, SourceStatus, Verdict
from ropewright.quantity import Range
from ropewright.rope.choose import Choice, Kind, Setting, choose, generic_kinds
from ropewright.rope.harms import CHEMICALS, chemical_answer, heat_answer, sun_answer, wet_answer
from ropewright.rope.names import fibre_names
from ropewright.rope.tables import Figure, Grade
from ropewright.rope.today import RuleFigure

LBF = 4.4482216152605
NEEDED = RuleFigure(5000 * LBF, Source("29 CFR 1926.502", "(d)(9)"))
SETTING = Setting(0.011, grab=(0.010, 0.012), needed=NEEDED)
STATIC_NYLON = Kind("nylon", "sheathed core", "static")


def told(force: float) -> Figure:
    return Figure("own", Range.exact(force), "N", Source("data sheet", "", SourceStatus.USER))


def verdict(choice: Choice, key: str) -> Verdict:
    return next(answer.verdict for answer in choice.answers if answer.key.startswith(key))


@pytest.mark.parametrize(("pounds", "word"), [(5000, "fit"), (4999, "unfit")])
def test_own_rope_is_held_against_the_rule_to_the_pound(pounds: float, word: str) -> None:
    assert choose([STATIC_NYLON], SETTING, strength=told(pounds * LBF))[0].word == word


def test_no_generic_rope_is_fit_by_a_table_of_a_weak_source() -> None:
    found = choose(generic_kinds(), SETTING)
    assert {choice.word for choice in found} == {"ask", "unfit"}
    assert all(verdict(choice, "strength") is not Verdict.HOLDS for choice in found)


def test_table_of_a_weak_source_still_fails_a_rope_under_the_rule() -> None:
    """Three-strand nylon of 3/8 in breaks at 3,240 lbf in the reference pages: under 5,000 lbf."""
    assert verdict(choose([Kind("nylon", "laid", "unknown")], SETTING)[0], "strength") is Verdict.FAILS


def test_fittest_comes_first() -> None:
    found = choose(generic_kinds(), replace(SETTING, wet=True, chemicals=("acid",)))
    order = [SEVERITY[choice.verdict] for choice in found]
    assert order == sorted(order)
    assert found[0].word == "ask"


@pytest.mark.parametrize(
    ("diameter", "expected"),
    [(0.010, "holds"), (0.012, "holds"), (0.0099, "fails"), (0.0121, "fails")],
)
def test_rope_outside_the_grab_s_marking_is_unfit(diameter: float, expected: str) -> None:
    assert verdict(choose([STATIC_NYLON], replace(SETTING, diameter=diameter))[0], "grab").value == expected


def test_grab_that_nobody_told_is_asked_for_a_lifeline_alone() -> None:
    assert verdict(choose([STATIC_NYLON], Setting(0.011))[0], "grab") is Verdict.ASK
    lanyard = choose([STATIC_NYLON], Setting(0.011, use="lanyard"))[0]
    assert not [answer for answer in lanyard.answers if answer.key == "grab"]


@pytest.mark.parametrize("kind", generic_kinds(["manila"]))
def test_natural_fibre_is_unfit_whatever_its_strength(kind: Kind) -> None:
    assert choose([kind], SETTING, strength=told(100e3))[0].word == "unfit"


@pytest.mark.parametrize(
    ("fibre", "temperature", "expected"),
    [
        ("nylon", 82.2, "holds"),
        ("nylon", 82.3, "ask"),
        ("nylon", -29.0, "ask"),
        ("nylon", 215.0, "fails"),
        ("polypropylene", 120.0, "fails"),
        ("polyester-polyolefin", 120.0, "fails"),
        ("high-modulus polyethylene", 40.0, "ask"),
        ("high-modulus polyethylene", 144.0, "fails"),
    ],
)
def test_heat_by_the_sling_rule_and_the_fibre_s_own_figure(fibre: str, temperature: float, expected: str) -> None:
    assert heat_answer(fibre, temperature).verdict.value == expected


def test_temperature_is_told_in_both_units() -> None:
    assert "82.2 degC (180 degF)" in heat_answer("nylon", 90.0).reason


@pytest.mark.parametrize("chemical", CHEMICALS)
@pytest.mark.parametrize("fibre", fibre_names())
def test_memory_alone_never_says_that_a_fibre_stands_a_chemical(fibre: str, chemical: str) -> None:
    assert chemical_answer(fibre, chemical).verdict in (Verdict.ASK, Verdict.FAILS)


def test_what_harms_a_part_harms_the_rope() -> None:
    mixed = "nylon core with polyester sheath"
    assert chemical_answer(mixed, "acid").verdict is Verdict.FAILS  # the nylon
    assert chemical_answer(mixed, "alkali").verdict is Verdict.FAILS  # the polyester


@pytest.mark.parametrize("fibre", fibre_names())
def test_no_time_in_the_sun_is_called_safe(fibre: str) -> None:
    assert sun_answer(fibre).verdict is Verdict.ASK
    assert "No time in the sun was found to be safe" in sun_answer(fibre).reason


def test_wet_nylon_is_doubtful_by_a_read_figure() -> None:
    answer = wet_answer("nylon")
    assert (answer.verdict, answer.grade) == (Verdict.DOUBTFUL, Grade.A)
    assert "75%" in answer.reason


def test_unknown_chemical_names_those_known() -> None:
    with pytest.raises(InputError, match="'acid', 'alkali', 'bleach', 'solvent'"):
        chemical_answer("nylon", "paint")


def test_one_strength_is_never_shared_by_several_kinds() -> None:
    with pytest.raises(InputError, match="one fibre, construction and stretch class"):
        choose(generic_kinds(), SETTING, strength=told(30e3))


def test_diameter_must_be_above_zero() -> None:
    with pytest.raises(ValueError, match="above 0 m"):
        choose([STATIC_NYLON], Setting(0.0))
