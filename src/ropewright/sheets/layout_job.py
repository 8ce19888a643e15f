"""Writing a job file with the anchors of a layout."""

from __future__ import annotations

from pathlib import Path

from ropewright.job.layout_model import Layout
from ropewright.job.layout_write import job_text_with
from ropewright.sheets.writing import write_text_atomic

__all__ = ["write_job_with"]


def write_job_with(layout: Layout, path: Path) -> Path:
    """Path of the job file after it was written whole, beside its old self, and renamed.

    Parameters
    ----------
    layout : Layout
        Of a job that was read from a file.
    path : Path

    Raises
    ------
    OSError
        If the file can't be written, or the job's own can't be read again.
    """
    source = layout.job.path
    assert source is not None  # a layout is written only by the command, which reads a file
    text = source.read_text(encoding="utf-8-sig")
    return write_text_atomic(path, job_text_with(layout, text, folder=source.parent, into=path.parent))
