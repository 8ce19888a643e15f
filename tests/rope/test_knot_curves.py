"""Laid curves: no tube runs into itself, no knot takes less than the tightest one, and the table is what is made.

Least lengths: KnotInfo, column ropelength (Ashton, Cantarella, Piatek and Rawdon 2011), in radii.
"""

from __future__ import annotations

import itertools
import json

import numpy as np
import pytest

from ropewright.rope.curve import arc_lengths, least_gap, least_radius, mirrored, resampled
from ropewright.rope.knot import ideal_rope_lengths
from ropewright.rope.knot_curves import KnotRope, LaidStrand, knot_pictures, measured, stopper_width, touching
from ropewright.rope.knot_designs import DESIGNS
from ropewright.rope.knot_layout import lifted
from ropewright.rope.knots import knots
from ropewright.rope.relax import Strand, relaxed
from ropewright.rope.tables import data_text

PICTURES = [(name, number) for name, pictures in knot_pictures().items() for number in range(len(pictures))]


@pytest.mark.parametrize(("name", "number"), PICTURES)
def test_no_two_tubes_overlap(name: str, number: int) -> None:
    """Half a sharpest circle along a rope apart, any two places of it are a diameter apart, and so are two ropes."""
    strands = knot_pictures()[name][number]
    for strand in strands:
        if strand.name != "ring":  # its two ends are one place
            assert least_gap(strand.points, along=np.pi / 2 * strand.diameter) >= strand.diameter
    for one, other in itertools.combinations(strands, 2):
        assert least_gap(one.points, other.points) >= (one.diameter + other.diameter) / 2


@pytest.mark.parametrize("name", list(DESIGNS))
def test_no_bend_of_a_dressed_knot_is_sharper_than_its_rope(name: str) -> None:
    assert all(least_radius(strand.points) >= 0.5 * strand.diameter for strand in knot_pictures()[name][-1])


@pytest.mark.parametrize("name", list(DESIGNS))
def test_no_knot_takes_less_rope_than_the_tightest_of_its_type(name: str) -> None:
    knot = knots()[name]
    assert knot.rope.in_knot >= ideal_rope_lengths()[knot.type].value.likely / 2


def test_mirror_image_ties_with_the_same_rope() -> None:
    for pictures in knot_pictures().values():
        dressed = pictures[-1]
        other = tuple(LaidStrand(mirrored(s.points), s.diameter, s.new_from, s.name) for s in dressed)
        assert touching(other) == pytest.approx(touching(dressed))


def test_every_picture_has_a_sentence() -> None:
    assert {name: len(pictures) for name, pictures in knot_pictures().items()} == {
        name: len(knot.steps) for name, knot in knots().items()
    }


def test_table_is_what_the_script_makes() -> None:
    """Laid again: the hitch with one turn, both pictures; rounding may differ from machine to machine."""
    told = json.loads(data_text("knot_curves.json"))["knots"]["one-and-one hitch"]
    for picture, strands in zip(DESIGNS["one-and-one hitch"](), told, strict=True):
        curve, kept = relaxed(picture.strands, picture.rounds)[0], np.reshape(strands[0]["points"], (-1, 3)) / 1000
        assert resampled(curve, 0.4) == pytest.approx(kept, abs=0.05)


def test_touching_counts_crossing_strands_alone() -> None:
    x = np.linspace(-3.0, 3.0, 61)
    along = LaidStrand(np.column_stack([x, 0 * x, 0 * x]), 1.0, 1.0, "rope")
    beside = LaidStrand(along.points + np.array([0.0, 1.0, 0.0]), 1.0, 1.0, "rope")
    across = LaidStrand(np.column_stack([0 * x, x, 0 * x + 1.0]), 1.0, 1.0, "rope")
    assert len(touching((along, beside))) == 0
    assert touching((along, across)).mean() == pytest.approx(3.0)


def test_whole_is_knot_and_loop() -> None:
    assert KnotRope(3.0, 4.0).whole == 7.0
    assert measured("bowline", loop=True).whole == pytest.approx(measured("bowline", loop=False).in_knot)


def test_stopper_is_wider_than_two_ropes_and_narrower_than_four() -> None:
    """Turns lie side by side round two strands: three ropes across, a little more where it is not drawn hard."""
    assert 2.0 < stopper_width("double overhand stopper") < 4.0


def test_taut_rope_is_left_straight() -> None:
    straight = np.column_stack([np.linspace(0.0, 10.0, 11), np.zeros(11), np.zeros(11)])
    (curve,) = relaxed([Strand(straight)], 50)
    assert arc_lengths(curve)[-1] == pytest.approx(10.0)


def test_rope_over_a_post_keeps_off_it() -> None:
    bow = np.column_stack([np.linspace(-6.0, 6.0, 61), 3.0 * np.cos(np.linspace(-1.5, 1.5, 61)), np.zeros(61)])
    post = Strand(np.array([[0.0, 0.0, -3.0], [0.0, 0.0, 3.0]]), 2.0, fixed=True)
    curve, held = relaxed([Strand(bow), post], 600)
    assert least_gap(curve, held) >= 1.5


def test_layout_with_a_wrong_pass_is_refused() -> None:
    loop = [(0, 0), (4, 0), (5, 2), (2, 3), (2, -3)]
    with pytest.raises(ValueError, match="2 passes are met, 3 were given"):
        lifted(loop, "OUO")
    with pytest.raises(ValueError, match="twice in the same way"):
        lifted(loop, "OO")
