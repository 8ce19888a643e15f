"""Verdicts along the edges: stretches of one verdict, the worst over the workers shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from ropewright.findings import SEVERITY, Finding, Verdict, worst
from ropewright.job.assessment import EdgeField
from ropewright.roof import Edge, EdgeType, Roof

__all__ = ["Run", "Runs", "Track", "all_runs", "badness", "runs_along", "tracks_of"]

Floats = NDArray[np.float64]

#: Closer than this, two points are one place. [m]
_SAME_PLACE = 2e-3


@dataclass(frozen=True)
class Track:
    """A line that people can fall over, to be walked from its start: an edge, or the rim of an opening.

    Parameters
    ----------
    name : str
    corners : array, shape (n, 3)
        In order; a rim ends where it began. [m]
    is_rim : bool
    names : frozenset of str
        What the fall field calls the points on it.
    """

    name: str
    corners: Floats
    is_rim: bool = False
    names: frozenset[str] = frozenset()

    @cached_property
    def stations(self) -> Floats:
        """Distance of each corner from the start, shape (n,), in m."""
        steps = np.linalg.norm(np.diff(self.corners, axis=0), axis=1)
        return np.concatenate([[0.0], np.cumsum(steps)])

    @property
    def length(self) -> float:
        """True length, in m."""
        return float(self.stations[-1])

    def at(self, station: float) -> Floats:
        """Point at a distance from the start, shape (3,), in m."""
        stations = self.stations
        return np.array([np.interp(station, stations, column) for column in self.corners.T])

    def between(self, start: float, end: float) -> Floats:
        """Corners of the stretch from one distance to another, shape (k, 3), in m."""
        stations = self.stations
        inner = self.corners[(stations > start) & (stations < end)]
        return np.vstack([self.at(start), inner, self.at(end)])

    def station_of(self, points: Floats) -> Floats:
        """Distance from the start of the place nearest to each point, shape (n,), in m."""
        start, step = self.corners[:-1], np.diff(self.corners, axis=0)
        square = np.maximum(np.einsum("ij,ij->i", step, step), 1e-18)
        away = points[:, None, :] - start[None, :, :]
        share = np.clip(np.einsum("nij,ij->ni", away, step) / square, 0.0, 1.0)
        gap = np.linalg.norm(away - share[:, :, None] * step[None, :, :], axis=2)
        nearest = gap.argmin(axis=1)
        rows = np.arange(len(points))
        along: Floats = self.stations[nearest] + share[rows, nearest] * np.sqrt(square[nearest])
        return along


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of one verdict on a track, between two distances from its start, in m.

    `verdict` None: no worker can get there.
    """

    start: float
    end: float
    verdict: Verdict | None

    @property
    def middle(self) -> float:
        """Distance of its middle from the start of the track, in m."""
        return (self.start + self.end) / 2


#: Runs of each track by its name.
Runs = Mapping[str, Sequence[Run]]


def tracks_of(roof: Roof) -> tuple[Track, ...]:
    """Every boundary edge and every opening's rim of a roof.

    An opening's rim is one track, whether the fall field names its points after the opening or after the edges of
    its rim.
    """
    edges = [edge for edge in roof.edges if edge.type.is_boundary]
    rims, taken = [], set()
    for opening in roof.openings:
        rim = Track(opening.name, np.vstack([opening.ring, opening.ring[:1]]), is_rim=True)
        own = {edge.name for edge in edges if edge.type is EdgeType.OPENING and _lies_on(edge, rim)}
        taken |= own
        rims.append(replace(rim, names=frozenset({opening.name} | own)))
    plain = [
        Track(edge.name, np.vstack([edge.start, edge.end]), names=frozenset({edge.name}))
        for edge in edges
        if edge.name not in taken
    ]
    return (*plain, *rims)


def _lies_on(edge: Edge, rim: Track) -> bool:
    ends = np.vstack([edge.start, edge.end])
    nearest = np.array([rim.at(station) for station in rim.station_of(ends)])
    return bool(np.linalg.norm(nearest - ends, axis=1).max() < _SAME_PLACE)


def _worse(first: Verdict | None, second: Verdict | None) -> Verdict | None:
    if first is None or second is None:
        return second if first is None else first
    return max(first, second, key=SEVERITY.__getitem__)


def badness(verdict: Verdict | None) -> int:
    """Return how bad a verdict is, larger being worse; where nobody can get to nothing is.

    Examples
    --------
    >>> badness(None) < badness(Verdict.HOLDS) < badness(Verdict.FAILS)
    True
    """
    return -1 if verdict is None else SEVERITY[verdict]


def _rows_by_name(field: EdgeField) -> dict[str, list[int]]:
    rows: dict[str, list[int]] = {}
    for row, name in enumerate(field.edge):
        rows.setdefault(name, []).append(row)
    return rows


def _samples(track: Track, field: EdgeField, by_name: Mapping[str, list[int]]) -> tuple[Floats, list[Verdict | None]]:
    """Where on the track a field was asked, in order, and what it said."""
    rows = sorted(row for name in track.names for row in by_name.get(name, ()))
    stations = track.station_of(field.points[rows])
    order = np.argsort(stations, kind="stable")
    stations, verdicts = stations[order], [field.verdict[rows[index]] for index in order]
    if track.is_rim and rows:  # it ends where it began
        at_start = [verdict for station, verdict in zip(stations, verdicts, strict=True) if station < _SAME_PLACE]
        return np.append(stations, track.length), [*verdicts, reduce(_worse, at_start or verdicts[:1])]
    return stations, verdicts


def _joined(pieces: Iterable[Run]) -> tuple[Run, ...]:
    grouped = (list(group) for _, group in groupby(pieces, key=lambda run: run.verdict))
    return tuple(Run(group[0].start, group[-1].end, group[0].verdict) for group in grouped)


def runs_along(track: Track, fields: Sequence[EdgeField], findings: Sequence[Finding] = ()) -> tuple[Run, ...]:
    """Stretches of one verdict along a track, the worst over the fields.

    Parameters
    ----------
    track : Track
    fields : sequence of EdgeField
    findings : sequence of Finding
        Of the same assessment.

    Returns
    -------
    tuple of Run
        From start to end without a gap. A place between two points asked takes the worse of both, so that a verdict
        is never better than what was worked out on either side. With no point on the track the whole of it is what
        the findings say of an opening (nobody is asked about falls over the rim of one that is guarded), else `ASK`:
        nothing was shown to hold.
    """
    return all_runs((track,), fields, findings)[track.name]


def all_runs(
    tracks: Sequence[Track], fields: Sequence[EdgeField], findings: Sequence[Finding] = ()
) -> dict[str, tuple[Run, ...]]:
    """Return the runs of every track by its name; see `runs_along`."""
    indexed = [(field, _rows_by_name(field)) for field in fields]
    return {
        track.name: _runs(track, [_samples(track, field, by_name) for field, by_name in indexed], findings)
        for track in tracks
    }


def _told_of(track: Track, findings: Sequence[Finding]) -> Verdict:
    """Worst that the findings say of an opening as a whole."""
    return worst(finding.verdict for finding in findings if track.is_rim and finding.where.opening == track.name)


def _runs(
    track: Track, sampled: Sequence[tuple[Floats, list[Verdict | None]]], findings: Sequence[Finding]
) -> tuple[Run, ...]:
    sampled = [(stations, verdicts) for stations, verdicts in sampled if len(stations)]
    if not sampled:
        return (Run(0.0, track.length, _told_of(track, findings)),)
    marks = np.unique(
        np.concatenate([[0.0, track.length], *(stations for stations, _ in sampled)]).clip(0, track.length)
    )
    pieces = []
    for start, end in pairwise(marks.tolist()):
        verdict: Verdict | None = None
        for stations, verdicts in sampled:
            for index in _telling(stations, start, end):
                verdict = _worse(verdict, verdicts[index])
        pieces.append(Run(start, end, verdict))
    return _joined(pieces)


def _telling(stations: Floats, start: float, end: float) -> range:
    """Return the indices of the samples on a stretch, and of the next beyond it where none stands at its end."""
    first = int(np.searchsorted(stations, start, side="left"))
    if first == len(stations) or stations[first] > start:
        first = max(first - 1, 0)
    last = int(np.searchsorted(stations, end, side="right")) - 1
    if last < 0 or stations[last] < end:
        last = min(last + 1, len(stations) - 1)
    return range(first, last + 1)
