"""Laws that every hanging line obeys: balance, symmetry, monotony, and limits worked by hand."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ropewright.arrest.cable import Cable, CableState, PointLoad, sag_amplification
from ropewright.arrest.cable_balance import hang_cable
from ropewright.arrest.cable_rig import rigged_to_length, rigged_to_sag, rigged_to_tension
from ropewright.arrest.cable_segment import CableError, line_slopes, piece_between, piece_of, piece_slopes

quick = settings(deadline=None, max_examples=40)
spans = st.floats(4.0, 40.0)
weights = st.one_of(st.just(0.0), st.floats(0.05, 20.0))
moduli = st.one_of(st.just(1.7e6), st.floats(2e4, 5e6))
slacks = st.floats(0.995, 1.15)
shares = st.floats(0.05, 0.95)
gives = st.sampled_from([0.0, 6e-7, 1e-5])  # 1/EA
forces = st.floats(20.0, 12_000.0)
rises = st.floats(-0.3, 0.3)


@st.composite
def loaded_lines(draw: st.DrawFn) -> tuple[Cable, list[PointLoad]]:
    run, rise = draw(spans), draw(rises)
    length = math.hypot(run, run * rise) * draw(slacks)
    cable = Cable((run,), (length,), (run * rise,), draw(weights), draw(moduli))
    places = sorted({round(share, 3) for share in draw(st.lists(shares, min_size=1, max_size=3))})
    return cable, [PointLoad(run * share, draw(forces)) for share in places]


def total_force(state: CableState) -> tuple[float, float]:
    """Level and plumb part of all that pulls on the whole line: both anchors, the loads and its weight."""
    first, last = state.spans[0], state.spans[-1]
    weight = state.cable.weight * state.unstressed
    return last.horizontal - first.horizontal, last.v_right - first.v_left - weight - sum(x.force for x in state.loads)


@given(loaded_lines())
@quick
def test_anchors_carry_the_loads_and_the_weight(line: tuple[Cable, list[PointLoad]]) -> None:
    state = hang_cable(*line)
    assert total_force(state) == pytest.approx((0.0, 0.0), abs=1e-8 * state.tension)


@given(loaded_lines())
@quick
def test_line_ends_at_its_supports_and_keeps_its_length(line: tuple[Cable, list[PointLoad]]) -> None:
    (span,) = hang_cable(*line).spans
    assert span.nodes[-1] == pytest.approx((span.task.run, span.task.rise), abs=1e-9 * span.task.run)
    assert span.unstressed == pytest.approx(line[0].lengths[0], rel=1e-11)


@given(loaded_lines())
@quick
def test_mirrored_line_hangs_mirrored(line: tuple[Cable, list[PointLoad]]) -> None:
    cable, loads = line
    run, rise = cable.spans[0], cable.rises[0]
    mirrored = Cable((run,), cable.lengths, (-rise,), cable.weight, cable.stiffness)
    state, other = hang_cable(*line), hang_cable(mirrored, [PointLoad(run - x.at, x.force) for x in loads])
    assert other.anchor_forces == pytest.approx(state.anchor_forces[::-1], rel=1e-8)
    assert other.sag == pytest.approx(state.sag, rel=1e-8)


@given(loaded_lines(), st.floats(1.01, 3.0))
@quick
def test_more_load_never_less_tension(line: tuple[Cable, list[PointLoad]], factor: float) -> None:
    cable, loads = line
    heavier = [loads[0], *(PointLoad(x.at, x.force * factor) for x in loads[1:])]
    heavier[0] = PointLoad(loads[0].at, loads[0].force * factor)
    assert hang_cable(cable, heavier).tension >= hang_cable(cable, loads).tension * (1 - 1e-9)


@given(loaded_lines(), st.floats(0.9, 0.999))
@quick
def test_tighter_line_never_pulls_less(line: tuple[Cable, list[PointLoad]], factor: float) -> None:
    cable, loads = line
    tighter = cable.with_lengths([cable.lengths[0] * factor])
    slack, tight = hang_cable(cable, loads), hang_cable(tighter, loads)
    assert tight.spans[0].horizontal >= slack.spans[0].horizontal * (1 - 1e-9)
    assert tight.sag <= slack.sag * (1 + 1e-9)


@given(loaded_lines(), st.floats(1.1, 10.0))
@quick
def test_stiffer_line_never_pulls_less(line: tuple[Cable, list[PointLoad]], factor: float) -> None:
    cable, loads = line
    stiff = Cable(cable.spans, cable.lengths, cable.rises, cable.weight, cable.stiffness * factor)
    assert hang_cable(stiff, loads).spans[0].horizontal >= hang_cable(cable, loads).spans[0].horizontal * (1 - 1e-9)


@given(loaded_lines(), st.floats(1e4, 1e7))
@quick
def test_giving_anchors_pull_less(line: tuple[Cable, list[PointLoad]], stiffness: float) -> None:
    cable, loads = line
    giving = Cable(
        cable.spans, cable.lengths, cable.rises, cable.weight, cable.stiffness, anchor_stiffness=(stiffness, stiffness)
    )
    rigid = hang_cable(cable, loads)
    assume(rigid.spans[0].horizontal / stiffness < 0.02 * cable.spans[0])
    assert hang_cable(giving, loads).spans[0].horizontal <= rigid.spans[0].horizontal * (1 + 1e-9)


@given(loaded_lines())
@quick
def test_load_off_the_line_moves_it_by_the_slope_of_its_energy(line: tuple[Cable, list[PointLoad]]) -> None:
    """Castigliano: pulling one load on a little takes the force times the way, where no line slides past a load."""
    cable, loads = line
    middle = cable.spans[0] / 2
    level = Cable(cable.spans, (cable.spans[0] * 1.01,), (0.0,), cable.weight, cable.stiffness)
    force, step = loads[0].force, 1e-4 * loads[0].force
    less, more = (hang_cable(level, [PointLoad(middle, force + sign * step)]) for sign in (-1, 1))
    way = less.load_points[0][1] - more.load_points[0][1]
    assert more.energy - less.energy == pytest.approx(force * way, rel=1e-5, abs=1e-9)


@given(
    run=st.floats(0.5, 30), h=st.floats(10, 2e4), v=st.floats(-2, 2), w=weights, c=st.sampled_from([0.0, 6e-7, 1e-5])
)
@quick
def test_slopes_of_a_piece_are_those_of_its_differences(run: float, h: float, v: float, w: float, c: float) -> None:
    assume(w * run / h < 4)
    piece, d = piece_between(run, h, v * h, w, c), 1e-5
    slopes = piece_slopes(piece, c)
    by_h = [piece_between(run, h * (1 + sign * d), v * h, w, c) for sign in (-1, 1)]
    by_v = [piece_between(run, h, v * h + sign * d * h, w, c) for sign in (-1, 1)]
    scale = 2 * d * h
    found = [(b.s - a.s) / scale for a, b in (by_h, by_v)] + [(b.rise - a.rise) / scale for a, b in (by_h, by_v)]
    assert found == pytest.approx(list(slopes[:4]), rel=1e-4, abs=1e-7 * piece.s / h)


@given(s=st.floats(0.5, 30), h=st.floats(10, 2e4), v=st.floats(-2, 2), w=weights, c=gives)
@quick
def test_piece_of_a_length_and_piece_over_its_run_are_one(s: float, h: float, v: float, w: float, c: float) -> None:
    piece = piece_of(s, h, v * h, w, c)
    assume(w * s / h < 4)
    assert piece_between(piece.run, h, v * h, w, c).s == pytest.approx(s, rel=1e-10)
    slopes = line_slopes(piece, c)
    longer = piece_of(s * (1 + 1e-6), h, v * h, w, c)
    assert (longer.run - piece.run) / (s * 1e-6) == pytest.approx(slopes.run_s, rel=1e-4)
    assert (longer.rise - piece.rise) / (s * 1e-6) == pytest.approx(slopes.rise_s, rel=1e-3, abs=1e-5)


def test_weightless_line_is_the_limit_of_a_light_one() -> None:
    loads = [PointLoad(6.0, 1000.0)]
    light, none = (hang_cable(Cable((20.0,), (20.1,), (), w, 1e6), loads) for w in (1e-7, 0.0))
    assert light.tension == pytest.approx(none.tension, rel=1e-8)


class TestSeveralSpans:
    line = Cable((12.0, 15.0, 10.0), (12.02, 15.03, 10.01), (0.4, -0.2, 0.1), 2.5, 1.7e6)
    loads = (PointLoad(5.0, 2000.0), PointLoad(20.0, 4000.0))

    def held(self) -> Cable:
        return Cable(self.line.spans, self.line.lengths, self.line.rises, 2.5, 1.7e6, held=True)

    def test_slipping_line_has_one_tension_over_each_support(self) -> None:
        state = hang_cable(self.line, self.loads)
        for left, right in zip(state.spans, state.spans[1:], strict=False):
            assert left.tension_right == pytest.approx(right.tension_left, rel=1e-10)
        assert state.unstressed == pytest.approx(sum(self.line.lengths), rel=1e-11)

    def test_held_line_hangs_as_its_spans_do_alone(self) -> None:
        state = hang_cable(self.held(), self.loads)
        alone = hang_cable(Cable((15.0,), (15.03,), (-0.2,), 2.5, 1.7e6), [PointLoad(8.0, 4000.0)])
        assert state.spans[1].tension_left == pytest.approx(alone.spans[0].tension_left, rel=1e-11)
        assert state.spans[1].sag == pytest.approx(alone.sag, rel=1e-11)

    def test_slipping_line_sags_more_and_pulls_less_under_one_load(self) -> None:
        slip, held = (hang_cable(cable, self.loads[1:]) for cable in (self.line, self.held()))
        assert slip.sag > held.sag
        assert slip.tension < held.tension

    def test_supports_and_anchors_carry_everything(self) -> None:
        for cable in (self.line, self.held()):
            state = hang_cable(cable, self.loads)
            level, plumb = total_force(state)
            assert level == pytest.approx(sum(right for right, _ in state.support_forces), abs=1e-6)
            assert -plumb == pytest.approx(sum(down for _, down in state.support_forces), abs=1e-6)

    def test_two_equal_spans_share_their_line(self) -> None:
        cable = rigged_to_length(Cable((10.0, 10.0), (), (), 2.5, 1.7e6), 20.04)
        assert cable.lengths == pytest.approx((10.02, 10.02), rel=1e-9)


class TestAbsorberInLine:
    def line(self, **absorber: float) -> Cable:
        return Cable((20.0,), (20.05,), (), 2.45, 1.7e6, **absorber)

    def test_shut_absorber_changes_nothing(self) -> None:
        state = hang_cable(self.line(absorber_force=20e3, absorber_length=0.5), [PointLoad(10.0, 6000.0)])
        assert state.opening == 0
        assert state.tension == hang_cable(self.line(), [PointLoad(10.0, 6000.0)]).tension

    def test_opening_absorber_holds_its_force(self) -> None:
        state = hang_cable(self.line(absorber_force=9e3, absorber_length=2.0), [PointLoad(7.0, 6000.0)])
        assert state.spans[0].tension_left == pytest.approx(9e3, rel=1e-9)
        assert 0 < state.opening < 2.0

    def test_spent_absorber_is_a_longer_line(self) -> None:
        """Weightless: both sides are straight, 20.05 (1 + T/EA) + 0.1 m in all, and P = 2 T d/r."""
        line = Cable((20.0,), (20.05,), (), 0.0, 1.7e6, absorber_force=5e3, absorber_length=0.1)
        spent = hang_cable(line, [PointLoad(10.0, 6000.0)])
        assert spent.opening == 0.1
        half = math.hypot(10.0, spent.sag)
        assert 2 * half == pytest.approx(20.05 * (1 + spent.tension / 1.7e6) + 0.1, rel=1e-12)
        assert 2 * spent.tension * spent.sag / half == pytest.approx(6000.0, rel=1e-11)

    def test_open_absorber_does_not_close(self) -> None:
        line = self.line(absorber_force=9e3, absorber_length=2.0)
        assert hang_cable(line, [PointLoad(7.0, 500.0)], opened=0.4).opening == 0.4


class TestRigging:
    @given(sag=st.floats(0.01, 3.0), weight=st.floats(0.2, 20.0), stiffness=moduli)
    @quick
    def test_sag_is_met(self, sag: float, weight: float, stiffness: float) -> None:
        cable = rigged_to_sag(Cable((18.0,), (), (0.7,), weight, stiffness), sag)
        assert hang_cable(cable).sag == pytest.approx(sag, rel=1e-8)

    @given(tension=st.floats(400.0, 2e4), weight=weights, stiffness=moduli)
    @quick
    def test_pretension_is_met(self, tension: float, weight: float, stiffness: float) -> None:
        cable = rigged_to_tension(Cable((18.0,), (), (0.7,), weight, stiffness), tension)
        assert hang_cable(cable).anchor_forces[0] == pytest.approx(tension, rel=1e-8)

    def test_longest_span_has_the_sag(self) -> None:
        state = hang_cable(rigged_to_sag(Cable((8.0, 14.0), (), (), 3.0, 1e6), 0.4))
        assert state.spans[1].sag == pytest.approx(0.4, rel=1e-9)
        assert state.spans[0].sag < 0.4

    def test_taut_branch_is_meant(self) -> None:
        """The least end tension of a catenary is 0.7544 of its weight per length times its span."""
        assert hang_cable(rigged_to_tension(Cable((10.0,), weight=10.0), 76.0)).sag < 3.377
        with pytest.raises(CableError, match="can't hold the tension"):
            rigged_to_tension(Cable((10.0,), weight=10.0), 75.0)

    @pytest.mark.parametrize("rig", [rigged_to_sag, rigged_to_tension, rigged_to_length])
    @pytest.mark.parametrize("value", [0.0, -1.0, math.nan])
    def test_nothing_is_rigged_to_nothing(self, rig, value: float) -> None:
        with pytest.raises(ValueError, match="above 0"):
            rig(Cable((10.0,), weight=1.0, stiffness=1e6), value)

    def test_absorber_would_open_while_it_is_rigged(self) -> None:
        with pytest.raises(ValueError, match="absorber in line would open"):
            rigged_to_tension(Cable((10.0,), (), (), 1.0, 1e6, absorber_force=1e3, absorber_length=1.0), 2e3)


class TestRefusals:
    def test_weightless_slack_line(self) -> None:
        with pytest.raises(CableError, match="takes no shape"):
            hang_cable(Cable((10.0,), (10.1,), stiffness=1e6))

    def test_weightless_line_has_no_sag(self) -> None:
        with pytest.raises(CableError, match="no sag of its own"):
            rigged_to_sag(Cable((10.0,), stiffness=1e6), 0.1)

    def test_short_line_that_cannot_stretch(self) -> None:
        with pytest.raises(CableError, match="longer than the straight distance"):
            hang_cable(Cable((10.0,), (10.0,), weight=1.0))

    @pytest.mark.parametrize("length", [12.9, 16.0, 30.0])
    def test_slack_line_runs_out_over_a_support(self, length: float) -> None:
        """A catenary pulls least at a sag of 0.3377 of its span; two alike that are slacker are not steady."""
        with pytest.raises(CableError, match="runs out"):
            hang_cable(Cable((10.0, 10.0), (length, length), (), 5.0, 1e6))

    def test_anchor_gives_as_far_as_the_load(self) -> None:
        soft = Cable((10.0,), (9.0,), (), 1.0, 1e6, anchor_stiffness=(2e3, math.inf))
        with pytest.raises(CableError, match="anchors give way"):
            hang_cable(soft, [PointLoad(0.01, 500.0)])

    @pytest.mark.parametrize("load", [(0.0, 1.0), (10.0, 1.0), (-1.0, 1.0), (25.0, 1.0), (4.0, -1.0), (math.nan, 1.0)])
    def test_load_beyond_its_place(self, load: tuple[float, float]) -> None:
        with pytest.raises(ValueError, match="between two supports"):
            hang_cable(Cable((10.0, 10.0), weight=1.0, stiffness=1e6), [PointLoad(*load)])

    @pytest.mark.parametrize(
        "wrong",
        [
            {"spans": ()},
            {"spans": (10.0,), "lengths": (1.0, 2.0)},
            {"spans": (-10.0,)},
            {"spans": (10.0,), "weight": -1.0},
            {"spans": (10.0,), "stiffness": 0.0},
            {"spans": (10.0,), "stiffness": math.nan},
            {"spans": (math.inf,)},
            {"spans": (10.0,), "absorber_force": -1.0},
            {"spans": (10.0,), "anchor_stiffness": (0.0, 1.0)},
        ],
    )
    def test_impossible_cable(self, wrong: dict[str, object]) -> None:
        with pytest.raises(ValueError, match=r"spans, lengths|weight and absorber|as many"):
            Cable(**wrong)  # type: ignore[arg-type]

    @pytest.mark.parametrize("angles", [(0.0, None), (91.0, None), (-5.0, 5.0), (math.nan, None)])
    def test_angles_that_make_no_sag(self, angles: tuple[float, float | None]) -> None:
        with pytest.raises(ValueError, match="angles"):
            sag_amplification(*angles)


def test_angles_of_both_sides_balance_the_load() -> None:
    """3-4-5: sides that fall 3 m over 4 m and 4 m over 3 m, 5 N: the line pulls with 4 N and 3 N."""
    a, b = math.degrees(math.atan2(3, 4)), math.degrees(math.atan2(4, 3))
    assert sag_amplification(a, b) == pytest.approx(4 / 5)


class TestShape:
    state = hang_cable(Cable((20.0,), (20.5,), (1.0,), 2.5, 1.7e6), [PointLoad(6.0, 900.0), PointLoad(12.0, 500.0)])

    def test_drawn_line_goes_through_supports_and_loads(self) -> None:
        (span,) = self.state.spans
        points = span.shape(8)
        assert len(points) == 3 * 8 + 1
        assert np.array(points[::8]) == pytest.approx(np.array(span.nodes), abs=1e-9)

    def test_no_drawn_point_is_below_the_lowest(self) -> None:
        (span,) = self.state.spans
        assert min(z for _, z in span.shape(50)) >= span.lowest[1] - 1e-12
        assert max(x / 20.0 - z for x, z in span.shape(50)) <= span.sag + 1e-12

    def test_load_s_sag_is_measured_from_the_straight_line(self) -> None:
        (x, z), sag = self.state.load_points[0], self.state.load_sags[0]
        assert x == pytest.approx(6.0)
        assert sag == pytest.approx(6.0 / 20.0 - z)

    def test_place_beyond_the_line(self) -> None:
        with pytest.raises(ValueError, match="beyond the right anchor"):
            self.state.cable.chord_height(20.1)


@pytest.mark.parametrize(("run", "tension"), [(10.0, 1e-6), (1000.0, 1.0)])
def test_line_that_would_hang_plumb(run: float, tension: float) -> None:
    with pytest.raises(CableError, match="hang plumb"):
        piece_between(run, tension, 0.0, 10.0, 0.0)


def test_piece_of_less_than_no_line() -> None:
    with pytest.raises(CableError, match="take in the point"):
        piece_of(-0.1, 10.0, 0.0, 1.0, 0.0)
