"""Work of the drawing that is left to another process."""

from __future__ import annotations

from ropewright.web.work_process import Report

__all__ = ["make_fast"]


def make_fast(report: Report, *parts: str) -> None:
    """Compile parts of the search for taut ropes and keep them on disk, where the server then finds them.

    Parameters
    ----------
    report : callable
    *parts : str
        As `ropewright.roof.taut_compile.parts_left_plain` has them.
    """
    from ropewright.roof.taut_compile import compiled

    for number, part in enumerate(parts):
        report("making the search for ropes fast", number / len(parts))
        compiled(part)
