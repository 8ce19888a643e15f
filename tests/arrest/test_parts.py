"""What a chain of parts may be, and the rope that works behind an edge."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.arrest import Chain, effective_length


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("mass", 0.0, "mass must be above 0 and finite, got 0"),
        ("mass", -80.0, "mass must be above 0 and finite, got -80"),
        ("free_fall", -0.1, "free_fall must be 0 or more and finite, got -0.1"),
        ("stiffness", np.inf, "stiffness must be above 0 and finite, got inf"),
        ("stiffness", np.nan, "stiffness must be above 0 and finite, got nan"),
        ("fast_stiffness", np.inf, "fast_stiffness must be 0 or more and finite"),
        ("grab_slip_force", 0.0, "grab_slip_force must be above 0, got 0"),
        ("absorber_length", -1.0, "absorber_length must be 0 or more, got -1"),
        ("anchor_stiffness", 0.0, "anchor_stiffness must be above 0, got 0"),
    ],
)
def test_impossible_part_is_named_with_its_value(field: str, value: float, message: str) -> None:
    fields = {"mass": 100.0, "free_fall": 1.0, "stiffness": 1e4, field: value}
    with pytest.raises(ValueError, match=message):
        Chain(**fields)


def test_bad_value_among_good_ones_is_the_one_shown() -> None:
    with pytest.raises(ValueError, match="got -2"):
        Chain(mass=100.0, free_fall=[1.0, -2.0, 3.0], stiffness=1e4)


def test_shapes_that_do_not_fit_are_refused() -> None:
    with pytest.raises(ValueError, match="broadcast"):
        Chain(mass=[80.0, 90.0], free_fall=[1.0, 2.0, 3.0], stiffness=1e4)
    with pytest.raises(ValueError, match="one axis"):
        Chain(mass=[[80.0, 90.0]], free_fall=1.0, stiffness=1e4)


def test_absorber_needs_both_force_and_length() -> None:
    chain = Chain(100.0, 1.0, 1e4, absorber_force=[4e3, 4e3, 0.0], absorber_length=[1.0, 0.0, 1.0])
    assert chain.parts.has_absorber.tolist() == [True, False, False]


def test_part_weaker_than_the_weight_cannot_hold() -> None:
    chain = Chain(
        100.0, 1.0, 1e4, absorber_force=[900.0, 4e3, 0.0], absorber_length=1.0, grab_slip_force=[9e3, 900.0, 900.0],
        grab_slip_length=[0.3, 0.3, 0.0],
    )  # fmt: skip
    assert chain.parts.can_hold.tolist() == [False, False, True]
    assert chain.parts.ends.all(), "it gives way, but runs out"


def test_weak_part_without_end_stops_nothing() -> None:
    assert Chain(100.0, 1.0, 1e4, absorber_force=900.0, absorber_length=np.inf).parts.ends.tolist() == [False]


lengths = st.floats(0.0, 30.0)


@given(near=lengths, far=lengths, turn=st.floats(0.0, 4.0), friction=st.floats(0.0, 2.0))
def test_working_rope_lies_between_the_near_part_and_all_of_it(
    near: float, far: float, turn: float, friction: float
) -> None:
    length = float(effective_length(near, far, turn, friction))
    assert near <= length <= near + far


def test_without_friction_all_rope_works_and_with_much_only_the_near_part() -> None:
    assert effective_length(2.0, 6.0, np.pi / 2, [0.0, 100.0]) == pytest.approx([8.0, 2.0])


@pytest.mark.parametrize("bad", [-1.0, np.nan])
def test_impossible_lengths_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="0 or more"):
        effective_length(1.0, bad, 0.5, 0.3)
