r"""Dormers: small roofs of their own that stand in a slope, between cheeks.

::

              ridge                        seen from the side, the slope falling to the left
          |\-------.           front_height is that of the dormer's eave over the slope,
          | \______ \.         plumb over the middle of the front
    front |  cheek   .
          |     .      slope
          |. `
       .  at
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.roof.facets import facet_plane
from ropewright.roof.height import facet_at
from ropewright.roof.outline import roof_from_outline
from ropewright.roof.outline_ends import STEEPEST
from ropewright.roof.outline_rings import corner_text, signed_area
from ropewright.roof.surface import Roof
from ropewright.roof.union import union_of_roofs

__all__ = ["DORMER_KINDS", "DormerSpec", "dormer_roof", "place_by_wall", "with_dormers"]

Points = NDArray[np.float64]

#: Roofs that a dormer can have.
DORMER_KINDS = ("gable", "hip", "shed", "flat")
#: A slope with less rise per metre is too flat to tell which way a dormer looks. [-]
LEAST_RISE = 0.02
#: How far a dormer goes on into the slope behind where its roof has met it, so that no gap is left. [m]
BEHIND = 1e-3


@dataclass(frozen=True, slots=True)
class DormerSpec:
    """A dormer as a tape measures it.

    Parameters
    ----------
    name : str
        Unique on the roof.
    at : (float, float)
        Middle of its front in plan, on the slope it stands in; it looks down that slope. [m]
    width : float
        From cheek to cheek. [m]
    front_height : float
        From the slope up to the dormer's eave, plumb over `at`. [m]
    kind : str
        One of `DORMER_KINDS`: two slopes and a gable in front, the same with a hip in front, one slope that falls to
        the front, or level.
    pitch : float
        Of its own slopes; not looked at for ``flat``. [deg]
    overhang : float
        Level, in front and over the cheeks. [m]
    """

    name: str
    at: tuple[float, float]
    width: float
    front_height: float
    kind: str = "gable"
    pitch: float = 0.0
    overhang: float = 0.0


@dataclass(frozen=True, slots=True)
class _Slope:
    """The slope a dormer stands in: its height at the front, its rise, and unit vectors up it and along it."""

    height: float
    rise: float
    up: Points
    along: Points
    facet: int


def with_dormers(roof: Roof, dormers: Sequence[DormerSpec]) -> Roof:
    """Roof with dormers cut into its slopes; lay openings on afterwards.

    Parameters
    ----------
    roof : Roof
        Without openings.
    dormers : sequence of DormerSpec

    Returns
    -------
    Roof
        The front and the cheeks are walls: the slope ends at their feet, and their tops are edges to fall over.

    Raises
    ------
    RoofError
        As of `dormer_roof` and `union_of_roofs`.

    Examples
    --------
    >>> from ropewright.roof.outline import roof_from_outline
    >>> roof = roof_from_outline([(0, 0), (10, 0), (10, 8), (0, 8)], form="gable", pitches=[45], eave_height=3)
    >>> roof = with_dormers(roof, [DormerSpec("dormer", (5, 1), width=2, front_height=1, pitch=45)])
    >>> [round(edge.length, 6) for edge in roof.edges if edge.name == "dormer ridge"]
    [2.0]
    """
    if not dormers:
        return roof
    parts = [(spec.name, dormer_roof(roof, spec, f"dormers[{i}]")) for i, spec in enumerate(dormers)]
    return union_of_roofs([("", roof), *parts])


def place_by_wall(outline: Points, side: int, along: float, setback: float) -> Points:
    """Place in plan that a tape finds from a wall, shape (2,). [m]

    Parameters
    ----------
    outline : array, shape (n, 2)
        Corners of the walls, either way round. [m]
    side : int
        Wall from corner `side` to the next, from 0.
    along : float
        From its first corner. [m]
    setback : float
        In from it, level. [m]

    Examples
    --------
    >>> place_by_wall(np.array([[0.0, 0], [10, 0], [10, 8], [0, 8]]), 1, 3.0, 0.5).tolist()
    [9.5, 3.0]
    """
    start, end = outline[side], outline[(side + 1) % len(outline)]
    run = (end - start) / np.linalg.norm(end - start)
    turn = 1.0 if signed_area(outline) > 0.0 else -1.0
    place: Points = start + along * run + turn * setback * np.array([-run[1], run[0]])
    return place


def dormer_roof(roof: Roof, spec: DormerSpec, field: str = "dormer") -> Roof:
    """The dormer's own roof, reaching back into the slope.

    Parameters
    ----------
    roof : Roof
        What it stands in.
    spec : DormerSpec
    field : str
        How messages name it.

    Raises
    ------
    RoofError
        If a measure is out of range, there is no slope at its place, or its roof does not run into that slope.
    """
    _check(spec, field)
    slope = _slope_at(roof, spec, field)
    depth = _depth(slope, spec, field)
    _check_meets(roof, slope, spec, depth, field)
    back = depth + BEHIND
    at, half = np.array(spec.at), spec.width / 2
    outline = [at + u * slope.along + v * slope.up for u, v in ((-half, 0), (half, 0), (half, back), (-half, back))]
    given = {
        "gable": {"form": "gable", "gable_sides": (0, 2)},
        "hip": {"form": "hip", "wall_sides": (2,)},
        "shed": {"form": "shed", "high_side": 2},
        "flat": {"form": "flat"},
    }[spec.kind]
    own = roof_from_outline(
        np.array(outline),
        pitches=[0.0 if spec.kind == "flat" else spec.pitch],
        eave_height=slope.height + spec.front_height,
        overhang=[spec.overhang, spec.overhang, 0.0, spec.overhang],
        **given,  # type: ignore[arg-type]
    )
    return replace(own, walls=None, inner_walls=(), overhang=0.0, notes=())


def _check(spec: DormerSpec, field: str) -> None:
    if not spec.name:
        raise RoofError(f"{field}.name", spec.name, "give the dormer a name of its own")
    if spec.kind not in DORMER_KINDS:
        raise RoofError(f"{field}.kind", spec.kind, f"give one of {', '.join(DORMER_KINDS)}")
    for key in ("width", "front_height"):
        if not 0.0 < getattr(spec, key) < math.inf:
            raise RoofError(f"{field}.{key}", getattr(spec, key), "give a length above 0")
    if not 0.0 <= spec.overhang < math.inf:
        raise RoofError(f"{field}.overhang", spec.overhang, "give a length of 0 or more")
    if spec.kind != "flat" and not 0.0 < spec.pitch < STEEPEST:
        raise RoofError(f"{field}.pitch", spec.pitch, f"give a pitch above 0 and below {STEEPEST:g} degrees")


def _slope_at(roof: Roof, spec: DormerSpec, field: str) -> _Slope:
    index = int(facet_at(roof, [spec.at])[0])
    if index < 0:
        wanted = f"move the front of {spec.name!r} onto the roof: there is none under it"
        raise RoofError(f"{field}.at", corner_text(spec.at), wanted)
    a, b, c = facet_plane(roof.facets[index])
    rise = math.hypot(a, b)
    if rise < LEAST_RISE:
        found = f"{spec.name!r} on {roof.facets[index].id!r}, which hardly slopes"
        raise RoofError(f"{field}.at", found, "put a dormer on a slope, or give what stands on a flat roof as a wing")
    up = np.array([a, b]) / rise
    height = a * spec.at[0] + b * spec.at[1] + c
    return _Slope(height, rise, up, np.array([up[1], -up[0]]), index)


def _tops(spec: DormerSpec) -> tuple[float, float]:
    """Height of the dormer's highest line over its eave, and the rise of that line to the back."""
    rise = math.tan(math.radians(spec.pitch))
    if spec.kind == "shed":
        return spec.overhang * rise, rise
    return (0.0 if spec.kind == "flat" else (spec.width / 2 + spec.overhang) * rise), 0.0


def _depth(slope: _Slope, spec: DormerSpec, field: str) -> float:
    """How far behind the front, level, the highest line of the dormer's roof meets the slope. [m]"""
    top, climb = _tops(spec)
    if slope.rise - climb < LEAST_RISE:
        found = f"{spec.pitch:g} degrees in a slope of {math.degrees(math.atan(slope.rise)):.3g} degrees"
        raise RoofError(f"{field}.pitch", found, "give a shed dormer less pitch than the slope it stands in")
    return (spec.front_height + top) / (slope.rise - climb)


def _check_meets(roof: Roof, slope: _Slope, spec: DormerSpec, depth: float, field: str) -> None:
    """Refuse a dormer whose roof does not run into the slope its front stands on."""
    half = spec.width / 2 + spec.overhang
    if spec.kind in ("shed", "flat"):
        spots = {"left corner": (-half, depth), "right corner": (half, depth)}
    else:
        cheek = spec.front_height / slope.rise
        spots = {"left cheek": (-half, cheek), "right cheek": (half, cheek), "ridge": (0.0, depth)}
    places = np.array([np.array(spec.at) + u * slope.along + (v + BEHIND) * slope.up for u, v in spots.values()])
    for name, place, facet in zip(spots, places, facet_at(roof, places), strict=True):
        if facet != slope.facet:
            there = roof.facets[facet].id if facet >= 0 else "nothing"
            found = f"{spec.name!r}, whose {name} would end over {there} at {corner_text(place)}"
            wanted = f"let it run into {roof.facets[slope.facet].id!r}: lower, narrower, less pitch or further down"
            raise RoofError(f"{field}.at", found, wanted)
