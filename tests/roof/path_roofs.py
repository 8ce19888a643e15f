"""Roofs by hand and from outlines on which taut ropes are tested."""

from __future__ import annotations

import numpy as np

from ropewright.roof import Facet, Opening, Roof
from ropewright.roof.outline import roof_from_outline

Corners = list[tuple[float, float, float]]


def facet(name: str, *corners: tuple[float, float, float], holes: tuple[Corners, ...] = ()) -> Facet:
    return Facet(name, np.array(corners, float), tuple(np.array(hole, float) for hole in holes))


def hip() -> Roof:
    return roof_from_outline(
        [(0, 0), (12, 0), (12, 8), (0, 8)], form="hip", pitches=[35], eave_height=3.0, overhang=0.4
    )


def ell(pitch: float = 35.0) -> Roof:
    """Hip roof on an L: one valley, one inner corner."""
    plan = [(0, 0), (12, 0), (12, 7), (7, 7), (7, 13), (0, 13)]
    return roof_from_outline(plan, form="hip", pitches=[pitch], eave_height=3.0, overhang=0.4)


def tee() -> Roof:
    """Gable roof on a T: two valleys, three gables."""
    plan = [(0, 0), (16, 0), (16, 7), (11, 7), (11, 13), (5, 13), (5, 7), (0, 7)]
    return roof_from_outline(plan, form="gable", pitches=[40], eave_height=3.0, overhang=0.4)


def courtyard() -> Roof:
    plan, court = [(0, 0), (14, 0), (14, 12), (0, 12)], [(5, 4), (9, 4), (9, 8), (5, 8)]
    return roof_from_outline(plan, form="hip", pitches=[30], eave_height=3.0, holes=[court])


def step() -> Roof:
    """A flat roof at 6 m, and one at 3 m that stands against its east wall and reaches past it on both sides."""
    high = facet("high", (0, 0, 6), (6, 0, 6), (6, 6, 6), (0, 6, 6))
    return Roof((high, facet("low", (6, -1, 3), (12, -1, 3), (12, 7, 3), (6, 7, 3))), ())


def crossed() -> Roof:
    """Two slopes side by side that fall opposite ways, so that each stands over the other along half of their line."""
    one = facet("one", (0, 0, 3), (6, 0, 3), (6, 8, 6), (0, 8, 6))
    return Roof((one, facet("other", (6, 0, 6), (12, 0, 6), (12, 8, 3), (6, 8, 3))), ())


def dormer() -> Roof:
    """A gable dormer, let into the south slope: its cheeks are steps, its roof meets the slope in valleys."""
    hole = [(4.0, 1.5, 4.2), (4.0, 3.0, 5.4), (5.0, 4.0, 6.2), (6.0, 3.0, 5.4), (6.0, 1.5, 4.2)]
    return Roof(
        (
            facet("south", (0, 0, 3), (10, 0, 3), (10, 5, 7), (0, 5, 7), holes=(hole,)),
            facet("north", (0, 5, 7), (10, 5, 7), (10, 10, 3), (0, 10, 3)),
            facet("dormer west", (4, 1.5, 5.4), (5, 1.5, 6.2), (5, 4, 6.2), (4, 3, 5.4)),
            facet("dormer east", (5, 1.5, 6.2), (6, 1.5, 5.4), (6, 3, 5.4), (5, 4, 6.2)),
            facet("cheek", (4, 1.5, 4.2), (4, 1.5, 5.4), (4, 3, 5.4)),
        ),
        (),
    )


def skylight() -> Roof:
    """A gable roof with an opening in its south slope."""
    roof = roof_from_outline([(0, 0), (10, 0), (10, 8), (0, 8)], form="gable", pitches=[45], eave_height=3.0)
    ring = np.array([(4.0, 1.0, 4.0), (6.0, 1.0, 4.0), (6.0, 2.5, 5.5), (4.0, 2.5, 5.5)])
    return Roof(roof.facets, roof.edges, (Opening("skylight", roof.facets[0].id, ring),))


def apart() -> Roof:
    """Two flat roofs with a gap of 2 m between them."""
    one = facet("one", (0, 0, 5), (5, 0, 5), (5, 5, 5), (0, 5, 5))
    return Roof((one, facet("two", (7, 1, 3), (12, 1, 3), (12, 6, 4), (7, 6, 4))), ())


ROOFS = {
    "hip": hip,
    "ell": ell,
    "tee": tee,
    "courtyard": courtyard,
    "step": step,
    "crossed": crossed,
    "dormer": dormer,
    "skylight": skylight,
    "apart": apart,
}
