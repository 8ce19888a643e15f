"""How the sides of an outline end: which slope, and which end in a gable, a half-hip or a wall."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ropewright.errors import RoofError
from ropewright.roof.outline_gables import gables_of
from ropewright.roof.outline_sides import Outline

__all__ = ["STEEPEST", "Ends", "ends_of"]

#: At this pitch a slope is a wall. [deg]
STEEPEST = 85.0


@dataclass(frozen=True)
class Ends:
    """Sides that do not simply slope, as the outline now runs.

    Parameters
    ----------
    plumb : frozenset of int
        Gables and walls: no slope, and so no pitch.
    walls : frozenset of int
        Those of them that were given as walls.
    half_hips : dict of int to float
        Height above the roof's edge at which the hip begins. [m]
    notes : tuple of str
        What was chosen for the user.
    breaks : dict of int to (float, float)
        Height above the roof's edge at which a slope goes on with another pitch [m], and that pitch [deg].
    """

    plumb: frozenset[int]
    walls: frozenset[int]
    half_hips: dict[int, float]
    notes: tuple[str, ...]
    breaks: dict[int, tuple[float, float]]

    @property
    def upright(self) -> frozenset[int]:
        """Sides over which a wall goes up from the roof's edge."""
        return self.plumb | self.half_hips.keys()

    def text(self, side: int, pitch: float) -> str:
        """What stands over a side, in words."""
        if side in self.half_hips:
            return f"a half-hip of {pitch:g} degrees from {self.half_hips[side]:g} m"
        if side in self.plumb:
            return "a wall" if side in self.walls else "a gable"
        if side in self.breaks:
            height, above = self.breaks[side]
            return f"{pitch:g} degrees and {above:g} from {height:g} m"
        return f"{pitch:g} degrees"


def ends_of(
    outline: Outline,
    form: str,
    *,
    gables: Sequence[int],
    hips: Sequence[int],
    walls: Sequence[int],
    half_hips: Mapping[int, float],
    breaks: Mapping[int, tuple[float, float]],
) -> Ends:
    """How every side ends; all numbers are those of the sides as they were given.

    Raises
    ------
    RoofError
        If a number is no side, a side is given two ends, a hip begins no higher than the roof's edge, or no slope is
        left.
    """
    if form == "hip" and gables:
        raise RoofError("gable_sides", tuple(gables), "leave them out, or give the form as gable")
    fields = {"gable_sides": gables, "hip_sides": hips, "wall_sides": walls, "half_hips": tuple(half_hips)}
    for field, sides in fields.items():
        for side in sides:
            if not 0 <= side < outline.count:
                raise RoofError(field, side, f"give the numbers of sides, 0 to {outline.count - 1}")
            other = next((name for name, own in fields.items() if name != field and side in own), None)
            if other is not None:
                raise RoofError(field, side, f"give this side one end: it stands under {other} too")
    for side, height in half_hips.items():
        if not 0.0 < height < math.inf:
            raise RoofError("half_hips", height, f"give side {side} a height above 0 at which its hip begins")
    found, notes = gables_of(outline, gables) if form == "gable" else (frozenset[int](), ())
    own = {field: frozenset(map(outline.given.index, sides)) for field, sides in fields.items()}
    plumb = (found - own["hip_sides"] - own["half_hips"]) | own["wall_sides"]
    if len(plumb) == outline.count:
        raise RoofError("wall_sides", tuple(walls), "leave at least one side to slope")
    if plumb & found != found:  # the note would name gables that are none
        notes = ()
    heights = {outline.given.index(side): float(height) for side, height in half_hips.items()}
    return Ends(plumb, own["wall_sides"], heights, notes, _breaks(outline, breaks, plumb | own["half_hips"]))


def _breaks(
    outline: Outline, breaks: Mapping[int, tuple[float, float]], upright: frozenset[int]
) -> dict[int, tuple[float, float]]:
    """Breaks by side as the outline now runs."""
    found = {}
    for side, (height, pitch) in breaks.items():
        if not 0 <= side < outline.count:
            raise RoofError("breaks", side, f"give the numbers of sides, 0 to {outline.count - 1}")
        if not (0.0 < height < math.inf and 0.0 < pitch < STEEPEST):
            wanted = f"give side {side} a height above 0 and a pitch above 0 and below {STEEPEST:g} degrees"
            raise RoofError("breaks", (height, pitch), wanted)
        if outline.given.index(side) in upright:
            raise RoofError("breaks", side, "let only slopes break: a wall or gable stands over this side")
        found[outline.given.index(side)] = (float(height), float(pitch))
    return found
