"""What depends on the roof, the site and the anchors alone, kept while lengths and remedies are tried on a job."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from ropewright.errors import RoofError
from ropewright.field import (
    Below,
    EdgePoints,
    RopeOver,
    Surroundings,
    Thing,
    below_edges,
    edge_points,
    lower_roof,
    nearest_over,
    rope_over,
)
from ropewright.field.below import level_distance
from ropewright.field.landing import landings
from ropewright.field.slide import SlideLines, slide_lines
from ropewright.job.ask_site import is_guarded, opening_of
from ropewright.job.model import Anchor, Job
from ropewright.job.rig import Rig
from ropewright.job.sliding import SlideStarts, slide_starts
from ropewright.roof.height import grid_on
from ropewright.roof.path import TautPaths
from ropewright.roof.solid import RoofSolid

if TYPE_CHECKING:
    from ropewright.arrest.motion_history import MotionHistory
    from ropewright.arrest.rim import Rim
    from ropewright.job.edge_answer import Asked
    from ropewright.job.motions import Followed
    from ropewright.roof.surface import Roof

__all__ = ["Work", "surroundings"]

Floats = NDArray[np.float64]
_T = TypeVar("_T")

#: Zones inside the roof are drawn no finer than this. [m]
_LEAST_GRID = 0.2


#: Heads of the keys under which stands what no anchor has a part in.
_OF_ROOFS = frozenset({"name", "edges", "solid", "lower roof", "slide lines", "below", "floors", "grid"})


def surroundings(job: Job) -> Surroundings:
    """Return what a falling body can meet round the building of a job."""
    levels = [Thing(level.name, level.height, outline=level.outline) for level in job.site.levels]
    standing = [Thing(o.name, o.top, o.base, o.outline) for o in job.site.obstacles]
    return Surroundings((*levels, *standing))


def _digest(roof: Roof) -> str:
    """Text that changes with the facets: what stands in a file may change under the same name."""
    digest = hashlib.sha256()
    for facet in roof.facets:
        for ring in (facet.ring, *facet.holes):
            digest.update(f"{facet.id} {ring.shape}".encode())
            digest.update(np.ascontiguousarray(ring).tobytes())
    return digest.hexdigest()


@dataclass
class Work:
    """Answers are worked out when first asked for; the same roof told in another job gives the same."""

    _kept: dict[tuple[object, ...], object] = field(default_factory=dict)
    #: Ropes over the edges, with the longest line that they were measured for.
    _ropes: dict[tuple[object, ...], tuple[float, RopeOver]] = field(default_factory=dict)
    #: Slides over the edges, likewise.
    _slides: dict[tuple[object, ...], tuple[float, SlideStarts]] = field(default_factory=dict)
    #: Rims with the ropes of one anchor, with how far those may reach.
    _rims: dict[tuple[object, ...], tuple[float, Rim]] = field(default_factory=dict)
    #: Jobs whose parts are named by their `id` in a key stay alive, so that no other part gets the same one.
    _jobs: list[Job] = field(default_factory=list)

    def _once(self, key: tuple[object, ...], work_out: Callable[[], _T]) -> _T:
        if key not in self._kept:
            self._kept[key] = work_out()
        return self._kept[key]  # type: ignore[return-value]

    def _roof(self, job: Job) -> str:
        """Same text for the same roof: the tables it was read from, or the object itself where there are none."""

        def name() -> str:
            self._jobs.append(job)
            told = job.raw.get("roof")
            if not isinstance(told, Mapping) or not told:
                return str(id(job.roof))
            text = json.dumps(told, sort_keys=True, default=str)
            return text + _digest(job.roof) if {"file", "cityjson"} & told.keys() else text

        return self._once(("name", id(job)), name)

    def once_for_worker(self, job: Job, rig: Rig, work_out: Callable[[], _T]) -> _T:
        """What was worked out for one worker, worked out again if anything but the other anchors has changed."""
        anchors: Any = job.raw.get("anchor", ())
        own = [one for one in anchors if one.get("name") == rig.anchor.name]
        told = json.dumps({**job.raw, "anchor": own}, sort_keys=True, default=str) if job.raw else str(id(job))
        place = rig.anchor.point.tolist()  # that of an anchor off the roof may come from what the anchor says alone
        return self._once(("worked", self._roof(job), rig.worker.name, told, *place), work_out)

    def of_roofs(self) -> Work:
        """What was worked out of roofs alone, without anchors: for whoever moves an anchor again and again."""
        kept = {key: value for key, value in self._kept.items() if key[0] in _OF_ROOFS}
        return Work(kept, _jobs=list(self._jobs))

    def edges(self, job: Job) -> EdgePoints:
        """Points on every edge that nobody is kept from by a guard."""
        guarded = {o.name for o in job.roof.openings if is_guarded(job, o)}

        def place() -> EdgePoints:
            left = tuple(e for e in job.roof.edges if (o := opening_of(job, e.name)) is None or o.name not in guarded)
            return edge_points(replace(job.roof, edges=left), job.spacing)

        return self._once(("edges", self._roof(job), job.spacing, tuple(sorted(guarded))), place)

    def solid(self, job: Job) -> RoofSolid:
        """What belongs to the roof alone."""
        return self._once(("solid", self._roof(job)), lambda: RoofSolid(job.roof))

    def know_paths(self, job: Job, anchor: Anchor, paths: TautPaths) -> None:
        """Take taut ropes from an anchor that were found elsewhere on the same roof."""
        self._kept.setdefault(("paths", self._roof(job), *anchor.point.tolist()), paths)

    def paths(self, job: Job, rig: Rig) -> TautPaths:
        """Taut ropes from the rig's anchor, which is one of the job."""
        key = ("paths", self._roof(job), *rig.anchor.point.tolist())
        try:
            return self._once(key, lambda: TautPaths(self.solid(job), rig.anchor.point))
        except RoofError as error:
            if not error.field.startswith("anchor"):
                raise
            number = [anchor.name for anchor in job.anchors].index(rig.anchor.name)
            source = str(job.path) if job.path else None
            raise RoofError(f"anchor[{number}].at", error.value, error.expected, source=source) from error

    def lower_roof(self, job: Job, edges: EdgePoints) -> Floats:
        """Height of the roof's own lower parts under each edge point. [m]"""
        return self._once(("lower roof", id(edges)), lambda: lower_roof(edges, self.solid(job).heights))

    def over(self, job: Job, rig: Rig) -> RopeOver:
        """Taut rope from the rig's anchor to the worker's D-ring over each edge point."""
        edges = self.edges(job)
        key = ("over", id(edges), *rig.anchor.point.tolist(), rig.worker.d_ring)
        kept = self._ropes.get(key)
        if kept is None or kept[0] < rig.line.reach:
            room = edges.points[:, 2] - self.lower_roof(job, edges)
            paths, reach = self.paths(job, rig), rig.line.reach
            steps = self.mere_steps(job)
            kept = reach, rope_over(paths, edges.points, rig.worker.d_ring, room=room, steps=steps, reach=reach)
            self._ropes[key] = kept
        return kept[1]

    def slide_lines(self, job: Job) -> SlideLines:
        """Lines up the roof from each edge point, along which somebody may slide down."""
        edges = self.edges(job)
        return self._once(("slide lines", id(edges)), lambda: slide_lines(job.roof, edges))

    def slides(self, job: Job, rig: Rig) -> SlideStarts:
        """Places from which the rig's worker may slide over each edge point, with the rope to stand there."""
        edges, over, reach = self.edges(job), self.over(job, rig), rig.line.reach
        key = (id(edges), *rig.anchor.point.tolist(), rig.worker.d_ring)
        kept = self._slides.get(key)
        if kept is None or kept[0] < reach:
            paths, lines, heights = self.paths(job, rig), self.slide_lines(job), edges.points[:, 2]
            kept = reach, slide_starts(lines, over, paths, reach, rig.worker.d_ring, heights)
            self._slides[key] = kept
        return kept[1]

    def followed(self, asked: Asked) -> tuple[Followed, ...]:
        """Falls of one worker in three dimensions; see `ropewright.job.motions.follow_falls`."""
        from ropewright.job.motions import follow_falls  # most that is asked of a job needs none of it

        job, rig = asked.job, asked.rig
        site = json.dumps(job.raw["site"], sort_keys=True, default=str) if "site" in job.raw else str(id(job.site))
        limits = (job.d_ring_shift, job.slide_friction, job.clearance_margin, job.pack.id)
        alike = repr((replace(rig.worker, name="", line=""), replace(rig.line, name="", anchor="")))  # but for names
        key = ("followed", id(asked.edges), alike, *rig.anchor.point.tolist(), site, limits)

        def follow() -> tuple[Followed, ...]:
            return follow_falls(asked, lambda: self.paths(job, rig), self._rim_of(job, rig), surroundings(job))

        return self._once(key, follow)

    def fall_at(self, asked: Asked, i: int) -> MotionHistory:
        """Fall of one worker over one edge point in time; see `ropewright.job.motions.fall_at`."""
        from ropewright.job.motions import fall_at

        job, rig = asked.job, asked.rig
        return fall_at(asked, lambda: self.paths(job, rig), self._rim_of(job, rig), surroundings(job), i)

    def _rim_of(self, job: Job, rig: Rig) -> Callable[[float], Rim]:
        """From how far the rope may reach to the roof's rim with the ropes of the rig's anchor."""
        from ropewright.job.motions import rim_within

        def rim(within: float) -> Rim:
            known = ("rim", self._roof(job), *rig.anchor.point.tolist())
            kept = self._rims.get(known)
            if kept is None or kept[0] < within:
                kept = self._rims[known] = within, rim_within(job.roof, self.paths(job, rig), within)
            return kept[1]

        return rim

    def below(self, job: Job) -> Below:
        """What lies below each edge point."""
        edges = self.edges(job)

        def look() -> Below:
            around, roof = surroundings(job), self.lower_roof(job, edges)
            landing = landings(job.roof, edges, edges.points[:, 2] - roof, self.solid(job).heights, around)
            return below_edges(edges, around, roof, landing)

        return self._once(("below", id(edges), self._roof(job), id(job.site)), look)

    def mere_steps(self, job: Job) -> NDArray[np.bool_]:
        """True at each edge point where the edge is no more than a stair's step to a lower part of the roof."""
        landing = self.below(job).landing
        assert landing is not None
        return landing.is_mere_step

    def floors(self, job: Job) -> NDArray[np.bool_]:
        """False for the rims of openings under which the job tells no level, shape (n,)."""
        edges = self.edges(job)

        def look() -> NDArray[np.bool_]:
            known = ~edges.is_opening
            rim = np.flatnonzero(edges.is_opening)
            for level in job.site.levels:
                if level.outline is not None and len(rim):
                    known[rim] |= level_distance(edges.points[rim, :2], level.outline) == 0
            return known

        return self._once(("floors", id(edges), id(job.site)), look)

    def grid(self, job: Job) -> tuple[Floats, float]:
        """Points all over the roof, shape (m, 3), and their distance in plan. [m]"""
        step = max(job.spacing, _LEAST_GRID)
        return self._once(("grid", self._roof(job), step), lambda: grid_on(job.roof, step)), step

    def near(self, job: Job, rig: Rig) -> tuple[Floats, Floats]:
        """Shortest rope to each point of the grid, and that to stand there, shape (m,) each. [m]"""
        points, step = self.grid(job)
        key = ("near", self._roof(job), step, *rig.anchor.point.tolist(), rig.worker.d_ring)
        return self._once(key, lambda: nearest_over(self.paths(job, rig), points, rig.worker.d_ring))
