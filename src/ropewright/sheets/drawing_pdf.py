"""A drawing as a PDF: the same picture on paper of the user's country, with its title and the caution."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Any

from ropewright.quantity import UnitSystem
from ropewright.sheets.ink import CAUTION, PAPER, WHITE
from ropewright.sheets.pdf import compiled

__all__ = ["drawing_pdf"]

#: Stands in the file, so that the bytes depend on nothing but the drawing.
_NO_DATE = date(2000, 1, 1)
_SIZE = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')
#: Height over width of what a page has room for below its title.
_TALL = 1.2


def drawing_pdf(pages: Sequence[str], title: str, units: UnitSystem) -> bytes:
    """Return drawings as a tagged PDF (PDF/UA-1), the same bytes for the same drawings.

    Parameters
    ----------
    pages : sequence of str
        SVG documents with a view box from 0 0, one a page.
    title : str
    units : UnitSystem
        US letter for US units, else A4.

    Returns
    -------
    bytes
        On white; a drawing taller than the page is made smaller.

    Raises
    ------
    ValueError
        If the drawing has no such view box.
    """
    content = {
        "title": title,
        "paper": "us-letter" if units is UnitSystem.US else "a4",
        "parts": [_part(drawn, title) for drawn in pages],
        "caution": CAUTION,
    }
    return compiled(content, _NO_DATE, template="drawing")


def _part(drawn: str, title: str) -> dict[str, Any]:
    size = _SIZE.search(drawn)
    if size is None:
        raise ValueError("the drawing has no view box from 0 0")
    width, height = map(float, size.groups())
    described = re.search(r"<desc>(.*?)</desc>", drawn, re.DOTALL)
    wide = height <= _TALL * width
    return {"svg": drawn.replace(PAPER, WHITE), "alt": described.group(1) if described else title, "wide": wide}
