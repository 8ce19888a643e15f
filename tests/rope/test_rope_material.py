import pytest

from ropewright import rope
from ropewright.errors import InputError
from ropewright.findings import SEVERITY, SourceStatus, Verdict, worst
from ropewright.rope import suitability


def verdict_of(*words, **told):
    return worst(answer.verdict for answer in suitability(*words, **told))


@pytest.mark.parametrize("fibre", ["nylon", "polyester", "nylon core with polyester sheath"])
def test_a_static_sheathed_core_of_nylon_or_polyester_suits(fibre):
    assert verdict_of(fibre, "kernmantle", "static") is Verdict.HOLDS


@pytest.mark.parametrize("fibre", ["manila", "sisal", "cotton", "hemp", "coir"])
def test_natural_fibre_fails_by_both_rules(fibre):
    """29 CFR 1926.502(d)(14) and 1910.140(c)(15)."""
    failing = [str(a.source) for a in suitability(fibre, "laid", "static") if a.verdict is Verdict.FAILS]
    assert failing == ["29 CFR 1926.502 (d)(14)", "29 CFR 1910.140 (c)(15)"]


def test_dynamic_is_doubtful_and_never_fails():
    answers = suitability("nylon", "sheathed core", "dynamic")
    (stretch,) = [a for a in answers if a.key.startswith("stretch/")]
    assert stretch.verdict is Verdict.DOUBTFUL
    assert stretch.source.status is SourceStatus.PRACTICE


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (("nylon", "sheathed core", "static"), ("polyethylene", "sheathed core", "static")),
        (("nylon", "sheathed core", "static"), ("nylon", "laid", "static")),
        (("nylon", "sheathed core", "static"), ("nylon", "sheathed core", "dynamic")),
        (("polyester", "sheathed core", "static"), ("aramid", "sheathed core", "static")),
    ],
    ids=["nylon above polyolefin", "sheathed core above laid", "static above dynamic", "polyester above aramid"],
)
def test_practice_ranks_ropes(better, worse):
    assert SEVERITY[verdict_of(*better)] < SEVERITY[verdict_of(*worse)]


@pytest.mark.parametrize(("inhibitor", "verdict"), [(True, Verdict.HOLDS), (False, Verdict.FAILS), (None, Verdict.ASK)])
def test_polypropylene_needs_an_inhibitor_against_sunlight(inhibitor, verdict):
    """29 CFR 1910.140(c)(15)."""
    answers = suitability("polypropylene", "sheathed core", "static", uv_inhibitor=inhibitor)
    (sunlight,) = [a for a in answers if a.key.startswith("sunlight/")]
    assert sunlight.verdict is verdict
    assert str(sunlight.source) == "29 CFR 1910.140 (c)(15)"


@pytest.mark.parametrize("inhibitor", [False, None])
def test_a_composite_that_may_hold_polypropylene_is_asked(inhibitor):
    assert verdict_of("polyester-polyolefin", "laid", "static", uv_inhibitor=inhibitor) is Verdict.ASK


def test_nylon_is_not_asked_about_its_inhibitor():
    assert not [a for a in suitability("nylon", "laid", "static") if a.key.startswith("sunlight/")]


@pytest.mark.parametrize("fibre", ["aramid", "HMPE", "LCP"])
def test_fibres_that_hardly_stretch_are_asked_for_force_and_heat(fibre):
    (answer,) = [a for a in suitability(fibre, "sheathed core", "static") if a.key.startswith("fibre/")]
    assert answer.verdict is Verdict.ASK
    assert "force" in answer.reason
    assert "heat" in answer.reason


@pytest.mark.parametrize(
    "words", [("unknown", "laid", "static"), ("nylon", "unknown", "static"), ("nylon", "laid", "unknown")]
)
def test_what_nobody_knows_is_asked(words):
    assert verdict_of(*words) is Verdict.ASK


def test_every_word_known_is_answered():
    for fibre in rope.fibre_names():
        for construction in rope.construction_names():
            for stretch in rope.stretch_names():
                answers = suitability(fibre, construction, stretch)
                assert {a.key.split("/")[0] for a in answers} >= {"fibre", "construction", "stretch"}
                assert all(a.reason and a.source.document for a in answers)


def test_a_lanyard_is_judged_by_its_fibre_alone():
    assert [a.key for a in suitability("nylon", "laid", "dynamic", use="lanyard")] == ["fibre/polyamide"]


def test_unknown_words_offer_the_nearest():
    with pytest.raises(InputError, match="did you mean 'sheathed core'"):
        suitability("nylon", "kernmantel rope", "static")
    with pytest.raises(InputError, match=r"use: got 'towing'; give one of 'vertical lifeline', 'lanyard'"):
        suitability("nylon", "laid", "static", use="towing")
