"""The one field of a job file that says how a person who slips rubs on the roofing."""

from __future__ import annotations

import pytest
from plain_jobs import plain

from ropewright.arrest.slide import roof_friction
from ropewright.errors import InputErrors
from ropewright.findings import SourceStatus
from ropewright.job import job_from_mapping
from ropewright.job.sliding import friction_on_roof
from ropewright.quantity import Range


def test_what_the_job_tells_is_taken_and_named_as_the_jobs():
    friction, source = friction_on_roof(job_from_mapping(plain(roof__slide_friction="0.2 to 0.3 to 0.5")))
    assert friction == Range(0.2, 0.3, 0.5)
    assert source.status is SourceStatus.USER


def test_what_is_not_told_is_a_judgement_and_no_better_than_any_figure_read():
    friction, source = friction_on_roof(job_from_mapping(plain()))
    assert (friction, source) == (roof_friction().value, roof_friction().source)
    assert source.status is SourceStatus.JUDGEMENT
    assert friction.low < 0.6  # a rubber sole on dry asphalt, trade article of 2003


@pytest.mark.parametrize("told", ["3", "-0.1", "slick"])
def test_a_figure_that_cannot_be_meant_is_refused_by_its_field(told):
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(plain(roof__slide_friction=told))
    assert [error.field for error in caught.value.exceptions] == ["roof.slide_friction"]
