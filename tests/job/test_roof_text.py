"""A job's text with a roof out of a file in it.

Expected values: the invented house of ``tests/data/houses`` as its README describes it: 9 m by 6 m, ridge along the
middle at y = 3 m.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest

from ropewright.errors import InputError, InputErrors
from ropewright.job import new_job_text
from ropewright.job.changed_text import changed_text
from ropewright.job.opened import opened_job
from ropewright.job.roof_text import fitted_text, high_place, new_text_of_roof, text_with_roof
from ropewright.quantity import UnitSystem
from ropewright.readers import read_roofs
from ropewright.roof.measured import measured_roof

HOUSE = Path(__file__).parents[1] / "data/houses/house.csv"


def check(text: str) -> None:
    with opened_job(text, {"house.csv": HOUSE.read_bytes()}):
        pass


def test_anchor_stands_in_the_middle_of_the_ridge() -> None:
    [building] = read_roofs(HOUSE)
    assert building.roof is not None
    assert high_place(building.roof) == pytest.approx((4.5, 3.0))


def test_anchor_stands_on_a_flat_roof_whose_middle_is_open() -> None:
    ring = np.array([[0, 0, 3], [9, 0, 3], [9, 6, 3], [0, 6, 3]], float)
    hole = np.array([[2, 1, 3], [8, 1, 3], [8, 5, 3], [2, 5, 3]], float)
    x, y = high_place(measured_roof([("flat", ring, [hole])]).roof)
    assert 0 < x < 9
    assert 0 < y < 6
    assert not (2 < x < 8 and 1 < y < 5)


@pytest.mark.parametrize("units", list(UnitSystem))
def test_new_job_of_a_roof_can_be_read_and_says_that_it_is_invented(units: UnitSystem) -> None:
    text = new_text_of_roof({"file": "house.csv"}, 'House "A"', (4.5, 3.0), units=units, north=30.0)
    check(text)
    raw = tomllib.loads(text)
    assert raw["job"]["name"] == 'House "A"'
    assert raw["job"]["invented"] is True
    assert raw["site"]["north"] == "30.00 deg"
    assert raw["roof"] == {"file": "house.csv"}
    assert not {"area", "no_anchor", "framing"} & raw.keys()


def test_whatever_is_off_the_new_roof_is_moved_or_taken_out_and_the_rest_stays() -> None:
    there = {"anchor[0].at": ["50 m", "3 m"], "no_anchor": [{"name": "far", "outline": "nonsense"}]}
    text = changed_text(text_with_roof(new_job_text("metric"), {"file": "house.csv"}), there)
    with pytest.raises((InputError, InputErrors)):
        check(text)
    fitted = fitted_text(text, (4.5, 3.0), check, units=UnitSystem.METRIC)
    check(fitted)
    raw = tomllib.loads(fitted)
    assert raw["anchor"][0]["at"] == ["4.50 m", "3.00 m"]
    assert "no_anchor" not in raw
    assert raw["line"] == tomllib.loads(text)["line"]


def test_whole_table_that_is_replaced_keeps_its_headings_and_all_that_stands_round_it() -> None:
    text = new_job_text("metric")
    roof = {"form": "hip", "size": ["9 m", "6 m"], "opening": [{"name": "hatch", "size": ["1 m", "1 m"]}]}
    made = changed_text(text, {"roof": roof})
    assert "\n[roof]\n" in made
    assert "\n[[roof.opening]]\n" in made
    assert tomllib.loads(made) == {**tomllib.loads(text), "roof": roof}
