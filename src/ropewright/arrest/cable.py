"""Horizontal lines: a cable over one or more spans, what it carries, and how it hangs."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, pairwise

from ropewright.arrest.cable_span import HungSpan, SpanTask

__all__ = ["Cable", "CableState", "PointLoad", "sag_amplification"]


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A load that hangs plumb from the line.

    Parameters
    ----------
    at : float
        Level distance from the left anchor; the load stays under it. [m]
    force : float
        0 or more. [N]
    """

    at: float
    force: float


@dataclass(frozen=True)
class Cable:
    """A line between two anchors, over intermediate supports if there are several spans.

    Parameters
    ----------
    spans : tuple of float
        Level distance from support to support, above 0, from the left anchor on. [m]
    lengths : tuple of float, optional
        Line in each span as it was rigged, unstressed, above 0; straight and without tension if left out. [m]
    rises : tuple of float, optional
        Each span's right support above its left one; all level if left out. [m]
    weight : float
        Of the line, per unstressed length, 0 or more. [N/m]
    stiffness : float
        EA, force per unit strain; infinite: it can't stretch. [N]
    held : bool
        True: the line is held fast at each intermediate support. False: it slips over them without friction, so that
        tension is the same on both sides. What a real support does lies between.
    anchor_stiffness : (float, float)
        Of the left and the right anchor, the same in every direction; infinite: rigid. [N/m]
    absorber_force, absorber_length : float
        Absorber in line at the left anchor: opens at this tension, for at most this length; force or length 0: none.
        [N], [m]

    Raises
    ------
    ValueError
        If a number is out of its range, or the spans, rises and lengths are not as many.

    Examples
    --------
    >>> Cable(spans=(20.0,), lengths=(20.05,), weight=2.45, stiffness=1.7e6).supports
    ((0.0, 0.0), (20.0, 0.0))
    """

    spans: tuple[float, ...]
    lengths: tuple[float, ...] = ()
    rises: tuple[float, ...] = ()
    weight: float = 0.0
    stiffness: float = math.inf
    held: bool = False
    anchor_stiffness: tuple[float, float] = (math.inf, math.inf)
    absorber_force: float = 0.0
    absorber_length: float = 0.0

    def __post_init__(self) -> None:
        if not self.rises:
            object.__setattr__(self, "rises", (0.0,) * len(self.spans))
        if not self.lengths:
            object.__setattr__(self, "lengths", tuple(map(math.hypot, self.spans, self.rises)))
        if not len(self.spans) == len(self.lengths) == len(self.rises) > 0:
            raise ValueError("give as many lengths, and rises if any, as there are spans")
        finite = (*self.spans, *self.lengths, *self.rises, self.weight, self.absorber_force, self.absorber_length)
        if not all(map(math.isfinite, finite)):
            raise ValueError("spans, lengths, rises, weight and absorber must be finite numbers")
        if min(*self.spans, *self.lengths, self.stiffness, *self.anchor_stiffness) <= 0 or math.isnan(self.stiffness):
            raise ValueError("spans, lengths and stiffness must be above 0")
        if min(self.weight, self.absorber_force, self.absorber_length) < 0:
            raise ValueError("weight and absorber must be 0 or more")

    @property
    def supports(self) -> tuple[tuple[float, float], ...]:
        """Places (x, z) of anchors and supports, from the left anchor [m]."""
        x = accumulate(self.spans, initial=0.0)
        return tuple(zip(x, accumulate(self.rises, initial=0.0), strict=True))

    @property
    def has_absorber(self) -> bool:
        """True if there is an absorber in line that can open."""
        return self.absorber_force > 0 and self.absorber_length > 0

    def with_lengths(self, lengths: Iterable[float]) -> Cable:
        """Return the same cable with other unstressed lengths, one a span [m]."""
        return replace(self, lengths=tuple(lengths))

    @property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Spans that share their line: each by itself where the line is held, else all together."""
        every = range(len(self.spans))
        return tuple((k,) for k in every) if self.held else (tuple(every),)

    def chord_height(self, x: float) -> float:
        """Height of the straight line between the supports around a place, over the left anchor [m]."""
        places = self.supports
        for (x0, z0), (x1, z1) in pairwise(places):
            if x <= x1:
                return z0 + (z1 - z0) * (x - x0) / (x1 - x0)
        raise ValueError(f"{x} m is beyond the right anchor")

    def tasks(self, loads: Iterable[PointLoad] = (), opening: float = 0.0) -> list[SpanTask]:
        """What each span is asked to bridge and to carry.

        Raises
        ------
        ValueError
            If a load is negative or stands beyond the anchors or over a support.
        """
        placed = sorted(loads, key=lambda load: load.at)
        gives = [1.0 / stiffness for stiffness in self.anchor_stiffness]
        tasks, taken = [], 0
        for k, ((left, _), (right, _)) in enumerate(pairwise(self.supports)):
            here = [load for load in placed if left < load.at < right and load.force >= 0]
            taken += len(here)
            tasks.append(
                SpanTask(
                    run=self.spans[k],
                    rise=self.rises[k],
                    places=tuple(load.at - left for load in here),
                    forces=tuple(load.force for load in here),
                    weight=self.weight,
                    compliance=1.0 / self.stiffness,
                    give_left=gives[0] if k == 0 else 0.0,
                    give_right=gives[1] if k == len(self.spans) - 1 else 0.0,
                    opening=opening if k == 0 else 0.0,
                )
            )
        if taken != len(placed):
            raise ValueError("loads must be 0 or more and stand between two supports")
        return tasks


@dataclass(frozen=True)
class CableState:
    """A line as it hangs under its loads."""

    cable: Cable
    loads: tuple[PointLoad, ...]  #: by place
    spans: tuple[HungSpan, ...]
    opening: float  #: of the absorber in line [m]

    @property
    def tension(self) -> float:
        """Greatest tension anywhere in the line [N]."""
        return max(max(piece.t1, piece.t2) for span in self.spans for piece in span.pieces)

    @property
    def anchor_forces(self) -> tuple[float, float]:
        """Force on the left and the right end anchor [N]."""
        return self.spans[0].tension_left, self.spans[-1].tension_right

    @property
    def support_forces(self) -> tuple[tuple[float, float], ...]:
        """Force on each intermediate support: toward the right, and downward [N]."""
        pairs = pairwise(self.spans)
        return tuple((b.horizontal - a.horizontal, a.v_right - b.v_left) for a, b in pairs)

    @property
    def sag(self) -> float:
        """Greatest sag of any span below the straight line between its supports [m]."""
        return max(span.sag for span in self.spans)

    @property
    def unstressed(self) -> float:
        """Line in all spans as it would lie without tension, what the absorber paid out not counted [m]."""
        return sum(span.unstressed for span in self.spans)

    @property
    def stressed(self) -> float:
        """Line in all spans as it is stretched [m]."""
        return sum(span.stressed for span in self.spans)

    @cached_property
    def load_points(self) -> tuple[tuple[float, float], ...]:
        """Places (x, z) of the loads on the line, from the left anchor, in the order of `loads` [m]."""
        found = []
        for (x0, z0), span in zip(self.cable.supports, self.spans, strict=False):
            found += [(x0 + x, z0 + z) for x, z in span.nodes[1:-1]]
        return tuple(found)

    @property
    def load_sags(self) -> tuple[float, ...]:
        """How far each load's point lies plumb below the straight line between the supports of its span [m]."""
        return tuple(self.cable.chord_height(x) - z for x, z in self.load_points)

    @property
    def energy(self) -> float:
        """Stretch of line and anchors, height of the line, work taken by the absorber [J]; from any fixed datum."""
        total = self.cable.absorber_force * self.opening if self.cable.has_absorber else 0.0
        for (_, z0), span in zip(self.cable.supports, self.spans, strict=False):
            total += span.energy + self.cable.weight * (span.unstressed - span.missing) * z0
        return total


def sag_amplification(angle: float, other: float | None = None) -> float:
    """Tension in a line over the load that pulls it down, by the angles of its two sides.

    Parameters
    ----------
    angle : float
        Of one side below level, at most 90. [deg]
    other : float, optional
        Of the other side, if it is not the same; negative if that side goes on down. [deg]

    Returns
    -------
    float
        Tension of the harder pulled side over the load. [-]

    Raises
    ------
    ValueError
        If an angle is out of range, or the two make no sag.

    Notes
    -----
    1/(2 sin a) where both sides are alike, else T_a = F cos b/sin(a + b): balance of three forces. The appendix to
    the rule says about 2 at 15 deg and about 6 at 5 deg (29 CFR 1926 Subpart M App. C II(h)(6), read).
    A statement of statics: in an arrest the load and the angle both change.

    Examples
    --------
    >>> [round(sag_amplification(angle), 3) for angle in (30.0, 15.0, 5.0)]
    [1.0, 1.932, 5.737]
    """
    a, b = math.radians(angle), math.radians(angle if other is None else other)
    if not (abs(a) <= math.pi / 2 and abs(b) <= math.pi / 2 and a + b > 0):  # also catches nan
        raise ValueError("the angles must be at most 90 deg and add up to more than 0")
    if a == b:
        return 1.0 / (2.0 * math.sin(a))
    return max(math.cos(a), math.cos(b)) / math.sin(a + b)
