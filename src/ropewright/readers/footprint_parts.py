"""Wings and dormers of a footprint, told among its properties, made one roof with the main one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import InputError, RoofError
from ropewright.quantity import Dimension
from ropewright.readers.footprint_sides import OUTLINE_MEMBERS, OVERHANG, roof_on
from ropewright.readers.footprint_values import length_of, pitch_of, refuse_unknown, side_of, word_of
from ropewright.roof.dormers import DORMER_KINDS, DormerSpec, dormer_roof, place_by_wall
from ropewright.roof.mending.notes import Mendings
from ropewright.roof.surface import Roof
from ropewright.roof.union import union_of_roofs

__all__ = ["DORMER", "MOST_PARTS", "WING", "Placed", "with_parts"]

Points = NDArray[np.float64]

#: Names of the two properties, and how many wings and how many dormers a footprint may have.
WING, DORMER = "wing", "dormer"
MOST_PARTS = 24
#: A name is no longer than this.
_LONGEST = 60
_DORMER = (
    *("name", "at", "side", "along", "along_m", "setback", "setback_m", "width", "width_m", "front_height"),
    *("front_height_m", "kind", "pitch", "pitch_deg", "overhang", "overhang_m"),
)


@dataclass(frozen=True)
class Placed:
    """Wings and dormers with what they say of places laid into the plan of their footprint."""

    #: Path in messages, what is told, and outline in metres, of each wing.
    wings: Sequence[tuple[str, Mapping[str, Any], Points]] = ()
    #: Path, what is told, and middle of the front in metres, where that is told, of each dormer.
    dormers: Sequence[tuple[str, Mapping[str, Any], Points | None]] = ()

    @property
    def counts_sides(self) -> bool:
        """True if a dormer is placed by the number of a wall."""
        return any(one.get("side") is not None for _, one, _ in self.dormers)


def with_parts(main: Roof, outline: Points, placed: Placed, eave_height: float, notes: Mendings) -> Roof:
    """Roof with its wings and dormers.

    Parameters
    ----------
    main : Roof
    outline : array, shape (n, 2)
        Walls of the main part. [m]
    placed : Placed
    eave_height : float
        Of the main part: that of wings which tell none. [m]
    notes : Mendings
        What was found so far.

    Raises
    ------
    InputError
        If a part can't be used or they make no roof together; names it by its path.
    """
    names: set[str] = set()
    parts = [("", main)]
    for path, one, ring in placed.wings:
        refuse_unknown(one, path, ("name", "outline", *OUTLINE_MEMBERS))
        parts.append((_name(one, path, names), _wing(one, path, ring, eave_height, notes)))
    specs = [(path, _dormer(one, path, at, outline, names)) for path, one, at in placed.dormers]
    roof = _together(parts, WING)
    if not specs:
        return roof
    made = [(spec.name, dormer_roof(roof, spec, path.removesuffix("."))) for path, spec in specs]
    return _together([*parts, *made], DORMER)


def _together(parts: Sequence[tuple[str, Roof]], what: str) -> Roof:
    if len(parts) == 1:
        return parts[0][1]
    try:
        return union_of_roofs(parts)
    except RoofError as error:
        raise RoofError(what, error.value, error.expected) from error


def _name(one: Mapping[str, Any], path: str, taken: set[str]) -> str:
    name = one.get("name")
    if not isinstance(name, str) or not 0 < len(name.strip()) <= _LONGEST:
        raise RoofError(
            f"{path}name", name, f"give it a name of at most {_LONGEST} letters: facets are called after it"
        )
    if name in taken:
        raise RoofError(f"{path}name", name, "this name is taken; give each wing and dormer its own")
    taken.add(name)
    return name


def _wing(one: Mapping[str, Any], path: str, ring: Points, eave_height: float, notes: Mendings) -> Roof:
    own = length_of(one, "eave_height", 300.0, path=path)
    try:
        return roof_on([ring], one, eave_height if own is None else own, notes)
    except InputError as error:
        raise RoofError(f"{path}{error.field}", error.value, error.expected) from error


def _dormer(one: Mapping[str, Any], path: str, at: Points | None, outline: Points, taken: set[str]) -> DormerSpec:
    refuse_unknown(one, path, _DORMER)
    name = _name(one, path, taken)
    kind = word_of(one, "kind", DORMER_KINDS, path=path) or "gable"
    pitch = pitch_of(one, path)
    if (pitch is None) == (kind != "flat"):
        wanted = "leave it out: a flat dormer is level" if kind == "flat" else "give the pitch of its own slopes"
        raise RoofError(f"{path}pitch", pitch, wanted)
    place = _place(one, path, at, outline)
    return DormerSpec(
        name,
        (float(place[0]), float(place[1])),
        _needed(one, "width", path, 0.2, 50.0),
        _needed(one, "front_height", path, 0.05, 20.0),
        kind,
        pitch or 0.0,
        length_of(one, "overhang", OVERHANG, path=path) or 0.0,
    )


def _place(one: Mapping[str, Any], path: str, at: Points | None, outline: Points) -> Points:
    """Middle of a dormer's front: told, or so far along a wall and so far in from it."""
    by_wall = any(one.get(key) is not None for key in ("side", "along", "along_m", "setback", "setback_m"))
    if (at is not None) == by_wall:
        wanted = "give the middle of its front as 'at', or by 'side', 'along' and 'setback'"
        raise RoofError(f"{path}at", "both" if by_wall else None, wanted)
    if at is not None:
        return at
    side = side_of(one.get("side"), f"{path}side", len(outline))
    along, setback = _needed(one, "along", path, 0.0, 1000.0), _needed(one, "setback", path, -3.0, 100.0)
    return place_by_wall(outline, side, along, setback)


def _needed(one: Mapping[str, Any], key: str, path: str, least: float, most: float) -> float:
    length = length_of(one, key, most, least=least, path=path)
    if length is None:
        raise RoofError(f"{path}{key}", None, f'give a {Dimension.LENGTH.value}, such as "2 m"')
    return length
