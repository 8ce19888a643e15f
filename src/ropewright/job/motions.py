"""Falls of one worker followed in three dimensions: those that rule in force, clearance and swing, and a slide.

What is asked of them stands in `ropewright.job.ask_motion`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.arrest.catch import catch
from ropewright.arrest.motion import Motions, Outcome, motion
from ropewright.arrest.motion_history import MotionHistory, motion_history
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.parts import GRAVITY, Chain, effective_length
from ropewright.arrest.rim import Rim
from ropewright.arrest.slide import slide_speed
from ropewright.field import FallGeometry, Surroundings, fall_geometry
from ropewright.field.motion import launch_down, launch_over, met_names, rim_of, scene_of, upstream_share
from ropewright.job.catching import extra_slide, parts_of, rope_and_fall
from ropewright.job.edge_answer import Asked
from ropewright.job.falls import HEAD
from ropewright.job.near_things import Near, near_things
from ropewright.job.rig import Rig
from ropewright.job.sliding import friction_on_roof
from ropewright.roof.path import TautPaths
from ropewright.roof.surface import Roof

__all__ = ["FORCE", "MOST_FALLS", "SLIDE", "Followed", "fall_at", "follow_falls", "rim_within"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: What a fall is followed for. `SLIDE`: from where the slide over the edge point that rules in clearance begins.
FORCE, CLEARANCE, SWING, SLIDE = "force", "clearance", "swing", "slide"
#: A body goes over this far out from the edge, less where the rope does not let it. [m]
_OUTWARD, _LEAST_OUTWARD = 0.1, 0.02
#: Share of error in force and speed that a step may bring: first, and if the energy then does not balance.
_ERROR_BOUNDS = (1e-3, 1e-4)
#: A fall is followed for so long for its force, and for its swing. [s] The second is some two full swings.
_CATCH_TIME, _SWING_TIME = 2.0, 8.0
#: No more falls of one worker are followed, some hundredths of a second each; what is then left is asked about.
MOST_FALLS = 16


#: Webbing, harness and body, where softer is worse. [N/m] Judgement, since no figure could be read: the D-ring comes
#: out by some 0.1 m at the force of an absorber.
_WEBBING = 5e4


#: The rope to the rim is looked at this far apart, and known to 10 micrometres: a jump of that under 10 kN is
#: 0.1 J. Edges that a rope stretched by so much does not reach don't matter. [m]
_SPACING, _ACCURACY, _STRETCH = 1.0, 1e-5, 2.0


@dataclass(frozen=True)
class Followed:
    """Falls of one worker in three dimensions; all arrays run over the same k falls."""

    asked: tuple[str, ...]  #: (k,) what each is followed for, such as ``clearance, swing``
    point: Integers  #: (k,) index of the edge point
    speed: Floats  #: (k,) of the slide as the body goes over the edge, 0 for a fall that begins at it [m/s]
    motions: Motions
    met: tuple[str, ...]  #: (k,) name of what ended the fall; empty: nothing
    surely: NDArray[np.bool_]  #: (k,) True where something is met at likely friction as well
    friction: float  #: of the rope on the edge, the lowest that is known [-]
    #: Falls that should be followed for a thing near by, and were not, since they would be too many.
    left: tuple[Near, ...] = ()


@dataclass(frozen=True)
class _Start:
    """How falls over every edge point begin at their worst: rope out, and speed from a slide."""

    length: Floats  #: (n,) [m]
    geometry: FallGeometry
    velocity: Floats  #: (n, 3) [m/s]
    speed: Floats  #: (n,) of the slide [m/s]
    from_height: Floats  #: (n,) D-ring above the edge as the body is let go with that velocity [m]


def follow_falls(
    asked: Asked, paths: Callable[[], TautPaths], rim: Callable[[float], Rim], around: Surroundings
) -> tuple[Followed, ...]:
    """Follow the falls that rule.

    Parameters
    ----------
    asked : Asked
    paths : callable
        Taut ropes of the rig's anchor.
    rim : callable
        From how far the rope may reach [m] to the roof's rim with the ropes of that anchor; see `rim_within`.
    around : Surroundings
        What a body can meet.

    Returns
    -------
    tuple of Followed
        For the force, with the chain of the worst corner; then for swing and contact, with the softest and the least
        friction of rope on edge: over the points with the least room and the longest swing, and over those of every
        edge that come nearest to a thing within reach; see `ropewright.job.near_things`. Empty where no edge is
        reached, or where nothing stops a fall.
    """
    falls = asked.falls
    every = np.flatnonzero(falls.geometry.reached & falls.solved & ~falls.steps.is_step)
    # a rope that is taut to a standing worker holds them above the edge: of no use where others go over it
    over = every[falls.geometry.taut[every] <= 0]
    reached = over if len(over) else every
    if not len(reached):
        return ()
    scene = scene_of(rim(_within(asked)), around)
    begun = _start(asked)
    near = near_things(asked, scene.rim, around, _body(asked), every)
    return (
        _for_force(asked, scene, around, begun, reached, paths()),
        _for_swing(asked, scene, around, begun, reached, paths(), near),
    )


def fall_at(
    asked: Asked, paths: Callable[[], TautPaths], rim: Callable[[float], Rim], around: Surroundings, i: int
) -> MotionHistory:
    """Fall over one edge point in time, at likely inputs: what is shown to a person, not what is judged.

    Parameters
    ----------
    asked, paths, rim, around
        As `follow_falls`.
    i : int
        Index of the edge point.

    Returns
    -------
    MotionHistory

    Raises
    ------
    ValueError
        If the point is not reached, or nothing stops the fall there.
    CatchError
        If its energy does not balance.
    """
    if not (asked.falls.geometry.reached[i] and asked.falls.solved[i]):
        raise ValueError("nobody falls there, or nothing stops them")
    rig, at = asked.rig, np.array([i])
    scene, begun, mu = scene_of(rim(_within(asked)), around), _start(asked), rig.friction.likely
    launch = _launch(asked, scene, begun, at, mu, paths())
    length = float(np.broadcast_to(np.asarray(launch.length, float), 1)[0])
    return motion_history(scene, launch, _likely_chain(rig, length), body=_body(asked), duration=_SWING_TIME)


def _within(asked: Asked) -> float:
    """How far from the anchor a body can come, rope, gear and stretch counted. [m]"""
    line = asked.rig.line
    gives = line.lanyard.absorber.length.high if line.lanyard.absorber else 0.0
    return line.reach + asked.rig.lock.high + asked.rig.slip.high + gives + _STRETCH


def _likely_chain(rig: Rig, length: float) -> Chain:
    parts = parts_of(rig)
    return Chain(
        mass=parts.mass.likely, free_fall=0.0,
        stiffness=parts.modulus.likely / max(length - rig.line.lanyard.length, 0.3),
        grab_lock=parts.grab_lock.likely + extra_slide(rig).likely, absorber_force=parts.absorber_force.likely,
        absorber_length=parts.absorber_length.likely, grab_slip_force=parts.grab_slip_force.likely,
        grab_slip_length=parts.grab_slip_length.likely, lanyard_stiffness=_WEBBING,
    )  # fmt: skip


def rim_within(roof: Roof, paths: TautPaths, within: float) -> Rim:
    """Rim of a roof, accurate enough for the falls followed here, with ropes that reach so far from the anchor. [m]"""
    return rim_of(roof, paths, spacing=_SPACING, accuracy=_ACCURACY, within=within)


def _start(asked: Asked) -> _Start:
    """Of the starts of each slide that with the greatest speed and slack together.

    The body is let go at the height of the edge, or where its rope comes taut above it, with the speed that it has
    fallen up to there: what it falls before is plumb, and the rope over a valley is known at the edge alone.
    """
    sliding, n = asked.falls.sliding, len(asked.edges.points)
    worst = (sliding.heights + sliding.ropes).argmax(axis=1)
    rows = np.arange(n)
    length = sliding.ropes[rows, worst]
    speed = slide_speed(np.maximum(sliding.heights[rows, worst], 0.0))
    geometry = fall_geometry(asked.over, length)
    from_height = np.maximum(geometry.taut, 0.0)
    velocity = speed[:, None] * sliding.down
    velocity[:, 2] -= slide_speed(np.maximum(geometry.start - from_height, 0.0))
    return _Start(length, geometry, velocity, speed, from_height)


def _followed(scene: Scene, launch: Launch, chain: Chain, body: Body, time_limit: float, least_loss: float) -> Motions:
    """Falls followed in long steps; a single one once more in short ones if its energy does not balance."""
    for error_bound in _ERROR_BOUNDS:
        found = motion(
            scene, launch, chain, body=body, time_limit=time_limit, error_bound=error_bound, least_loss=least_loss,
            uncompiled=True,
        )  # fmt: skip
        if found.solved.all() or len(found) > 1:
            break
    return found


def _point_of(values: Floats, among: Integers) -> int:
    return int(among[values[among].argmax()])


def _for_force(
    asked: Asked, scene: Scene, around: Surroundings, begun: _Start, reached: Integers, paths: TautPaths
) -> Followed:
    i = _point_of(asked.falls.force[2], reached)
    rig, at = asked.rig, np.array([i])
    chain = _hardest_chain(rig, asked, begun, i)
    mu = rig.friction.high
    launch = _launch(asked, scene, begun, at, mu, paths)
    motions = _followed(scene, launch, chain, _body(asked), _CATCH_TIME, 1.0)
    met = met_names(scene, around, motions.met)
    return Followed((FORCE,), at, begun.speed[at], motions, met, np.zeros(1, bool), mu)


def _hardest_chain(rig: Rig, asked: Asked, begun: _Start, i: int) -> Chain:
    """Chain of the corner that hits hardest at one point: stiff and heavy, its absorber at whichever end is worse."""
    parts = parts_of(rig)
    fall, near, far, turn = (values[i] for values in rope_and_fall(rig, asked.over, begun.geometry, begun.length))
    ends = product(
        *(dict.fromkeys((one.low, one.high)) for one in (parts.absorber_force, parts.absorber_length)),
        *(dict.fromkeys((one.low, one.high)) for one in (parts.grab_slip_force, parts.grab_slip_length)),
    )
    force, opens, slip_force, slip = (np.array(column) for column in zip(*ends, strict=True))
    extra = float(begun.speed[i]) ** 2 / (2 * GRAVITY)
    held: dict[str, Any] = {"mass": parts.mass.high, "grab_lock": parts.grab_lock.high}
    cut = effective_length(near, far, turn, parts.friction.high)
    tried = catch(
        Chain(
            free_fall=float(fall + extra),
            stiffness=float(parts.modulus.high / cut),
            absorber_force=force,
            absorber_length=opens,
            grab_slip_force=slip_force,
            grab_slip_length=slip,
            **held,
        )
    )
    k = int(np.where(np.isnan(tried.peak_force), np.inf, tried.peak_force).argmax())
    return Chain(
        free_fall=0.0, stiffness=float(parts.modulus.high / (near + far)), absorber_force=float(force[k]),
        absorber_length=float(opens[k]), grab_slip_force=float(slip_force[k]), grab_slip_length=float(slip[k]), **held,
    )  # fmt: skip


def _for_swing(
    asked: Asked,
    scene: Scene,
    around: Surroundings,
    begun: _Start,
    reached: Integers,
    paths: TautPaths,
    near: tuple[Near, ...],
) -> Followed:
    """Falls with the least room, the longest swing and things near by, and one from where the first slide begins."""
    falls, rig = asked.falls, asked.rig
    needed = _point_of(asked.clear.simulated_high - falls.available, reached)
    slides = _slide_launch(asked, scene, needed)
    ruling = {needed: CLEARANCE}
    swings = _point_of(falls.swing_drop, reached)
    ruling[swings] = f"{ruling[swings]}, {SWING}" if swings in ruling else SWING
    near = tuple(one for one in near if one.point not in ruling)
    room = max(MOST_FALLS - 1 - len(ruling) - (slides is not None), 0)  # one is followed for its force
    ruling |= {one.point: f"near {one.thing}" for one in near[:room]}
    at, names = np.array(list(ruling), np.int64), list(ruling.values())

    def run(mu: float, at: Integers, slides: Launch | None) -> Motions:
        launch = _launch(asked, scene, begun, at, mu, paths) if len(at) else None
        if slides is not None:
            down = replace(slides, edge_friction=mu)
            launch = down if launch is None else _together(launch, down, len(at))
        assert launch is not None  # a run is of one fall at least
        length = np.broadcast_to(np.asarray(launch.length, float), len(at) + (slides is not None))
        return _followed(scene, launch, _softest_chain(rig, length), _body(asked), _SWING_TIME, 0.02)

    mu = rig.friction.low
    motions = run(mu, at, slides)
    begins = len(at)
    points, speed = at, begun.speed[at]
    if slides is not None:
        points, speed, names = np.append(at, needed), np.append(speed, 0.0), [*names, SLIDE]
    surely = np.zeros(len(points), bool)
    again = np.flatnonzero(motions.solved & (motions.outcome == Outcome.MET))
    if len(again):
        likely = run(rig.friction.likely, at[again[again < begins]], slides if again[-1] >= begins else None)
        surely[again] = likely.solved & (likely.outcome == Outcome.MET)
    met = met_names(scene, around, motions.met)
    return Followed(tuple(names), points, speed, motions, met, surely, mu, near[room:])


def _softest_chain(rig: Rig, length: Floats) -> Chain:
    """Chain that lets the body down furthest, shape (k,), with the whole slide of a grab whose slip is not known."""
    parts = parts_of(rig)
    rope = np.maximum(length - rig.line.lanyard.length, 0.3)
    return Chain(
        mass=parts.mass.high, free_fall=0.0, stiffness=parts.modulus.low / rope,
        grab_lock=parts.grab_lock.high + extra_slide(rig).high, absorber_force=parts.absorber_force.low,
        absorber_length=parts.absorber_length.high, grab_slip_force=parts.grab_slip_force.low,
        grab_slip_length=parts.grab_slip_length.high,
        lanyard_stiffness=_WEBBING,
    )  # fmt: skip


def _body(asked: Asked) -> Body:
    return Body(below=asked.rig.worker.d_ring + asked.job.d_ring_shift.high, above=HEAD)


def _launch(asked: Asked, scene: Scene, begun: _Start, at: Integers, mu: float, paths: TautPaths) -> Launch:
    points = asked.edges.points[at]
    own_roof = np.array([asked.falls.below[i] == "lower roof" for i in at.tolist()], bool)
    return launch_over(
        scene.rim,
        asked.edges,
        replace(begun.geometry, start=begun.from_height),
        begun.length,
        chosen=at,
        outward=np.clip(begun.length - asked.over.to_edge, _LEAST_OUTWARD, _OUTWARD)[at],
        velocity=begun.velocity[at],
        lanyard=asked.rig.line.lanyard.length,
        upstream=upstream_share(paths, points, mu),
        edge_friction=mu,
        floor=np.where(own_roof, points[:, 2] - asked.falls.available[at], -np.inf),
    )


def _slide_launch(asked: Asked, scene: Scene, i: int) -> Launch | None:
    """Fall that begins at rest where the fastest slide over a point begins; None where nobody slides there."""
    sliding = asked.falls.sliding
    if sliding.speed[i] <= 0 or not sliding.down[i].any():
        return None  # who comes over a step comes with speed, but no slide begins above this point
    k = int(np.where(sliding.heights[i] > 0, sliding.heights[i], 0.0).argmax())
    launch, found = launch_down(
        scene.rim,
        sliding.start[i][None],
        sliding.ropes[i, k],
        roof_friction=friction_on_roof(asked.job)[0].low,
        lanyard=asked.rig.line.lanyard.length,
    )
    return launch if len(found) else None


def _together(first: Launch, second: Launch, n: int) -> Launch:
    """Both launches as one."""

    def joined(name: str) -> Floats:
        one, other = np.asarray(getattr(first, name)), np.asarray(getattr(second, name))
        tail = (3,) if name in ("place", "velocity") else ()
        return np.concatenate([np.broadcast_to(one, (n, *tail)), np.broadcast_to(other, (1, *tail))])

    names = (
        "edge", "place", "length", "lanyard", "upstream", "velocity", "edge_friction", "roof_friction",
        "wall_friction", "floor",
    )  # fmt: skip
    return Launch(**{name: joined(name) for name in names})
