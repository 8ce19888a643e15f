import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright import rope
from ropewright.errors import InputError
from ropewright.findings import SourceStatus
from ropewright.quantity import Range
from ropewright.rope import edge_friction, friction_figure, stiffness_of, stretch_under

WORDS = st.tuples(
    st.sampled_from(rope.fibre_names()),
    st.sampled_from(rope.construction_names()),
    st.sampled_from(rope.stretch_names()),
)
DIAMETERS = st.floats(0.005, 0.04)
STRENGTHS = st.none() | st.floats(1e3, 2e5).map(Range.exact)
checked = settings(deadline=None, max_examples=100)


def near(low, likely, high):
    """Range as a tuple that floats may miss by their last digits."""
    return pytest.approx((low, likely, high))


def ends(found):
    return found.low, found.likely, found.high


def spans(outer, inner):
    return outer.low <= inner.low and inner.high <= outer.high


@checked
@given(WORDS, DIAMETERS, STRENGTHS, st.sampled_from(rope.condition_names()))
def test_every_rope_has_a_positive_stiffness_and_its_catch_is_no_softer(words, diameter, strength, condition):
    found = stiffness_of(*words, diameter, strength, condition=condition)
    assert found.static.low > 0
    assert found.static.likely <= found.arrest.likely
    assert found.static.high <= found.arrest.high
    assert found.sls.e1.low > 0
    assert found.sls.e2.low >= 0
    assert found.sls.tau.low > 0
    assert found.basis.split(":")[0] in ("table", "scaled", "widest")


@checked
@given(WORDS, DIAMETERS, STRENGTHS)
def test_use_and_water_only_widen(words, diameter, strength):
    new, used = (stiffness_of(*words, diameter, strength, condition=c) for c in ("new dry", "worn wet"))
    assert spans(used.arrest, new.arrest)
    assert spans(used.static, new.static)
    assert used.arrest.likely == new.arrest.likely


@checked
@given(WORDS, DIAMETERS, STRENGTHS)
def test_a_rope_that_nobody_knows_spans_every_new_rope_of_its_size(words, diameter, strength):
    known = stiffness_of(*words, diameter, strength, condition="new dry")
    unknown = stiffness_of("unknown", "unknown", "unknown", diameter, strength)
    assert spans(unknown.static, known.static)
    assert spans(unknown.arrest, known.arrest)
    for wide, narrow in zip(unknown.sls, known.sls, strict=True):
        assert spans(wide, narrow)


def test_diameter_does_not_move_dynamic_rope():
    """Correlation of diameter with peak force over 101 ropes is 0.20."""
    thin, thick = (stiffness_of("nylon", "sheathed core", "dynamic", d, condition="new dry") for d in (0.009, 0.011))
    assert thin.arrest == thick.arrest
    assert thin.basis.startswith("table")


def test_low_stretch_rope_is_scaled_by_its_section_and_stays_as_wide_as_the_table():
    table = stiffness_of("nylon", "sheathed core", "low-stretch", 0.01075, condition="new dry")
    thick = stiffness_of("nylon", "sheathed core", "static", 0.0125, condition="new dry")
    assert ends(table.static) == near(20e3, 28e3, 49e3)
    assert ends(table.arrest) == near(26e3, 35e3, 61e3)
    assert thick.arrest.likely == pytest.approx(35e3 * (12.5 / 10.75) ** 2)
    assert thick.arrest.low == 26e3
    assert thick.arrest.high > 61e3
    assert thick.basis.startswith("scaled")


def test_damped_constants_of_the_tables_come_through_unscaled():
    dynamic = stiffness_of("nylon", "sheathed core", "dynamic", 0.010, condition="new dry").sls
    assert dynamic == (Range(8e3, 10e3, 13e3), Range(19e3, 22e3, 25e3), Range(0.25, 0.4, 0.5))
    low_stretch = stiffness_of("nylon", "sheathed core", "low-stretch", 0.01075, condition="new dry").sls
    assert [ends(part) for part in low_stretch] == [near(20e3, 28e3, 40e3), near(10e3, 20e3, 30e3), near(0.1, 0.2, 0.5)]


def test_polyester_sheathed_core_is_only_raised_at_its_high_end():
    nylon, polyester = (
        stiffness_of(f, "sheathed core", "static", 0.011, condition="new dry") for f in ("nylon", "PES")
    )
    assert polyester.static.low == nylon.static.low
    assert polyester.static.likely == nylon.static.likely
    assert polyester.static.high > nylon.static.high


def test_laid_rope_goes_by_its_strength_where_that_is_known():
    by_size = stiffness_of("polyester", "laid", "static", 0.016, condition="new dry")
    by_strength = stiffness_of("polyester", "laid", "static", 0.016, Range.exact(35e3), condition="new dry")
    assert by_size.static == Range(90e3, 120e3, 170e3)
    assert by_strength.static.likely == pytest.approx(3.0 * 35e3)
    assert spans(by_strength.static, by_size.static)


def test_wet_or_maybe_wet_nylon_may_be_softer_in_a_hang():
    dry, maybe = (stiffness_of("nylon", "laid", "static", 0.016, condition=c) for c in ("new dry", "new"))
    assert maybe.static.low < dry.static.low
    assert maybe.sls.e1.low <= maybe.static.low
    polyester = [stiffness_of("polyester", "laid", "static", 0.016, condition=c).static for c in ("new dry", "new")]
    assert polyester[0] == polyester[1]


def test_used_rope_may_be_stiffer_in_a_catch():
    new, used = (stiffness_of("nylon", "kernmantle", "dynamic", 0.010, condition=c) for c in ("new", "good"))
    assert used.arrest.high == pytest.approx(1.23 * new.arrest.high)
    assert used.sls.e2.high > new.sls.e2.high


@pytest.mark.parametrize(
    ("stretch", "ratio"), [("dynamic", Range(1.47, 2.19, 2.81)), ("static", Range(1.0, 1.25, 2.2))]
)
def test_a_given_stiffness_is_used_as_it_is(stretch, ratio):
    found = stiffness_of("nylon", "sheathed core", stretch, 0.011, given=Range(30e3, 35e3, 40e3))
    assert found.arrest == Range(30e3, 35e3, 40e3)
    assert ends(found.static) == near(30e3 / ratio.high, 35e3 / ratio.likely, 40e3 / ratio.low)
    assert found.status is SourceStatus.USER
    assert found.basis.startswith("given")


def test_what_fits_nothing_gets_the_widest_range_and_says_so():
    found = stiffness_of("cotton", "braided", "unknown", 0.012)
    assert found.basis.startswith("widest")
    assert found.status is SourceStatus.JUDGEMENT
    assert found.static.low <= 8e3 * 1.0
    assert found.arrest.high >= 170e3


def test_fibres_that_hardly_stretch_go_by_their_strength():
    weak, strong = (stiffness_of("HMPE", "braided", "static", 0.012, Range.exact(s)) for s in (50e3, 100e3))
    assert strong.static.high == pytest.approx(33.3 * 100e3)
    assert strong.static.high > weak.static.high
    assert stiffness_of("HMPE", "braided", "static", 0.012).static.high > 1e6


@pytest.mark.parametrize("given_stiffness", [Range.exact(2e7), Range(1e4, 2e4, 2e7), Range(0.0, 1e4, 2e4)])
def test_a_stiffness_that_no_fibre_has_is_refused(given_stiffness):
    with pytest.raises(InputError, match="stiffness: got"):
        stiffness_of("nylon", "laid", "static", 0.011, given=given_stiffness)


@pytest.mark.parametrize(("diameter", "strength"), [(0.0, None), (-1.0, None), (0.01, Range(0.0, 1.0, 2.0))])
def test_impossible_sizes_are_programming_mistakes(diameter, strength):
    with pytest.raises(ValueError, match="must be above 0"):
        stiffness_of("nylon", "laid", "static", diameter, strength)


@checked
@given(st.floats(0, 1e5), st.floats(0, 200), st.floats(1e3, 1e6), st.floats(1, 3), st.floats(1, 3))
def test_stretch_grows_with_force_and_length_and_falls_with_stiffness(force, length, low, more, most):
    ea = Range(low, low * more, low * more * most)
    stretch = stretch_under(force, length, ea)
    assert stretch.low <= stretch.likely <= stretch.high
    assert stretch_under(2 * force, length, ea).high == pytest.approx(2 * stretch.high)
    assert stretch_under(force, 2 * length, ea).high == pytest.approx(2 * stretch.high)
    assert stretch.likely == pytest.approx(force * length / ea.likely)


def test_stretch_refuses_what_is_impossible():
    with pytest.raises(ValueError, match="0 or more"):
        stretch_under(-1.0, 1.0, Range.exact(1.0))
    with pytest.raises(ValueError, match="stiffness must be above 0"):
        stretch_under(1.0, 1.0, Range(0.0, 1.0, 2.0))


@pytest.mark.parametrize("surface", rope.surface_names())
def test_friction_on_an_unknown_surface_spans_every_surface(surface):
    for wet in (None, False):
        assert spans(edge_friction("unknown", wet=wet), edge_friction(surface, wet=wet))


def test_friction_is_only_widened_where_it_may_be_wet():
    dry, maybe, wet = (edge_friction("timber", wet=w) for w in (False, None, True))
    assert spans(maybe, dry)
    assert maybe == wet
    assert maybe.likely == dry.likely


def test_friction_says_how_it_is_known():
    assert friction_figure("timber").source.status is SourceStatus.DERIVED
    assert friction_figure("shingle").source.status is SourceStatus.JUDGEMENT
    assert friction_figure("unknown").source.status is SourceStatus.JUDGEMENT


def test_an_unknown_surface_name_is_refused():
    with pytest.raises(InputError, match=r"surface: got 'cheese'"):
        edge_friction("cheese")
