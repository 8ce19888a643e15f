"""Labels of cut pieces: name, length, rope and spool, with room for the day and the hand that cut it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from ropewright.errors import InputError
from ropewright.job.cut_file import CutFile
from ropewright.quantity import Dimension, UnitSystem, show
from ropewright.rope.cutting import CuttingPlan
from ropewright.sheets.pdf import compiled

__all__ = ["label_texts", "labels_pdf"]

#: Stands in the file, so that the bytes depend on nothing but the list; the day of the cut is written by hand.
_NO_DATE = date(2000, 1, 1)

_CAUTION = (
    "This piece keeps the history of the rope it was cut from. Look it over before each use; damaged or fallen-on rope "
    "is out of service at once."
)


def label_texts(asked: CutFile, plans: Mapping[str, CuttingPlan]) -> Iterator[dict[str, str]]:
    """What stands on each label, one for each piece that is cut.

    Parameters
    ----------
    asked : CutFile
    plans : mapping of str to CuttingPlan
        By rope.

    Yields
    ------
    dict
        ``name``, ``length`` (rounded up: a piece may be longer than told, never shorter), ``rope``, ``spool``.
    """
    for rope, plan in plans.items():
        for one in plan.cuts:
            for name, length in one.pieces:
                tape = show(length, Dimension.LENGTH, asked.units, toward="high", style="feet-inches")
                spool = f"off spool {one.spool} no. {one.number}"
                yield {"name": name, "length": tape, "rope": rope, "spool": spool}


def labels_pdf(asked: CutFile, plans: Mapping[str, CuttingPlan]) -> bytes:
    """Return the labels as a tagged PDF (PDF/UA-1), eight on a page, the same bytes for the same list.

    Parameters
    ----------
    asked : CutFile
    plans : mapping of str to CuttingPlan
        By rope.

    Returns
    -------
    bytes
        US letter for a list in US units, A4 for a metric one.

    Raises
    ------
    InputError
        If no piece could be cut, so that there is nothing to label.
    """
    labels = list(label_texts(asked, plans))
    if not labels:
        raise InputError("--labels", 0, "the stock gives no piece, so there is nothing to label: add spools")
    paper = "us-letter" if asked.units is UnitSystem.US else "a4"
    return compiled({"labels": labels, "paper": paper, "caution": _CAUTION}, _NO_DATE, template="labels")
