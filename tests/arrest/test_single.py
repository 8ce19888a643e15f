"""One fall answered by simulation and by the book."""

import pytest

from ropewright.arrest import CatchError, Chain, one_fall


def test_total_fall_is_free_fall_lock_and_greatest_extension() -> None:
    fall = one_fall(Chain(100.0, 1.8, 5e3, grab_lock=0.15))
    assert fall.free_fall == pytest.approx(1.95)
    assert fall.total_fall == pytest.approx(1.95 + fall.number("stop_distance"))


def test_book_and_simulation_agree_on_a_plain_rope() -> None:
    fall = one_fall(Chain(100.0, 1.8, 5e3))
    assert float(fall.book.total) == pytest.approx(fall.total_fall, rel=2e-5)
    assert fall.book_force == pytest.approx(fall.number("peak_force"), rel=2e-5)


def test_book_counts_the_whole_absorber_and_the_whole_slide() -> None:
    fall = one_fall(
        Chain(
            100.0,
            1.8,
            5e3,
            grab_lock=0.1,
            grab_slip_force=5e3,
            grab_slip_length=0.3,
            absorber_force=4e3,
            absorber_length=1.1,
        )
    )
    assert {t.name: float(t.value) for t in fall.book.terms} == pytest.approx(
        {
            "free fall": 1.8,
            "travel of the rope grab": 0.4,
            "deceleration distance": 1.1,
            "stretch of the rope at the arrest force": 0.8,
        }
    )
    assert float(fall.book.total) > fall.total_fall


def test_absorber_too_weak_for_the_weight_is_not_an_arrest() -> None:
    assert not one_fall(Chain(100.0, 1.8, 5e3, absorber_force=600.0, absorber_length=1.0)).arrested


def test_fall_that_nothing_stops_raises() -> None:
    with pytest.raises(CatchError, match="has no end"):
        one_fall(Chain(100.0, 1.8, 5e3, absorber_force=600.0, absorber_length=float("inf")))


def test_several_falls_are_refused() -> None:
    with pytest.raises(ValueError, match="one fall is asked for, got 2"):
        one_fall(Chain(100.0, [1.0, 2.0], 5e3))
