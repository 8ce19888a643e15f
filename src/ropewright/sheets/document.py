"""The assessment as data: the content of ``findings.json``, in SI units with the unit in each key."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from importlib import resources
from pathlib import Path
from typing import Any

from ropewright import __version__
from ropewright.findings.document import finding_document
from ropewright.job.assessment import AreaStop, Assessment, EdgeField, RigRow, ZoneField
from ropewright.job.model import Job
from ropewright.sheets.words import CAUTION
from ropewright.sheets.writing import write_text_atomic
from ropewright.sheets.zones import zone_areas

__all__ = ["FORMAT", "findings_document", "findings_json", "findings_schema", "findings_text", "write_findings"]

#: Name and version of the shape; the number grows when a key changes its meaning or goes.
FORMAT = "ropewright-findings/1"

#: Decimals kept of the numbers along edges: a micrometre, a micronewton. They take the noise of floats off, no more.
_DECIMALS = 6


def findings_document(assessment: Assessment) -> dict[str, Any]:
    """Return an assessment as JSON values.

    Parameters
    ----------
    assessment : Assessment

    Returns
    -------
    dict
        As `findings_schema` describes it: SI numbers, keys with their unit as suffix. What is not known, and what has
        no end, is None, never nan or infinity.
    """
    return {
        "ropewright": __version__,
        "format": FORMAT,
        "job": _job(assessment.job),
        "verdict": assessment.verdict.value,
        "units": "SI",
        "rules": _rules(assessment.job),
        "record": _record(assessment.job),
        "findings": [finding_document(finding) for finding in assessment.findings],
        "rig": [_rig_row(row) for row in assessment.rig],
        "edges": [row for field in assessment.fields for row in _edge_rows(field)],
        "zones": [_zones(field) for field in assessment.zones],
        "assumed": list(assessment.assumed),
        "caution": CAUTION,
    }


def findings_text(document: Mapping[str, Any]) -> str:
    """Return the document as JSON text with one item of each list on a line, so that two of them can be compared.

    Raises
    ------
    ValueError
        If a number in it is nan or infinite.

    Examples
    --------
    >>> print(findings_text({"units": "SI", "rig": [{"a": 1}, {"a": 2}]}))
    {
      "units": "SI",
      "rig": [
        {"a": 1},
        {"a": 2}
      ]
    }
    """
    return "{\n" + ",\n".join(f"  {_json(key)}: {_value(value)}" for key, value in document.items()) + "\n}"


def findings_json(assessment: Assessment) -> str:
    """Return `findings_document` as text, as it stands in ``findings.json``."""
    return findings_text(findings_document(assessment))


def write_findings(assessment: Assessment, path: Path | str) -> Path:
    """Write ``findings.json`` and return its path; the old file stays until the new one is whole.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    return write_text_atomic(path, findings_json(assessment) + "\n")


def findings_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the document."""
    text = resources.files("ropewright.sheets").joinpath("schema/findings.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _value(value: object) -> str:
    if isinstance(value, list) and value:
        return "[\n" + ",\n".join(f"    {_json(item)}" for item in value) + "\n  ]"
    return _json(value)


def _number(value: float) -> float | None:
    return round(float(value), _DECIMALS) + 0.0 if math.isfinite(value) else None  # + 0.0: no "-0.0"


def _job(job: Job) -> dict[str, Any]:
    return {
        "name": job.name,
        "address": job.address,
        "date": job.date.isoformat() if job.date else None,
        "prepared_by": job.prepared_by,
        "invented": job.invented,
        "file": job.path.name if job.path else None,  # the name alone: folders tell of the machine, not of the job
        "shown_in": job.units.value,
        "notes": list(job.notes),
    }


def _rules(job: Job) -> dict[str, Any]:
    pack = job.pack
    return {
        "id": pack.id,
        "title": pack.title,
        "jurisdiction": pack.jurisdiction,
        "edition": pack.edition,
        "compared": pack.compared.isoformat(),
        "compared_with": pack.compared_with,
        "based_on": pack.based_on,
    }


def _record(job: Job) -> dict[str, Any] | None:
    """How much of the record was read, with its last hash, and the day that gear and people were looked up for."""
    if job.record is None:
        return None
    return {"count": job.record.head.count, "hash": job.record.head.hash, "day": job.record.day.isoformat()}


def _rig_row(row: RigRow) -> dict[str, Any]:
    tie = None if row.length_holds is None else min(row.length_set, row.length_holds)
    return {
        "worker": row.worker,
        "line": row.line,
        "anchor": row.anchor,
        "length_set_m": row.length_set,
        "length_holds_m": row.length_holds,
        "length_to_tie_m": tie,
        "rope": row.rope,
        "termination": row.termination,
        "lanyard": row.lanyard,
        "worst_edge": row.worst_edge,
        "verdict": row.verdict.value,
        "areas": [_area_stop(stop) for stop in row.areas],
    }


def _area_stop(stop: AreaStop) -> dict[str, Any]:
    return {
        "area": stop.area,
        "length_holds_m": stop.length_holds,
        "length_reaches_m": stop.length_reaches,
        "length_to_tie_m": stop.length_to_tie,
        "reached": _number(stop.reached),
    }


def _edge_rows(field: EdgeField) -> Iterator[dict[str, Any]]:
    """One row for each point of an edge, in the order in which one would walk round."""
    numbers = {
        "taut_m": field.taut,
        "free_fall_m": field.free_fall,
        "peak_force_n": field.force_likely,
        "peak_force_low_n": field.force_low,
        "peak_force_high_n": field.force_high,
        "deceleration_m": field.deceleration,
        "stop_time_s": field.stop_time,
        "clearance_needed_book_m": field.needed_book,
        "clearance_needed_likely_m": field.needed_likely,
        "clearance_needed_m": field.needed_high,
        "clearance_available_m": field.available,
        "swing_drop_m": field.swing_drop,
        "slide_speed_m_s": field.slide_speed,
        "drag_m": field.drag,
        "power_distance_m": field.power,
    }
    for row, (edge, (x, y, z)) in enumerate(zip(field.edge, field.points.tolist(), strict=True)):
        verdict = field.verdict[row]
        yield {
            "worker": field.worker,
            "line": field.line,
            "edge": edge,
            "x_m": _number(x),
            "y_m": _number(y),
            "z_m": _number(z),
            "reached": bool(field.reached[row]),
            "verdict": None if verdict is None else verdict.value,
            "reason": field.reason[row],
            **{key: _number(values[row]) for key, values in numbers.items()},
            "below": field.below[row],
            "hit": field.hit[row],
        }


def _zones(field: ZoneField) -> dict[str, Any]:
    areas = {f"{zone.replace(' ', '_')}_m2": _number(area) for zone, area in zone_areas(field).items()}
    return {"worker": field.worker, "line": field.line, "step_m": field.step, **areas}
