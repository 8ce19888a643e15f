import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.errors import InputError
from ropewright.findings import SourceStatus
from ropewright.rope import (
    bend_retention,
    breaking_length,
    circumference_strength,
    double_braid_nylon,
    least_rope,
    sheathed_core_figures,
    table_mass,
    table_strength,
    three_strand,
)

INCH = 0.0254


@pytest.mark.parametrize("table", ["reference_pages", "distributor"])
def test_thicker_rope_of_one_fibre_is_stronger_and_heavier(table):
    for sizes in three_strand(table).values():
        strengths = [size.strength.value.likely for size in sizes]
        masses = [size.mass.value.likely for size in sizes if size.mass]
        assert strengths == sorted(strengths)
        assert masses == sorted(masses)


@pytest.mark.parametrize("fibre", ["nylon", "polypropylene", "manila"])
def test_the_two_tables_agree_within_five_percent(fibre):
    """They are independent printings of ordinary rope; 26 % would mean an average among minimums."""
    pages = {size.diameter: size.strength.value.likely for size in three_strand("reference_pages")[fibre]}
    for size in three_strand("distributor")[fibre]:
        if size.diameter in pages:
            assert size.strength.value.likely == pytest.approx(pages[size.diameter], rel=0.05)


@pytest.mark.parametrize(
    ("fibre", "low", "high"),
    [("nylon", 26, 30), ("polyester", 19, 22), ("polypropylene", 21, 27), ("manila", 9, 11)],
)
def test_breaking_length_of_a_fibre_hardly_moves_with_size(fibre, low, high):
    """Kilometres: nylon 27, polyester 20, polypropylene 22 to 26, manila 9.1 to 10.5.

    Below 1/2 in the mass column for polypropylene is rounded too far to be used.
    """
    for size in three_strand("reference_pages")[fibre]:
        if size.mass and size.diameter >= 0.5 * INCH:
            assert low <= breaking_length(size.strength.value.likely, size.mass.value.likely) / 1000 <= high


@settings(deadline=None, max_examples=60)
@given(st.floats(0.004, 0.05))
def test_laid_rope_never_gets_the_strength_of_a_thicker_size(diameter):
    figure = table_strength("nylon", "laid", diameter)
    if figure is None:
        assert diameter < 0.25 * INCH
    else:
        assert all(
            figure.value.likely < size.strength.value.likely
            for size in three_strand("reference_pages")["nylon"]
            if size.diameter > diameter
        )


def test_a_millimetre_label_is_a_rounding_of_an_inch_size():
    """12 mm is sold for 1/2 in, 12.7 mm: taken at its word it gets the strength of 7/16 in."""
    assert table_strength("nylon", "laid", 0.012).value.likely == pytest.approx(4320 * 4.4482216, rel=1e-6)
    assert table_strength("nylon", "laid", 0.016).value.likely == pytest.approx(8910 * 4.4482216, rel=1e-6)


def test_sheathed_core_goes_by_diameter_squared_inside_what_was_tested():
    figure = table_strength("polyester", "kernmantle", 0.011)
    assert (figure.value.low, figure.value.high) == (pytest.approx(0.22e9 * 0.011**2), pytest.approx(0.29e9 * 0.011**2))
    assert table_strength("polyester", "kernmantle", 0.006) is None
    assert table_strength("polyester", "kernmantle", 0.020) is None


def test_the_band_of_sheathed_core_holds_every_row_it_was_made_from():
    band = sheathed_core_figures()["low-stretch/strength over diameter squared"].value
    for key, figure in sheathed_core_figures().items():
        if key.endswith("/strength") and not key.startswith("accessory"):
            millimetres = float(key.split("/")[1].split(" mm")[0])
            assert band.low - 0.005e9 <= figure.value.likely / (millimetres / 1000) ** 2 <= band.high + 0.005e9


@pytest.mark.parametrize(
    ("fibre", "construction"), [("aramid", "braided"), ("nylon", "double braid"), ("sisal", "laid")]
)
def test_no_table_means_no_figure(fibre, construction):
    assert table_strength(fibre, construction, 0.012) is None
    assert table_mass(fibre, construction, "static", 0.012) is None


def test_mass_is_that_of_the_next_size_up():
    assert table_mass("nylon", "laid", "static", 0.0127).value.likely == pytest.approx(0.094)
    assert table_mass("nylon", "laid", "static", 0.0128).value.likely == pytest.approx(0.119)
    assert table_mass("nylon", "laid", "static", 0.050) is None


def test_low_stretch_rope_is_lighter_than_dynamic_of_its_size():
    low, dynamic = (table_mass("nylon", "sheathed core", s, 0.0105).value.likely for s in ("static", "dynamic"))
    assert low < dynamic


def test_double_braid_table_is_read_as_averages_with_one_row_mended():
    sizes = double_braid_nylon()
    assert len(sizes) == 7
    mended = [size for size in sizes if size.stiffness.source.status is SourceStatus.DERIVED]
    assert [round(size.diameter / INCH, 2) for size in mended] == [1.8]


def test_the_seamanship_rule_knows_four_fibres():
    assert circumference_strength("aramid", 0.0127) is None
    manila, polyester = (circumference_strength(f, 0.0127).value.likely for f in ("manila", "polyester"))
    assert polyester == pytest.approx(2 * manila)


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(["fibre", "wire"]), st.floats(0.05, 60), st.floats(1, 2))
def test_a_gentler_bend_never_leaves_less(kind, ratio, more):
    tight, gentle = bend_retention(ratio, kind).value, bend_retention(ratio * more, kind).value
    assert tight.low <= gentle.low + 1e-12
    assert tight.likely <= gentle.likely + 1e-12
    assert 0 < tight.low <= tight.likely <= tight.high <= 1


def test_a_bend_between_two_rows_is_read_on_the_logarithm():
    """Between 1 (50 %) and 2 (65 %) the middle is at the square root of 2."""
    assert bend_retention(2**0.5, "wire").value.likely == pytest.approx(0.575)
    assert bend_retention(100.0, "wire").value.likely == 0.95


def test_a_bend_ratio_must_be_above_zero():
    with pytest.raises(ValueError, match="above 0"):
        bend_retention(0.0, "fibre")


def test_least_rope_needs_a_known_knot_and_a_real_rope():
    with pytest.raises(InputError, match="knot type: got '99_1'"):
        least_rope("99_1", 0.011)
    with pytest.raises(ValueError, match="diameter"):
        least_rope("3_1", 0.0)
