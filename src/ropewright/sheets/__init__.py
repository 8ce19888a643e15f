"""Paper and files, made from a finished assessment; nothing is worked out again here."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ropewright.sheets.map import map_svg, write_map
    from ropewright.sheets.pdf import pdf_bytes, write_pdf

__all__ = ["map_svg", "pdf_bytes", "write_map", "write_pdf"]

#: Where each name lives: a drawing of a knot must not wait for everything that a plan needs.
_HOMES = {"map_svg": "map", "write_map": "map", "pdf_bytes": "pdf", "write_pdf": "pdf"}


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
