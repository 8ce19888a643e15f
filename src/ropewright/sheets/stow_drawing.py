"""How to put a rope away, in steps: pictures with over and under, a sentence under each."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ropewright.quantity import UnitSystem
from ropewright.rope.curve import resampled, smoothed
from ropewright.rope.knot_curves import knot_pictures, touching
from ropewright.rope.stow import STEPS, Way
from ropewright.sheets import svg
from ropewright.sheets.canvas import wrapped
from ropewright.sheets.ink import CAUTION, FONT, INK, PAPER
from ropewright.sheets.tubes import Tube, tubes_drawn

__all__ = ["stow_steps_svg", "stow_svg"]

Floats = NDArray[np.float64]

WIDTH, SIDE, GAP = 186.0, 5.0, 5.0  #: of the sheet, left free at its sides, between pictures [mm]
TITLE, TEXT = 6.0, 3.5  #: em heights [mm]
TALL = 62.0  #: of a picture [mm]
LINE = 0.45  #: [mm]

_TITLES = {
    Way.COIL: "A coil, every loop the same way",
    Way.COIL_TURNED_BACK: "A coil, every other loop turned back",
    Way.BACK_AND_FORTH: "Back and forth, wrapped and locked off",
    Way.STRAIGHT_IN: "Straight into a container",
}


@dataclass(frozen=True, slots=True)
class _Picture:
    """Ropes, and straight lines that stand for a container, in rope diameters."""

    tubes: tuple[Tube, ...]
    lines: tuple[Floats, ...] = ()


def stow_svg(way: Way, diameter: float, units: UnitSystem = UnitSystem.METRIC) -> str:
    """Drawing of a way of stowing, step by step, not to scale.

    Parameters
    ----------
    way : Way
    diameter : float
        Of the rope, for the title. [m]
    units : UnitSystem
        Of the title.

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    across = f"{diameter * 1e3:g} mm" if units is UnitSystem.METRIC else f"{diameter / 0.0254:.3g} in"
    title = f"{_TITLES[way]} ({across} rope)"
    steps, y = _steps(way, 15.0)
    body = [svg.text(title, (SIDE, 10.5), TITLE, font_weight=600), *steps]
    foot = wrapped(CAUTION, WIDTH - 2 * SIDE, TEXT, 3)
    body += [svg.text(words, (SIDE, y + 1.25 * TEXT * k), TEXT) for k, words in enumerate(foot)]
    return _document(title, body, y + 1.25 * TEXT * len(foot) + 2.0, framed=True)


def stow_steps_svg(way: Way) -> str:
    """Pictures and sentences alone, all in one row, for a sheet that says the rest itself.

    Parameters
    ----------
    way : Way

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    body, y = _steps(way, 1.0, columns=len(STEPS[way]), tall=44.0)
    return _document(_TITLES[way], body, y, framed=False)


def _steps(way: Way, y: float, *, columns: int = 2, tall: float = TALL) -> tuple[list[str], float]:
    """Pictures in rows, a sentence under each, and the height below them."""
    pictures = _PICTURES[way]()
    column = (WIDTH - 2 * SIDE - (columns - 1) * GAP) / columns
    body: list[str] = []
    for start in range(0, len(pictures), columns):
        row = pictures[start : start + columns]
        texts = [wrapped(f"{start + k + 1} {STEPS[way][start + k]}", column, TEXT, 8) for k in range(len(row))]
        for k, (picture, lines) in enumerate(zip(row, texts, strict=True)):
            x = SIDE + k * (column + GAP)
            body.append(_drawn(picture, (x + column / 2, y + tall / 2), column, tall))
            body += [svg.text(words, (x, y + tall + 5.0 + n * 1.25 * TEXT), TEXT) for n, words in enumerate(lines)]
        y += tall + (22.0 if columns == 2 else 5.0 + 1.25 * TEXT * max(map(len, texts)))
    return body, y


def _document(title: str, body: Sequence[str], height: float, *, framed: bool) -> str:
    frame = svg.rectangle((1, 1), WIDTH - 2, height - 2, fill="none", stroke=INK, stroke_width=0.5)
    ground = (svg.rectangle((0, 0), WIDTH, height, fill=PAPER), frame) if framed else ()
    return svg.tag(
        "svg",
        svg.tag("title", svg.text_of(title)),
        *ground,
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        viewBox=f"0 0 {WIDTH:g} {height:.1f}",
        width=f"{WIDTH:g}mm",
        height=f"{height:.1f}mm",
        font_family=FONT,
        fill=INK,
    )


def _drawn(picture: _Picture, middle: tuple[float, float], width: float, tall: float) -> str:
    flat = [tube.points[:, :2] for tube in picture.tubes] + list(picture.lines)
    low, high = np.min([f.min(0) for f in flat], axis=0) - 0.6, np.max([f.max(0) for f in flat], axis=0) + 0.6
    scale = float(min(width / (high - low)[0], tall / (high - low)[1], 4.0))
    centre = (low + high) / 2

    def place(points: Floats) -> Floats:
        placed: Floats = (points[:, :2] - centre) * np.array([scale, -scale]) + np.asarray(middle)
        return placed

    lines = [svg.polyline(place(line), stroke=INK, stroke_width=0.6) for line in picture.lines]
    return svg.tag("g", *lines, *tubes_drawn(picture.tubes, place, scale, LINE))


def _rope(points: Sequence[Sequence[float]] | Floats, *, ended: bool = True, marked_from: float = 1.0) -> Tube:
    """A rope through points, drawn smooth."""
    even = resampled(smoothed(np.asarray(points, float), 8), 0.4)
    return Tube(smoothed(even, 2), 1.0, PAPER, marked_from, ended)


def _coil(loops: int, *, back: bool) -> Tube:
    """Loops seen aslant, each higher than the last; turned back, every other one passes under its own start."""
    t = np.linspace(0.0, loops, loops * 24 + 1)
    side = np.where(np.floor(np.minimum(t, loops - 1e-9)) % 2 == 0, 1.0, -1.0) if back else np.ones(len(t))
    # drawn out sideways, so that each crossing is seen
    x = 5.0 * np.sin(2 * np.pi * t) + 3.2 * t
    y = -5.0 * np.cos(2 * np.pi * t)
    z = side * 1.2 * np.cos(2 * np.pi * (t % 1.0) / 2) + 0.02 * t
    points = np.column_stack([x, y, z])
    lead = np.array([[-10.0, -5.0, 1.2], [-6.0, -5.0, 1.2], [-3.0, -5.0, 1.2]])
    tail = np.array([[3.0, 0.0, 0.0], [7.0, 0.0, 0.0], [11.0, 0.0, 0.0]]) + points[-1]
    return _rope(np.concatenate([lead, points, tail]))


def _coils() -> list[_Picture]:
    return [_Picture((_coil(1, back=False),)), _Picture((_coil(4, back=False),))]


def _coils_back() -> list[_Picture]:
    return [_Picture((_coil(2, back=True),)), _Picture((_coil(4, back=True),))]


#: Strands of a bundle, and their distances at its ends and where it is wrapped. [diameters]
_STRANDS, _WIDE, _CLOSE = 7, 2.5, 1.1


_HALF_CIRCLE = [(1.25 * np.cos(a), 1.25 * np.sin(a)) for a in np.radians([-54.0, -18.0, 18.0, 54.0])]


def _bundle(pinched: float, stop: float) -> list[tuple[float, float, float]]:
    """Bights to and fro, drawn together toward x = 3.5 as far as `pinched` says; the last strand runs to `stop`."""
    points: list[tuple[float, float, float]] = []
    xs = np.arange(-9.0, 9.1, 1.0)
    for strand in range(_STRANDS):
        row = strand - (_STRANDS - 1) / 2
        for x in xs if strand % 2 == 0 else xs[::-1]:
            if strand < _STRANDS - 1 or x <= stop:
                near = pinched * float(np.exp(-(((x - 3.5) / 4.0) ** 2)))
                points.append((float(x), row * (_WIDE * (1 - near) + _CLOSE * near), 0.0))
        if strand < _STRANDS - 1:
            end = 1.0 if strand % 2 == 0 else -1.0
            points += [(end * (9.0 + x), (row + 0.5) * _WIDE + y, 0.0) for x, y in _HALF_CIRCLE]
    return points


def _wraps(turns: float) -> list[tuple[float, float, float]]:
    """Turns round the bundle from its last strand on."""
    angle = np.linspace(0.6, 2 * np.pi * turns, int(16 * turns))
    half = _CLOSE * (_STRANDS - 1) / 2 + 0.9
    x = 1.8 + 1.15 * angle / (2 * np.pi)
    return list(zip(x.tolist(), (half * np.cos(angle)).tolist(), (1.6 * np.sin(angle)).tolist(), strict=True))


def _back_and_forth() -> list[_Picture]:
    flat = _bundle(0.0, 9.0)
    top = (_STRANDS - 1) / 2 * _WIDE
    left = [(12.0, top, 0.0), (15.0, top - 1.5, 0.0), (16.5, top - 5.0, 0.0), (16.0, top - 10.0, 0.0)]
    wrapped_up = [*_bundle(1.0, 0.0), *_wraps(3.0)]
    rows = (np.arange(_STRANDS) - (_STRANDS - 1) / 2) * _WIDE
    weave = [(9.2, float(row), 1.2 if k % 2 == 0 else -1.2) for k, row in enumerate(rows)]
    free = [(5.4, 5.5, 0.0), (6.3, 8.0, 0.0), (8.5, 10.5, 0.0)]
    locked = [(6.5, 6.0, 1.0), (7.6, 9.2, 1.4), (9.2, 9.6, 0.0), *weave[::-1], (9.4, -9.5, 0.0), (9.9, -12.0, 0.0)]
    return [
        _Picture((_rope(flat),)),
        _Picture((_marked(flat, left),)),
        _Picture((_marked(_bundle(1.0, 0.0), [*_wraps(3.0), *free]),)),
        _Picture((_marked(wrapped_up, locked),)),
    ]


def _marked(old: Sequence[Sequence[float]], new: Sequence[Sequence[float]]) -> Tube:
    """A rope whose last part is new."""
    whole = _rope([*old, *new])
    return Tube(whole.points, 1.0, PAPER, len(_rope(old).points) / len(whole.points), ended=True)


def _stopper(scale: float = 1.0) -> Floats:
    """The dressed stopper, its standing part upward, its middle at the origin."""
    picture = knot_pictures()["double overhand stopper"][-1]
    points, held = picture[0].points, touching(picture)
    s = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    near = (s > held[0] - 2.0) & (s < held[-1] + 1.2)
    body = points[(s >= held[0]) & (s <= held[-1])]
    turned: Floats = (points[near] - body.mean(0)) * np.array([scale, -scale, -scale])
    return turned


#: Half width and height of the container, half width of the hole in its lid. [diameters]
_HALF, _HIGH, _HOLE = 7.4, 15.5, 0.9


def _container() -> tuple[Floats, ...]:
    wall = np.array([[-_HALF, _HIGH], [-_HALF + 0.6, 0.0], [_HALF - 0.6, 0.0], [_HALF, _HIGH]])
    lid = [np.array([[side * _HOLE, _HIGH], [side * (_HALF + 0.5), _HIGH]]) for side in (-1.0, 1.0)]
    return (wall, *lid)


def _out(start: Floats) -> Floats:
    """From a strand's upper end out through the hole and away."""
    hole = np.array([[0.0, _HIGH - 1.5, 0.0], [0.0, _HIGH + 1.0, 0.0], [0.0, _HIGH + 6.0, 0.0]])
    return np.concatenate([[start], hole])


def _heap(start: Floats) -> Floats:
    """Rope fed in upon a stopper: bights of uneven width, each over the last, nearer to the eye than the stopper."""
    points = [start + np.array([0.8, 0.8, 1.5])]
    for k, (left, right) in enumerate([(-4.6, 5.2), (-5.4, 3.9), (-4.1, 5.0)]):
        y = 6.3 + 2.2 * k - 0.4
        points += [np.array([x, y - 0.35, 3.0]) for x in (2.0, right - 1.0)] if k == 0 else []
        points += [np.array([right + x, y + 0.55 + y0, 3.0]) for x, y0 in [(-0.2, -0.8), (0.4, 0.0), (-0.2, 0.8)]]
        points += [np.array([x, y + 1.35, 3.0]) for x in np.linspace(right - 2, left + 1.2, 4)]
        points += [np.array([left - x, y + 1.65 + y0, 3.0]) for x, y0 in [(-0.2, -0.3), (0.3, 0.2), (-0.2, 0.8)]]
        points += [np.array([x, y + 2.4, 3.0]) for x in np.linspace(left + 2, 1.0, 3)]
    return np.array(points[:-2])


def _straight_in() -> list[_Picture]:
    knot = _stopper()
    low = knot + np.array([0.0, 3.4, 0.0])
    first = np.concatenate([low[::-1], _out(low[0] + [0.0, 2.0, 0.0])])
    filled = np.concatenate([low[::-1], _heap(low[0]), _out(np.array([0.6, 12.2, 3.0]))])
    top = knot - knot[0] * np.array([1.0, 0.0, 1.0]) + np.array([0.0, _HIGH - 2.4, 0.0])
    lifted = np.concatenate([top[::-1], _out(top[0] + [0.0, 0.3, 0.0])[1:]])
    ground = np.array([[-_HALF - 2.0, -4.0], [_HALF + 2.0, -4.0]])
    return [
        _Picture((Tube(knot, 1.0, PAPER, 1.0, ended=True),)),
        _Picture((_rope(first, ended=False),), _container()),
        _Picture((_rope(filled, ended=False),), _container()),
        _Picture((_rope(lifted, ended=False),), (*_container(), ground)),
    ]


_PICTURES: Mapping[Way, Callable[[], list[_Picture]]] = {
    Way.COIL: _coils,
    Way.COIL_TURNED_BACK: _coils_back,
    Way.BACK_AND_FORTH: _back_and_forth,
    Way.STRAIGHT_IN: _straight_in,
}
