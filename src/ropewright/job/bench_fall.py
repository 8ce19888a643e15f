"""One fall set up for a class: a person, a line over an edge, and what each metre of clearance goes to."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ropewright.arrest.answer import FallAnswer, FallTask, answer_fall
from ropewright.arrest.book import BookClearance, Datum, book_clearance
from ropewright.arrest.doubtful import INPUTS, FallPoints
from ropewright.arrest.history import History, catch_history
from ropewright.arrest.part_sets import PartKind, absorber_force, part_set, part_sets
from ropewright.arrest.parts import GRAVITY
from ropewright.errors import InputError
from ropewright.findings import Verdict, worst
from ropewright.quantity import Range
from ropewright.rope import friction_figure, stiffness_of

__all__ = ["EDGES", "ROPES", "BenchAnswer", "BenchFall", "answer_bench_fall", "shared_span"]

#: Rope of a class -> fibre, construction, stretch and diameter [m] that its stiffness is looked up for.
ROPES: Mapping[str, tuple[str, str, str, float]] = {
    "low-stretch": ("nylon", "sheathed core", "static", 0.011),
    "dynamic": ("nylon", "sheathed core", "dynamic", 0.011),
    "laid nylon": ("nylon", "laid", "static", 0.016),
    "laid polyester": ("polyester", "laid", "static", 0.016),
    "laid polypropylene": ("polypropylene", "laid", "static", 0.016),
}

#: What the edge is made of, as the friction table names it.
EDGES = ("asphalt shingle", "timber", "steel", "aluminium", "concrete or brick", "unknown")

#: Turn of the rope from a level roof to plumb. [rad]
_OVER_EDGE = math.pi / 2

#: Corner falls are drawn as a band only, so they may be followed in longer steps. [-]
_BAND_ERROR = 1e-3

#: Most corners that are followed for the band.
_MOST_CORNERS = 64


@dataclass(frozen=True)
class BenchFall:
    """A fall as a class sets it up.

    Parameters
    ----------
    mass : Range
        Person with clothing and tools. [kg]
    slack : Range
        Free fall before the line is tight, 0 or more. [m]
    line : float
        Rope from the anchor to the person, above 0. [m]
    rope : str
        One of `ROPES`.
    absorber, grab : str
        By their standards as `arrest.part_sets` knows them; empty: none.
    setback : float
        Anchor behind the edge, measured square to it on a level roof; 0: the anchor is straight overhead and there is
        no edge. [m]
    offset : float
        How far along the edge from the place nearest the anchor the person goes over. [m]
    edge : str
        One of `EDGES`; friction over it shortens the rope that gives.
    clearance : float, optional
        Height free below the feet. [m]
    margin : float
        Kept free under the feet. [m]
    force_limit : float, optional
        Greatest force on the body that holds. [N]
    """

    mass: Range
    slack: Range
    line: float
    rope: str = "low-stretch"
    absorber: str = ""
    grab: str = ""
    setback: float = 0.0
    offset: float = 0.0
    edge: str = "unknown"
    clearance: float | None = None
    margin: float = 1.0
    force_limit: float | None = None

    @cached_property
    def to_edge(self) -> float:
        """Rope from the anchor to where it goes over the edge. [m]"""
        return math.hypot(self.setback, self.offset) if self.setback else 0.0

    @property
    def swing_drop(self) -> float:
        """Height lost when the person swings along a level edge to the place nearest the anchor. [m]

        Notes
        -----
        The rope stays as long as it is, and of it less lies on the roof: H = z - (L - l), docs/derivations.md.
        """
        if self.setback:
            return self.to_edge - self.setback
        return self.line - math.sqrt(max(self.line**2 - self.offset**2, 0.0))

    @property
    def is_restrained(self) -> bool:
        """True if the line doesn't let the person reach the edge there."""
        return bool(self.setback) and self.line <= self.to_edge


@dataclass(frozen=True)
class BenchAnswer:
    """What there is to say about a fall of a class.

    Parameters
    ----------
    setup : BenchFall
    fall : FallAnswer
    sources : mapping of str to str
        Input -> where its figure comes from, for those that were not given.
    """

    setup: BenchFall
    fall: FallAnswer
    sources: Mapping[str, str] = field(default_factory=dict)

    @property
    def named_sources(self) -> tuple[tuple[str, str], ...]:
        """What was looked up, in words, and where it comes from."""
        return tuple((INPUTS[name].words, source) for name, source in self.sources.items())

    @property
    def beside(self) -> float:
        """Swing and margin, which come on top of what the fall itself needs. [m]"""
        return self.setup.swing_drop + self.setup.margin

    @property
    def needed_likely(self) -> float:
        """Clearance that the simulated fall needs below the feet at likely inputs. [m]"""
        return float(self.fall.corners.middle["needed"][0]) + self.beside

    @property
    def needed_high(self) -> float:
        """The same with every input and the model's error at its unsafe end. [m]"""
        return float(self.fall.corners.high["needed"][0]) + self.beside

    @property
    def needed(self) -> float:
        """Clearance to plan with: the larger of book and simulation at its unsafe end. [m]"""
        return max(self.needed_high, float(self.book.total))

    @property
    def force_high(self) -> float:
        """Force on the D-ring with every input and the model's error at its unsafe end. [N]"""
        return float(self.fall.corners.high["peak_force"][0])

    @property
    def swing_speed(self) -> float:
        """Greatest speed that the swing alone can give, sqrt(2 g h): friction over the edge takes some off. [m/s]"""
        return math.sqrt(2.0 * GRAVITY * self.setup.swing_drop)

    @cached_property
    def book(self) -> BookClearance:
        """Clearance below the feet by summed allowances, swing and margin in it."""
        one = self.fall.one
        terms = {term.key: float(term.value) for term in one.book.terms}
        sources = {term.key: term.source for term in one.book.terms}
        likely = self.fall.task.likely
        terms["grab_slide"] = terms.get("grab_slide", 0.0) + likely["grab_slide"]
        terms["harness_shift"] = likely["body_shift"]
        terms["swing_drop"], terms["margin"] = self.setup.swing_drop, self.setup.margin
        sources |= {"harness_shift": self.sources.get("body_shift", "as given"), "margin": "as given"}
        sources["swing_drop"] = "rope to the edge there, less that to the place nearest the anchor"
        kept = {key: value for key, value in terms.items() if value > 0 or key == "free_fall"}
        return book_clearance(Datum.FEET, kept, sources)

    @cached_property
    def simulated(self) -> tuple[tuple[str, float], ...]:
        """Parts of the simulated clearance at likely inputs, by the keys of the book and ``spring`` and ``later``."""
        one, likely = self.fall.one, self.fall.task.likely
        parts = [
            ("free_fall", one.free_fall - likely["grab_lock"]),
            ("grab_slide", likely["grab_lock"] + one.number("grab_slip") + likely["grab_slide"]),
            ("deceleration", one.number("absorber_opening")),
            ("rope_stretch", one.number("rope_stretch")),
            ("spring", one.number("spring_stretch")),
            ("later", one.greatest_extension - one.number("stop_distance")),
            ("harness_shift", likely["body_shift"]),
            ("swing_drop", self.setup.swing_drop),
            ("margin", self.setup.margin),
        ]
        return tuple((key, value) for key, value in parts if value > 5e-4 or key == "free_fall")

    @property
    def verdict(self) -> Verdict | None:
        """Worst of the limits that were given; None if there were none."""
        found = [limit.verdict for limit in self.fall.limits]
        return worst(found) if found else None

    @cached_property
    def history(self) -> History:
        """The fall in time, at likely inputs."""
        return catch_history(self.fall.one.chain, duration=self._duration)

    @cached_property
    def corner_histories(self) -> tuple[History, ...]:
        """Falls with the inputs at their ends, without the model's error; empty if no input is in doubt."""
        cases = self.fall.corners.cases[1:]
        step = max(-(-len(cases) // _MOST_CORNERS), 1)
        chains = (self.fall.task.chain({**case, **_NO_ERROR}) for case in cases[::step])
        return tuple(catch_history(chain, duration=self._duration, error_bound=_BAND_ERROR) for chain in chains)

    @property
    def _duration(self) -> float:
        return 3.0 * self.fall.one.number("stop_time") + 0.4


_NO_ERROR = dict.fromkeys(("rope_error", "absorber_error", "opening_error"), 1.0)


def answer_bench_fall(setup: BenchFall) -> BenchAnswer:
    """Answer a fall of a class.

    Parameters
    ----------
    setup : BenchFall

    Returns
    -------
    BenchAnswer

    Raises
    ------
    InputError
        If a part is unknown, or the line doesn't reach the edge where the person would go over it; the field names
        are those of `BenchFall`.
    CatchError
        If nothing stops the fall.

    Notes
    -----
    The roof is level and the rope turns a right angle over its edge; with friction there, less of the rope gives
    (capstan). The catch is plumb; the swing comes after it, and its drop is added.

    Examples
    --------
    >>> found = answer_bench_fall(BenchFall(Range.exact(100.0), Range.exact(1.8), 6.0, absorber="EN 355", setback=4.0))
    >>> [term.key for term in found.book.terms]
    ['free_fall', 'deceleration', 'rope_stretch', 'harness_shift', 'margin']
    """
    if setup.is_restrained:
        expected = (
            f"give more than the {setup.to_edge:.2f} m to the edge there: so short a line restrains, and nobody falls"
        )
        raise InputError("line", f"{setup.line:g} m", expected)
    if not setup.setback and setup.offset >= setup.line:
        raise InputError("offset", f"{setup.offset:g} m", f"give less than the line, which is {setup.line:g} m long")
    inputs, sources = _inputs(setup)
    limits = {}
    if setup.force_limit is not None:
        limits["peak_force"] = setup.force_limit
    if setup.clearance is not None:
        limits["needed"] = max(setup.clearance - setup.swing_drop - setup.margin, 1e-9)
    turn = _OVER_EDGE if setup.setback else 0.0
    point = FallPoints(near=setup.line - setup.to_edge, far=setup.to_edge, turn=turn)
    return BenchAnswer(setup, answer_fall(FallTask(inputs, point, limits=limits)), sources)


def _inputs(setup: BenchFall) -> tuple[dict[str, Range], dict[str, str]]:
    """Inputs of the fall, and the source of each that was looked up."""
    if setup.rope not in ROPES:
        raise InputError("rope", setup.rope, "give one of " + ", ".join(ROPES))
    fibre, construction, stretch, diameter = ROPES[setup.rope]
    rope = stiffness_of(fibre, construction, stretch, diameter)
    body = part_sets(PartKind.BODY)[""].figures["shift"]
    inputs = {"mass": setup.mass, "free_fall": setup.slack, "modulus": rope.arrest, "body_shift": body.value}
    sources = {"modulus": f"{rope.basis}; {rope.source}", "body_shift": str(body.source)}
    if setup.setback:
        friction = friction_figure(setup.edge)
        inputs["friction"], sources["friction"] = friction.value, str(friction.source)
    if setup.absorber:
        absorber = part_set(PartKind.ABSORBER, setup.absorber, "absorber")
        inputs["absorber_force"] = absorber_force(absorber)
        inputs["absorber_length"] = absorber.figures["length"].value
        sources["absorber_force"] = str(absorber.figures["force"].source)
        sources["absorber_length"] = str(absorber.figures["length"].source)
    if setup.grab:
        grab = part_set(PartKind.GRAB, setup.grab, "grab")
        inputs["grab_lock"], inputs["grab_slide"] = grab.figures["lock"].value, grab.figures["slide"].value
        sources["grab_lock"] = str(grab.figures["lock"].source)
        sources["grab_slide"] = str(grab.figures["slide"].source)
    return inputs, sources


def shared_span(answers: tuple[BenchAnswer, ...]) -> tuple[float, float, float, float]:
    """Spans that drawings of several falls share, so that they can be compared by eye.

    Returns
    -------
    tuple of float
        Time [s], depth of the D-ring [m], speed [m/s] and force [N], each the greatest of all.
    """
    runs = [history for one in answers for history in (one.history, *one.corner_histories)]
    return (
        max(float(one.history.time[-1]) for one in answers),
        max(float(-np.min(run.height)) for run in runs),
        max(float(np.max(np.abs(run.speed))) for run in runs),
        max(float(np.max(run.force)) for run in runs),
    )
