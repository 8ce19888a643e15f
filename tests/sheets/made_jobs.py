"""Assessments made by hand, with the sizes of a real small house; nothing is worked out by the layers below."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from ropewright.findings import Finding, Place, Remedy, Source, SourceStatus, Verdict, worst
from ropewright.job.assessment import Assessment, EdgeField, RigRow, Zone, ZoneField
from ropewright.job.model import (
    Absorber,
    Anchor,
    Answer,
    CrewMember,
    Grab,
    Job,
    Lanyard,
    Level,
    Line,
    Obstacle,
    PowerLine,
    Rescue,
    RopeSpec,
    Site,
)
from ropewright.quantity import Dimension, Range, UnitSystem
from ropewright.roof import Edge, EdgeType, Facet, Opening, Roof
from ropewright.rules import load_pack

FOOT = 0.3048
LENGTH, DEPTH, EAVE_HEIGHT, PITCH = 40 * FOOT, 28 * FOOT, 10 * FOOT, math.atan(8 / 12)

Floats = NDArray[np.float64]


def gable_roof() -> Roof:
    """Return a gable roof 40 ft long and 28 ft deep at 8:12, eaves at 10 ft, with one skylight in its south slope."""
    ridge = EAVE_HEIGHT + DEPTH / 2 * math.tan(PITCH)
    a, b = np.array([0.0, 0.0, EAVE_HEIGHT]), np.array([LENGTH, 0.0, EAVE_HEIGHT])
    c, d = np.array([LENGTH, DEPTH, EAVE_HEIGHT]), np.array([0.0, DEPTH, EAVE_HEIGHT])
    e, f = np.array([LENGTH, DEPTH / 2, ridge]), np.array([0.0, DEPTH / 2, ridge])
    facets = (Facet("south", np.array([a, b, e, f])), Facet("north", np.array([c, d, f, e])))
    edges = (
        Edge("south eave", EdgeType.EAVE, a, b, ("south",)),
        Edge("east rake, south half", EdgeType.RAKE, b, e, ("south",)),
        Edge("east rake, north half", EdgeType.RAKE, e, c, ("north",)),
        Edge("north eave", EdgeType.EAVE, c, d, ("north",)),
        Edge("west rake, north half", EdgeType.RAKE, d, f, ("north",)),
        Edge("west rake, south half", EdgeType.RAKE, f, a, ("south",)),
        Edge("ridge", EdgeType.RIDGE, f, e, ("south", "north")),
    )
    over = FOOT
    walls = np.array([[over, over], [LENGTH - over, over], [LENGTH - over, DEPTH - over], [over, DEPTH - over]], float)
    return Roof(facets, edges, openings=(_skylight(),), walls=walls, overhang=over)


def _skylight() -> Opening:
    corners = np.array([[8.2, 1.6], [9.2, 1.6], [9.2, 2.8], [8.2, 2.8]])
    heights = EAVE_HEIGHT + corners[:, 1] * math.tan(PITCH)
    return Opening("skylight", "south", np.column_stack([corners, heights]))


def boundary_points(roof: Roof, spacing: float = 0.25) -> tuple[tuple[str, ...], Floats]:
    """Names and points along every fall edge and the skylight's rim."""
    tracks = [(edge.name, np.array([edge.start, edge.end])) for edge in roof.boundary]
    tracks += [(opening.name, np.vstack([opening.ring, opening.ring[:1]])) for opening in roof.openings]
    names: list[str] = []
    points: list[Floats] = []
    for name, corners in tracks:
        for start, end in pairwise(corners):
            count = max(2, math.ceil(float(np.linalg.norm(end - start)) / spacing) + 1)
            points.append(start + np.linspace(0, 1, count)[:, None] * (end - start))
            names += [name] * count
    return tuple(names), np.vstack(points)


def edge_field(roof: Roof, worker: str, line: str, anchor: Floats, reach: float) -> EdgeField:
    """Return a field with made-up but likely figures: what is far from the anchor is not reached."""
    names, points = boundary_points(roof)
    n = len(points)
    taut = np.linalg.norm(points - anchor, axis=1)
    reached = taut <= reach
    slack = np.clip(reach - taut, 0.0, None)
    needed = 3.2 + 0.25 * slack
    available = np.full(n, EAVE_HEIGHT) + np.clip(points[:, 2] - EAVE_HEIGHT, 0, None)
    verdicts: list[Verdict | None] = []
    for spare, here in zip(available - needed, reached, strict=True):
        grade = Verdict.FAILS if spare < -0.75 else Verdict.DOUBTFUL if spare < -0.4 else Verdict.HOLDS
        verdicts.append(grade if here else None)
    blank = np.where(reached, 0.0, np.nan)
    hang = np.column_stack([points[:, 0], points[:, 1], available - needed + 1.0]) + blank[:, None]
    return EdgeField(
        worker=worker,
        line=line,
        edge=names,
        points=points,
        taut=taut,
        reached=reached,
        slide_speed=3.0 + blank,
        slide_from=points + np.array([0.0, 0.0, 1.0]),
        free_fall=1.5 + 0.1 * slack + blank,
        force_likely=4200.0 + blank,
        force_low=3800.0 + blank,
        force_high=5600.0 + 100 * slack + blank,
        deceleration=0.8 + blank,
        stop_time=0.31 + blank,
        needed_book=needed + blank,
        needed_likely=needed - 0.5 + blank,
        needed_high=needed - 0.1 + blank,
        available=available + blank,
        below=tuple("ground" for _ in range(n)),
        hang=hang,
        swing_drop=0.1 * slack + blank,
        drag=0.2 * slack + blank,
        hit=tuple("" for _ in range(n)),
        power=np.linalg.norm(points[:, :2] - np.array([14.0, 12.0]), axis=1) + blank,
        verdict=tuple(verdicts),
        reason=tuple("clearance" if here else "" for here in reached),
    )


def zone_field(roof: Roof, worker: str, line: str, anchor: Floats, reach: float) -> ZoneField:
    """Zones by distance from the anchor."""
    step = 0.5
    x, y = np.meshgrid(np.arange(step / 2, LENGTH, step), np.arange(step / 2, DEPTH, step))
    z = EAVE_HEIGHT + np.minimum(y, DEPTH - y) * math.tan(PITCH)
    points = np.column_stack([x.ravel(), y.ravel(), z.ravel()])
    away = np.linalg.norm(points - anchor, axis=1)
    zone = np.select(
        [away > reach, away > 0.8 * reach, away > 0.45 * reach],
        [Zone.OUT_OF_REACH, Zone.NOT_HELD, Zone.CAUGHT],
        Zone.RESTRAINED,
    )
    return ZoneField(worker, line, points, step, tuple(str(name) for name in zone))


def a_line(name: str, anchor: str, length: float) -> Line:
    rope = RopeSpec(
        fibre="polyester",
        construction="sheathed core",
        stretch="static",
        diameter=0.0127,
        strength=Range.exact(26_000.0),
        strength_basis="maker's minimum",
        condition="good",
    )
    absorber = Absorber(Range(3_500.0, 4_000.0, 6_000.0), Range.exact(1.07))
    return Line(
        name=name,
        anchor=anchor,
        rope=rope,
        length=length,
        termination="double figure eight on a bight",
        lanyard=Lanyard(0.9, Range.exact(22_241.0), absorber),
        grab=Grab(Range(0.1, 0.2, 0.4), Range(0.0, 0.1, 0.3), follows=True, fits_rope=True),
        edge_protection=True,
        end_stop=True,
    )


def a_job(units: UnitSystem = UnitSystem.US) -> Job:
    roof = gable_roof()
    top = float(roof.facets[0].ring[2, 2])
    anchors = tuple(
        Anchor(name, np.array([x, DEPTH / 2, top + 0.15]), Range.exact(22_241.0), "ultimate", "screws into rafters")
        for name, x in (("A1", 3.6), ("A2", 8.6))
    )
    return Job(
        name="Two-car garage, Example Lane",
        units=units,
        pack=load_pack("us-construction"),
        roof=roof,
        site=Site(
            levels=(
                Level("ground", 0.0),
                Level("porch roof", 2.4, np.array([[-2.4, 1.0], [0.0, 1.0], [0.0, 5.0], [-2.4, 5.0]])),
            ),
            obstacles=(
                Obstacle("air conditioner", np.array([[4.0, -1.6], [5.0, -1.6], [5.0, -0.6], [4.0, -0.6]]), 0.0, 1.1),
            ),
            power_lines=(PowerLine("service line", np.array([[9.0, 12.0, 7.0], [22.0, 12.0, 7.5]]), 7_200.0),),
            north=20.0,
        ),
        anchors=anchors,
        lines=(a_line("L1", "A1", 5.4), a_line("L2", "A2", 6.6)),
        crew=(
            CrewMember("Worker one", Range(90.0, 100.0, 110.0), 1.45, "L1", date(2025, 3, 1)),
            CrewMember("Worker two", Range(80.0, 85.0, 90.0), 1.40, "L2"),
        ),
        roof_sound=Answer(yes=True, by="the owner", on=date(2025, 5, 2)),
        rescue=Rescue("ladder from the drive", "the second worker", 9.0),
        prepared_by="the foreman",
        date=date(2025, 5, 3),
        address="1 Example Lane",
        invented=True,
    )


CFR = Source("29 CFR 1926.502", "(d)(16)(iii)", SourceStatus.READ, date(2025, 4, 1))


def some_findings() -> tuple[Finding, ...]:
    """Return findings of every verdict, worst first."""
    clearance = Finding(
        id="clearance/Worker two",
        question="Does a fall end before anything below is hit?",
        verdict=Verdict.FAILS,
        summary="Clearance needed 13.7 ft; must be at most 10.0 ft.",
        value=3.8,
        low=3.3,
        high=4.15,
        limit=3.048,
        operator="<=",
        margin=-1.102,
        unit="m",
        dimension=Dimension.LENGTH,
        where=Place(edge="south eave", point=(8.6, 0.0, 3.048), worker="Worker two", line="L2"),
        formula="C = f + d + s + b + m",
        inputs={
            "free_fall_m": 1.5,
            "deceleration_m": 1.07,
            "rope_stretch_m": 0.33,
            "d_ring_shift_m": 0.3,
            "margin_m": 0.6,
            "clearance_from": "book",
        },
        sources=(CFR, Source("Summed allowances", "", SourceStatus.PRACTICE)),
        remedy=Remedy(
            "Set line L2 no longer than 18 ft 2 in.", {"line[2].length": "18.1 ft"}, True, Verdict.HOLDS, Verdict.ASK
        ),
    )
    force = replace(
        clearance,
        id="force/Worker two",
        question="Is the arrest force on the body within its limit?",
        verdict=Verdict.DOUBTFUL,
        summary="Arrest force can come to 1,930 lbf at the unsafe end of its inputs; at most 1,800 lbf.",
        value=6_900.0,
        low=6_000.0,
        high=8_580.0,
        limit=8_006.8,
        margin=-573.2,
        unit="N",
        dimension=Dimension.FORCE,
        formula="largest T(t) of the simulated catch",
        inputs={"mass_kg": 90.0, "line_length_m": 6.6, "absorber_force_n": 4_000.0},
        sources=(Source("29 CFR 1926.502", "(d)(16)(ii)", SourceStatus.READ, date(2025, 4, 1)),),
        remedy=None,
    )
    anchor = Finding(
        id="anchor/A1",
        question="Who stands for anchor A1?",
        verdict=Verdict.ASK,
        summary="Anchor A1 rests on rafters that nobody has looked at.",
        where=Place(anchor="A1"),
        sources=(Source("29 CFR 1926.502", "(d)(15)", SourceStatus.MEMORY),),
        decide="Whether the rafters under A1 carry 5,000 lbf.",
    )
    free_fall = replace(
        clearance,
        id="free-fall/Worker one",
        question="Is the free fall short enough?",
        verdict=Verdict.HOLDS,
        summary="Free fall 5.3 ft; at most 6.0 ft.",
        value=1.55,
        low=1.4,
        high=1.6,
        limit=1.8288,
        margin=0.2288,
        where=Place(edge="west rake, south half", point=(0.0, 2.0, 4.4), worker="Worker one", line="L1"),
        remedy=None,
    )
    return (clearance, anchor, force, free_fall)


def an_assessment(units: UnitSystem = UnitSystem.US) -> Assessment:
    job = a_job(units)
    fields, zones, rig = [], [], []
    for member, line, anchor in zip(job.crew, job.lines, job.anchors, strict=True):
        fields.append(edge_field(job.roof, member.name, line.name, anchor.point, line.reach))
        zones.append(zone_field(job.roof, member.name, line.name, anchor.point, line.reach))
        verdict = worst(grade for grade in fields[-1].verdict if grade is not None)
        rig.append(
            RigRow(
                worker=member.name,
                line=line.name,
                anchor=anchor.name,
                length_set=line.length,
                length_holds=5.54 if line.name == "L2" else 5.4,
                rope="polyester, sheathed core, 1/2 in",
                termination=line.termination,
                lanyard="3 ft with absorber",
                worst_edge="south eave",
                verdict=verdict,
            )
        )
    return Assessment(
        job=job,
        findings=some_findings(),
        fields=tuple(fields),
        zones=tuple(zones),
        rig=tuple(rig),
        assumed=("Ropes hang free below the eave.", "D-ring shift 10 in to 18 in, by practice."),
        verdict=Verdict.FAILS,
    )


@pytest.fixture(scope="session")
def assessment() -> Assessment:
    return an_assessment()


@pytest.fixture(scope="session")
def metric_assessment() -> Assessment:
    return an_assessment(UnitSystem.METRIC)


@pytest.fixture(scope="session")
def changed(assessment: Assessment) -> Callable[..., Assessment]:
    """Return the assessment with fields of its job changed."""

    def change(**fields: object) -> Assessment:
        return replace(assessment, job=replace(assessment.job, **fields))  # type: ignore[arg-type]

    return change
