"""Falls in three dimensions laid out for the kernel, and carried to their ends over all cores."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ropewright.arrest import motion_march as m
from ropewright.arrest import motion_rows as r
from ropewright.arrest.motion_account import stored_energy
from ropewright.arrest.motion_compile import compiled_march, is_ready, plain_march
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.arrest.motion_scene import Scene
from ropewright.arrest.motion_start import faced, laid
from ropewright.arrest.parts import GRAVITY, Chain, Parts

__all__ = ["MotionBlocks"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Longest step, so that a body moves some centimetres at most in one. [s]
_LONGEST_STEP = 4.5e-3
#: Share of the rope on the body side is taken to be between these; some of it is free even where the lanyard alone
#: reaches past the edge, and none of it is without length beyond the edge.
_LEAST_SHARE, _MOST_SHARE = 0.02, 0.999
#: Force of a sliding part that is not there: far beyond any, and finite so that it can be multiplied. [N]
_NEVER = 1e15
#: A swing of 150 degrees takes this many times as long as a small one. [-] From the complete elliptic integral.
_WIDE_SWING = 1.76
#: Time between two looks at a fall, at most unless four steps are longer. [s]
_LOOK = 0.016
#: More looks than any fall takes.
_ALL_LOOKS = 2**62
#: Up to this many falls are marched uncompiled, at a fifth of a second each, rather than wait for numba to load what
#: it has kept (a second), or to compile (some ten seconds).
_ALWAYS_PLAIN, _FEW = 3, 24


class MotionBlocks:
    """State of n falls in blocks of 16.

    A block holds falls that are looked at after as many steps and need the same parts of the kernel, so that none
    depends on the others.

    Parameters
    ----------
    scene : Scene
    launch : Launch
    chain : Chain
        Its rope is the whole rope between anchor and grab; `free_fall` is not used.
    body : Body
    time_limit : float
        [s]
    rest_speed : float
        Below it, for half a swing, a body is at rest. [m/s]
    error_bound : float
        See `ropewright.arrest.steps.step_length`. [-]
    uncompiled : bool
        True: in plain Python, however many they are.
    """

    def __init__(
        self,
        scene: Scene,
        launch: Launch,
        chain: Chain,
        body: Body,
        time_limit: float,
        rest_speed: float,
        error_bound: float,
        *,
        uncompiled: bool = False,
    ) -> None:
        shapes = [*launch.shapes, chain.parts.mass.shape, np.shape(body.below), np.shape(body.above)]
        self.count = n = int(np.broadcast_shapes((1,), *shapes)[0])
        self.scene, self.launch, self.error_bound = scene, launch, error_bound
        self.parts = Parts(*(np.broadcast_to(values, n) for values in chain.parts))
        #: Uncompiled, each fall in a block of its own.
        self.is_plain = uncompiled or n <= _ALWAYS_PLAIN or (n <= _FEW and not is_ready())
        self.edge: Integers = np.broadcast_to(np.asarray(launch.edge, np.int64), n)
        if ((self.edge < 0) | (self.edge >= len(scene.rim.edges))).any():
            raise ValueError(f"edge must be an index of the rim's {len(scene.rim.edges)} edges")
        self.start = np.broadcast_to(np.asarray(launch.place, float), (n, 3))
        self.velocity = np.broadcast_to(np.asarray(launch.velocity, float), (n, 3))
        self._arrange(np.arange(n))
        self._put_tables(body)
        self._put_start(body, time_limit, rest_speed)
        self._begin()

    def get(self, row: int) -> Floats:
        """Return a copy of one row, shape (n,)."""
        return self.blocks[:, row : row + r.LANES].reshape(-1)[self.lane]

    def put(self, row: int, values: ArrayLike) -> None:
        """Set one row; lanes without a fall of their own repeat another."""
        filled = np.broadcast_to(np.asarray(values, float), self.count)[self.fall]
        self.blocks[:, row : row + r.LANES] = filled.reshape(-1, r.LANES)

    def point(self, row: int) -> Floats:
        """Return three rows that follow each other as places or speeds, shape (n, 3)."""
        return np.column_stack([self.get(row + r.LANES * k) for k in range(3)])

    def run(self, least_loss: float) -> None:
        """Carry all falls to their ends."""
        self.march(_ALL_LOOKS, least_loss)

    def march(self, looks: int, least_loss: float = 0.0, steps: Integers | None = None) -> None:
        """Carry all falls on by so many looks; see `ropewright.arrest.motion_march.march`."""
        march = plain_march() if self.is_plain else compiled_march()

        # plain Python is some four times as fast on lists of its own numbers as on an array's
        blocks = [block.tolist() for block in self.blocks] if self.is_plain else self.blocks

        def span(ends: tuple[int, int]) -> None:
            march(
                blocks, self.steps if steps is None else steps, looks, self.whole, self.real, self.body,
                ends[0], ends[1], *self.tables, least_loss,
            )  # fmt: skip

        count, threads = len(self.blocks), _cores()
        if self.is_plain:
            span((0, count))
            self.blocks[:] = blocks
            return
        if count < 2 or threads < 2:
            span((0, count))
            return
        # several spans a thread, because falls differ in length; which thread takes which changes no number
        edges = np.unique(np.linspace(0, count, min(count, 16 * threads) + 1).astype(int)).tolist()
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(span, pairwise(edges)))

    @property
    def speed(self) -> Floats:
        """Velocity at the same time as the place, shape (n, 3). [m/s]"""
        half = 0.5 * self.get(r.STEP) * (self.get(r.TIME) > 0)
        pull = self.point(r.PULL_X) * (self.get(r.FORCE) * self.get(r.INVERSE_MASS))[:, None]
        speed: Floats = self.point(r.VX) + half[:, None] * (pull - [0.0, 0.0, GRAVITY])
        return speed

    def _arrange(self, order: Integers) -> None:
        """Give each fall a lane: `fall` of each lane, and `lane` of each fall."""
        lanes = -(-len(order) // r.LANES) * r.LANES
        self.fall: Integers = np.concatenate([order, np.repeat(order[-1:], lanes - len(order))])
        self.lane: Integers = np.empty(self.count, np.int64)
        self.lane[self.fall[::-1]] = np.arange(lanes)[::-1]
        self.blocks: Floats = np.zeros((lanes // r.LANES, r.BLOCK))

    def _put_tables(self, body: Body) -> None:
        edges, group = np.unique(self.edge, return_inverse=True)
        self.group: Integers = group.reshape(-1)
        walls, facets, surfaces = self.scene.surfaces(edges)
        things, rings, solids, self.which = self.scene.solids(edges)
        self.tables = (self.scene.windows, self.scene.links, walls, facets, things, rings)
        whole = np.zeros((self.count, m.COLUMNS), np.int64)
        whole[:, m.WINDOW] = self.scene.first_window(self.edge)
        whole[:, m.WALLS : m.WALLS + 4] = surfaces[self.group]
        whole[:, m.THINGS : m.THINGS + 2] = solids[self.group]
        whole[:, m.HIT] = -1
        most = max((len(which) for which in self.which), default=0)
        sizes = [np.broadcast_to(np.asarray(v, float), self.count) for v in (body.below, body.above, body.radius)]
        self.whole: Integers = whole[self.fall]
        self.real: Floats = np.zeros((len(self.fall), m.STOOD_IN + most))
        self.real[:, m.OWN_FLOOR] = np.broadcast_to(np.asarray(self.launch.floor, float), self.count)[self.fall]
        self.body: Floats = np.column_stack(sizes)[self.fall]

    def _put_start(self, body: Body, time_limit: float, rest_speed: float) -> None:
        p, launch = self.parts, self.launch
        length = np.asarray(launch.length, float) + p.grab_lock
        rows: list[tuple[int, ArrayLike]] = [
            (r.INVERSE_MASS, 1.0 / p.mass), (r.MASS, p.mass), (r.LENGTH, length), (r.BELOW, body.below),
            (r.EDGE_FRICTION, launch.edge_friction), (r.ROOF_FRICTION, launch.roof_friction),
            (r.WALL_FRICTION, launch.wall_friction), (r.REST_SPEED_2, rest_speed**2), (r.TIME_LIMIT, time_limit),
            (r.SWING_TIME, 2.0 * np.pi * _WIDE_SWING * np.sqrt(length / GRAVITY)),
            (r.ON, 1.0), (r.OVER_SPEED_2, -1.0), (r.TAUT_TIME, -1.0), (r.FLOOR, -np.inf), (r.TURN_COS, -2.0),
            (r.IS_FRESH, 1.0), (r.LOWEST, np.inf), (r.ROUND_LOW, np.inf), (r.ROUND_HIGH, -np.inf),
        ]  # fmt: skip
        for k in range(3):
            rows += [(r.X + r.LANES * k, self.start[:, k]), (r.VX + r.LANES * k, self.velocity[:, k])]
        for row, values in rows:
            self.put(row, values)

    def _begin(self) -> None:
        """Lay the ropes over their edges, which says how much of each lies on which side; then take up their force."""
        windows, links, walls, facets, *_ = self.tables
        whole = self.whole[self.lane]
        rope = laid(windows, links, whole[:, m.WINDOW], self.start)
        self.start_round = rope.level
        self.whole[:, m.WINDOW] = rope.window[self.fall]
        self.put(r.BEND, rope.bend)
        for column in range(18):
            self.put(r.EDGE_X + r.LANES * column, windows[rope.window, column])
        wall = faced(walls, whole[:, m.WALLS : m.WALLS + 2], self.start[:, :2])
        facet = faced(facets, whole[:, m.FACETS : m.FACETS + 2], self.start)
        self.put(r.WALL_ROW, wall)
        self.put(r.FACET_ROW, facet)
        for column in range(3):
            self.put(r.WALL_X + r.LANES * column, walls[wall, column])
        for column in range(4):
            self.put(r.FACET_X + r.LANES * column, facets[facet, column])
        self._put_rope(self._share(rope.beyond))
        self._put_slides()
        self._sort()
        self.march(0, steps=np.zeros(len(self.blocks), np.int64))
        taken = self.get(r.FORCE_1) * self.get(r.SLIP_1) + self.get(r.FORCE_2) * self.get(r.SLIP_2)
        self.begun: Floats = stored_energy(self) + self.get(r.DAMPED) + taken

    def _share(self, beyond: Floats) -> Floats:
        """Share of the rope that lies on the body side as it comes taut, shape (n,)."""
        lanyard = np.asarray(self.launch.lanyard, float)
        rope = np.maximum(np.asarray(self.launch.length, float) - lanyard, 1e-3)
        near = self.get(r.LENGTH) - beyond - lanyard
        share: Floats = np.clip(near / rope, _LEAST_SHARE, _MOST_SHARE)
        return share

    def _put_rope(self, share: Floats) -> None:
        p = self.parts
        beyond = (1.0 - share) * np.clip(self.launch.upstream, 1e-3, 1.0)
        spring_n, spring_f = 1.0 / p.lanyard_stiffness, 1.0 / p.anchor_stiffness
        fast = np.where(p.relaxation_time > 0, p.fast_stiffness, 0.0)
        # rope held by the edge is shorter, and so stiffer
        rubs = np.broadcast_to(np.asarray(self.launch.edge_friction) > 0, self.count)
        give = spring_n + np.where(rubs, share, share + beyond) / (p.stiffness + fast) + np.where(rubs, 0.0, spring_f)
        step = np.minimum(np.sqrt(8.0 * self.error_bound * p.mass * give), _LONGEST_STEP)
        with np.errstate(divide="ignore"):
            ratio = np.where(p.relaxation_time > 0, step / p.relaxation_time, np.inf)
            arm_give = np.where(fast > 0, 1.0 / fast, 0.0)
        # mean of exp(-t/tau) over the step: 1 as tau goes to infinity, 0 as it goes to 0
        mean = np.where(ratio > 0, -np.expm1(-ratio) / np.maximum(ratio, 1e-300), 1.0)
        gain = fast * mean
        give = 1.0 / (p.stiffness + gain)
        for row, values in (
            (r.STEP, step), (r.DECAY, np.exp(-ratio)),
            (r.GAIN_N, gain / share), (r.GIVE_N, give * share), (r.SLOW_N, p.stiffness / share),
            (r.GAIN_F, gain / beyond), (r.GIVE_F, give * beyond), (r.SLOW_F, p.stiffness / beyond),
            (r.ARM_GIVE_N, arm_give * share), (r.ARM_GIVE_F, arm_give * beyond), (r.SPRING_N, spring_n),
            (r.SPRING_F, spring_f), (r.SIDE_N, give * share + spring_n), (r.SIDE_F, give * beyond + spring_f),
        ):  # fmt: skip
            self.put(row, values)

    def _put_slides(self) -> None:
        p = self.parts
        absorber = np.where(p.has_absorber, p.absorber_force, _NEVER)
        grab = np.where(p.has_slip, p.grab_slip_force, _NEVER)
        lockout = np.where(p.has_absorber, 1.0 / p.lockout_stiffness, 0.0)
        opens = np.where(p.has_absorber, p.absorber_length, 0.0)
        slides = np.where(p.has_slip, p.grab_slip_length, 0.0)
        self.grab_first = first = grab <= absorber
        force_1, force_2 = np.where(first, grab, absorber), np.where(first, absorber, grab)
        for row, values in (
            (r.FORCE_1, force_1), (r.FORCE_2, force_2),
            (r.LENGTH_1, np.where(first, slides, opens)), (r.LENGTH_2, np.where(first, opens, slides)),
            (r.SPENT_1, np.maximum(force_1 - absorber, 0.0) * lockout),
            (r.SPENT_2, np.maximum(force_2 - absorber, 0.0) * lockout),
            (r.LOCK_GIVE, lockout), (r.LOCK_STRETCH, absorber * lockout), (r.LOCK_FORCE, absorber),
        ):  # fmt: skip
            self.put(row, values)

    def _sort(self) -> None:
        """Move falls to blocks of their kind: steps between looks, friction over the edge, ropes that relax.

        Uncompiled, each has a block of its own.
        """
        # 4, 8, 16 or 32 steps
        steps = 2 ** np.clip(np.floor(np.log2(_LOOK / self.get(r.STEP))), 2, 5).astype(np.int64)
        kind = 4 * steps + 2 * (self.get(r.EDGE_FRICTION) > 0) + (self.get(r.ARM_GIVE_N) > 0)
        order, block_steps = [], []
        for falls in np.arange(self.count)[:, None] if self.is_plain else _alike(kind):
            blocks = -(-len(falls) // r.LANES)
            order.append(np.concatenate([falls, np.repeat(falls[-1:], blocks * r.LANES - len(falls))]))
            block_steps += [steps[falls[0]]] * blocks
        old = self.lane[np.concatenate(order)]
        rows = r.BLOCK // r.LANES
        lanes = self.blocks.reshape(-1, rows, r.LANES).transpose(0, 2, 1).reshape(-1, rows)[old]
        self._arrange(np.concatenate(order))
        self.blocks[:] = lanes.reshape(-1, r.LANES, rows).transpose(0, 2, 1).reshape(len(self.blocks), -1)
        self.whole, self.real, self.body = self.whole[old], self.real[old], self.body[old]
        self.steps: Integers = np.array(block_steps, np.int64)


def _alike(kind: Integers) -> list[Integers]:
    """Indices of each kind."""
    return [np.flatnonzero(kind == one) for one in np.unique(kind)]


def _cores() -> int:
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # only Linux says which cores this process may use
        return os.cpu_count() or 1
