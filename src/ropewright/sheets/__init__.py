"""Paper and files, made from a finished assessment; nothing is worked out again here."""

from ropewright.sheets.map import map_svg, write_map
from ropewright.sheets.pdf import pdf_bytes, write_pdf

__all__ = ["map_svg", "pdf_bytes", "write_map", "write_pdf"]
