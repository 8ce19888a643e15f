"""Strength as rigged: what holds for every rope, and what each step and trigger does."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright import rope
from ropewright.errors import InputError
from ropewright.findings import Source, SourceStatus, Verdict
from ropewright.quantity import Range
from ropewright.rope import EndKind, Figure, rigged_strength, terminations, working_load

STRENGTHS = st.lists(st.floats(0.0, 1e6), min_size=3, max_size=3).map(lambda found: Range(*sorted(found)))
STATES = st.sampled_from(rope.condition_names())
RIGS = st.fixed_dictionaries(
    {
        "strength_basis": st.sampled_from(rope.basis_names()),
        "termination": st.sampled_from(rope.termination_names()),
        "fibre": st.sampled_from(rope.fibre_names()),
        "construction": st.sampled_from(rope.construction_names()),
        "condition": st.tuples(STATES, st.sampled_from(["", " wet", " dry"])).map("".join),
        "edge": st.sampled_from([True, False, None]),
        "bend_ratio": st.none() | st.floats(0.1, 50.0),
        "rule_knot_retention": st.none() | st.floats(0.05, 1.0),
    }
)
checked = settings(deadline=None, max_examples=120)


def rig(strength=24000.0, **changes):
    told = {
        "strength_basis": "maker's minimum",
        "termination": "rated assembly",
        "fibre": "polyester",
        "construction": "sheathed core",
        "condition": "new, dry",
        "edge": False,
    }
    return rigged_strength(Range.exact(strength), **{**told, **changes})


def no_stronger(weaker, stronger):
    return weaker.low <= stronger.low and weaker.likely <= stronger.likely and weaker.high <= stronger.high


def step(chain, name):
    return next(found for found in chain.steps if found.name == name)


@checked
@given(STRENGTHS, RIGS)
def test_no_step_raises_a_rope(strength, told):
    chain = rigged_strength(strength, **told)
    before = strength
    for found in chain.steps:
        assert no_stronger(found.left, before)
        before = found.left
    assert chain.left == before


@checked
@given(STRENGTHS, RIGS)
def test_what_is_left_is_the_product_of_the_factors(strength, told):
    chain = rigged_strength(strength, **told)
    for end in ("low", "likely", "high"):
        product = getattr(strength, end) * math.prod(getattr(found.factor, end) for found in chain.steps)
        assert getattr(chain, end) == pytest.approx(product, rel=1e-12, abs=1e-300)


@checked
@given(STRENGTHS, RIGS, st.sampled_from(rope.condition_names()))
def test_wetter_is_never_stronger(strength, told, state):
    dry, maybe, wet = (
        rigged_strength(strength, **{**told, "condition": state + water}) for water in (" dry", "", " wet")
    )
    assert no_stronger(wet, maybe)
    assert no_stronger(maybe, dry)


@checked
@given(STRENGTHS, RIGS)
def test_older_is_never_stronger(strength, told):
    ropes = [rigged_strength(strength, **{**told, "condition": c}) for c in ("new", "good", "worn", "fallen-on")]
    for younger, older in pairwise(ropes):
        assert no_stronger(older, younger)


@checked
@given(STRENGTHS, RIGS, st.sampled_from(rope.termination_names()))
def test_an_end_is_never_stronger_than_the_line_rated_with_it(strength, told, end):
    plain = rigged_strength(strength, **{**told, "termination": "rated assembly"})
    assert no_stronger(rigged_strength(strength, **{**told, "termination": end}), plain)


@checked
@given(STRENGTHS, RIGS, st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_a_stricter_rule_on_knots_never_leaves_more(strength, told, one, other):
    strict, loose = (rigged_strength(strength, **{**told, "rule_knot_retention": r}) for r in sorted((one, other)))
    free = rigged_strength(strength, **{**told, "rule_knot_retention": None})
    assert no_stronger(strict, loose)
    assert no_stronger(loose, free)


@checked
@given(STRENGTHS, RIGS)
def test_an_edge_never_helps_and_not_knowing_is_never_better_than_none(strength, told):
    bare, unknown, none = (rigged_strength(strength, **{**told, "edge": edge}) for edge in (True, None, False))
    assert no_stronger(bare, unknown)
    assert no_stronger(unknown, none)


@checked
@given(STRENGTHS, RIGS)
def test_what_is_not_called_a_minimum_is_taken_down(strength, told):
    minimum = rigged_strength(strength, **{**told, "strength_basis": "batch minimum"})
    for basis in ("average", "unknown"):
        assert no_stronger(rigged_strength(strength, **{**told, "strength_basis": basis}), minimum)


@checked
@given(STRENGTHS, RIGS)
def test_every_step_says_where_it_comes_from(strength, told):
    for found in rigged_strength(strength, **told).steps:
        assert found.source.document
        assert found.formula


def test_a_new_dry_rope_rated_with_its_ends_keeps_all():
    assert rig().left == Range.exact(24000.0)
    assert rig().settles


def test_steps_come_in_the_order_of_the_books():
    chain = rig(fibre="nylon", condition="good", termination="bowline", bend_ratio=4.0, edge=True)
    names = [found.name for found in chain.steps]
    assert names == ["minimum breaking strength as new", "wet", "condition and age", "termination", "bend", "edge"]


def test_nylon_that_may_get_wet_is_counted_so_at_its_low_end_alone():
    chain = rig(fibre="nylon", condition="new")
    assert step(chain, "wet").factor == Range(0.75, 1.0, 1.0)
    assert "may get wet" in chain.assumed[0]


def test_polyester_has_no_wet_step():
    assert [found.name for found in rig(condition="new, wet").steps] == [
        "minimum breaking strength as new",
        "termination",
    ]


@pytest.mark.parametrize(
    ("condition", "verdict", "left"),
    [
        ("fallen-on", Verdict.FAILS, Range.exact(0.0)),
        ("damaged", Verdict.FAILS, Range.exact(0.0)),
        ("unknown", Verdict.ASK, Range(0.0, 0.0, 24000.0)),
    ],
)
def test_a_retire_trigger_acts_before_any_number(condition, verdict, left):
    chain = rig(condition=f"{condition} dry")
    assert chain.standing is verdict
    assert chain.left == left
    assert not chain.settles


def test_fallen_on_rope_cites_the_rule_that_takes_it_out():
    (trigger,) = rig(condition="fallen-on").triggers
    assert str(trigger.source) == "29 CFR 1926.502 (d)(19)"


def test_worn_rope_asks_for_a_competent_person():
    (trigger,) = rig(condition="worn").triggers
    assert trigger.verdict is Verdict.ASK
    assert "competent person" in trigger.reason


def test_wet_alone_is_taken_as_good_and_said():
    chain = rig(condition="wet")
    assert step(chain, "condition and age").inputs["condition"] == "good"
    assert any("taken as in use and good" in text for text in chain.assumed)


def test_an_average_is_taken_down_and_an_unknown_basis_is_asked_too():
    assert rig(strength_basis="average").as_new.high < 24000.0
    assert rig(strength_basis="batch minimum").as_new == Range.exact(24000.0)
    assert rig(strength_basis="average").standing is Verdict.HOLDS
    assert rig(strength_basis="unknown").standing is Verdict.ASK


def test_the_rules_word_caps_a_knot_and_settles_it():
    """29 CFR 1926 Subpart M App C II(h)(3): a knot can cost 50 % or more."""
    free, capped = (rig(termination="figure-eight loop", rule_knot_retention=r) for r in (None, 0.5))
    assert free.left == Range(12000.0, 14400.0, 18480.0)
    assert capped.left == Range.exact(12000.0)
    assert str(step(capped, "termination").source) == "29 CFR 1926 Subpart M App C II(h)(3)"
    assert not free.settles
    assert capped.settles


def test_a_packs_own_share_for_knots_carries_the_packs_source():
    source = Source("site rules", "4.2")
    chain = rig(termination="bowline", rule_knot_retention=0.4, rule_source=source)
    assert chain.left == Range.exact(9600.0)
    assert step(chain, "termination").source == source


@pytest.mark.parametrize("end", ["sewn eye", "eye splice", "rated assembly"])
def test_the_rules_word_on_knots_leaves_splices_and_sewn_eyes_alone(end):
    assert rig(termination=end, rule_knot_retention=0.5).left == rig(termination=end).left


def test_a_documented_share_takes_the_place_of_table_and_rule():
    share = Figure("maker's sheet", Range.exact(0.8), "-", Source("maker's sheet", "p. 2", SourceStatus.USER))
    chain = rig(termination="sewn eye", documented=share, rule_knot_retention=0.5)
    assert chain.left == Range.exact(19200.0)
    assert chain.settles


def test_a_documented_share_above_one_is_refused():
    share = Figure("sheet", Range.exact(1.2), "-", Source("sheet", "p. 2", SourceStatus.USER))
    with pytest.raises(InputError, match="give the share of strength left, 0 to 1"):
        rig(documented=share)


@pytest.mark.parametrize(
    ("end", "verdict"),
    [
        ("sliding hitch", Verdict.FAILS),
        ("one-and-one hitch", Verdict.FAILS),
        ("reef knot", Verdict.ASK),
        ("sheet bend", Verdict.ASK),
        ("double fisherman's bend", Verdict.ASK),
        ("unknown", Verdict.ASK),
        ("eye splice", Verdict.ASK),
        ("figure-eight loop", Verdict.HOLDS),
    ],
)
def test_ends_that_need_a_word_first(end, verdict):
    assert rig(termination=end).standing is verdict


def test_an_eye_splice_in_laid_rope_needs_no_word():
    assert rig(termination="eye splice", construction="laid").standing is Verdict.HOLDS


def test_sewn_eyes_rest_on_memory_and_settle_nothing():
    assert not rig(termination="sewn eye").settles


def test_knots_in_slippery_fibre_leave_less():
    slippery = rig(termination="figure-eight loop", fibre="HMPE")
    assert slippery.high == pytest.approx(0.40 * 24000.0)
    assert rig(termination="sewn eye", fibre="HMPE").left == rig(termination="sewn eye").left


def test_an_unknown_fibre_may_be_slippery():
    chain = rig(termination="figure-eight loop", fibre="unknown")
    assert step(chain, "termination").factor == Range(0.35, 0.60, 0.77)


def test_a_bare_edge_leaves_three_tenths():
    """29 CFR 1926 Subpart M App C II(h)(4): as much as 70 % lost round a beam's edge."""
    chain = rig(edge=True)
    assert chain.left.is_exact
    assert chain.likely == pytest.approx(7200.0)
    assert chain.standing is Verdict.ASK


def test_nobody_knowing_of_an_edge_is_asked():
    chain = rig(edge=None)
    assert (chain.low, chain.high) == (pytest.approx(7200.0), 24000.0)
    assert "bare edge" in chain.triggers[0].reason


def test_all_ends_can_be_rigged_with_numbers_that_stay_below_the_rope():
    for end in terminations().values():
        assert rig(termination=end.name).high <= 24000.0
        assert end.kind in EndKind


@pytest.mark.parametrize("field", ["strength_basis", "termination", "fibre", "construction", "condition"])
def test_an_unknown_word_names_its_field(field):
    with pytest.raises(InputError, match=rf"^{field}: got 'zzz'"):
        rig(**{field: "zzz"})


@pytest.mark.parametrize("strength", [Range(-1.0, 0.0, 1.0), Range(0.0, 1.0, math.inf)])
def test_an_impossible_strength_is_a_programming_mistake(strength):
    with pytest.raises(ValueError, match="finite and 0 N or more"):
        working_load(strength)


@pytest.mark.parametrize("retention", [0.0, -0.5, 1.5])
def test_an_impossible_rule_is_a_programming_mistake(retention):
    with pytest.raises(ValueError, match="rule_knot_retention"):
        rig(termination="bowline", rule_knot_retention=retention)


def test_sources_and_formula_of_the_chain_are_those_of_its_steps():
    chain = rig(termination="bowline", condition="worn")
    assert {found.source for found in chain.steps} <= set(chain.sources)
    assert chain.formula == "strength told x minimum breaking strength as new x condition and age x termination"


def test_working_load_is_a_tenth_to_a_fifth_of_the_least_strength():
    """Common practice, no source: 500 lbf for a rope of 5,000 lbf at the low end."""
    load = working_load(Range(5000.0, 6000.0, 7000.0))
    assert (load.low, load.high) == (500.0, 1000.0)
    assert load.source.status is SourceStatus.PRACTICE


@pytest.mark.parametrize("share", [(0.2, 0.1), (0.0, 0.1), (0.1, 1.1)])
def test_working_load_refuses_shares_out_of_order_or_range(share):
    with pytest.raises(ValueError, match="share must be"):
        working_load(Range.exact(5000.0), share)
