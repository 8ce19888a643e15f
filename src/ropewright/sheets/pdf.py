"""The plan as a PDF to carry to the roof, set with typst."""

from __future__ import annotations

import importlib.util
import json
from datetime import UTC, date, datetime
from importlib import resources
from pathlib import Path
from typing import Any

from ropewright.job.assessment import Assessment
from ropewright.sheets.pdf_content import pdf_content
from ropewright.sheets.writing import write_bytes_atomic

__all__ = ["font_folder", "pdf_bytes", "write_pdf"]

#: Stands in the file where the job has no date, so that the bytes depend on nothing but the job.
_NO_DATE = date(2000, 1, 1)


def write_pdf(assessment: Assessment, path: Path | str) -> Path:
    """Write the plan and return its path; the old file stays until the new one is whole.

    Parameters
    ----------
    assessment : Assessment
    path : Path or str

    Returns
    -------
    Path

    Raises
    ------
    OSError
        If the file can't be written.
    """
    return write_bytes_atomic(path, pdf_bytes(assessment))


def pdf_bytes(assessment: Assessment, *, drawn: str | None = None) -> bytes:
    """Return the plan as a tagged PDF (PDF/UA-1), the same bytes for the same assessment.

    Parameters
    ----------
    assessment : Assessment
    drawn : str, optional
        Its map, if it was drawn before (`ropewright.sheets.map.map_svg`), so that it is not drawn twice.

    Returns
    -------
    bytes
        US letter for a job in US units, A4 for a metric one.
    """
    return compiled(pdf_content(assessment, drawn=drawn), assessment.job.date or _NO_DATE)


def compiled(content: dict[str, Any], day: date, *, template: str = "plan") -> bytes:
    """Return a template filled with `content`; a drawing without a text for those who can't see it is an error."""
    import typst  # late: nobody who only wants JSON should wait for it

    text = resources.files("ropewright.sheets").joinpath(f"templates/{template}.typ").read_bytes()
    made = typst.compile(
        text,
        sys_inputs={"content": json.dumps(content, ensure_ascii=False, allow_nan=False)},
        font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())]),
        format="pdf",
        pdf_standards=["ua-1"],
        timestamp=datetime(day.year, day.month, day.day, tzinfo=UTC),
    )
    if not isinstance(made, bytes):
        raise TypeError(f"typst gave {type(made).__name__} where a PDF was due")
    return made


def font_folder() -> Path:
    """Folder with the faces of Source Sans Pro (SIL Open Font License), from the package that carries them.

    Raises
    ------
    FileNotFoundError
        If that package is not installed.
    """
    spec = importlib.util.find_spec("font_source_sans_pro")  # not imported: all it does is look for its files
    places = list(spec.submodule_search_locations or []) if spec else []
    if not places:
        raise FileNotFoundError("the package font-source-sans-pro is not installed, so the plan can't be set")
    return Path(places[0]) / "files"
