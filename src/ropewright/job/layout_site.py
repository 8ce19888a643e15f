"""Where anchors of a job could go, what they are taken to be, and the places that its people must get to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import InputError
from ropewright.field.below import level_distance
from ropewright.field.candidates import Candidates, anchor_candidates
from ropewright.job.area_model import Area
from ropewright.job.model import Anchor, Job
from ropewright.roof import EdgeType
from ropewright.roof.height import facet_at, grid_on

__all__ = ["WHOLE_ROOF", "Places", "Template", "areas_or_roof", "candidates_of", "in_area", "places_of", "template_of"]

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

WHOLE_ROOF = "whole roof"


@dataclass(frozen=True)
class Places:
    """Places on the roof that must be covered, on a square grid in plan."""

    points: Floats  #: (p, 3) on the roof [m]
    step: float  #: of the grid [m]
    areas: tuple[Area, ...]
    inside: Bools  #: (p, number of areas) which areas each place lies in

    def for_worker(self, worker: str) -> Bools:
        """Which places a worker has to get to, shape (p,)."""
        own = np.array([not area.crew or worker in area.crew for area in self.areas], bool)
        return np.asarray(self.inside[:, own].any(axis=1))

    def area_names(self, place: int) -> str:
        """Names of the areas that a place lies in."""
        return ", ".join(area.name for area, inside in zip(self.areas, self.inside[place], strict=True) if inside)


@dataclass(frozen=True, slots=True)
class Template:
    """What new anchors are taken to be."""

    anchor: Anchor  #: its name and place mean nothing
    said: str  #: where that was said, as a sentence
    stated: bool  #: False: the job states it of no new anchor, so that it must be asked


def areas_or_roof(job: Job) -> tuple[Area, ...]:
    """Areas of a job; the whole roof where it tells none."""
    return job.areas or (Area(WHOLE_ROOF),)


def in_area(job: Job, area: Area, points: Floats) -> Bools:
    """Which of n points, shape (n, 3), lie in an area, seen from above."""
    if area.is_whole:
        return np.ones(len(points), bool)
    inside = np.zeros(len(points), bool)
    for ring in area.rings:
        inside |= level_distance(points[:, :2], ring) == 0
    if area.facets:
        numbers = [number for number, facet in enumerate(job.roof.facets) if facet.id in area.facets]
        inside |= np.isin(facet_at(job.roof, points[:, :2]), numbers)
    return inside


def places_of(job: Job, step: float) -> Places:
    """Places that the areas of a job are made of.

    Parameters
    ----------
    job : Job
    step : float
        Between neighbours in plan. [m]

    Returns
    -------
    Places
        Nobody works on a skylight or where an obstacle stands: no places there.

    Raises
    ------
    InputError
        If an area holds no place, or none is left.
    """
    points = grid_on(job.roof, step)
    free = np.ones(len(points), bool)
    for shape in _occupied(job):
        free &= level_distance(points[:, :2], shape) > 0
    points, areas = points[free], areas_or_roof(job)
    inside = np.column_stack([in_area(job, area, points) for area in areas])
    for number, area in enumerate(areas):
        if not inside[:, number].any():
            raise InputError(
                f"area[{number}]" if job.areas else "roof",
                area.name,
                f"no place of a grid of {step:g} m lies in this area; check its outline, or take a finer grid",
                source=str(job.path) if job.path else None,
            )
    kept = inside.any(axis=1)
    return Places(points[kept], step, areas, inside[kept])


def _occupied(job: Job) -> Iterator[Floats]:
    yield from (opening.ring[:, :2] for opening in job.roof.openings)
    yield from (obstacle.outline for obstacle in job.site.obstacles)


def candidates_of(job: Job, spacing: float | None = None) -> Candidates:
    """Places where new anchors could go.

    Parameters
    ----------
    job : Job
    spacing : float, optional
        Between neighbours on one line, instead of the job's. [m]

    Returns
    -------
    Candidates
        On ridges, hips and framing lines, `above` the roof as the job has it.
    """
    plan = job.anchor_plan
    found = anchor_candidates(
        job.roof,
        list(_lines(job, spacing)),
        keep_off=plan.keep_off,
        off=[obstacle.outline for obstacle in job.site.obstacles],
        forbidden=[ring for area in job.no_anchor for ring in area.rings],
    )
    return replace(found, points=found.points + np.array([0.0, 0.0, plan.above]))


def _lines(job: Job, spacing: float | None) -> Iterator[tuple[str, Floats, float]]:
    plan = job.anchor_plan
    kinds = {EdgeType.RIDGE: plan.ridges, EdgeType.HIP: plan.hips}
    for kind, wanted in kinds.items():
        for edge in job.roof.edges:
            if edge.type is kind and wanted:
                yield edge.name, np.array([edge.start, edge.end]), spacing or plan.spacing
    for line in job.framing:
        yield line.name, line.points, spacing or line.spacing or plan.spacing


def template_of(job: Job) -> Template:
    """What new anchors are taken to be.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Template
        As ``[anchors]`` states it, or like the anchor it names; else like the job's first anchor, and it says so.

    Raises
    ------
    InputError
        If the job states nothing of new anchors and has none that they could be like.
    """
    plan = job.anchor_plan
    if plan.terms is not None:
        fields: dict[str, Any] = dict(plan.terms)
        return Template(
            Anchor("", np.zeros(3), **fields), "New anchors are taken to be as [anchors] states.", stated=True
        )
    if not job.anchors:
        raise InputError(
            "anchors.strength",
            None,
            "this job has no anchor that new ones could be like; state under [anchors] what they will be: strength, "
            "basis, on, installed, independent",
            source=str(job.path) if job.path else None,
        )
    name = plan.like or job.anchors[0].name
    anchor = next(anchor for anchor in job.anchors if anchor.name == name)
    said = f"New anchors are taken to be like {name!r}"
    return Template(anchor, f"{said}{'' if plan.like else ', since [anchors] states nothing'}.", stated=bool(plan.like))
