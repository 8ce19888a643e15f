"""Rules of the book's sum; the published sums stand in tests/external/test_clearance_sums.py."""

import numpy as np
import pytest

from ropewright.arrest import Datum, book_clearance, book_free_fall, book_rope_stretch


def test_terms_come_in_the_order_of_the_fall_with_their_sources() -> None:
    book = book_clearance(
        Datum.FEET,
        {"margin": 0.9, "free_fall": 1.8, "deceleration": 1.07},
        {"margin": "the job", "free_fall": "geometry"},
    )
    assert [(t.name, t.source) for t in book.terms] == [
        ("free fall", "geometry"),
        ("deceleration distance", "as given"),
        ("margin", "the job"),
    ]
    assert float(book.total) == pytest.approx(3.77)


def test_sum_says_its_terms_and_from_where_it_counts() -> None:
    book = book_clearance(Datum.FEET, {"free_fall": 1.8, "margin": 0.9})
    assert str(book) == "free fall 1.80 m + margin 0.90 m = 2.70 m below the surface stood on"


def test_d_ring_height_falls_out_below_the_feet() -> None:
    """The feet start that height below the D-ring and end as far below it."""
    common = {"free_fall": 1.8, "deceleration": 1.07, "harness_shift": 0.3, "margin": 0.9}
    feet = book_clearance(Datum.FEET, common)
    ring = book_clearance(Datum.D_RING, {**common, "d_ring_height": 1.5})
    assert float(ring.total) - 1.5 == pytest.approx(float(feet.total))


def test_datum_of_anchor_and_of_d_ring_agree_on_where_the_feet_end() -> None:
    """With the D-ring h below the anchor, free fall is the line less h; both sums must end at the same level."""
    above, line, body = 0.6, 1.8, {"deceleration": 1.07, "harness_shift": 0.3, "d_ring_height": 1.5, "margin": 0.9}
    anchor = book_clearance(Datum.ANCHOR, {"line": line, **body})
    ring = book_clearance(Datum.D_RING, {"free_fall": float(book_free_fall(line, above)), **body})
    assert float(anchor.total) == pytest.approx(float(ring.total) + above)


def test_arrays_add_up_point_by_point() -> None:
    book = book_clearance(Datum.FEET, {"free_fall": [0.5, 1.5], "swing_drop": [0.0, 0.7], "margin": 1.0})
    np.testing.assert_allclose(book.total, [1.5, 3.2])


@pytest.mark.parametrize(
    ("datum", "allowances", "message"),
    [
        (
            Datum.FEET,
            {"free_fall": 1.0, "d_ring_height": 1.5},
            "d_ring_height is no term of a clearance below the surface",
        ),
        (
            Datum.ANCHOR,
            {"free_fall": 1.0, "d_ring_height": 1.5},
            "free_fall is no term of a clearance below the anchor",
        ),
        (Datum.D_RING, {"free_fall": 1.0}, "needs d_ring_height"),
        (Datum.ANCHOR, {"d_ring_height": 1.5}, "needs line"),
        (Datum.FEET, {"free_fall": 1.0, "luck": 1.0}, "luck is no term"),
        (Datum.FEET, {"free_fall": -0.1}, "free_fall must be 0 m or more, got -0.1 m"),
        (Datum.FEET, {"free_fall": 1.0, "margin": np.nan}, "margin must be 0 m or more"),
    ],
)
def test_sum_that_means_nothing_is_refused(datum: Datum, allowances: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        book_clearance(datum, allowances)


def test_stretch_grows_with_the_length_of_rope() -> None:
    np.testing.assert_allclose(book_rope_stretch(4e3, [0.0, 7.5, 15.0], 35e3), [0.0, 6 / 7, 12 / 7])


def test_impossible_stretch_and_fall_are_refused() -> None:
    with pytest.raises(ValueError, match="modulus above 0"):
        book_rope_stretch(4e3, 5.0, 0.0)
    with pytest.raises(ValueError, match="line must be"):
        book_free_fall(-1.0, 0.0)


def test_anchor_far_above_leaves_no_free_fall() -> None:
    assert book_free_fall(2.0, 3.0) == 0.0
