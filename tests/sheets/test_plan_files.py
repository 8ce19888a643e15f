"""The files of a plan: all of one assessment, and none of them if one can't be written."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.job.assessment import Assessment
from ropewright.sheets import map_svg, pdf_bytes
from ropewright.sheets.document import findings_json
from ropewright.sheets.plan_files import PLAN_FILES, write_plan
from ropewright.sheets.writing import write_all_atomic


def _quiet(_doing: str, _share: float) -> None: ...


def test_files_are_those_made_one_by_one(assessment: Assessment, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "plan"
    written = write_plan(assessment, folder, _quiet)
    assert [path.name for path in written] == list(PLAN_FILES)
    made = (findings_json(assessment).encode() + b"\n", map_svg(assessment).encode(), pdf_bytes(assessment))
    assert [path.read_bytes() for path in written] == list(made)
    assert sorted(path.name for path in folder.iterdir()) == sorted(PLAN_FILES)


@pytest.mark.parametrize("blocked", PLAN_FILES)
def test_no_file_is_new_where_one_can_not_be_written(assessment: Assessment, tmp_path: Path, blocked: str) -> None:
    for name in PLAN_FILES:
        (tmp_path / name).write_text("old")
    (tmp_path / blocked).unlink()
    (tmp_path / blocked).mkdir()
    with pytest.raises(IsADirectoryError):
        write_plan(assessment, tmp_path, _quiet)
    assert all((tmp_path / name).read_text() == "old" for name in PLAN_FILES if name != blocked)
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(PLAN_FILES)


def test_all_or_none_of_several_files(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"old")
    with pytest.raises(FileNotFoundError):
        write_all_atomic({tmp_path / "a": b"new", tmp_path / "missing" / "b": b"new"})
    assert (tmp_path / "a").read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["a"]
