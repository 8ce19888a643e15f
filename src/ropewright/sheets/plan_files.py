"""The three files of a plan, made whole before any of them is written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ropewright.job.assessment import Assessment
from ropewright.sheets.document import findings_json
from ropewright.sheets.map import map_svg
from ropewright.sheets.pdf import pdf_bytes
from ropewright.sheets.writing import write_all_atomic

__all__ = ["PLAN_FILES", "write_plan"]

PLAN_FILES = ("findings.json", "map.svg", "plan.pdf")


def write_plan(assessment: Assessment, folder: Path, report: Callable[[str, float], None]) -> tuple[Path, ...]:
    """Paths of findings.json, map.svg and plan.pdf, all of one assessment: all three are new, or all three old.

    Parameters
    ----------
    assessment : Assessment
    folder : Path
        Made if it is not there.
    report : callable
        Told what is being done and the share that is done, 0 to 1.

    Returns
    -------
    tuple of Path

    Raises
    ------
    OSError
        If the folder can't be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    report("drawing the map", 0.9)
    drawn = map_svg(assessment)
    report("setting the plan", 0.93)
    made = (findings_json(assessment).encode() + b"\n", drawn.encode(), pdf_bytes(assessment, drawn=drawn))
    report("writing", 0.98)
    return write_all_atomic({folder / name: content for name, content in zip(PLAN_FILES, made, strict=True)})
