"""A job as plain data: the site, the roof, the anchors, the lines and the crew, in SI units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ropewright.job.area_model import AnchorPlan, Area, Framing
from ropewright.quantity import Range, UnitSystem
from ropewright.roof import Roof
from ropewright.rope.service import Service
from ropewright.rules import Pack

if TYPE_CHECKING:  # it reads jobs
    from ropewright.job.recorded import Recorded

__all__ = [
    "Absorber",
    "Anchor",
    "Answer",
    "CrewMember",
    "Grab",
    "Job",
    "Lanyard",
    "Level",
    "Line",
    "Obstacle",
    "PowerLine",
    "Rescue",
    "RopeSpec",
    "Site",
]

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Level:
    """A surface that a falling body can land on; `outline` None means everywhere (the ground)."""

    name: str
    height: float  #: [m]
    outline: Points | None = None  #: shape (n, 2), counterclockwise [m]


@dataclass(frozen=True, slots=True)
class Obstacle:
    """An upright prism that a body can swing or fall into, or that a person can't stand on."""

    name: str
    outline: Points  #: shape (n, 2) [m]
    base: float  #: [m]
    top: float  #: [m]


@dataclass(frozen=True, slots=True)
class PowerLine:
    """An overhead line; `insulated` and `dead` count only with the name of who confirmed it."""

    name: str
    points: Points  #: shape (n, 3) [m]
    voltage: float  #: nominal [V]
    confirmed_dead_by: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """What lies round the building."""

    levels: tuple[Level, ...]
    obstacles: tuple[Obstacle, ...] = ()
    power_lines: tuple[PowerLine, ...] = ()
    #: Bearing of the plan's +y axis, clockwise from north. [deg]
    north: float = 0.0


@dataclass(frozen=True, slots=True)
class Anchor:
    """A point that a line is tied to."""

    name: str
    point: Points  #: shape (3,) [m]
    strength: Range  #: [N]
    #: ``ultimate`` (it breaks there) or ``allowable`` (it may work there); never compared with each other.
    basis: str
    #: How it was put in: fastener, substrate, maker's sheet.
    installed: str
    #: Qualified person or engineer who stands for a designed anchor; empty: nobody.
    designed_by: str = ""
    #: Factor over the greatest arrest force, for a designed anchor. [-]
    design_factor: float | None = None
    #: None: not known.
    independent: bool | None = None
    on: str = ""  #: what it is fixed to: ``ridge board and rafters``, ``guardrail``...


@dataclass(frozen=True, slots=True)
class RopeSpec:
    """A rope as bought; `strength` is the minimum breaking strength as new."""

    fibre: str
    construction: str
    stretch: str  #: ``static``, ``low-stretch`` or ``dynamic``
    diameter: float  #: [m]
    strength: Range  #: [N]
    #: What it is: ``batch minimum``, ``mean less 3 sd``, ``maker's minimum``, ``average``, ``unknown``.
    strength_basis: str
    #: Force per unit strain at arrest; None: the table value for this kind of rope. [N]
    stiffness: Range | None = None
    uv_inhibitor: bool | None = None
    condition: str = "unknown"  #: ``new``, ``good``, ``worn``, ``wet``, ``fallen-on``, ``unknown``
    length: float | None = None  #: whole rope [m]
    service: Service | None = None  #: what it has been through, from the record; None: only `condition` is known


@dataclass(frozen=True, slots=True)
class Grab:
    """A device that travels on the line and locks on it."""

    lock: Range  #: travel until it locks [m]
    slip: Range  #: slide after locking, at its slip force [m]
    slip_force: Range | None = None  #: [N]
    #: True: it trails the worker by itself, so that slack never exceeds two lanyards.
    follows: bool = False
    fits_rope: bool | None = None  #: marked by its maker for this rope


@dataclass(frozen=True, slots=True)
class Absorber:
    """A tearing or deforming pack in the lanyard."""

    force: Range  #: average while it opens [N]
    length: Range  #: how far it can open [m]


@dataclass(frozen=True, slots=True)
class Lanyard:
    """What joins the worker's D-ring to the grab or to the end of the line."""

    length: float  #: with its absorber closed and its connectors [m]
    strength: Range | None  #: [N]
    absorber: Absorber | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """A lifeline as it is rigged for one worker."""

    name: str
    anchor: str
    rope: RopeSpec
    #: From the anchor to the stop under the grab (or to the lanyard, without one), along the rope. [m]
    length: float
    termination: str
    lanyard: Lanyard
    grab: Grab | None = None
    connector_strength: Range | None = None  #: [N]
    gate_strength: Range | None = None  #: [N]
    end_stop: bool | None = None
    edge_protection: bool | None = None
    tag: str = ""  #: of the rope itself in the record; empty: not told
    gear: tuple[str, ...] = ()  #: tags of what else holds its worker: harness, lanyard, grab, connectors, or a kit
    #: How rope beyond the stop is kept: ``in a bag``, ``laid back and forth``, ...; ``unknown``: nobody has told.
    loose_rope: str = "unknown"

    @property
    def reach(self) -> float:
        """Anchor to D-ring with everything out and nothing stretched. [m]"""
        return self.length + self.lanyard.length


@dataclass(frozen=True, slots=True)
class CrewMember:
    """A worker as the plan needs to know them."""

    name: str
    mass: Range  #: with clothing and tools [kg]
    d_ring: float  #: height of the dorsal D-ring above the soles, standing [m]
    line: str
    trained_on: date | None = None
    person: str = ""  #: code of this person in the record; empty: not told


@dataclass(frozen=True, slots=True)
class Rescue:
    """How a hanging worker is brought down."""

    method: str = ""
    by: str = ""
    minutes: float | None = None
    person: str = ""  #: code in the record of the one who does it; empty: not told


@dataclass(frozen=True, slots=True)
class Answer:
    """Something that only a person can know, with who said so and when."""

    yes: bool | None = None
    by: str = ""
    on: date | None = None


@dataclass(frozen=True)
class Job:
    """Everything the plan is worked out from.

    `raw` is the file as read (TOML values), from which a remedy is tried by changing one field and reading again.
    """

    name: str
    units: UnitSystem
    pack: Pack
    roof: Roof
    site: Site
    anchors: tuple[Anchor, ...]
    lines: tuple[Line, ...]
    crew: tuple[CrewMember, ...]
    spacing: float = 0.25  #: along edges [m]
    restraint_margin: float = 0.6  #: [m]
    clearance_margin: float | None = None  #: None: the pack's, or 0.9 m by practice [m]
    d_ring_shift: Range = field(default_factory=lambda: Range(0.25, 0.30, 0.45))  #: [m]
    swing_drop_limit: float | None = None  #: [m]
    slide_friction: Range | None = None  #: of a body that slides on the roof; None: the table's [-]
    draws: int = 0  #: of the inputs, at each edge point; 0: none
    person_reach: float = 0.9  #: how far tools and arms reach past the body, for power lines [m]
    roof_sound: Answer = field(default_factory=Answer)
    rescue: Rescue = field(default_factory=Rescue)
    facts: Mapping[str, Range | bool | str] = field(default_factory=dict)
    areas: tuple[Area, ...] = ()  #: where people work; none told: the whole roof
    no_anchor: tuple[Area, ...] = ()  #: where no anchor may go
    framing: tuple[Framing, ...] = ()
    anchor_plan: AnchorPlan = field(default_factory=AnchorPlan)
    prepared_by: str = ""
    date: date | None = None
    address: str = ""
    invented: bool = False
    path: Path | None = None
    raw: Mapping[str, object] = field(default_factory=dict)
    record: Recorded | None = None  #: what the record says of the gear and people named; None: not asked
    notes: tuple[str, ...] = ()
