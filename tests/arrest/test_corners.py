"""Spread over the corners of ranges."""

from itertools import product

import numpy as np
import pytest

from ropewright.arrest import Chain, PartRanges, catch, catch_corners, effective_length
from ropewright.quantity import Range

FULL = PartRanges(
    mass=Range(85.0, 100.0, 120.0),
    modulus=Range(20e3, 28e3, 40e3),
    fast_modulus=Range(10e3, 20e3, 30e3),
    relaxation_time=Range(0.1, 0.2, 0.5),
    friction=Range(0.2, 0.4, 0.6),
    grab_lock=Range(0.05, 0.15, 0.5),
    grab_slip_force=Range(3e3, 4e3, 5e3),
    grab_slip_length=Range(0.0, 0.3, 0.6),
    absorber_force=Range(3.2e3, 4.4e3, 5.3e3),
    absorber_length=Range(0.3, 0.6, 1.0),
    anchor_stiffness=Range(1e5, 2e5, 1e6),
)


def test_ends_enclose_every_mixture_of_ends() -> None:
    """Inputs that go to their ends together give the same ends as every one going alone: 2^11 falls by themselves."""
    spread = catch_corners(FULL, 1.8, 2.0, 6.0, 0.6)
    names = [n for n in FULL.__dataclass_fields__ if not getattr(FULL, n).is_exact]
    ends = np.array([[getattr(FULL, n).low, getattr(FULL, n).high] for n in names])
    mixed = dict(zip(names, np.array(list(product(*ends))).T, strict=True))
    length = effective_length(2.0, 6.0, 0.6, mixed.pop("friction"))
    springs = {"stiffness": mixed.pop("modulus") / length, "fast_stiffness": mixed.pop("fast_modulus") / length}
    caught = catch(Chain(free_fall=1.8, **mixed, **springs))
    assert spread.corners == 129
    for name in ("peak_force", "stop_distance", "lowest"):
        values, found = getattr(caught, name), getattr(spread, name)
        assert found.high[0] >= values.max() * (1 - 2e-3), name
        assert found.low[0] <= values.min() * (1 + 2e-3), name


def test_likely_case_is_the_catch_of_the_likely_inputs() -> None:
    spread = catch_corners(FULL, [1.0, 2.0], 5.0)
    likely = {name: getattr(FULL, name).likely for name in FULL.__dataclass_fields__}
    del likely["friction"]
    springs = {"stiffness": likely.pop("modulus") / 5.0, "fast_stiffness": likely.pop("fast_modulus") / 5.0}
    caught = catch(Chain(free_fall=[1.0, 2.0], **likely, **springs))
    np.testing.assert_array_equal(spread.peak_force.likely, caught.peak_force)
    np.testing.assert_array_equal(spread.device_travel.likely, caught.absorber_opening + caught.grab_slip)


@pytest.mark.parametrize(
    "name", ["peak_force", "stop_distance", "lowest", "rope_stretch", "stop_time", "hang_extension"]
)
def test_likely_lies_between_the_ends(name: str) -> None:
    spread = getattr(catch_corners(FULL, np.linspace(0.0, 3.0, 9), 1.0, np.linspace(0.0, 12.0, 9), 0.7), name)
    assert (spread.low <= spread.likely * (1 + 1e-9)).all()
    assert (spread.likely <= spread.high * (1 + 1e-9)).all()


def test_exact_inputs_have_no_spread() -> None:
    spread = catch_corners(PartRanges(Range.exact(100.0), Range.exact(35e3)), 1.8, 6.0)
    assert spread.corners == 1
    assert spread.peak_force.low == spread.peak_force.likely == spread.peak_force.high


def test_points_left_out_are_nan_and_the_rest_is_as_without_them() -> None:
    whole = catch_corners(FULL, [1.0, np.nan, 2.0], [4.0, 5.0, np.nan], 3.0, 0.4)
    alone = catch_corners(FULL, 1.0, 4.0, 3.0, 0.4)
    assert np.isnan(whole.peak_force.high).tolist() == [False, True, True]
    assert whole.solved.tolist() == [True, False, False]
    assert whole.peak_force.high[0] == alone.peak_force.high[0]


def test_no_point_at_all_gives_nan() -> None:
    spread = catch_corners(FULL, [np.nan, np.nan], 4.0)
    assert np.isnan(spread.lowest.high).all()


def test_one_corner_without_an_answer_leaves_the_point_without_one() -> None:
    parts = PartRanges(Range(90.0, 100.0, 110.0), Range.exact(35e3), absorber_force=Range(800.0, 4e3, 5e3),
                       absorber_length=Range.exact(np.inf))  # fmt: skip
    spread = catch_corners(parts, 1.0, 5.0)
    assert not spread.solved[0]
    assert not spread.holds[0]
    assert np.isnan(spread.peak_force.high[0])


def test_batches_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    from ropewright.arrest import corners

    falls = np.linspace(0.0, 2.0, 11)
    whole = catch_corners(FULL, falls, 5.0)
    monkeypatch.setattr(corners, "_BATCH", 300)
    pieces = catch_corners(FULL, falls, 5.0)
    np.testing.assert_array_equal(whole.lowest.high, pieces.lowest.high)
    np.testing.assert_array_equal(whole.peak_force.low, pieces.peak_force.low)


def test_rope_behind_an_edge_with_friction_is_stiffer() -> None:
    rubbing = PartRanges(Range.exact(100.0), Range.exact(35e3), friction=Range(0.0, 0.4, 0.6))
    spread = catch_corners(rubbing, 1.8, 1.0, 9.0, np.pi / 2)
    free = catch(Chain(100.0, 1.8, 35e3 / 10.0))
    assert spread.peak_force.low[0] == pytest.approx(free.peak_force[0])
    assert spread.peak_force.high[0] > 1.3 * free.peak_force[0]
    assert spread.stop_distance.high[0] == pytest.approx(free.stop_distance[0])


def test_weak_absorber_that_runs_out_sets_the_high_end() -> None:
    parts = PartRanges(Range.exact(110.0), Range.exact(35e3), absorber_force=Range(2e3, 4e3, 5e3),
                       absorber_length=Range.exact(0.4))  # fmt: skip
    spread = catch_corners(parts, 1.8, 2.0)
    assert spread.bottomed_out[0]
    assert spread.peak_force.high[0] > 5e3
