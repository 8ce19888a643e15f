"""The file that `ropewright new` writes is a job as it stands, and says of itself that it is no real one."""

from __future__ import annotations

import re
import tomllib

import pytest

from ropewright.job import job_from_mapping, new_job_text
from ropewright.quantity import UnitSystem


@pytest.mark.parametrize("units", ["us", "metric"])
def test_it_reads_without_a_change(units: str) -> None:
    job = job_from_mapping(tomllib.loads(new_job_text(units)))
    assert job.units is UnitSystem(units)
    assert job.invented
    assert job.site.power_lines
    assert job.site.obstacles
    assert job.roof.openings


@pytest.mark.parametrize(("units", "other"), [("us", r"\d (m|kN|kg|mm|cm)\b"), ("metric", r"\d (ft|in|lbf|lb)\b")])
def test_its_figures_are_in_one_system_of_units(units: str, other: str) -> None:
    figures = [line.split(" #")[0] for line in new_job_text(units).splitlines() if not line.startswith("#")]
    assert not [line for line in figures if re.search(other, line)]


def test_both_systems_describe_the_same_house() -> None:
    """Round figures in each, no more than a hand's breadth apart."""
    us, metric = (job_from_mapping(tomllib.loads(new_job_text(units))) for units in ("us", "metric"))
    for one, other in zip(us.roof.facets, metric.roof.facets, strict=True):
        assert one.ring == pytest.approx(other.ring, abs=0.1)
    assert us.lines[0].reach == pytest.approx(metric.lines[0].reach, abs=0.1)


def test_an_unknown_system_of_units_is_refused() -> None:
    with pytest.raises(ValueError, match="imperial"):
        new_job_text("imperial")
