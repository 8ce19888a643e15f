"""The drawn curves are the knots that they are called, by a library of knot theory that knows nothing of them.

Names: KnotInfo. That the double overhand closes to 5_1, the overhand to 3_1 and the figure-eight to 4_1 is common
knowledge of knot theory (Adams, The Knot Book, from memory); how loops are cut is in docs/derivations-knots.md.
"""

from __future__ import annotations

import numpy as np
import pytest
from knot_identity import closed, handed, knot_type, link

from ropewright.rope.curve import arc_lengths, mirrored
from ropewright.rope.knot_curves import knot_pictures, touching
from ropewright.rope.knots import knots

#: Knots whose whole rope, ends led out, is the named one; of loops that come undone with nothing in them, a half is.
WHOLE = ["double overhand stopper", "double fisherman's bend", "bowline", "sliding hitch", "one-and-one hitch"]
LOOPS = ["figure-eight on a bight", "figure-eight follow-through", "butterfly loop", "barrel loop"]


def dressed(name: str) -> np.ndarray:
    return knot_pictures()[name][-1][0].points


def halves(name: str) -> tuple[np.ndarray, np.ndarray]:
    curve = dressed(name)
    held = touching(knot_pictures()[name][-1])
    widest = int(np.diff(held).argmax())
    tip = int(np.searchsorted(arc_lengths(curve), held[widest : widest + 2].mean()))
    return curve[: tip + 1], curve[tip:]


def test_the_identity_check_tells_a_trefoil_from_a_straight_rope() -> None:
    x = np.linspace(-5.0, 5.0, 50)
    assert knot_type(np.column_stack([x, 0.1 * np.sin(x), 0 * x])) == "0_1"
    t = np.linspace(0.0, 2 * np.pi, 200)
    radius = 2 + np.cos(3 * t)  # the torus knot of 2 and 3, cut open
    trefoil = np.column_stack([radius * np.cos(2 * t), radius * np.sin(2 * t), np.sin(3 * t)])
    out = np.array([[9.0, 0.5, -0.1], [9.0, -0.5, 0.1]])
    assert knot_type(np.concatenate([out[:1], trefoil[2:-2], out[1:]])) == "3_1"


@pytest.mark.parametrize("name", WHOLE)
def test_whole_rope_is_the_knot_it_is_called(name: str) -> None:
    assert knot_type(dressed(name)) == knots()[name].type == knots()[name].whole_type


@pytest.mark.parametrize("name", LOOPS)
def test_loop_holds_nothing_until_something_is_in_it(name: str) -> None:
    assert knot_type(dressed(name)) == knots()[name].whole_type == "0_1"


@pytest.mark.parametrize("name", [name for name in LOOPS if name != "barrel loop"])
def test_each_half_of_a_loop_is_the_knot_it_is_called(name: str) -> None:
    assert [knot_type(half) for half in halves(name)] == [knots()[name].type] * 2


def test_end_of_a_barrel_loop_is_a_double_overhand_and_its_standing_part_is_straight() -> None:
    assert [knot_type(half) for half in halves("barrel loop")] == ["0_1", "5_1"]


def test_both_ropes_of_a_bend_are_knotted_alike() -> None:
    one, other = (strand.points for strand in knot_pictures()["double fisherman's bend"][-1])
    assert knot_type(other) == "5_1"
    assert handed(one) == handed(other)


def test_tying_and_dressed_pictures_show_one_knot() -> None:
    *_, last, drawn = (picture[0].points for picture in knot_pictures()["double overhand stopper"])
    assert knot_type(last) == knot_type(drawn) == "5_1"
    assert handed(last) == handed(drawn)
    *_, last, drawn = (picture[0].points for picture in knot_pictures()["bowline"])
    assert knot_type(last) == knot_type(drawn) == "6_3"


def test_mirror_image_is_the_other_hand() -> None:
    curve = dressed("double overhand stopper")
    assert handed(mirrored(curve)) == -handed(curve) != 0


def test_ring_is_held_by_the_follow_through() -> None:
    """Rope and ring can't be parted: they wind round each other once."""
    rope, ring = knot_pictures()["figure-eight follow-through"][-1]
    assert abs(link([closed(rope.points), ring.points[:-1]]).linking_matrix()[0][1]) == 1


@pytest.mark.parametrize(("name", "turns"), [("sliding hitch", 3), ("one-and-one hitch", 1)])
def test_hitch_winds_as_often_above_as_below_the_other_way(name: str, turns: int) -> None:
    cord = dressed(name)
    angle = np.unwrap(np.arctan2(cord[:, 2], cord[:, 0]))
    middle = len(angle) // 2
    wound = [(angle[middle] - angle[0]) / (2 * np.pi), (angle[-1] - angle[middle]) / (2 * np.pi)]
    assert wound[0] == pytest.approx(-wound[1], abs=0.1)
    assert abs(wound[0]) == pytest.approx(turns, abs=0.25)
