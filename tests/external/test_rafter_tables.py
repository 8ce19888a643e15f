"""Rafter and hip lengths of the carpenter's tables, measured on roofs made from an outline.

US Navy training manual 14044 (Builder), Fig. 2-17, and US Army EN5156: inches of common rafter per foot of run, for a
rise of 3 to 12 in 12 (read), and the worked rafter of a 16 ft span at 7 in 12: 111.12 in, given there as 9 ft 3-1/8 in
(read). A hip runs 12 in along both walls while the roof rises by `rise`: sqrt(144 + 144 + rise^2) inches (derived).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ropewright.roof.facets import facet_area
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.surface import EdgeType

FOOT, INCH = 0.3048, 0.0254
RAFTER_INCHES = {
    3: 12.37,
    4: 12.65,
    5: 13.00,
    6: 13.42,
    7: 13.89,
    8: 14.42,
    9: 15.00,
    10: 15.62,
    11: 16.28,
    12: 16.97,
}


def pitch_of(rise: int) -> float:
    return math.degrees(math.atan2(rise, 12))


def rectangle(length: float, width: float) -> list[tuple[float, float]]:
    return [(0, 0), (length, 0), (length, width), (0, width)]


@pytest.mark.parametrize(("rise", "inches"), RAFTER_INCHES.items())
def test_rake_per_foot_of_run_is_the_rafter_table(rise: int, inches: float) -> None:
    roof = roof_from_outline(rectangle(9, 2 * FOOT), form="gable", pitches=[pitch_of(rise)], eave_height=3)
    rakes = [edge.length for edge in roof.edges if edge.type is EdgeType.RAKE]
    assert rakes == pytest.approx([inches * INCH] * 4, rel=5e-4)  # two decimals in the table


@pytest.mark.parametrize(("rise", "inches"), RAFTER_INCHES.items())
def test_roof_area_over_plan_area_is_the_slope_factor(rise: int, inches: float) -> None:
    roof = roof_from_outline(rectangle(9, 6), form="hip", pitches=[pitch_of(rise)], eave_height=3)
    assert sum(map(facet_area, roof.facets)) / 54 == pytest.approx(inches / 12, rel=5e-4)


@pytest.mark.parametrize("rise", RAFTER_INCHES)
def test_hip_per_foot_of_run_goes_along_both_walls(rise: int) -> None:
    roof = roof_from_outline(rectangle(9, 2 * FOOT), form="hip", pitches=[pitch_of(rise)], eave_height=3)
    hips = [edge.length for edge in roof.edges if edge.type is EdgeType.HIP]
    assert hips == pytest.approx([math.sqrt(144 + 144 + rise**2) * INCH] * 4)


def test_navy_rafter_of_a_16_ft_span_at_7_in_12() -> None:
    roof = roof_from_outline(rectangle(30 * FOOT, 16 * FOOT), form="gable", pitches=[pitch_of(7)], eave_height=3)
    rake = next(edge for edge in roof.edges if edge.type is EdgeType.RAKE)
    assert rake.length / INCH == pytest.approx(
        111.12, abs=0.03
    )  # the manual rounds the table value before it multiplies
    ridge = next(edge for edge in roof.edges if edge.type is EdgeType.RIDGE)
    assert (ridge.start[2] - 3) / INCH == pytest.approx(8 * 7)
    assert np.ptp([ridge.start[2], ridge.end[2]]) == 0
