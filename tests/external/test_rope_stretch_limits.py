"""Stretch of low-stretch rope against the limit of its standard.

EN 1891 allows an elongation of 5 % between 50 kg and 150 kg (from memory, as in the table of stiffness).
"""

from __future__ import annotations

import pytest

from ropewright.rope.stretch import stretch_table


def gain(diameter: float) -> float:
    """Most that low-stretch rope of a diameter stretches from 50 kg to 150 kg, as a share of its length."""

    def hang(mass: float) -> float:
        table = stretch_table(
            fibre="nylon", construction="sheathed core", gives="low-stretch", diameter=diameter, length=1.0, mass=mass,
            condition="new, dry",
        )  # fmt: skip
        return table.rows[-1].hang.high

    return hang(150.0) - hang(50.0)


def test_rope_of_11_mm_stretches_up_to_the_limit() -> None:
    assert gain(0.011) == pytest.approx(0.05, rel=0.05)


@pytest.mark.parametrize("diameter", [0.009, 0.010, 0.0105])
def test_thinner_rope_is_never_taken_as_stiffer_than_the_limit_allows(diameter: float) -> None:
    assert gain(diameter) >= 0.05
