"""Every label is read back from the printed sheet by an independent decoder of ISO/IEC 18004 codes."""

from __future__ import annotations

import io
import shutil
import subprocess
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from ropewright.quantity import UnitSystem
from ropewright.sheets.tag_labels import code_text, read_grid, tag_labels_pdf
from ropewright.store.entry import Head, State
from ropewright.store.gear_piece import Piece

HEAD = Head(12, "ab" * 32)

#: Grid, dots per inch of the rendering (300: a good printer, 150: a poor camera), and address.
SHEETS = [
    ("8x3", 300, None),
    ("8x3", 150, "https://ropes.example/a/rather/long/place"),
    ("14x4", 150, None),
    ("2x1", 150, "http://192.0.2.7:8000"),
]


def a_piece(tag: str, kind: str = "rope", **told: object) -> Piece:
    body = {"kind": kind, "told": told, "holder": None, "due": [], "asks": []}
    return Piece(State(f"gear/{tag}", "in service", None, "", body))  # type: ignore[arg-type]


TAGS = ["R-001", "H-003", "K.7", "A-VERY-LONG-TAG-00000024", "Ö-12", *(f"C-{number:03d}" for number in range(1, 30))]


def pages(made: bytes, folder: Path, dots: int) -> list[Image.Image]:
    path = folder / "labels.pdf"
    path.write_bytes(made)
    subprocess.run(["pdftoppm", "-r", str(dots), "-png", str(path), str(folder / "page")], check=True)
    return [Image.open(io.BytesIO(page.read_bytes())) for page in sorted(folder.glob("page*.png"))]


needs_pdftoppm = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs pdftoppm to see the sheet")


@needs_pdftoppm
@pytest.mark.parametrize(("grid", "dots", "base"), SHEETS)
def test_every_label_is_read_back(tmp_path: Path, grid: str, dots: int, base: str | None) -> None:
    tags = TAGS[: 6 if grid == "2x1" else None]
    pieces = [a_piece(tag, length_m=60.0, diameter_m=0.011, serial="INV-0001") for tag in tags]
    made = tag_labels_pdf(pieces, read_grid(grid, "a4", "--grid"), HEAD, base=base, units=UnitSystem.METRIC)
    read = [code for page in pages(made, tmp_path, dots) for code in zxingcpp.read_barcodes(page)]
    assert sorted(code.text for code in read) == sorted(code_text(tag, base) for tag in tags)
    assert {code.format for code in read} == {zxingcpp.BarcodeFormat.QRCode}


@needs_pdftoppm
def test_a_code_reads_with_a_part_scratched_off(tmp_path: Path) -> None:
    """Level Q: up to a quarter of the words may be lost (ISO/IEC 18004)."""
    made = tag_labels_pdf(
        [a_piece("R-001")], read_grid("2x1", "a4", "--grid"), HEAD, base=None, units=UnitSystem.METRIC
    )
    (page,) = pages(made, tmp_path, 150)
    (code,) = zxingcpp.read_barcodes(page)
    corners = [code.position.top_left, code.position.bottom_right]
    middle = tuple(sum(getattr(corner, axis) for corner in corners) / 2 for axis in "xy")
    half = (corners[1].x - corners[0].x) / 8  # a square of a sixteenth of the code
    box = (middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half)
    page.paste("white", tuple(round(side) for side in box))
    assert [one.text for one in zxingcpp.read_barcodes(page)] == ["ropewright:R-001"]


@needs_pdftoppm
def test_four_modules_round_each_code_stay_white(tmp_path: Path) -> None:
    """ISO/IEC 18004: the quiet zone is four modules wide on all sides; a code of 16 characters at level Q has 25."""
    made = tag_labels_pdf(
        [a_piece("R-001", fibre="polyester", construction="sheathed core", length_m=60.0)],
        read_grid("14x4", "a4", "--grid"),
        HEAD,
        base=None,
        units=UnitSystem.METRIC,
    )
    (page,) = pages(made, tmp_path, 300)
    (code,) = zxingcpp.read_barcodes(page)
    start, end = code.position.top_left, code.position.bottom_right
    quiet = 4 * (end.x - start.x) / 25 - 2  # two dots for the rounding of the corners
    box = (start.x - quiet, start.y - quiet, end.x + quiet, end.y + quiet)
    zone = page.convert("L").crop(tuple(round(side) for side in box))
    inside = (quiet - 2, quiet - 2, quiet + end.x - start.x + 3, quiet + end.y - start.y + 3)
    zone.paste(255, tuple(round(side) for side in inside))
    assert zone.getextrema()[0] > 250
