"""What is told of single sides of an outline, and the roof over it: for everything that reads sides one by one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from numpy.typing import ArrayLike

from ropewright.roof.surface import Roof

__all__ = ["COURTYARD_KINDS", "SIDE_KINDS", "ToldSides", "misplaced_on_side", "roof_of_sides"]

#: What a side can be: `hip` and `shed` slope; a `shed` side is one whose slope rises to a wall across from it.
SIDE_KINDS = ("hip", "gable", "half-hip", "shed", "wall")
#: What a courtyard can be: roof that slopes down to it, or a shaft with plumb walls through the slopes.
COURTYARD_KINDS = ("hip", "wall")


@dataclass
class ToldSides:
    """What was told of single sides, by the number of the side from 0; those of courtyards follow the outline's."""

    kinds: dict[int, str] = field(default_factory=dict)
    pitches: dict[int, float] = field(default_factory=dict)  #: [deg]
    overhangs: dict[int, float] = field(default_factory=dict)  #: [m]
    half_hips: dict[int, float] = field(default_factory=dict)  #: height above the roof's edge [m]
    #: Height above the roof's edge at which a slope breaks [m], and its pitch from there on [deg].
    breaks: dict[int, tuple[float, float]] = field(default_factory=dict)

    def of(self, *kinds: str) -> list[int]:
        """Sides of some kinds."""
        return [side for side, kind in self.kinds.items() if kind in kinds]

    @property
    def plumb(self) -> list[int]:
        """Sides over which nothing slopes, so that they need no pitch."""
        return self.of("gable", "wall")

    def tell(self, side: int, kind: str, pitch: float | None, overhang: float | None, hip_from: float | None) -> None:
        """Take what is told of one side; an empty kind and None are not told."""
        if kind:
            self.kinds[side] = kind
        told = ((self.pitches, pitch), (self.overhangs, overhang), (self.half_hips, hip_from))
        for kept, value in told:
            if value is not None:
                kept[side] = value


def misplaced_on_side(form: str, kind: str, given: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Say which fields told of a side don't go with its roof or its kind.

    Parameters
    ----------
    form : str
        Of the roof.
    kind : str
        Of the side; empty where it is not told.
    given : sequence of str
        Fields that are told: of ``kind``, ``pitch``, ``hip_from``, ``upper_pitch``, ``break_from``.

    Yields
    ------
    tuple of str, the field, and str, what would be right

    Examples
    --------
    >>> list(misplaced_on_side("hip", "gable", ["kind", "pitch"]))
    [('pitch', 'leave it out: nothing slopes over a gable')]
    """
    if form in ("flat", "shed"):
        wanted = f"leave it out: a {form} roof has one slope; form = 'hip' lets each side be told"
        yield from ((key, wanted) for key in ("kind", "pitch", "upper_pitch", "break_from") if key in given)
        return
    if kind in ("gable", "wall") and "pitch" in given:
        yield "pitch", f"leave it out: nothing slopes over a {kind}"
    if kind in ("gable", "wall", "half-hip"):
        wanted = f"leave it out: no slope goes up from the edge under a {kind}"
        yield from ((key, wanted) for key in ("upper_pitch", "break_from") if key in given)
    elif ("upper_pitch" in given) != ("break_from" in given):
        there, missing = ("upper_pitch", "break_from") if "upper_pitch" in given else ("break_from", "upper_pitch")
        yield missing, f"give it with '{there}': a slope breaks at a height into another pitch"
    if "hip_from" in given and kind != "half-hip":
        yield "hip_from", "give it only with kind = 'half-hip'"


def roof_of_sides(
    outline: ArrayLike,
    told: ToldSides,
    *,
    form: str,
    pitches: Sequence[float],
    eave_height: float,
    overhang: float,
    gable_sides: Sequence[int] = (),
    high_side: int | None = None,
    holes: Sequence[ArrayLike] = (),
    count: int,
) -> Roof:
    """Roof over an outline some of whose sides are told one by one.

    Parameters
    ----------
    outline, form, pitches, eave_height, gable_sides, high_side, holes
        As of `ropewright.roof.outline.roof_from_outline`.
    told : ToldSides
        What it says of a side goes before the rest.
    overhang : float
        Of the sides of which none is told. [m]
    count : int
        Number of sides, those of the holes among them.

    Raises
    ------
    RoofError
        If no roof can stand on it.

    Examples
    --------
    >>> walls = [(0, 0), (10, 0), (10, 6), (0, 6)]
    >>> told = ToldSides(kinds={1: "gable"})
    >>> roof = roof_of_sides(walls, told, form="hip", pitches=[45], eave_height=3.0, overhang=0.0, count=4)
    >>> [facet.id for facet in roof.facets]
    ['south', 'north', 'west']
    """
    from ropewright.roof.outline import roof_from_outline

    over = [told.overhangs.get(side, overhang) for side in range(count)] if told.overhangs else overhang
    return roof_from_outline(
        outline,
        form="gable" if told.of("gable") and form == "hip" else form,
        pitches=pitches,
        eave_height=eave_height,
        overhang=over,
        gable_sides=sorted({*gable_sides, *told.of("gable")}),
        high_side=high_side,
        holes=holes,
        hip_sides=told.of("hip", "shed"),
        wall_sides=[] if form in ("flat", "shed") else told.of("wall"),
        half_hips=told.half_hips,
        breaks=told.breaks,
    )
