"""Laws of a fall onto a line: energy, the two ways against each other, order, and a motion solved independently."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ropewright.arrest.cable import Cable, PointLoad
from ropewright.arrest.cable_answer import answer_line
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_energy import depth_at, energy_catch
from ropewright.arrest.cable_fall import falls_on_line
from ropewright.arrest.cable_motion import HangingWorker, line_motion
from ropewright.arrest.cable_segment import CableError
from ropewright.arrest.cable_worker import LineWorker
from ropewright.arrest.parts import GRAVITY
from ropewright.findings import Verdict

#: A fall in time takes a second: few of them, and none to shrink a failing one.
quick = settings(deadline=None, max_examples=8, phases=(Phase.explicit, Phase.reuse, Phase.generate))

LINE = Cable((20.0,), (20.05,), (), 2.45, 1.7e6)
WORKER = LineWorker(at=10.0, mass=100.0, free_fall=1.8)

lines = st.builds(
    lambda run, slack, weight, modulus: Cable((run,), (run * slack,), (), weight, modulus),
    st.floats(6.0, 30.0),
    st.floats(0.998, 1.02),
    st.floats(0.5, 8.0),
    st.floats(1e5, 3e6),
)


def in_the_middle(cable: Cable, **changes: float) -> LineWorker:
    return replace(WORKER, at=cable.spans[0] / 2, **changes)


class TestByEnergy:
    @pytest.mark.parametrize("length", [19.98, 20.0, 20.05])
    def test_massless_line_gives_the_closed_form(self, length: float) -> None:
        """W (h + d - d0) = EA (2 r - L0)^2 / (2 L0), less what a pretensioned line holds already; r = hypot(10, d)."""
        ea, weight, fall = 1.7e6, 100 * GRAVITY, 1.0
        taut = math.sqrt(max(0.0, (length / 2) ** 2 - 100))  # where the line gets straight
        held = ea * max(0.0, 20.0 - length) ** 2 / (2 * length)

        def rest(d: float) -> float:
            line = 2 * math.hypot(10.0, d)
            return weight * (fall + d) - ea * (line - length) ** 2 / (2 * length) + held

        depth = brentq(rest, taut + 1e-6, 6.0, xtol=1e-13)
        light = Cable((20.0,), (length,), (), 1e-7, ea)
        start = hang_cable(light).sag  # the line lies there as a catenary, a little higher than straight
        caught = energy_catch(light, LineWorker(10.0, 100.0, fall + start))
        assert caught.sag_at_worker == pytest.approx(depth, rel=2e-6)
        assert caught.lowest.tension == pytest.approx(ea * (2 * math.hypot(10.0, depth) / length - 1), rel=1e-5)

    def test_absorber_takes_the_fall_at_its_force(self) -> None:
        """W (h + y) = U + F X, whatever the line does up to F."""
        soft = replace(WORKER, absorber_force=4000.0, absorber_length=2.0)
        caught = energy_catch(LINE, soft)
        before, after = caught.before.energy, caught.lowest.energy
        assert caught.force == 4000.0
        assert 0 < caught.absorber < 2.0
        taken = after - before + 4000.0 * caught.absorber
        assert soft.weight * caught.total_fall == pytest.approx(taken, rel=1e-9)

    def test_spent_absorber_lets_the_force_rise(self) -> None:
        caught = energy_catch(LINE, replace(WORKER, absorber_force=4000.0, absorber_length=0.1))
        assert caught.absorber == 0.1
        assert 4000.0 < caught.force < energy_catch(LINE, WORKER).force

    def test_place_without_a_load_has_no_depth(self) -> None:
        with pytest.raises(ValueError, match="no load stands at 3"):
            depth_at(hang_cable(LINE, [PointLoad(10.0, 900.0)]), 3.0)

    def test_absorber_weaker_than_the_weight_runs_to_its_end(self) -> None:
        assert energy_catch(LINE, replace(WORKER, absorber_force=500.0, absorber_length=0.3)).absorber == 0.3

    def test_absorber_in_line_limits_the_tension(self) -> None:
        line = replace(LINE, absorber_force=8e3, absorber_length=1.0)
        caught = energy_catch(line, WORKER)
        assert caught.lowest.anchor_forces[0] == pytest.approx(8e3, rel=1e-8)
        assert 0 < caught.lowest.opening < 1.0
        assert caught.total_fall > energy_catch(LINE, WORKER).total_fall

    @given(lines, st.floats(1.05, 2.0))
    @quick
    def test_more_fall_and_more_mass_never_less_force(self, cable: Cable, factor: float) -> None:
        worker = in_the_middle(cable, free_fall=1.0)
        force = energy_catch(cable, worker).force
        assert energy_catch(cable, replace(worker, free_fall=factor)).force >= force
        assert energy_catch(cable, replace(worker, mass=100.0 * factor)).force >= force

    @given(lines, st.floats(1.2, 5.0))
    @quick
    def test_stiffer_line_never_less_tension(self, cable: Cable, factor: float) -> None:
        stiff = replace(cable, stiffness=cable.stiffness * factor)
        worker = in_the_middle(cable)
        # the line's own sag changes with its stiffness too, by parts in a thousand
        assert energy_catch(stiff, worker).lowest.tension >= 0.999 * energy_catch(cable, worker).lowest.tension

    def test_giving_anchors_soften_the_fall(self) -> None:
        giving = replace(LINE, anchor_stiffness=(3e5, 3e5))
        assert energy_catch(giving, WORKER).lowest.tension < energy_catch(LINE, WORKER).lowest.tension

    def test_nothing_that_gives_stops_nothing(self) -> None:
        rigid = Cable((20.0,), (20.05,), (), 2.45)
        with pytest.raises(CableError, match="nothing gives enough"):
            energy_catch(rigid, WORKER)


class TestInTime:
    @given(lines, st.floats(0.0, 2.0), st.one_of(st.just(math.inf), st.floats(2e4, 2e5)))
    @quick
    def test_in_the_middle_of_a_level_span_both_ways_agree(self, cable: Cable, fall: float, lanyard: float) -> None:
        worker = in_the_middle(cable, free_fall=fall, stiffness=lanyard)
        caught, motion = energy_catch(cable, worker), line_motion(cable, worker)
        assert motion.peak_force == pytest.approx(caught.force, rel=2e-3)
        assert motion.peak_tension == pytest.approx(caught.lowest.tension, rel=2e-3)
        assert motion.stop_distance == pytest.approx(caught.stop_distance, rel=2e-3)

    @given(lines, st.floats(0.1, 0.9), st.floats(0.0, 2.0))
    @quick
    def test_energy_is_accounted_for_off_the_middle_too(self, cable: Cable, share: float, fall: float) -> None:
        worker = LineWorker(share * cable.spans[0], 80.0, fall, 5e4, absorber_force=5e3, absorber_length=0.2)
        assert line_motion(cable, worker).energy_error < 0.005

    def test_motion_is_that_of_an_independent_integrator(self) -> None:
        """A massless pretensioned line in closed form, F = 2 EA (2 r/L0 - 1) d/r, put to scipy's `solve_ivp`."""
        ea, length, mass, fall = 1.7e6, 19.98, 90.0, 1.5

        def pull(d: float) -> float:
            r = math.hypot(10.0, d)
            return 2 * ea * (2 * r / length - 1) * d / r

        def rates(_: float, y: np.ndarray) -> list[float]:
            return [y[1], GRAVITY - pull(y[0]) / mass]

        def rest(_: float, y: np.ndarray) -> float:
            return float(y[1])

        rest.terminal = True  # type: ignore[attr-defined]
        start = [0.0, math.sqrt(2 * GRAVITY * fall)]
        solved = solve_ivp(rates, (0.0, 3.0), start, rtol=1e-10, atol=1e-12, events=rest)
        motion = line_motion(Cable((20.0,), (length,), (), 0.0, ea), LineWorker(10.0, mass, fall))
        assert motion.stop_time == pytest.approx(solved.t_events[0][0], rel=1e-3)
        assert motion.stop_distance == pytest.approx(solved.y[0].max(), rel=1e-3)
        assert motion.peak_force == pytest.approx(pull(solved.y[0].max()), rel=1e-3)

    def test_relaxing_lanyard_lies_between_its_two_ends(self) -> None:
        slow = replace(WORKER, stiffness=4e4)
        fast = replace(WORKER, stiffness=6e4)
        relaxing = replace(slow, fast_stiffness=2e4, relaxation_time=0.2)
        low, between, high = (line_motion(LINE, worker).peak_force for worker in (slow, relaxing, fast))
        assert low < between < high

    @pytest.mark.parametrize(("time", "stiffness"), [(1e-6, 4e4), (1e6, 6e4)])
    def test_relaxing_lanyard_has_the_right_limits(self, time: float, stiffness: float) -> None:
        relaxing = replace(WORKER, stiffness=4e4, fast_stiffness=2e4, relaxation_time=time)
        plain = replace(WORKER, stiffness=stiffness)
        assert line_motion(LINE, relaxing).peak_force == pytest.approx(line_motion(LINE, plain).peak_force, rel=1e-3)

    def test_line_that_locks_at_once_is_followed_in_shorter_steps(self) -> None:
        """Ten tonnes from 100 m: in one step the slack line would go from 0.1 kN to hundreds of kN."""
        heavy = LineWorker(10.0, 10_000.0, 100.0)
        caught = energy_catch(replace(LINE, lengths=(20.3,)), heavy)
        motion = line_motion(replace(LINE, lengths=(20.3,)), heavy, aim=caught)
        assert motion.peak_force == pytest.approx(caught.force, rel=2e-3)

    def test_mirrored_fall_is_the_same(self) -> None:
        other = replace(WORKER, at=4.0)
        left, right = line_motion(LINE, other), line_motion(LINE, replace(other, at=16.0))
        assert left.peak_force == pytest.approx(right.peak_force, rel=1e-9)
        assert left.peak_ends == pytest.approx(right.peak_ends[::-1], rel=1e-9)

    @pytest.mark.parametrize("held", [False, True])
    def test_fall_into_one_of_several_spans(self, held: bool) -> None:
        line = Cable((12.0, 12.0, 12.0), (12.03, 12.03, 12.03), (), 2.45, 1.7e6, held=held)
        caught, motion = energy_catch(line, replace(WORKER, at=18.0)), line_motion(line, replace(WORKER, at=18.0))
        assert motion.peak_force == pytest.approx(caught.force, rel=2e-3)
        assert motion.energy_error < 0.005

    def test_those_who_hang_there_feel_it(self) -> None:
        hanging = LineWorker(8.0, 90.0, 0.0, 5e4)
        motion = line_motion(LINE, replace(WORKER, at=13.0, stiffness=5e4), [HangingWorker(hanging)])
        assert motion.others[0, 0] == pytest.approx(hanging.weight, rel=1e-6)
        assert motion.peak_on_others > 1.5 * hanging.weight

    def test_two_rigid_lanyards_at_one_point_are_refused(self) -> None:
        with pytest.raises(CableError, match=r"rigid lanyards|did not settle"):
            line_motion(LINE, WORKER, [HangingWorker(WORKER)])


class TestOneAfterTheOther:
    def test_second_fall_pulls_harder_than_the_first(self) -> None:
        first, second = falls_on_line(LINE, [replace(WORKER, at=8.0), replace(WORKER, at=13.0)])
        assert second.tension > first.tension
        assert second.resting.tension > first.resting.tension

    def test_figures_are_the_worse_of_both_ways(self) -> None:
        (fall,) = falls_on_line(LINE, [replace(WORKER, at=4.0, stiffness=4e4)])
        assert fall.force == max(fall.bound.force, fall.motion.peak_force)
        assert fall.tension >= max(*fall.anchor_forces, fall.bound.lowest.tension) * (1 - 1e-12)
        assert fall.line_drop == max(fall.bound.line_drop, fall.motion.line_drop)
        assert fall.total_fall >= fall.bound.total_fall

    def test_absorber_in_line_stays_open(self) -> None:
        line = replace(LINE, absorber_force=8e3, absorber_length=1.5)
        first, second = falls_on_line(line, [replace(WORKER, at=8.0), replace(WORKER, at=13.0)])
        assert 0 < first.line_absorber < second.line_absorber

    def test_loads_at_rest_hang_along(self) -> None:
        alone, beside = (
            falls_on_line(LINE, [WORKER], loads)[0] for loads in ([], [PointLoad(5.0, 800.0), PointLoad(6.0, 0.0)])
        )
        assert beside.tension > alone.tension
        assert len(beside.resting.loads) == 2


class TestAnswer:
    def test_verdict_is_to_ask_whatever_the_numbers(self) -> None:
        light = answer_line(LINE, [PointLoad(10.0, 1.0)])
        assert light.verdict is Verdict.ASK
        assert answer_line(LINE).verdict is Verdict.ASK

    def test_strength_is_twice_the_greatest_tension(self) -> None:
        answer = answer_line(LINE, [PointLoad(6.0, 500.0)], [WORKER])
        assert answer.strength_needed == 2 * max(answer.loaded.tension, answer.falls[0].tension)
        assert answer.anchor_forces == answer.falls[0].anchor_forces

    def test_amplification_is_that_of_the_angle_for_a_light_line(self) -> None:
        light = Cable((20.0,), (20.2,), (), 1e-6, 1.7e6)
        for at in (10.0, 3.0):
            answer = answer_line(light, [PointLoad(at, 2000.0)])
            assert answer.amplification == pytest.approx(answer.amplification_by_angle, rel=1e-6)

    def test_no_rule_of_one_angle_for_two_loads(self) -> None:
        answer = answer_line(LINE, [PointLoad(5.0, 500.0), PointLoad(10.0, 500.0)])
        assert answer.amplification is not None
        assert answer.amplification_by_angle is None
        assert answer_line(LINE).amplification is None

    def test_slacker_line_pulls_less_and_falls_deeper(self) -> None:
        rows = answer_line(LINE, [], [WORKER]).by_sag
        assert len(rows) == 5
        assert all(b.tension < a.tension and b.angle > a.angle for a, b in pairwise(rows))
        assert all(b.sag > a.sag for a, b in pairwise(rows))
        assert all(row.total_fall is None for row in answer_line(LINE, [PointLoad(10.0, 900.0)]).by_sag)

    def test_sags_that_cannot_be_worked_out_are_left_out(self) -> None:
        """0.2 m from an anchor of 1 kN/m: the tauter lines pull it in as far as to the load."""
        soft = Cable((20.0,), (21.5,), (), 2.45, 1.7e6, anchor_stiffness=(1e3, math.inf))
        rows = answer_line(soft, [PointLoad(0.2, 900.0)]).by_sag
        assert [row.rigged_sag for row in rows] == pytest.approx([1.0, 1.6])

    def test_weightless_line_has_no_state_of_its_own(self) -> None:
        weightless = Cable((20.0,), (20.05,), stiffness=1.7e6)
        answer = answer_line(weightless, [PointLoad(10.0, 6000.0)])
        assert answer.rigged is None
        assert answer.by_sag == ()


@pytest.mark.parametrize(
    "wrong",
    [
        {"mass": 0.0},
        {"mass": math.inf},
        {"free_fall": -0.1},
        {"stiffness": 0.0},
        {"relaxation_time": 0.0},
        {"absorber_force": -1.0},
        {"absorber_length": math.nan},
        {"fast_stiffness": math.inf},
    ],
)
def test_impossible_worker(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"above 0|0 or more"):
        replace(WORKER, **wrong)
