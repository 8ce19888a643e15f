"""Slopes on the map: an arrow down each facet, with its pitch."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ropewright.quantity import Dimension, show
from ropewright.roof import Facet, Roof
from ropewright.sheets import svg
from ropewright.sheets.canvas import BIG, Canvas
from ropewright.sheets.labels import ON_TEXT, Label, box_at, text_width
from ropewright.sheets.look import INK

__all__ = ["draw_slopes", "facet_slope"]

Floats = NDArray[np.float64]

#: Slopes below this are lettered as flat. [deg]
FLAT = 0.5
ARROW = 9.0  #: length of a slope arrow [mm]


def facet_slope(facet: Facet) -> tuple[float, Floats]:
    """Pitch of a facet and the way water runs on it.

    Parameters
    ----------
    facet : Facet

    Returns
    -------
    pitch : float
        Above level, 0 to 90. [deg]
    downslope : array, shape (2,)
        Level unit vector; zero on a level facet. [-]

    Notes
    -----
    The area vector of the ring is square to its plane; its level part points downhill. Source: vector algebra.
    """
    ring = facet.ring - facet.ring[0]
    normal = np.cross(ring, np.roll(ring, -1, axis=0)).sum(axis=0)
    level = float(np.hypot(normal[0], normal[1]))
    pitch = float(np.degrees(np.arctan2(level, abs(normal[2]))))
    downslope = normal[:2] / level * (1 if normal[2] >= 0 else -1) if level > 0 else np.zeros(2)
    return pitch, downslope


def draw_slopes(canvas: Canvas, roof: Roof) -> None:
    """Draw an arrow down each facet with its pitch."""
    for facet in sorted(roof.facets, key=lambda facet: facet.id):
        pitch, downslope = facet_slope(facet)
        if pitch < FLAT:
            canvas.letter(_inside(canvas, facet, "flat", np.zeros(2)), at_most=ON_TEXT)
            continue
        words = show(pitch, Dimension.ANGLE, canvas.units, style="pitch").replace(" deg", "°")
        label = canvas.letter(_inside(canvas, facet, words, downslope), at_most=ON_TEXT)
        if label is not None:
            _draw_arrow(canvas, label, downslope)


def _inside(canvas: Canvas, facet: Facet, words: str, downslope: Floats) -> Iterator[Label]:
    """Places inside a facet, from the roomiest outward."""
    ring = canvas.place(facet.ring)
    low, high = ring.min(axis=0), ring.max(axis=0)
    grid = np.stack(np.meshgrid(*(np.linspace(low[i], high[i], 11)[1:-1] for i in (0, 1))), axis=-1).reshape(-1, 2)
    room = _room(ring, grid)
    widest = float(room.max(initial=0.0))
    centre = ring.mean(axis=0)
    for point, space in zip(grid, room, strict=True):
        if space < min(2.5, 0.6 * widest):
            continue
        arrow = _arrow_box(point, words, downslope)
        bare = canvas.labels.cost(arrow) if downslope.any() else 0.0
        far = float(np.linalg.norm(point - centre)) / max(float(np.linalg.norm(high - low)), 1e-9)
        yield Label(words, point, BIG, dislike=bare + 4.0 * far + 3.0 * (1 - space / widest))


def _room(ring: Floats, points: Floats) -> Floats:
    """Distance of each point from a ring, below 0 outside it."""
    start, step = ring, np.roll(ring, -1, axis=0) - ring
    away = points[:, None, :] - start[None]
    square = np.maximum((step**2).sum(axis=1), 1e-12)
    share = np.clip((away * step).sum(axis=2) / square, 0, 1)
    gap = np.linalg.norm(away - share[..., None] * step, axis=2).min(axis=1)
    y0, y1 = start[:, 1], start[:, 1] + step[:, 1]
    crosses = (y0 > points[:, None, 1]) != (y1 > points[:, None, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        x = start[:, 0] + (points[:, None, 1] - y0) / (y1 - y0) * step[:, 0]
    inside = (crosses & (points[:, None, 0] < x)).sum(axis=1) % 2 == 1
    room: Floats = np.where(inside, gap, -gap)
    return room


def _arrow_ends(middle: Floats, words: str, downslope: Floats) -> tuple[Floats, Floats]:
    way = downslope * (1, -1)  # y runs down on paper
    half = np.array([text_width(words, BIG) / 2 + 0.8, BIG / 2 + 0.4])
    with np.errstate(divide="ignore"):
        clear = float(np.min(half / np.abs(way)))
    return middle + clear * way, middle + (clear + ARROW) * way


def _arrow_box(middle: Floats, words: str, downslope: Floats) -> Floats:
    if not downslope.any():
        return box_at(middle, 1.0, 1.0)
    tail, tip = _arrow_ends(middle, words, downslope)
    turn = float(np.degrees(np.arctan2(*(tip - tail)[::-1])))
    return box_at((tail + tip) / 2, ARROW, 2.0, turn)


def _draw_arrow(canvas: Canvas, label: Label, downslope: Floats) -> None:
    tail, tip = _arrow_ends(label.middle, label.words, downslope)
    way = (tip - tail) / ARROW
    side = np.array([-way[1], way[0]])
    head = np.array([tip, tip - 2.2 * way + 0.7 * side, tip - 2.2 * way - 0.7 * side])
    canvas.labels.block(_arrow_box(label.middle, label.words, downslope))
    canvas.add("dimensions", svg.line(tail, tip - way, stroke=INK, stroke_width=0.25), svg.polygon(head, fill=INK))
