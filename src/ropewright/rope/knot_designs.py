"""The knots as they are laid out by hand: flat pictures with overs and unders, step by step, in rope diameters.

The figure-eight, the overhands and the butterfly are drawn flat and lifted; the double overhands that go round
something are wound in space. Every curve is our own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ropewright.rope.curve import arc_lengths
from ropewright.rope.knot_layout import bight, coil, cord_round_line, lifted, spline
from ropewright.rope.relax import Strand

__all__ = ["DESIGNS", "Picture"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Picture:
    """Strands as they are laid out, and the rounds of drawing tight that they get."""

    strands: tuple[Strand, ...]
    rounds: int


#: Standing part up through the lower eye, round the upper one, back over itself, behind itself, up through.
_EIGHT = (
    (0, -7), (0, -5), (0, -3.2), (0.35, -1), (1.7, 1.2), (1.7, 2.6), (0, 3.9), (-1.7, 2.6), (-1.2, 1), (0.9, -0.8),
    (1.8, -2.3), (0, -3.7), (-1.8, -2.3), (-1.5, -0.6), (-0.6, 0.9), (0, 2.6), (0, 5), (0, 7),
)  # fmt: skip
_EIGHT_PASSES = "OUOUOUOU"

#: A loop whose two legs are twisted about each other, five half turns for a double overhand.
_TWIST = tuple(np.linspace(-2.8, 2.8, 6).tolist())
_OVERHAND = (
    (-7, -2.2),
    (-4.5, -1.6),
    *tuple((x, -0.7 if i % 2 == 0 else 0.7) for i, x in enumerate(_TWIST)),
    (4.3, 1.8),
    (4.2, 4),
    (0, 5.6),
    (-4.2, 4),
    (-4.3, 1.8),
    *tuple((x, 0.7 if i % 2 == 0 else -0.7) for i, x in enumerate(_TWIST)),
    (4.5, -1.6),
    (7, -2.2),
)

#: Standing part from above, a small loop, the great loop below, up through the small one, behind, down through it.
_BOWLINE = (
    (0.3, 9), (0.3, 5), (0.2, 3), (0.5, 1.6), (1.6, 0.1), (0.9, -1.5), (-0.4, -1.9), (-1.9, -0.8), (-1.9, 0.9),
    (-0.7, 1.8), (0.6, 2.1), (2.2, 2), (3, 0.3), (3.1, -3), (2.4, -6), (0, -8), (-2.2, -6), (-1.9, -3.5),
    (-0.9, -1.7), (-0.5, 0), (-0.9, 1.6), (-0.9, 3), (0.2, 4), (1.6, 3.4), (1.5, 2), (0.9, 0.7), (0.5, -1),
    (0.7, -2.6), (0.9, -4), (0.9, -5.5),
)  # fmt: skip
_BOWLINE_PASSES = "OUUOOUOUUOUOOU"

#: Left half of a butterfly: twisted twice, folded down in front, up behind through the lower eye.
_BUTTERFLY_HALF = (
    (-9, -1), (-5, -1), (-1.6, -0.7), (0, 0.3), (1.6, 1.9), (0, 3.6), (-1.4, 4.5), (-2.8, 4.5), (-3.4, 3),
    (-3.3, -0.5), (-3, -2.6), (-1.9, -3.4), (-0.9, -2.6), (-0.6, -1), (-0.55, 1.9), (-0.6, 4.5), (-1.2, 7), (-1.8, 9),
)  # fmt: skip
_BUTTERFLY_PASSES = "UOOOUUU" + "O" + "UUOO" + "OOUU" + "O" + "UOUOUOU"
_TWISTED_HALF = ((-9, -1), (-5, -1), (-1.6, -0.7), (0, 0.3), (1.6, 1.9), (0, 3.6), (-1.8, 5.6), (-2.2, 8))
_FOLDED_HALF = (
    (-9, -1), (-5, -1), (-1.6, -0.7), (0, 0.3), (1.6, 1.9), (0, 3.6), (-1.4, 4.5), (-2.8, 4.5), (-3.4, 3),
    (-3.3, -0.5), (-3, -3), (-1.8, -5.4),
)  # fmt: skip


def _both(half: tuple[tuple[float, float], ...], tip: float) -> tuple[tuple[float, float], ...]:
    """A half and its mirror image, joined at a tip on the axis."""
    return (*half, (0.0, tip), *((-x, y) for x, y in half[::-1]))


def _upto(curve: Floats, share: float) -> Floats:
    """Return a curve's first part, by its share of the points."""
    return curve[: max(4, round(share * (len(curve) - 1)) + 1)]


def _rope(curve: Floats, old: Floats | None = None, name: str = "rope") -> Strand:
    """A strand of which what goes beyond `old` is new."""
    new_from = 1.0 if old is None else min(1.0, float(arc_lengths(old)[-1] / arc_lengths(curve)[-1]))
    return Strand(curve, new_from=new_from, name=name)


def _post(y: float, x: float = 0.0) -> Strand:
    """Something across the sheet that holds a loop open."""
    return Strand(np.array([[x, y, -3.0], [x, y, 3.0]]), 3.0, fixed=True, shown=False)


def _ring(y: float) -> Strand:
    """A ring through a loop, seen aslant, its lowest point at height y."""
    angle = np.linspace(0.0, 2 * np.pi, 60)
    radius, lean = 2.6, np.radians(52.0)
    across = radius * np.sin(angle)
    points = np.column_stack([across * np.cos(lean), y + radius * (1 - np.cos(angle)), across * np.sin(lean)])
    return Strand(points, 0.8, fixed=True, name="ring")


def _eight_middle(scale: float, passes_flat: float = 1.6) -> Floats:
    middle: Floats = lifted(_EIGHT, _EIGHT_PASSES) * np.array([scale, scale, passes_flat])
    return middle


def figure_eight_on_a_bight() -> list[Picture]:
    """Bight laid over the standing part, behind it, up through the first loop; dressed."""
    middle = _eight_middle(2.3)
    over, behind = _upto(middle, 9.9 / 17), _upto(middle, 13.2 / 17)
    through = middle[middle[:, 1] < 5.6 * 2.3]
    short, reach = 0.6, 5.5
    curves = [bight(over, short, 2.0, reach), bight(behind, short, 2.0, 4.0), bight(through, short, 2.2, 7.8)]
    post = _post(through[-1, 1] + 5.8)
    return [*(Picture((_rope(curve),), 15) for curve in curves), Picture((_rope(curves[-1]), post), 1150)]


def figure_eight_follow_through() -> list[Picture]:
    """One figure-eight, round the ring, back along the first; dressed."""
    middle = _eight_middle(2.3)
    through = middle[middle[:, 1] < 5.6 * 2.3]
    whole = bight(through, 0.6, 2.2, 7.8)
    top = through[-1, 1] + 7.8
    single = lifted(_EIGHT, _EIGHT_PASSES) * np.array([1.9, 1.9, 1.4])
    first = _upto(whole, 0.475)
    back, half = _upto(whole, 0.6), _upto(whole, 0.78)
    ring, post = _ring(top - 1.9), _post(top - 2.4)
    return [
        Picture((_rope(single),), 40),
        Picture((_rope(back, first), ring), 25),
        Picture((_rope(half, back), ring), 25),
        Picture((_rope(whole, half), ring), 25),
        Picture((_rope(whole), ring, post), 1150),
    ]


def double_overhand_stopper() -> list[Picture]:
    """A loop, the end round and through, round and through once more; drawn down."""
    scale = np.array([1.6, 1.6, 1.5])
    whole = lifted(_OVERHAND, "OUOUOUOUOU") * scale
    loop = (4, 2.2), (3.6, 4.4), (0, 5.6), (-3.6, 4.4), (-3.8, 2)
    one = lifted(((-7, -2.2), (-3, -1), (2, 0.3), *loop, (-1.5, -0.5), (1, -3)), "UO") * scale
    three = lifted(_overhand_of(3), "UOUOUO") * scale
    return [
        Picture((_rope(one),), 60),
        Picture((_rope(three, _upto(three, 0.72)),), 60),
        Picture((_rope(whole, _upto(whole, 0.8)),), 60),
        Picture((_rope(coil([(-0.8, y, 0.0) for y in (-9.0, -6.5, -4.5)], 2, 0.0, 9.0)),), 300),
    ]


def _overhand_of(half_turns: int) -> tuple[tuple[float, float], ...]:
    xs = np.linspace(-2.0, 2.0, half_turns + 1).tolist()
    sign = [-0.7 if i % 2 == 0 else 0.7 for i in range(half_turns + 1)]
    return (
        *((-7, -2.2), (-4, -1.6)),
        *zip(xs, sign, strict=True),
        *((3.8, 1.8), (3.8, 4), (0, 5.6), (-3.8, 4), (-3.8, 1.8)),
        *zip(xs, [-s for s in sign], strict=True),
        *((4, -1.6), (7, -2.2)),
    )


def barrel_loop() -> list[Picture]:
    """End beside the standing part, round both twice toward the loop, out through the turns; drawn down."""
    stand = [(0.0, y, -0.85) for y in (-9.0, -6.0, -3.0, 0.0, 3.0, 6.0)]
    eye = [(1.3, 9.0, -0.5), (2.2, 12.0, 0.0), (0.0, 14.6, 0.0), (-2.4, 12.0, 0.0), (-1.7, 9.0, 0.0), (-1.0, 5.5, 0.0)]
    whole = coil([*stand, *eye], 2, 0.0, -8.0)
    post = _post(12.4)
    once, twice = _upto(whole, 0.62), _upto(whole, 0.8)
    return [
        Picture((_rope(once), post), 20),
        Picture((_rope(twice, once), post), 20),
        Picture((_rope(whole, twice), post), 20),
        Picture((_rope(whole), post), 330),
    ]


def double_fishermans() -> list[Picture]:
    """One end round both ropes twice and through, the other the same way; drawn together."""
    first, other = _bend_side(4.5), _bend_side(4.5) * np.array([1.0, -1.0, -1.0])
    heights = (14.0, 10.0, 8.0, 6.0, 4.5, 3.0, 0.0, -4.0, -8.0)
    plain = spline([(0.0 if y > 2.5 else 0.9, y, -0.85 if y > 2.5 else 0.0) for y in heights], 12)
    once = _upto(first, 0.76)
    close = _bend_side(2.0)
    return [
        Picture((_rope(once), Strand(plain, name="other rope")), 20),
        Picture((_rope(first, once), Strand(plain, name="other rope")), 20),
        Picture((_rope(first), _rope(other, name="other rope")), 20),
        Picture((_rope(close), _rope(close * np.array([1.0, -1.0, -1.0]), name="other rope")), 420),
    ]


def _bend_side(gap: float) -> Floats:
    """Upper half of two ropes joined: past the other's turns, then round both; `gap` from its middle to the other's."""
    lead = [(0.0, y, 0.85) for y in (-gap - 9.0, -gap - 6.0, -gap - 3.0, -gap, 2.0 - gap)]
    return coil([*lead, (-0.6, 0.2, 0.4)], 2, gap, gap + 8.0)


def bowline() -> list[Picture]:
    """A small loop, the end up through it, behind the standing part, down through it; drawn down."""
    scale = np.array([-1.5, -1.5, 1.4])  # turned round, so that the loop is above
    whole = lifted(_BOWLINE, _BOWLINE_PASSES) * scale
    loop, up, round_ = (_upto(whole, waypoint / 29) for waypoint in (15.5, 21.3, 24.2))
    post = _post(10.0)
    return [
        Picture((_rope(loop),), 12),
        Picture((_rope(up, loop),), 12),
        Picture((_rope(round_, up),), 12),
        Picture((_rope(whole, round_),), 12),
        Picture((_rope(whole), post), 420),
    ]


def butterfly_loop() -> list[Picture]:
    """A bight twisted twice, folded down in front, up behind through the lower eye; drawn down."""
    scale = np.array([1.5, 1.5, 1.5])
    twisted = lifted(_both(_TWISTED_HALF, 10.0), "OUOU") * scale
    folded = lifted(_both(_FOLDED_HALF, -6.4), "UOUOOOUU") * scale
    whole = lifted(_both(_BUTTERFLY_HALF, 11.0), _BUTTERFLY_PASSES) * scale
    return [
        Picture((_rope(twisted), _post(13.5)), 30),
        Picture((_rope(folded),), 12),
        Picture((_rope(whole), _post(14.5)), 25),
        Picture((_rope(whole), _post(14.5)), 900),
    ]


#: Diameter of the line over that of the cord round it: 8 mm cord on 12.7 mm line, as in the one test that was read.
_LINE_OVER_CORD = 12.7 / 8.0


def sliding_hitch() -> list[Picture]:
    """Bight of a cord loop round the line and through itself once, twice, three times; drawn down."""
    return [_hitch(1, 25), _hitch(2, 25), _hitch(3, 25), _hitch(3, 160)]


def one_and_one_hitch() -> list[Picture]:
    """The same with one turn, so that it can be told."""
    return [_hitch(1, 25), _hitch(1, 120)]


def _hitch(turns: int, rounds: int) -> Picture:
    height = 7.0
    line = Strand(np.array([[0.0, -height, 0.0], [0.0, height, 0.0]]), _LINE_OVER_CORD, fixed=True, name="line")
    return Picture((_rope(cord_round_line(turns, _LINE_OVER_CORD, 9.0), name="cord"), line), rounds)


#: Pictures of each knot by its name, the last one dressed.
DESIGNS: Mapping[str, Callable[[], list[Picture]]] = MappingProxyType(
    {
        "figure-eight on a bight": figure_eight_on_a_bight,
        "figure-eight follow-through": figure_eight_follow_through,
        "double overhand stopper": double_overhand_stopper,
        "barrel loop": barrel_loop,
        "butterfly loop": butterfly_loop,
        "double fisherman's bend": double_fishermans,
        "bowline": bowline,
        "sliding hitch": sliding_hitch,
        "one-and-one hitch": one_and_one_hitch,
    }
)
