"""Ends of a rope that are no knots: an eye splice with its tucks, a sewn eye with its stitches; not to scale."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ropewright.rope.curve import resampled, smoothed
from ropewright.rope.termination import EndKind
from ropewright.sheets import svg
from ropewright.sheets.ink import FONT, INK, PAPER
from ropewright.sheets.tubes import Tube, tubes_drawn

__all__ = ["end_svg"]

Floats = NDArray[np.float64]

#: Size of the drawing, and of a rope's diameter in it. [mm]
WIDTH, HEIGHT, SCALE = 84.0, 34.0, 4.6
#: Tucks of the splice, their length, and how far the strands stand off the rope's middle. [-, diameters]
_TUCKS, _TUCK, _OFF = 4, 1.5, 0.5


def end_svg(kind: EndKind) -> str:
    """Drawing of an eye as it is made; empty for an end that has none to show.

    Parameters
    ----------
    kind : EndKind

    Returns
    -------
    str
        An SVG document; one user unit is 1 mm.
    """
    if kind is EndKind.SPLICE:
        return _document("An eye splice, its strands tucked over one and under one", _splice())
    if kind is EndKind.SEWN:
        return _document("A sewn eye, stitched across both legs", _sewn())
    return ""


def _document(title: str, body: list[str]) -> str:
    return svg.tag(
        "svg",
        svg.tag("title", svg.text_of(title)),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        role="img",
        viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}",
        width=f"{WIDTH:g}mm",
        height=f"{HEIGHT:g}mm",
        font_family=FONT,
        fill=INK,
    )


def _place(points: Floats) -> Floats:
    """From rope diameters, the eye's throat at the origin and the eye to the right, to the sheet."""
    placed: Floats = points[:, :2] * np.array([SCALE, -SCALE]) + np.array([0.62 * WIDTH, HEIGHT / 2])
    return placed


def _eye() -> list[tuple[float, float, float]]:
    """From the throat's lower side round the eye to its upper side."""
    angle = np.radians(np.linspace(-120, 120, 13))
    return [(3.7 + 2.2 * float(np.cos(a)), 2.2 * float(np.sin(a)), 0.0) for a in angle]


def _thimble() -> str:
    """The groove that the eye lies round: a line just inside it."""
    angle = np.radians(np.linspace(-135, 135, 40))
    ring = np.column_stack([3.7 + 1.55 * np.cos(angle), 1.55 * np.sin(angle), np.zeros(40)])
    whole = np.concatenate([[[1.6, 0.0, 0.0]], ring, [[1.6, 0.0, 0.0]]])
    return svg.polyline(_place(whole), stroke=INK, stroke_width=0.5)


def _splice() -> list[str]:
    standing = [(-10.0, 0.0, 0.0), (-8.0, 0.0, 0.0), (-4.0, 0.0, 0.0), (-1.0, -0.1, 0.0), (0.6, -0.6, 0.0)]
    rope = resampled(smoothed(np.array([*standing, *_eye(), (1.4, 1.0, 0.1)]), 8), 0.3)
    tubes = [Tube(rope, 1.0, PAPER)]
    for strand in range(3):
        along = np.linspace(0.0, _TUCKS * _TUCK + 1.2, 90)
        turn = 2 * np.pi * along / (3 * _TUCK) + strand * 2 * np.pi / 3 + 0.7
        out = np.exp(-along / 0.8)  # from the rope's end, where the strands still lie together
        x, y = 1.4 - along, _OFF * np.cos(turn) * (1 - out) + out * 1.0
        tubes.append(Tube(np.column_stack([x, y, 0.75 * np.sin(turn) + 0.1]), 0.42, PAPER, 1.0, ended=True))
    return [*tubes_drawn(tubes, _place, SCALE, 0.35), _thimble()]


def _sewn() -> list[str]:
    lower = [(-10.0, -0.5, 0.0), (-5.0, -0.5, 0.0), (-1.0, -0.5, 0.0), (0.6, -0.8, 0.0)]
    upper = [(0.6, 0.8, 0.0), (-1.0, 0.5, 0.0), (-4.0, 0.5, 0.0), (-6.2, 0.5, 0.0)]
    rope = resampled(smoothed(np.array([*lower, *_eye(), *upper]), 8), 0.3)
    drawn = tubes_drawn([Tube(rope, 1.0, PAPER, 1.0, ended=True)], _place, SCALE, 0.45)
    x = np.linspace(-5.6, -0.8, 25)
    stitches = np.column_stack([x, 0.85 * np.where(np.arange(25) % 2 == 0, 1.0, -1.0), np.zeros(25)])
    return [*drawn, svg.polyline(_place(stitches), stroke=INK, stroke_width=0.35), _thimble()]
