"""Labels of cut pieces: one each, never shorter than the piece, in a file that others can read."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from ropewright.cli.main import main
from ropewright.errors import InputError
from ropewright.job.cut_file import CutFile, cut_all, read_cut_file
from ropewright.quantity import Dimension, parse_quantity
from ropewright.sheets.cut_labels import label_texts, labels_pdf

EXAMPLE = Path(__file__).parents[2] / "examples" / "cutting-list.toml"


@pytest.fixture(scope="module")
def asked() -> CutFile:
    return read_cut_file(EXAMPLE)


def test_each_piece_has_a_label_no_shorter_than_it_is(asked: CutFile) -> None:
    plans = cut_all(asked)
    labels = list(label_texts(asked, plans))
    pieces = [piece for rope in asked.ropes for piece in rope.pieces]
    assert len(labels) == sum(piece.count for piece in pieces) == 15  # 6 + 4 + 3 + 2
    needed = {piece.name: piece.length for piece in pieces}
    for label in labels:
        assert parse_quantity(label["length"], Dimension.LENGTH, "label") >= needed[label["name"]] - 1e-9
        assert label["spool"].startswith("off spool ")


def test_labels_are_the_same_bytes_each_time(asked: CutFile) -> None:
    plans = cut_all(asked)
    made = labels_pdf(asked, plans)
    assert made.startswith(b"%PDF")
    assert made == labels_pdf(asked, plans)


def test_nothing_cut_is_nothing_to_label(asked: CutFile) -> None:
    with pytest.raises(InputError, match="nothing to label"):
        labels_pdf(asked, {})


def test_labels_are_written_where_they_are_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    assert CliRunner().invoke(main, ["cut", str(EXAMPLE), "--labels", str(out)]).exit_code == 0
    assert out.read_bytes().startswith(b"%PDF")
    missing = CliRunner().invoke(main, ["cut", str(EXAMPLE), "--labels", str(tmp_path / "no" / "labels.pdf")])
    assert missing.exit_code == 2
    assert "--labels" in missing.stderr
