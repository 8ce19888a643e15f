"""Work areas, forbidden areas, framing lines and the template of new anchors, as a job file tells them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from plain_jobs import PLAIN

from ropewright.errors import InputErrors
from ropewright.job import job_from_mapping


def told(**tables: Any) -> dict[str, Any]:
    return {**PLAIN, **tables}


def faults(**tables: Any) -> str:
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(told(**tables))
    return "\n".join(str(error) for error in caught.value.exceptions)


def test_an_area_is_an_outline_facets_or_the_whole_roof() -> None:
    job = job_from_mapping(
        told(
            area=[
                {"name": "strip", "center": ["6 m", "1 m"], "size": ["12 m", "2 m"]},
                {"name": "all", "facets": [job_facet()]},
                {"name": "everywhere", "crew": [worker()]},
            ]
        )
    )
    strip, facet, everywhere = job.areas
    assert strip.rings[0].min(axis=0).tolist() == [0.0, 0.0]
    assert strip.rings[0].max(axis=0).tolist() == [12.0, 2.0]
    assert facet.facets == (job_facet(),)
    assert everywhere.is_whole
    assert everywhere.crew == (worker(),)


def job_facet() -> str:
    return job_from_mapping(PLAIN).roof.facets[0].id


def worker() -> str:
    return job_from_mapping(PLAIN).crew[0].name


def test_new_anchors_are_as_the_table_states() -> None:
    job = job_from_mapping(told(anchors={"spacing": "2 ft", "strength": "22 kN to 25 kN", "basis": "ultimate"}))
    assert job.anchor_plan.spacing == pytest.approx(0.6096)
    assert job.anchor_plan.terms is not None
    strength: Any = job.anchor_plan.terms["strength"]
    assert strength.low == pytest.approx(22e3)


def test_a_table_without_strength_states_nothing_of_it() -> None:
    assert job_from_mapping(told(anchors={"spacing": "1 m"})).anchor_plan.terms is None


def test_framing_lines_are_read_in_metres() -> None:
    job = job_from_mapping(told(framing=[{"name": "beam", "points": [["0 m", "5 m"], ["40 ft", "5 m"]]}]))
    assert job.framing[0].points == pytest.approx(np.array([[0.0, 5.0], [12.192, 5.0]]))
    assert job.framing[0].spacing is None


@pytest.mark.parametrize(
    ("tables", "message"),
    [
        ({"area": [{"name": "a", "facets": ["sooth"]}]}, r"area[0].facets[0]: got 'sooth'"),
        ({"area": [{"name": "a", "crew": ["Nobody"]}]}, r"area[0].crew[0]: got 'Nobody'"),
        ({"area": [{"name": "a"}, {"name": "a"}]}, r"area[1].name: got 'a'; this name is taken"),
        ({"area": [{"name": "a", "facets": "south"}]}, "give a list of names in brackets"),
        ({"no_anchor": [{"name": "panels"}]}, "no_anchor[0].outline: missing"),
        ({"framing": [{"name": "beam", "points": [["0 m", "0 m"]]}]}, "framing[0].points"),
        ({"anchors": {"like": "b"}}, r"anchors.like: got 'b'"),
        ({"anchors": {"like": "a", "strength": "22 kN", "basis": "ultimate"}}, "give either 'like' or the figures"),
        ({"anchors": {"strength": "22 kN"}}, "anchors.basis: missing"),
        ({"anchors": {"spaceing": "1 m"}}, "the nearest is 'spacing'"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_slip_names_its_field_and_what_would_be_right(tables: dict[str, Any], message: str) -> None:
    assert message in faults(**tables)
