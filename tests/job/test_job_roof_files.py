"""Roofs of a job out of files of every format: the invented house of ``tests/data/houses``, planned end to end.

Expected values: the house as its README describes it (9 m by 6 m, eaves at 3 m, ridge at 6 m, 45 deg).
"""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import numpy as np
import pytest

from ropewright.errors import InputErrors
from ropewright.job import assess, changed, job_from_mapping, new_job_text
from ropewright.readers import read_roofs

HOUSES = Path(__file__).parents[1] / "data" / "houses"
FORMATS = ("csv", "dxf", "geojson", "ifc")


def job_with(folder: Path, **roof: str) -> dict[str, object]:
    raw = tomllib.loads(new_job_text("metric"))
    return changed({**raw, "roof": roof, "site": {}}, "anchor[0].at", ["4.5 m", "3 m"])


def faults(folder: Path, **roof: str) -> str:
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(job_with(folder, **roof), path=folder / "job.toml")
    return "; ".join(str(error) for error in caught.value.exceptions)


@pytest.mark.parametrize("ending", FORMATS)
def test_a_house_out_of_a_file_is_planned(ending: str) -> None:
    job = job_from_mapping(job_with(HOUSES, file=f"house.{ending}"), path=HOUSES / "job.toml")
    corners = np.vstack([facet.ring for facet in job.roof.facets])
    assert corners.min(axis=0) == pytest.approx([0.0, 0.0, 3.0], abs=1e-3)
    assert corners.max(axis=0) == pytest.approx([9.0, 6.0, 6.0], abs=1e-3)
    assessment = assess(job)
    assert len(assessment.findings) > 10
    assert any(f"house.{ending}" in note for note in job.notes)


def test_of_many_buildings_one_must_be_named(tmp_path: Path) -> None:
    text = (HOUSES / "house.csv").read_text(encoding="utf-8")
    heading, *rows = text.splitlines()[1:]
    rows = [f"{name},{row}" for name in ("a", "b") for row in rows]
    (tmp_path / "two.csv").write_text("\n".join([f"building,{heading}", *rows]), encoding="utf-8")
    assert "holds 2 buildings: give the id of one, such as 'a', 'b'" in faults(tmp_path, file="two.csv")
    assert "give an id of the file, such as a, b" in faults(tmp_path, file="two.csv", building="c")
    assert job_from_mapping(job_with(tmp_path, file="two.csv", building="b"), path=tmp_path / "job.toml").roof.facets


def test_a_file_is_read_again_once_its_content_changes_and_only_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (HOUSES / "house.csv").read_text(encoding="utf-8")
    (tmp_path / "house.csv").write_text(f"{text}\n", encoding="utf-8")
    raw, path, reads = job_with(tmp_path, file="house.csv"), tmp_path / "job.toml", []

    def counted(*given: object, **more: object) -> object:
        reads.append(given)
        return read_roofs(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr("ropewright.readers.files.read_roofs", counted)
    first, second = (job_from_mapping(raw, path=path) for _ in range(2))
    assert (first.notes, len(reads)) == (second.notes, 1)
    (tmp_path / "house.csv").write_text(text.replace("6", "6.5"), encoding="utf-8")
    job_from_mapping(raw, path=path)
    assert len(reads) == 2


def test_a_file_that_says_no_unit_takes_the_jobs(tmp_path: Path) -> None:
    text = (HOUSES / "house.csv").read_text(encoding="utf-8").replace(" [m]", "")
    (tmp_path / "bare.csv").write_text(text, encoding="utf-8")
    assert "give the unit in the heading" in faults(tmp_path, file="bare.csv")
    assert "roof.length_unit: got 'yd'" in faults(tmp_path, file="bare.csv", length_unit="yd")
    assert job_from_mapping(job_with(tmp_path, file="bare.csv", length_unit="m"), path=tmp_path / "job.toml").roof


def test_a_file_without_ground_asks_for_it(tmp_path: Path) -> None:
    text = (HOUSES / "house.csv").read_text(encoding="utf-8").replace("ground,,4,-1,0\n", "")
    (tmp_path / "house.csv").write_text(text, encoding="utf-8")
    assert "roof.ground: missing" in faults(tmp_path, file="house.csv")


def test_what_is_wrong_with_the_file_is_told_at_its_field(tmp_path: Path) -> None:
    shutil.copy(HOUSES / "README.md", tmp_path / "house.txt")
    assert "roof.file: got 'house.txt'; the file can't be used: " in faults(tmp_path, file="house.txt")
    assert "roof.file: got 'gone.ifc'; no such file" in faults(tmp_path, file="gone.ifc")
