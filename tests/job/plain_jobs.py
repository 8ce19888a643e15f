"""A plain invented job on a flat roof, to change one thing at a time in: round figures that can be followed by hand.

A flat roof of 12 m by 10 m, 6 m up; one anchor at roof level 3 m in from the middle of the south eave; one worker of
100 kg with the D-ring at 1.4 m on a line that is moved by hand, 3.5 m to the stop and a lanyard of 0.5 m.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from ropewright.findings import Finding
from ropewright.job import assess, changed, job_from_mapping
from ropewright.job.assessment import Assessment, EdgeField

__all__ = ["PLAIN", "assessed", "field_of", "finding", "plain", "points_on", "workers"]

PLAIN: Mapping[str, object] = {
    "job": {"name": "plain (invented)", "units": "metric", "rules": "us-construction", "invented": True},
    "plan": {
        "spacing": "0.2 m",
        "restraint_margin": "0.6 m",
        "clearance_margin": "1 m",
        "d_ring_shift": "0.3 m",
    },
    "site": {"ground": "0 m"},
    "roof": {"form": "flat", "size": ["12 m", "10 m"], "eave_height": "6 m"},
    "anchor": [
        {
            "name": "a",
            "at": ["6 m", "3 m"],
            "strength": "60 kN",
            "basis": "ultimate",
            "on": "steel beam",
            "installed": "bolted through",
            "independent": True,
        }
    ],
    "rope": {
        "r": {
            "fibre": "polyester",
            "construction": "sheathed core",
            "stretch": "static",
            "diameter": "11 mm",
            "strength": "30 kN",
            "strength_basis": "batch minimum",
            "condition": "new, dry",
            "stiffness": "60 kN",
            "length": "30 m",
        }
    },
    "lanyard": {"l": {"length": "0.5 m", "strength": "25 kN", "absorber": {"force": "4 kN", "length": "1 m"}}},
    "grab": {"g": {"lock": "0.1 m", "slip": "0 m", "fits_rope": True}},
    "line": [
        {
            "name": "one",
            "anchor": "a",
            "rope": "r",
            "lanyard": "l",
            "grab": "g",
            "length": "3.5 m",
            "termination": "rated assembly",
            "connector_strength": "25 kN",
            "gate_strength": "16 kN",
            "end_stop": True,
            "edge_protection": True,
            "loose_rope": "in a bag",
        }
    ],
    "crew": [{"name": "w", "mass": "100 kg", "d_ring": "1.4 m", "line": "one", "trained_on": date(2026, 1, 5)}],
    "answers": {"roof_sound": {"yes": True, "by": "lead", "on": date(2026, 4, 1)}},
    "rescue": {"method": "lower by the second line", "by": "lead"},
}


def plain(**changes: object) -> dict[str, object]:
    """Tables of the plain job; each change is named by its field with ``__`` for a point: ``crew_0__mass``.

    A number after a name is a place in a list: ``line_0__length`` is ``line[0].length``.
    """
    raw: dict[str, object] = dict(PLAIN)
    for name, value in changes.items():
        parts = (_place(part) for part in name.split("__"))
        raw = changed(raw, ".".join(parts), value)
    return raw


def _place(part: str) -> str:
    head, _, number = part.rpartition("_")
    return f"{head}[{number}]" if head and number.isdigit() else part


def assessed(raw: Mapping[str, object] | None = None, *, remedies: bool = False, **changes: object) -> Assessment:
    """Assess the plain job, or the given one, with changes."""
    return assess(job_from_mapping(plain(**changes) if raw is None else raw), remedies=remedies)


def finding(assessment: Assessment, kind: str) -> Finding:
    """Return the one finding of a kind: the whole id, or what stands before the stroke."""
    found = [one for one in assessment.findings if kind in (one.id, one.id.split("/")[0])]
    assert len(found) == 1, [one.id for one in assessment.findings]
    return found[0]


def field_of(assessment: Assessment, worker: str = "w") -> EdgeField:
    """Falls of one worker."""
    return next(field for field in assessment.fields if field.worker == worker)


def points_on(field: EdgeField, edge: str) -> list[int]:
    """Indices of the points on one edge."""
    return [i for i, name in enumerate(field.edge) if name == edge]


def workers(*lines: str) -> list[dict[str, object]]:
    """Return a crew, one worker on each line named."""
    return [
        {"name": f"w{i}", "mass": "100 kg", "d_ring": "1.4 m", "line": line, "trained_on": date(2026, 1, 5)}
        for i, line in enumerate(lines, 1)
    ]
