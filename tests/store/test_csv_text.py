"""CSV files as spreadsheets write them, and none that runs what stands in it. RFC 4180; BOMs: the Unicode Standard."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ropewright.errors import FileError, InputError, InputErrors
from ropewright.store.csv_text import MOST_BYTES, MOST_ROWS, read_csv, write_csv

HEADERS = ("tag", "note", "length", "bought on")
UNITS = {"length": ("m", "ft")}

TEXT = "tag,note,length\r\nR-001,\u00e4 rope,60 m\r\n"


def cells(content: bytes) -> list[dict[str, str]]:
    return [dict(row.cells) for row in read_csv(content, HEADERS, UNITS)]


ENCODED = {
    "utf-8": TEXT.encode(),
    "utf-8 with its mark": TEXT.encode("utf-8-sig"),
    "utf-16 little-endian": b"\xff\xfe" + TEXT.encode("utf-16-le"),
    "utf-16 big-endian": b"\xfe\xff" + TEXT.encode("utf-16-be"),
    "semicolons": TEXT.replace(",", ";").encode(),
    "tabs": TEXT.replace(",", "\t").encode(),
    "line feeds": TEXT.replace("\r\n", "\n").encode(),
    "no last line end": TEXT.rstrip().encode(),
    "blank rows": TEXT.replace("\r\n", "\r\n,,\r\n\r\n").encode(),
    "header in other case": TEXT.replace("tag,note", "TAG, Note ").encode(),
    "trailing separators": TEXT.replace("\r\n", ",\r\n").encode(),
}


@pytest.mark.parametrize("content", ENCODED.values(), ids=ENCODED.keys())
def test_whatever_a_spreadsheet_writes_is_read(content: bytes) -> None:
    assert cells(content) == [{"tag": "R-001", "note": "\u00e4 rope", "length": "60 m"}]


def test_a_unit_in_the_header_goes_to_bare_numbers_only() -> None:
    content = b"Length (m);tag\n60;A\n60.5;B\n200 ft;C\n1e3;D\nlong;E\n"
    assert [row["length"] for row in cells(content)] == ["60 m", "60.5 m", "200 ft", "1e3", "long"]
    assert [row["length"] for row in cells(b"LENGTH [ft],tag\n60,A\n")] == ["60 ft"]
    assert [row["bought on"] for row in cells(b"Bought_On,tag\n2026-01-01,A\n")] == ["2026-01-01"]


def test_cells_with_separators_quotes_and_line_ends_are_one_cell() -> None:
    assert cells(b'tag,note\r\nA,"one, ""two""\r\nthree"\r\n') == [{"tag": "A", "note": 'one, "two"\r\nthree'}]


REFUSED: dict[str, tuple[bytes, str]] = {
    "nothing": (b"", "the file is empty"),
    "latin-1": ("tag,note\nA,\u00e4\n".encode("latin-1"), "save it as CSV in UTF-8"),
    "utf-16 without its mark": (TEXT.encode("utf-16-le"), "save it as CSV in UTF-8"),
    "half a pair": (b"\xff\xfe\x00\xd8", "save it as CSV in UTF-8"),
    "unknown column": (b"tag,lenght\nA,1\n", "did you mean 'length'"),
    "column twice": (b"tag,Tag\nA,B\n", "there twice"),
    "unknown unit": (b"tag,length (yd)\nA,1\n", "write one of m, ft there"),
    "unit where none is": (b"tag (m)\nA\n", "this column has no unit"),
    "cell under no header": (b"tag\nA,B\n", "cell 2 stands under no header"),
    "quote in a cell": (b'tag\n"A"B\n', "can't be read as CSV"),
    "open quote": (b'tag\n"A\n', "can't be read as CSV"),
    "too many rows": (b"tag\n" + b"A\n" * (MOST_ROWS + 1), f"at most {MOST_ROWS} rows"),
    "too many columns": (b"tag" + b"," * 200 + b"\nA\n", "at most 100 columns"),
    "too long a cell": (b"tag,note\nA," + b"x" * 5000 + b"\n", "at most 4000 characters"),
    "too large": (b"tag\n" + b"x" * MOST_BYTES, "at most 8 MB"),
    "another file": (b"PK\x03\x04" + b"\x00" * 60, "save it as CSV in UTF-8"),
}


@pytest.mark.parametrize(("content", "says"), REFUSED.values(), ids=REFUSED.keys())
def test_what_can_not_be_read_for_certain_is_refused_with_what_would_be_right(content: bytes, says: str) -> None:
    with pytest.raises((InputError, InputErrors)) as caught:
        read_csv(content, HEADERS, UNITS)
    faults = caught.value.exceptions if isinstance(caught.value, InputErrors) else [caught.value]
    assert any(says in str(fault) for fault in faults)


FORMULAS = ["=1+1", "+1", "-1", "@sum", "=HYPERLINK(...)", "'=1", "''", "'note", "\u2212 is no minus here"]


@pytest.mark.parametrize("text", FORMULAS)
def test_no_cell_that_is_written_is_a_formula_and_each_comes_back(text: str) -> None:
    """A spreadsheet takes a cell for a formula if it begins with one of = + - @, or a tab or carriage return."""
    content = write_csv(HEADERS, [{"tag": "A", "note": text}])
    written = list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))[1][1]
    assert not written.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert cells(content) == [{"tag": "A", "note": text}]


LINE = st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), max_size=60).map(str.strip).filter(bool)


@given(st.lists(st.dictionaries(st.sampled_from(HEADERS), LINE, min_size=1), min_size=1, max_size=8))
def test_every_table_comes_back_as_it_was(rows: list[dict[str, str]]) -> None:
    assert cells(write_csv(HEADERS, rows)) == rows


@given(st.binary(max_size=300) | st.text(max_size=200).map(str.encode))
def test_no_bytes_break_the_reader(content: bytes) -> None:
    for start in (b"", b"tag,note\n", b"\xff\xfe", b"\xef\xbb\xbftag;length (m)\n"):
        try:
            rows = read_csv(start + content, HEADERS, UNITS)
        except (FileError, InputError, InputErrors):
            continue
        assert all(set(row.cells) <= set(HEADERS) and all(row.cells.values()) for row in rows)
