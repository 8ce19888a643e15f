"""Published sums of clearance, each from the datum it counts from.

- Six-foot lanyard, 18.5 ft: training quiz built on OSHA material, read; the same total quoted from the OSHA Technical
  Manual V-4 by a law page, read second hand.
- Two-metre lanyard, 6.5 m: Safe Work Australia model code, March 2015 revision, through two trade articles; the total
  and the absorber's 1.7 m read, the other terms from memory.
- H = 2 L + 1.75 m, clearance H + 1.0 m: EN 355, EN 363, BS 8437, from memory.
- Free fall from the anchor's height: OSHA Technical Manual V-4, inputs read in mirror fragments.
"""

import pytest

from ropewright.arrest import Datum, book_clearance, book_free_fall

FEET = 0.3048


def test_six_foot_lanyard_from_the_d_ring_level() -> None:
    allowances = {"free_fall": 6, "deceleration": 3.5, "harness_shift": 1, "d_ring_height": 5, "margin": 3}
    book = book_clearance(Datum.D_RING, {name: feet * FEET for name, feet in allowances.items()})
    assert float(book.total) / FEET == pytest.approx(18.5, rel=1e-9)


def test_six_foot_lanyard_from_an_anchor_at_d_ring_height_is_the_same_sum() -> None:
    """Lanyard, absorber, a worker six feet tall (the D-ring's five feet and one of shift), safety."""
    allowances = {"line": 6, "deceleration": 3.5, "harness_shift": 1, "d_ring_height": 5, "margin": 3}
    book = book_clearance(Datum.ANCHOR, {name: feet * FEET for name, feet in allowances.items()})
    assert float(book.total) / FEET == pytest.approx(18.5, rel=1e-9)


def test_two_metre_lanyard_from_the_anchor() -> None:
    """The worker's 1.8 m stands for D-ring height and shift together."""
    book = book_clearance(Datum.ANCHOR, {"line": 2.0, "deceleration": 1.7, "d_ring_height": 1.8, "margin": 1.0})
    assert float(book.total) == pytest.approx(6.5, rel=1e-9)


def test_european_arrest_distance_below_the_feet() -> None:
    """A lanyard tied at the feet falls twice its length."""
    arrest = book_clearance(Datum.FEET, {"free_fall": 2 * 2.0, "deceleration": 1.75})
    clearance = book_clearance(Datum.FEET, {"free_fall": 2 * 2.0, "deceleration": 1.75, "margin": 1.0})
    assert float(arrest.total) == pytest.approx(5.75, rel=1e-9)
    assert float(clearance.total) == pytest.approx(6.75, rel=1e-9)


@pytest.mark.parametrize(
    ("lanyard", "anchor_above", "free_fall", "total"),
    [(4.0, 0.0, 4.0, 16.5), (6.0, 4.0, 2.0, 14.5)],
    ids=["four feet, anchor at the D-ring", "six feet, anchor four feet above"],
)
def test_free_fall_is_the_lanyard_less_the_anchors_height(
    lanyard: float, anchor_above: float, free_fall: float, total: float
) -> None:
    found = float(book_free_fall(lanyard * FEET, anchor_above * FEET))
    allowances = {"deceleration": 3.5, "harness_shift": 1, "d_ring_height": 5, "margin": 3}
    book = book_clearance(Datum.D_RING, {"free_fall": found} | {name: feet * FEET for name, feet in allowances.items()})
    assert found / FEET == pytest.approx(free_fall, rel=1e-9)
    assert float(book.total) / FEET == pytest.approx(total, rel=1e-9)
