"""What holds for every fall in three dimensions: energy, symmetry, friction, and independence of how it is run."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from motion_scenes import eave_scene, on_slope

from ropewright.arrest import CatchError, Chain, motion_blocks
from ropewright.arrest.motion import Outcome, motion
from ropewright.arrest.motion_history import MotionPhase, motion_history
from ropewright.arrest.motion_launch import Body, Launch
from ropewright.arrest.motion_scene import Scene, Solid
from ropewright.arrest.rim import Rim, RimEdge

ROPE = {"stiffness": 5_300.0, "fast_stiffness": 3_800.0, "relaxation_time": 0.2}
ABSORBER = {"absorber_force": 4_000.0, "absorber_length": 1.2}


@settings(deadline=None, max_examples=25)
@given(
    along=st.floats(-3.5, 3.5),
    out=st.floats(0.0, 0.6),
    start=st.floats(0.0, 1.4),
    friction=st.sampled_from([0.0, 0.1, 0.3, 0.9]),
    absorber=st.booleans(),
    speed=st.floats(-2.0, 2.0),
)
def test_energy_balances(along, out, start, friction, absorber, speed):
    chain = Chain(mass=100.0, free_fall=0.0, **ROPE, **(ABSORBER if absorber else {}))
    launch = Launch(
        0, [along, -out, start], 6.5, lanyard=1.2, velocity=[speed, -abs(speed) / 4, 0.0],
        edge_friction=friction, wall_friction=0.3,
    )  # fmt: skip
    fall = motion(eave_scene(on_slope(0, 4)), launch, chain, time_limit=2.0, least_loss=0.0)
    assert fall.energy_error[0] < 2e-3
    assert fall.solved.all()
    for lost in (fall.energy.absorbed, fall.energy.damped, fall.energy.edge, fall.energy.contact):
        assert lost[0] > -1.0  # nothing gives energy; a joule of some thousand is rounding of the steps


@settings(deadline=None, max_examples=10)
@given(along=st.floats(0.3, 3.0), anchor=st.floats(-2.0, 2.0), friction=st.sampled_from([0.0, 0.3]))
def test_mirrored_falls_mirror(along, anchor, friction):
    chain, ends = Chain(mass=100.0, free_fall=0.0, **ROPE), []
    for sense in (1.0, -1.0):
        scene = eave_scene(on_slope(sense * anchor, 4))
        launch = Launch(0, [sense * along, -0.2, 1.0], 6.5, edge_friction=friction)
        ends.append(motion(scene, launch, chain, time_limit=1.2))
    one, other = ends
    assert one.peak_force == pytest.approx(other.peak_force, rel=1e-6)
    assert one.end[0] * [-1, 1, 1] == pytest.approx(other.end[0], abs=1e-4)


def test_energy_balances_round_the_corners_of_a_box():
    """Ropes that snap over a corner, and bodies that lie against the wall round it."""
    r, n = np.random.default_rng(5), 600
    ring, up = np.array([[0.0, 0, 0], [10, 0, 0], [10, 7, 0], [0, 7, 0]]), np.array([0.0, 0, 1])
    anchor = np.array([7.0, 4.5, 0.2])

    def reach(points):
        return np.linalg.norm(points - anchor, axis=1), np.tile(anchor, (len(points), 1))

    edges = [RimEdge(a, b, up) for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True)]
    scene = Scene(Rim(edges, reach), (Solid(top=-9.0),))
    edge, share = r.integers(0, 4, n), r.uniform(0.02, 0.98, n)
    along = np.array([one.along for one in edges])[edge]
    out = np.array([one.out for one in edges])[edge]
    foot = ring[edge] + (share * np.array([one.length for one in edges])[edge])[:, None] * along
    place = foot + out * r.uniform(0, 0.5, n)[:, None] + np.outer(r.uniform(0, 1.4, n), up)
    length = np.linalg.norm(anchor - foot, axis=1) + r.uniform(0.3, 3, n)
    speed = along * r.uniform(-2, 2, n)[:, None] + out * r.uniform(0, 1.5, n)[:, None]
    launch = Launch(
        edge, place, length, lanyard=np.minimum(1.2, 0.5 * length), velocity=speed,
        edge_friction=r.choice([0, 0.1, 0.3, 0.6, 0.9], n), roof_friction=0.4, wall_friction=0.3,
    )  # fmt: skip
    chain = Chain(
        r.uniform(60, 140, n), 0.0, stiffness=r.uniform(20e3, 50e3, n) / length, lanyard_stiffness=1e5,
        fast_stiffness=np.where(r.random(n) < 0.5, 20e3, 0.0) / length, relaxation_time=0.2,
        absorber_force=np.where(r.random(n) < 0.5, 4e3, 0.0), absorber_length=r.uniform(0.3, 1.2, n),
    )  # fmt: skip
    fall = motion(scene, launch, chain, body=Body(1.4, 0.4, 0.25), time_limit=20.0)
    assert fall.solved.all()
    assert np.quantile(fall.energy_error, 0.9) < 1e-3


def test_more_friction_never_more_swing_nor_drag():
    """With an absorber, which leaves next to no bounce."""
    friction = np.array([0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.9])
    launch = Launch(0, [3.0, 0, 1.0], 6.5, lanyard=1.2, edge_friction=friction)
    chain = Chain(mass=100.0, free_fall=0.0, **ROPE, **ABSORBER)
    fall = motion(eave_scene(on_slope(0, 4)), launch, chain, time_limit=4.0)
    assert (np.diff(fall.drag_length) <= 1e-3).all()
    assert (np.diff(fall.swing) <= 1e-3).all()


@pytest.mark.parametrize(
    "rope", [ROPE, {"stiffness": 3_000.0}, {"stiffness": 12_000.0}], ids=["damped", "soft", "stiff"]
)
def test_without_absorber_friction_never_adds_swing_but_for_the_moment_of_a_bounce(rope):
    """Centimetres where friction moves the moment of a bounce; never more than without any."""
    friction = np.tile(np.linspace(0.0, 0.9, 10), 4)
    along = np.repeat([1.0, 3.0, 1.0, 3.0], 10)
    place = np.column_stack([along, np.zeros(40), np.repeat([0.0, 0.0, 1.0, 1.0], 10)])
    launch = Launch(0, place, 6.5, lanyard=1.2, edge_friction=friction)
    fall = motion(eave_scene(on_slope(0, 4)), launch, Chain(mass=100.0, free_fall=0.0, **rope), time_limit=6.0)
    swing = fall.swing.reshape(4, 10)
    assert fall.solved.all()
    assert (swing <= swing[:, :1]).all()
    assert (swing - np.minimum.accumulate(swing, axis=1)).max() < 0.10


def test_rope_that_pulls_at_the_start_pulls_with_the_side_that_friction_holds():
    """2 m beyond the edge stretched by 1 mm at 6 m x 300 kN/m; the rope beyond is slack and stays so."""
    launch = Launch(0, [0.0, 0.0, -2.001], 6.0, edge_friction=50.0)
    chain = Chain(mass=100.0, free_fall=0.0, stiffness=3e5)
    history = motion_history(eave_scene(on_slope(0, 4)), launch, chain, duration=0.1, rest_speed=1e-9)
    assert history.force[0] == pytest.approx(3e5 * 6.0 / 2.0 * 1e-3, rel=1e-6)
    assert history.anchor_force.max() < 1.0
    assert motion(eave_scene(on_slope(0, 4)), launch, chain, time_limit=0.1, rest_speed=1e-9).solved.all()


@settings(deadline=None, max_examples=8)
@given(
    along=st.floats(0.0, 3.0), friction=st.sampled_from([0.0, 0.3, 0.8]), absorber=st.booleans(),
    more=st.floats(1.0, 1.6), slack=st.floats(0.0, 1.5),
)  # fmt: skip
def test_more_mass_or_slack_is_never_less_force_or_fall(along, friction, absorber, more, slack):
    """In the first catch; force to the step's error. An absorber that gives hides mass behind its own force."""
    chains = Chain(np.array([90.0, 90.0 * more, 90.0]), 0.0, **ROPE, **(ABSORBER if absorber else {}))
    launch = Launch(0, [along, 0, 0.5], [6.0, 6.0, 6.0 + slack], lanyard=1.2, edge_friction=friction)
    fall = motion(eave_scene(on_slope(0, 4)), launch, chains, time_limit=1.3, least_loss=0.0)
    assert fall.solved.all()
    heavier, slacker = (1, 2)
    assert fall.peak_force[heavier] >= fall.peak_force[0] * (1 - 2e-3)
    assert fall.lowest[heavier] <= fall.lowest[0] + 2e-3
    assert fall.lowest[slacker] <= fall.lowest[0] + 2e-3


def test_friction_makes_the_catch_harder_on_the_person():
    friction = np.array([0.0, 0.2, 0.4, 0.8])
    fall = motion(
        eave_scene(on_slope(0, 4)), Launch(0, [0, 0, 1.0], 6.5, edge_friction=friction),
        Chain(mass=100.0, free_fall=0.0, **ROPE), time_limit=1.2,
    )  # fmt: skip
    assert (np.diff(fall.peak_force) > 0).all()
    assert (fall.anchor_force <= fall.peak_force * (1 + 1e-12)).all()


def test_drag_work_is_at_most_peak_tension_times_way():
    fall = motion(
        eave_scene(on_slope(0, 4)), Launch(0, [3.0, 0, 1.0], 6.5, edge_friction=0.2),
        Chain(mass=100.0, free_fall=0.0, **ROPE), time_limit=3.0,
    )  # fmt: skip
    assert 0 < fall.drag_work[0] <= fall.drag_peak_tension[0] * fall.drag_length[0]
    assert fall.drag_peak_tension[0] <= fall.peak_force[0]


def test_no_drag_straight_below_the_anchor():
    fall = motion(
        eave_scene(on_slope(0, 4)),
        Launch(0, [0, 0, 1.0], 6.5),
        Chain(mass=100.0, free_fall=0.0, **ROPE),
        time_limit=3.0,
    )
    assert fall.drag_length[0] == pytest.approx(0.0, abs=1e-9)


def test_stop_at_rest_says_when():
    scene = eave_scene(on_slope(0, 4))
    chain = Chain(mass=100.0, free_fall=0.0, **ROPE)
    fall = motion(scene, Launch(0, [0.0, 0, -2.3], 6.5, edge_friction=0.3), chain)
    assert fall.outcomes == (Outcome.HANGS,)
    assert 0 < fall.rest_time[0] < fall.time[0]
    assert fall.end[0] == pytest.approx(fall.hang[0], abs=0.02)


def test_a_swing_that_nothing_slows_is_told_from_rest():
    """Within the friction cone the bend stays put, and the rope alone takes next to nothing."""
    scene = eave_scene(on_slope(0, 4))
    fall = motion(scene, Launch(0, [0.5, 0, -2.4], 6.5, edge_friction=0.9), Chain(100.0, 0.0, 6e3), time_limit=60.0)
    assert fall.outcomes == (Outcome.SWINGS,)
    assert np.isnan(fall.rest_time[0])
    assert fall.time[0] < 59.0


def test_a_fall_whose_energy_does_not_balance_is_no_answer():
    coarse = motion(
        eave_scene(on_slope(0, 4)),
        Launch(0, [2.0, 0, 1.0], 6.0),
        Chain(100.0, 0.0, 1e8),
        time_limit=1.5,
        error_bound=1.0,
    )
    assert not coarse.solved.any()
    assert np.isnan(coarse.peak_force).all()
    with pytest.raises(CatchError, match="fall 0: its energy account is off"):
        coarse.require_solved()
    with pytest.raises(CatchError, match="the energy account of the history is off by"):
        motion_history(
            eave_scene(on_slope(0, 4)), Launch(0, [2.0, 0, 1.0], 6.0), Chain(100.0, 0.0, 1e8),
            duration=1.5, error_bound=1.0,
        )  # fmt: skip


def test_a_finer_step_changes_little():
    scene, chain = eave_scene(on_slope(0, 4)), Chain(mass=100.0, free_fall=0.0, **ROPE, **ABSORBER)
    launch = Launch(0, [2.5, -0.2, 1.0], 6.5, lanyard=1.2, edge_friction=0.2)
    coarse = motion(scene, launch, chain, time_limit=1.5)
    fine = motion(scene, launch, chain, time_limit=1.5, error_bound=1e-6)
    assert coarse.peak_force == pytest.approx(fine.peak_force, rel=1e-3)
    assert coarse.lowest == pytest.approx(fine.lowest, abs=2e-3)


def _many() -> tuple:
    n = 40
    place = np.column_stack([np.linspace(-3, 3, n), np.full(n, -0.1), np.full(n, 1.0)])
    launch = Launch(0, place, 6.5, lanyard=1.2, edge_friction=np.where(np.arange(n) % 3, 0.3, 0.0))
    chain = Chain(
        np.linspace(60, 120, n), 0.0, stiffness=5_300.0, fast_stiffness=np.where(np.arange(n) % 2, 3_800.0, 0.0)
    )
    return eave_scene(on_slope(0, 4)), launch, chain


def test_neither_threads_nor_company_nor_compiling_change_a_number(monkeypatch):
    scene, launch, chain = _many()
    runs = []
    for cores in (1, 2):
        monkeypatch.setattr(motion_blocks, "_cores", lambda cores=cores: cores)
        runs.append(motion(scene, launch, chain, time_limit=1.0))
    monkeypatch.setattr(motion_blocks, "_ALWAYS_PLAIN", 99)
    runs.append(motion(scene, launch, chain, time_limit=1.0))
    for item in fields(runs[0]):
        if item.name in ("energy", "_blocks"):
            continue
        first, threads, plain = (getattr(run, item.name) for run in runs)
        assert np.array_equal(first, threads, equal_nan=True), item.name
        # plain Python's own exp and acos may differ in the last digit
        assert plain == pytest.approx(first, rel=1e-9, abs=1e-9, nan_ok=True), item.name


def test_history_is_the_fall_that_motion_follows():
    scene, chain = eave_scene(on_slope(0, 4)), Chain(mass=100.0, free_fall=0.0, **ROPE)
    launch = Launch(0, [1.5, 0, 1.0], 6.5, edge_friction=0.3)
    fall = motion(scene, launch, chain, time_limit=1.5)
    history = motion_history(scene, launch, chain, duration=1.5)
    assert history.force.max() == fall.peak_force[0]
    assert history.place[:, 2].min() == fall.lowest[0]
    assert list(dict.fromkeys(history.phase))[:3] == [MotionPhase.FREE_FALL, MotionPhase.CATCH, MotionPhase.SWING]


@pytest.mark.parametrize(
    ("wrong", "match"),
    [
        ({"length": -1.0}, "length must be 0 or more"),
        ({"edge_friction": np.nan}, "edge_friction must be 0 or more"),
        ({"place": [0.0, 0.0]}, "place must be finite numbers of shape"),
        ({"edge": 1}, "edge must be an index of the rim's 1 edges"),
    ],
)
def test_bad_start_names_the_field(wrong, match):
    given = {"edge": 0, "place": [0, 0, 0.0], "length": 6.0} | wrong
    with pytest.raises(ValueError, match=match):
        motion(eave_scene(on_slope(0, 4)), Launch(**given), Chain(100.0, 0.0, 6e3))


def test_bad_body_and_limits_name_the_field():
    with pytest.raises(ValueError, match="radius must be 0 m to 1 m"):
        Body(radius=2.0)
    with pytest.raises(ValueError, match="time_limit must be above 0"):
        motion(eave_scene(on_slope(0, 4)), Launch(0, [0, 0, 0], 6.0), Chain(100.0, 0.0, 6e3), time_limit=0.0)
