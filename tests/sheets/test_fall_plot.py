"""The picture of a fall: named phases, one mark each for force and height, the same bytes on every run."""

import json
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from matplotlib import rc_context

from ropewright.arrest.answer import FallAnswer, FallTask, answer_fall
from ropewright.arrest.doubtful import FallPoints
from ropewright.arrest.history import Phase, catch_history
from ropewright.cli.fall import fall
from ropewright.quantity import Dimension, Range, UnitSystem, show
from ropewright.sheets import fall_plot
from ropewright.sheets.fall_plot import plot_bytes, spells

EXACT = {
    "mass": 100.0, "modulus": 30e3, "fast_modulus": 20e3, "relaxation_time": 0.2, "length": 4.0, "free_fall": 2.0,
    "grab_slip_force": 3.5e3, "grab_slip_length": 0.2, "absorber_force": 4e3, "absorber_length": 0.15,
}  # fmt: skip
PLAIN = ["--mass", "100 kg", "--line-length", "4 m", "--free-fall", "2 m", "--stiffness", "40 kN"]


def answered(limits: dict[str, float] | None = None, **ranges: Range) -> FallAnswer:
    inputs = {name: Range.exact(value) for name, value in EXACT.items()} | ranges
    return answer_fall(FallTask(inputs, FallPoints(), limits=limits))


def texts(answer: FallAnswer, units: UnitSystem = UnitSystem.METRIC) -> list[str]:
    with rc_context(fall_plot._settings()):
        figure = fall_plot._figure(answer, units)
        return [t.get_text() for axis in figure.axes for t in axis.texts] + [t.get_text() for t in figure.texts]


def test_every_phase_is_named_once_where_it_is_narrow() -> None:
    found = texts(answered())
    for phase in Phase:
        assert phase.value in found, phase
    assert found.count("grab sliding") == found.count("absorber spent") == 1


def test_peak_and_depth_are_written_in_the_units_asked_for() -> None:
    answer = answered()
    metric, us = texts(answer), texts(answer, UnitSystem.US)
    assert show(answer.one.number("peak_force"), Dimension.FORCE, UnitSystem.METRIC, toward="high") in metric
    assert show(answer.one.total_fall, Dimension.LENGTH, UnitSystem.METRIC, toward="high") in metric
    assert any(text.endswith(" lbf") for text in us)
    assert not any(" kN" in text or text.endswith(" m") for text in us)


def test_limits_are_drawn_with_their_words() -> None:
    found = texts(answered({"peak_force": 6e3, "needed": 5.0}))
    assert "limit 6.00 kN" in found
    assert "feet touch, 5.00 m below their start" in found


def test_ranges_add_the_hardest_and_the_deepest_corner() -> None:
    names = [curve.name for curve in fall_plot._curves(answered(mass=Range(80.0, 100.0, 120.0)))]
    assert names == ["likely", "hardest corner of the inputs", "deepest corner of the inputs"]
    assert [curve.name for curve in fall_plot._curves(answered())] == ["likely"]


def test_curves_differ_by_dash_and_width_so_that_grey_tells_them_apart() -> None:
    curves = fall_plot._curves(answered(mass=Range(80.0, 100.0, 120.0)))
    assert len({str(curve.style["linestyle"]) for curve in curves}) == 3
    assert {curve.style["color"] for curve in curves} == {fall_plot.INK}


def test_spells_cover_the_whole_time_without_a_gap() -> None:
    history = catch_history(answered().one.chain, duration=2.0)
    found = spells(history)
    assert found[0].start == 0.0
    assert found[-1].end == history.time[-1]
    assert all(before.end == after.start for before, after in pairwise(found))
    assert all(before.phase is not after.phase for before, after in pairwise(found))


@pytest.mark.parametrize(("kind", "start"), [("svg", b"<?xml"), ("pdf", b"%PDF"), ("png", b"\x89PNG")])
def test_same_picture_on_every_run(kind: str, start: bytes) -> None:
    answer = answered()
    picture = plot_bytes(answer, kind, UnitSystem.METRIC)
    assert picture.startswith(start)
    assert picture == plot_bytes(answer, kind, UnitSystem.METRIC)


def test_command_writes_the_file_and_says_where(tmp_path: Path) -> None:
    file = tmp_path / "fall.svg"
    result = CliRunner().invoke(fall, [*PLAIN, "--plot", str(file)])
    assert result.exit_code == 0, result.stderr
    assert file.read_bytes().startswith(b"<?xml")
    assert f"Drawn in {file}" in result.stdout
    with_json = CliRunner().invoke(fall, [*PLAIN, "--plot", str(file), "--json"])
    assert json.loads(with_json.stdout)["peak_force_n"] > 0


@pytest.mark.parametrize(
    ("name", "message"), [("fall.gif", "ends in .svg, .pdf or .png"), ("no/such/fall.svg", "a folder that exists")]
)
def test_file_that_can_not_be_drawn_is_refused_before_anything_else(tmp_path: Path, name: str, message: str) -> None:
    result = CliRunner().invoke(fall, [*PLAIN, "--plot", str(tmp_path / name)])
    assert result.exit_code == 2
    assert message in result.stderr
    assert not list(tmp_path.iterdir())
