"""The march in plain Python, rewritten for one fall a block, is the march."""

from __future__ import annotations

import ast
import inspect

import numpy as np
import pytest

from ropewright.arrest import motion_compile, motion_kernel, motion_march, motion_plain, motion_rows
from ropewright.arrest.motion_compile import is_ready


def made(function):
    space = {**vars(motion_kernel), **vars(motion_march), "r": motion_rows, "USED": 1}
    return motion_plain.for_one_fall(function, motion_rows, space)


@pytest.mark.parametrize(
    "name", [n for n in motion_kernel.__all__ if n not in ("contact", "place_folded")]
)  # contact takes a fall; the folded place calls another
def test_each_stage_does_to_one_fall_what_it_does_to_the_first_of_a_block(name):
    numbers = np.random.default_rng(4).uniform(0.5, 1.5, motion_rows.BLOCK)
    numbers[motion_rows.IS_BENT : motion_rows.IS_BENT + motion_rows.LANES] = 0.0
    block, listed = numbers.copy(), numbers.tolist()
    share = (1.0,) if name == "kick" else ()
    getattr(motion_kernel, name)(block, *share)
    made(getattr(motion_kernel, name))(listed, *share)
    first = np.arange(0, motion_rows.BLOCK, motion_rows.LANES)
    assert np.array_equal(np.array(listed)[first], block[first])
    assert not np.array_equal(block[first], numbers[first])


def test_a_loop_that_skips_falls_stays_a_loop():
    tree = ast.parse(inspect.getsource(motion_march.look))
    assert any(isinstance(node, ast.For) for node in ast.walk(motion_plain._OneFall(motion_rows).visit(tree)))


def test_without_its_source_a_function_stays_as_it_is(monkeypatch):
    def gone(_function):
        raise OSError

    monkeypatch.setattr(inspect, "getsource", gone)
    assert motion_plain.for_one_fall(motion_kernel.kick, motion_rows, {}) is motion_kernel.kick


def test_what_is_kept_elsewhere_is_looked_for_there(monkeypatch, tmp_path):
    """An empty folder for compiled code holds no march, whatever stands beside the source."""
    monkeypatch.setattr(motion_compile, "_ready", [])
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    assert not is_ready()
    (tmp_path / "arrest_1").mkdir()
    (tmp_path / "arrest_1" / f"motion.march_{motion_compile._mark()}-1.py311.nbi").touch()
    assert is_ready()
