"""The page docs/rope-strength.md: its example runs, and its table says what the tables of the package hold."""

import doctest
import re
from pathlib import Path

import pytest

from ropewright.rope.tables import figures

PAGE = Path(__file__).parents[2] / "docs" / "rope-strength.md"
ROWS = [
    ("average, or unknown", "strength_figures", "basis/average"),
    ("average, or unknown", "strength_figures", "basis/unknown"),
    ("wet nylon", "fibre_properties", "nylon/wet factor"),
    ("new", "strength_figures", "condition/new"),
    ("good: in use, no defect found", "strength_figures", "condition/good"),
    ("worn", "strength_figures", "condition/worn"),
    ("figure-eight loop", "terminations", "figure-eight loop"),
    ("double overhand loop", "terminations", "double overhand loop"),
    ("bowline", "terminations", "bowline"),
    ("sewn eye", "terminations", "sewn eye"),
    ("eye splice in laid rope", "terminations", "eye splice"),
    ("end that nobody has named", "terminations", "unknown"),
    ("any knot, by the rule's word", "strength_figures", "knot/by rule"),
    ("any knot in fibre that hardly stretches", "strength_figures", "knot/high-modulus fibre"),
    ("bare edge", "strength_figures", "edge/bare"),
]


def printed_shares(step):
    cells = next(
        line.split("|") for line in PAGE.read_text(encoding="utf-8").splitlines() if line.startswith(f"| {step} |")
    )
    return [float(number) for number in re.findall(r"[0-9.]+", cells[2])]


@pytest.mark.parametrize(("step", "table", "key"), ROWS, ids=[key for _, _, key in ROWS])
def test_the_page_prints_the_shares_of_the_table(step, table, key):
    value = figures(table)[key].value
    held = [value.likely] if value.is_exact else [value.low, value.likely, value.high]
    assert printed_shares(step) == held


def test_the_example_on_the_page_runs():
    found = doctest.testfile(str(PAGE), module_relative=False)
    assert found.attempted > 0
    assert found.failed == 0
