"""Questions about the place: the roof itself, its openings, overhead lines, rescue, and what only a person can know."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ropewright.field import Surroundings
from ropewright.findings import Finding, Place, Source, SourceStatus, Verdict
from ropewright.job.ask_gear import duty_findings
from ropewright.job.asking import Question, answer_by_limit, answer_by_person
from ropewright.job.model import Job
from ropewright.quantity import Dimension, Range, show
from ropewright.roof import Edge, Opening

__all__ = ["ask_about_openings", "ask_about_site", "is_guarded", "opening_of"]

_G = 9.80665


def ask_about_site(job: Job, around: Surroundings) -> Iterator[Finding]:
    """What the plan asks once for the whole job.

    Parameters
    ----------
    job : Job
    around : Surroundings

    Yields
    ------
    Finding
    """
    yield from _trigger(job, around)
    told: dict[str, object] = {"roof_sound": job.roof_sound.yes, "rescue_planned": _rescue_told(job)}
    yield from duty_findings(job, told, "job", Place(name=job.name))
    for worker in job.crew:
        trained = True if worker.trained_on else None
        yield from duty_findings(job, {"trained": trained}, worker.name, Place(worker=worker.name, line=worker.line))
    if job.rescue.minutes is not None:
        yield _rescue_time(job)


def _rescue_told(job: Job) -> bool | None:
    """A rescue is planned when both how and who are said; with nothing said nobody knows."""
    if job.rescue.method and job.rescue.by:
        return True
    return False if job.rescue.method or job.rescue.by else None


def _trigger(job: Job, around: Surroundings) -> Iterator[Finding]:
    """Say how high the highest fall edge is, and from which height the pack asks for protection."""
    heights = [(*_drop(edge, around), edge) for edge in job.roof.boundary if edge.type != "opening"]
    if not heights:
        return
    drop, point, edge = max(heights, key=lambda found: found[0])
    limit = job.pack.governing("edge_height", job.facts)
    where = Place(edge=edge.name, point=point)
    shown = show(drop, Dimension.LENGTH, job.units, toward="high")
    if limit is None or not isinstance(limit.value, float):
        summary = f"Highest edge {shown}; {job.pack.title} carries no height below which no protection is due."
    else:
        bound = show(limit.value, Dimension.LENGTH, job.units)
        due = limit.is_due(drop) is not False
        summary = (
            f"Highest edge {shown}; protection is due from {bound}."
            if due
            else f"Highest edge {shown}, below the {bound} from which protection is due; worked out all the same."
        )
    yield Finding(
        id="edge-height/job",
        question="Is fall protection due on this roof?",
        verdict=Verdict.HOLDS,
        summary=summary,
        value=drop,
        unit="m",
        dimension=Dimension.LENGTH,
        where=where,
        formula="h = z(edge) - z(first thing below)",
        inputs={"z_edge_m": point[2], "z_below_m": point[2] - drop},
        sources=() if limit is None else (limit.source,),
    )


def _drop(edge: Edge, around: Surroundings) -> tuple[float, tuple[float, float, float]]:
    """Greatest drop along an edge, and where; looked at every tenth of it."""
    points = edge.start + np.linspace(0, 1, 11)[:, None] * (edge.end - edge.start)
    tops, _ = around.first_below(points)
    at = int(np.argmax(points[:, 2] - tops))
    return float(points[at, 2] - tops[at]), (float(points[at, 0]), float(points[at, 1]), float(points[at, 2]))


def _rescue_time(job: Job) -> Finding:
    """Rescue time against how long people could hang still, the one measured figure there is."""
    minutes = float(job.rescue.minutes or 0.0)
    early = 11.0  # min, by which 5 % had to stop in a back D-ring hang
    late = minutes > early
    return Finding(
        id="rescue-time/job",
        question="Is a hanging worker down before hanging becomes dangerous?",
        verdict=Verdict.ASK,
        summary=f"Planned in {minutes:g} min; hanging still from the back D-ring, 5 % of test persons had to stop by "
        f"11 min and half by 31 min{'; the plan takes longer than the first' if late else ''}. No rule gives minutes.",
        value=minutes * 60,
        limit=early * 60,
        operator="<=",
        margin=(early - minutes) * 60,
        unit="s",
        dimension=Dimension.TIME,
        where=Place(name=job.name),
        formula="t_rescue against t(5 % stopped)",
        inputs={"t_rescue_s": minutes * 60, "t_5_s": early * 60, "method": job.rescue.method, "by": job.rescue.by},
        sources=(Source("Turner et al. 2008, doi 10.1080/15459620801894386", "abstract", SourceStatus.READ),),
        decide="How fast is prompt here, with the rescue service or a physician; try it with a stopwatch before work.",
    )


def is_guarded(job: Job, opening: Opening) -> bool:
    """True if a guard is told that keeps a person from falling through, and nothing told speaks against it."""
    if opening.guard == "guardrail":
        return True
    if opening.guard != "cover" or opening.cover_capacity is None or not opening.cover_fixed:
        return False
    return opening.cover_capacity >= 2 * max((worker.mass.high * _G for worker in job.crew), default=np.inf)


def opening_of(job: Job, edge_name: str) -> Opening | None:
    """Return the opening whose rim an edge is, None for any other edge."""
    named = [o for o in job.roof.openings if edge_name.startswith(f"{o.name} rim ")]
    return max(named, key=lambda opening: len(opening.name), default=None)  # "hatch" and "hatch rim" may both be names


def ask_about_openings(job: Job) -> Iterator[Finding]:
    """What the pack asks of every opening: is it guarded, and does its cover carry what may stand on it.

    Parameters
    ----------
    job : Job
    around : Surroundings

    Yields
    ------
    Finding
    """
    for opening in job.roof.openings:
        middle = opening.ring.mean(axis=0)
        where = Place(
            opening=opening.name, facet=opening.facet, point=(float(middle[0]), float(middle[1]), float(middle[2]))
        )
        yield _guard(job, opening, where)
        if opening.guard == "cover":
            yield _cover(job, opening, where)
            told = {"cover_fixed": opening.cover_fixed, "cover_marked": opening.cover_marked}
            yield from duty_findings(job, told, opening.name, where)


def _guard(job: Job, opening: Opening, where: Place) -> Finding:
    limits = job.pack.limits_for("hole_height", job.facts) or job.pack.limits_for("hole_guarded", job.facts)
    sources = tuple(limit.source for limit in limits)
    question = Question(
        f"opening-guard/{opening.name}",
        "Is everybody kept from falling through this opening?",
        opening.name,
        where,
        "guard as told",
        {"guard": opening.guard},
        sources,
    )
    if is_guarded(job, opening):
        return answer_by_person(question, Verdict.HOLDS, f"{opening.name}: {opening.guard} in place as told.")
    if opening.guard == "cover":
        return answer_by_person(
            question,
            Verdict.ASK,
            f"{opening.name}: a cover is told, but not that it is fixed and carries twice what may stand on it.",
            decide="Whether the cover is fixed against wind, gear and people and carries twice the load on it.",
        )
    return answer_by_person(
        question, Verdict.FAILS, f"{opening.name}: nothing keeps people from falling through; cover it or rail it off."
    )


def _cover(job: Job, opening: Opening, where: Place) -> Finding:
    heaviest = max((worker.mass.high * _G for worker in job.crew), default=0.0)
    factor = None
    if opening.cover_capacity is not None and heaviest > 0:
        factor = Range.exact(opening.cover_capacity / heaviest)
    return answer_by_limit(
        job,
        Question(
            f"cover-factor/{opening.name}",
            "Does the cover carry twice the heaviest worker?",
            "Cover strength over the heaviest worker's weight",
            where,
            "k = S / (m g)",
            {"s_n": opening.cover_capacity or "unknown", "mg_n": heaviest},
        ),
        "cover_factor",
        factor,
        Dimension.RATIO,
    )
