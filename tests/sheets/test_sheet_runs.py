"""Runs of one verdict along an edge: no gap, never better than what was worked out."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.findings import SEVERITY, Place, Verdict
from ropewright.job.assessment import Assessment, EdgeField
from ropewright.sheets.runs import Run, Track, runs_along, tracks_of

EAVE = Track("eave", np.array([[0.0, 0.0, 3.0], [10.0, 0.0, 3.0]]), names=frozenset({"eave"}))

verdict_lists = st.lists(st.sampled_from([None, *Verdict]), min_size=2, max_size=12)


def field_of(base: EdgeField, verdicts: list[Verdict | None], track: Track = EAVE) -> EdgeField:
    """Return a field over a track with these verdicts at even distances."""
    points = np.array([track.at(station) for station in np.linspace(0, track.length, len(verdicts))])
    names = tuple(next(iter(track.names)) for _ in verdicts)
    return replace(base, edge=names, points=points, verdict=tuple(verdicts))


def at(runs: tuple[Run, ...], station: float) -> Verdict | None:
    return next(run.verdict for run in runs if run.start <= station <= run.end)


@pytest.fixture(scope="module")
def base(assessment: Assessment) -> EdgeField:
    return assessment.fields[0]


def test_runs_change_where_the_verdict_does(base: EdgeField) -> None:
    runs = runs_along(EAVE, [field_of(base, [Verdict.HOLDS, Verdict.HOLDS, Verdict.FAILS])])
    assert [(run.start, run.end, run.verdict) for run in runs] == [(0, 5, Verdict.HOLDS), (5, 10, Verdict.FAILS)]


def test_place_between_two_points_takes_the_worse(base: EdgeField) -> None:
    runs = runs_along(EAVE, [field_of(base, [Verdict.ASK, Verdict.HOLDS])])
    assert [run.verdict for run in runs] == [Verdict.ASK]


def test_worst_worker_counts(base: EdgeField) -> None:
    fields = [field_of(base, [Verdict.HOLDS] * 3), field_of(base, [None, None, Verdict.DOUBTFUL])]
    assert at(runs_along(EAVE, fields), 9.0) is Verdict.DOUBTFUL
    assert at(runs_along(EAVE, fields), 1.0) is Verdict.HOLDS


def test_nobody_there_is_not_reached(base: EdgeField) -> None:
    assert [run.verdict for run in runs_along(EAVE, [field_of(base, [None, None])])] == [None]


def test_edge_that_was_never_asked_is_to_be_asked(base: EdgeField) -> None:
    other = field_of(base, [Verdict.HOLDS, Verdict.HOLDS])
    elsewhere = replace(EAVE, names=frozenset({"rake"}))
    assert [run.verdict for run in runs_along(elsewhere, [other])] == [Verdict.ASK]
    assert [run.verdict for run in runs_along(EAVE, [])] == [Verdict.ASK]


@settings(deadline=None, max_examples=60)
@given(verdicts=verdict_lists)
def test_runs_cover_the_edge_and_never_flatter(base: EdgeField, verdicts: list[Verdict | None]) -> None:
    runs = runs_along(EAVE, [field_of(base, verdicts)])
    assert runs[0].start == 0.0
    assert runs[-1].end == pytest.approx(EAVE.length)
    assert all(one.end == two.start and one.verdict != two.verdict for one, two in pairwise(runs))
    for station, verdict in zip(np.linspace(0, EAVE.length, len(verdicts)), verdicts, strict=True):
        here = at(runs, float(station))
        assert verdict is None or (here is not None and SEVERITY[here] >= SEVERITY[verdict])


def test_rim_ends_where_it_began(base: EdgeField) -> None:
    ring = np.array([[0.0, 0, 3], [1, 0, 3], [1, 1, 3], [0, 1, 3], [0, 0, 3]])
    rim = Track("hatch", ring, is_rim=True, names=frozenset({"hatch"}))
    runs = runs_along(rim, [field_of(base, [Verdict.FAILS, *[Verdict.HOLDS] * 15], rim)])
    assert runs[0].verdict is Verdict.FAILS
    assert runs[-1].end == pytest.approx(4.0)


def test_every_edge_and_opening_is_a_track(assessment: Assessment) -> None:
    roof = assessment.job.roof
    names = {track.name for track in tracks_of(roof)}
    assert names == {edge.name for edge in roof.boundary} | {opening.name for opening in roof.openings}


def test_station_is_the_true_distance_along() -> None:
    assert EAVE.station_of(np.array([[2.5, 0.1, 3.0], [20.0, 0, 3]])) == pytest.approx([2.5, 10.0])


@pytest.mark.parametrize("verdict", list(Verdict))
def test_rim_that_nobody_falls_over_is_what_the_findings_say_of_the_opening(
    assessment: Assessment, verdict: Verdict
) -> None:
    rim = replace(EAVE, name="skylight", is_rim=True)
    about = replace(assessment.findings[0], where=Place(opening="skylight"), verdict=verdict)
    other = replace(about, where=Place(opening="hatch"), verdict=Verdict.FAILS)
    assert [run.verdict for run in runs_along(rim, [], [about, other])] == [verdict]
