"""`ropewright anchors`: what it prints, draws and writes, and how it ends."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import tomllib
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.findings import Verdict
from ropewright.job import layout as layout_module
from ropewright.job import new_job_text, read_job
from ropewright.job.layout_model import Wanted
from ropewright.job.layout_write import job_text_with

BEAMS = [
    {"name": "west beam", "points": [["2.5 m", "1 m"], ["2.5 m", "9 m"]]},
    {"name": "east beam", "points": [["9.5 m", "1 m"], ["9.5 m", "9 m"]]},
]


def written(folder: Path, **changes: Any) -> Path:
    """The job file to start from, on a flat roof of 12 m by 10 m, 6 m up, with two beams."""
    raw: dict[str, Any] = tomllib.loads(new_job_text("metric"))
    del raw["area"], raw["no_anchor"]
    raw |= {
        "site": {"ground": "0 m"},
        "roof": {"form": "flat", "size": ["12 m", "10 m"], "eave_height": "6 m"},
        "framing": BEAMS,
        "anchors": {"spacing": "2 m", "places": "1 m", "like": "A1"},
        **changes,
    }
    path = folder / "flat.toml"
    path.write_text("# a note that stays\n" + tomlkit.dumps(raw), encoding="utf-8")
    return path


def anchors(*told: object) -> Result:
    return CliRunner().invoke(main, ["anchors", *map(str, told)])


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path)


def test_the_document_has_what_later_checks_rely_on(job: Path) -> None:
    result = anchors(job, "--json", "--from-none")
    told = json.loads(result.stdout)
    assert told["count"] == len(told["anchors"])
    assert told["bound"] <= told["count"]
    assert told["proven"] is (told["bound"] == told["count"])
    for one in told["anchors"]:
        assert {"x_m", "y_m", "z_m"} <= one.keys()
        assert one["z_m"] == pytest.approx(6.0, abs=0.01)
    assert all({"x_m", "y_m", "z_m", "why"} <= one.keys() for one in told["uncovered"])
    assert bool(told["uncovered"]) is not told["covered"]


def test_the_jobs_anchors_are_told_apart_from_new_ones(job: Path) -> None:
    told = json.loads(anchors(job, "--json").stdout)
    assert [one["name"] for one in told["kept"]] == ["A1"]
    assert "A1" not in [one["name"] for one in told["anchors"]]


def test_no_more_than_asked_for_are_placed(job: Path) -> None:
    told = json.loads(anchors(job, "--json", "--from-none", "--max", 1).stdout)
    assert told["count"] <= 1 < told["bound"]
    assert told["uncovered"]


def test_what_is_not_covered_ends_with_1(job: Path) -> None:
    assert anchors(job, "--from-none", "--max", 0).exit_code == 1


def test_all_covered_and_held_ends_with_0(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No pack that ships settles every question of this job: a layout whose answers all hold stands in for it."""
    found = layout_module.plan_anchors(read_job(job))
    good = replace(found, covered=np.ones_like(found.covered), bare=(), findings=(), verdict=Verdict.HOLDS)
    monkeypatch.setattr(layout_module, "plan_anchors", lambda *_told, **_more: good)
    result = anchors(job)
    assert result.exit_code == 0
    assert "every place is covered" in result.stdout
    assert "HOLDS" in result.stdout


@pytest.mark.parametrize(
    ("told", "message"),
    [
        (["--spacing", "2"], "--spacing: got '2'"),
        (["--share", "120 %"], "--share: got '120 %'"),
        (["--places", "1 mm"], "--places: got '1 mm'"),
    ],
)
def test_a_slip_in_an_option_ends_with_2_and_its_name(job: Path, told: list[str], message: str) -> None:
    result = anchors(job, *told)
    assert result.exit_code == 2
    assert message in result.stderr


def test_a_roof_without_a_place_for_an_anchor_ends_with_2(tmp_path: Path) -> None:
    result = anchors(written(tmp_path, framing=[]), "--from-none")
    assert result.exit_code == 2
    assert "mark lines of framing" in result.stderr


def test_people_are_told_number_proof_places_settings_and_reasons(job: Path) -> None:
    said = anchors(job, "--from-none").stdout
    assert re.search(r"\d new anchors?: ", said)
    assert "Proven least" in said
    assert re.search(r"N1: \d+\.\d\d m along (west|east) beam from its first point; .* measured level", said)
    assert re.search(r"Worker 1, line L1: tie the stopper at \d+\.\d\d m", said)
    assert "qualified person" in said
    assert "Left uncovered:" in said


def test_figures_to_be_confirmed_leave_the_verdict_at_ask(job: Path) -> None:
    told = json.loads(anchors(job, "--json", "--from-none").stdout)
    assert told["verdict"] in ("ask", "fails")
    assert any(one["verdict"] == "ask" for one in told["findings"])


# files ---------------------------------------------------------------------------------------------------------------


def test_the_drawing_names_anchors_and_what_is_not_covered(job: Path, tmp_path: Path) -> None:
    drawing = tmp_path / "anchors.svg"
    assert f"wrote {drawing}" in anchors(job, "--from-none", "--max", 1, "--svg", drawing).stdout.replace("\n", "")
    root = ET.fromstring(drawing.read_text(encoding="utf-8"))
    words = " ".join("".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "N1" in words
    assert "not covered" in words
    assert "new anchor" in words
    assert "qualified person" in words


def test_the_written_job_has_the_layouts_anchors_and_settings(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "new.toml"
    result = anchors(job, "--from-none", "--json", "--write", out)
    told = json.loads(result.stdout)
    new = read_job(out)
    assert [anchor.name for anchor in new.anchors] == [one["name"] for one in told["anchors"]]
    for anchor, one in zip(new.anchors, told["anchors"], strict=True):
        assert anchor.point == pytest.approx([one["x_m"], one["y_m"], one["z_m"]], abs=1e-3)
        assert anchor.strength == read_job(job).anchors[0].strength
    tied = next(one for one in told["anchors"] if one["name"] == new.lines[0].anchor)
    assert new.lines[0].length == pytest.approx(tied["settings"][0]["stop_m"])


def test_the_written_job_keeps_notes_and_anchors(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "new.toml"
    anchors(job, "--write", out)
    text = out.read_text(encoding="utf-8")
    assert "# a note that stays" in text
    assert tomllib.loads(text)["anchor"][0]["name"] == "A1"


def test_a_written_job_needs_no_more_anchors(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "new.toml"
    before = json.loads(anchors(job, "--json", "--write", out).stdout)
    after = json.loads(anchors(out, "--json").stdout)
    assert after["count"] == 0
    assert len(after["uncovered"]) == len(before["uncovered"])


@pytest.mark.parametrize("option", ["--svg", "--write"])
def test_a_file_that_is_there_is_not_written_over_unasked(job: Path, tmp_path: Path, option: str) -> None:
    there = tmp_path / "there"
    there.write_text("mine", encoding="utf-8")
    result = anchors(job, option, there)
    assert result.exit_code == 2
    assert "--force" in result.stderr
    assert there.read_text(encoding="utf-8") == "mine"
    assert anchors(job, option, there, "--force").exit_code == 1
    assert there.read_text(encoding="utf-8") != "mine"


def test_other_files_are_named_from_the_new_folder() -> None:
    """A city model named beside the job file is still found from a folder below."""
    source = Path(__file__).parents[2] / "examples" / "hague-house.toml"
    out = source.parent / "data" / "hague-with-anchors.toml"
    text = source.read_text(encoding="utf-8")
    job = read_job(source)
    layout = layout_module.plan_anchors(replace(job, path=source), Wanted(keep=True, most=0, places=2.0, spacing=3.0))
    moved = job_text_with(layout, text, folder=source.parent, into=out.parent)
    named = tomllib.loads(moved)["roof"]["cityjson"]
    assert (out.parent / named).resolve() == (source.parent / tomllib.loads(text)["roof"]["cityjson"]).resolve()


@pytest.mark.parametrize("most", ["two", "-1", "1001", "1.5"])
def test_a_count_that_is_none_says_what_would_be_right(most):
    result = CliRunner().invoke(main, ["anchors", "job.toml", "--max", most])
    assert result.exit_code == 2
    assert f"'--max': got '{most}'; give a whole number from 0 to 1,000" in result.stderr


# a roof without anchors ----------------------------------------------------------------------------------------------


def bare(folder: Path, **changes: Any) -> Path:
    """The job with no anchor, and nothing told of one in its lines."""
    path = written(folder, **changes)
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    stated = {key: value for key, value in raw.pop("anchor")[0].items() if key not in ("name", "at")}
    for line in raw["line"]:
        del line["anchor"], line["length"]
    del raw["anchors"]["like"]
    raw["anchors"] |= stated
    path = folder / "bare.toml"
    path.write_text(tomlkit.dumps(raw), encoding="utf-8")
    return path


def test_a_roof_without_anchors_gets_the_layout_of_one_taken_as_bare(tmp_path: Path) -> None:
    told, like = (
        json.loads(anchors(*call, "--json").stdout) for call in ([bare(tmp_path)], [written(tmp_path), "--from-none"])
    )
    assert told["kept"] == []
    assert told["anchors"] == like["anchors"]
    assert (told["count"], told["bound"], told["uncovered"]) == (like["count"], like["bound"], like["uncovered"])


def test_the_job_written_for_a_roof_without_anchors_can_be_planned(tmp_path: Path) -> None:
    out = tmp_path / "with.toml"
    told = json.loads(anchors(bare(tmp_path), "--json", "--write", out).stdout)
    job = read_job(out)
    assert [anchor.name for anchor in job.anchors] == [one["name"] for one in told["anchors"]]
    settings = {(one["name"], setting["stop_m"]) for one in told["anchors"] for setting in one["settings"]}
    for line in job.lines:
        assert any(name == line.anchor and line.length == pytest.approx(stop) for name, stop in settings)


def test_a_plan_of_a_roof_without_anchors_names_the_command_that_finds_them(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["plan", str(bare(tmp_path))])
    assert result.exit_code == 2
    assert "anchor: missing; this job has none" in result.stderr
    assert "'ropewright anchors'" in result.stderr
    assert len(result.stderr.splitlines()) == 1  # nothing is asked of its lines before


def test_a_roof_without_anchors_must_state_what_new_ones_are(tmp_path: Path) -> None:
    path = bare(tmp_path)
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    path.write_text(tomlkit.dumps({**raw, "anchors": {"spacing": "2 m", "places": "1 m"}}), encoding="utf-8")
    result = anchors(path)
    assert result.exit_code == 2
    assert "anchors.strength: missing; this job has no anchor that new ones could be like" in result.stderr


def test_a_job_with_anchors_still_needs_a_line_to_name_one(tmp_path: Path) -> None:
    path = written(tmp_path)
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    del raw["line"][0]["anchor"], raw["line"][0]["length"]
    path.write_text(tomlkit.dumps(raw), encoding="utf-8")
    result = anchors(path)
    assert result.exit_code == 2
    assert "line[0].anchor: missing" in result.stderr
    assert "line[0].length: missing" in result.stderr


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_the_layout_is_put_on_one_page_of_paper_with_every_anchor(job: Path, tmp_path: Path) -> None:
    out = tmp_path / "layout.pdf"
    told = json.loads(anchors(job, "--from-none", "--json", "--pdf", out).stdout)
    run = subprocess.run(["pdftotext", "-layout", str(out), "-"], capture_output=True, check=True, text=True)
    (said, rest) = run.stdout.split("\f")
    assert rest == ""
    for one in told["anchors"]:
        assert f"{one['name']}: stop" in said
    assert not re.search(r"1:\d", said)  # made to fit the page, it is to no scale but that of its bar
    again = anchors(job, "--from-none", "--pdf", out)
    assert again.exit_code == 2
    assert "--pdf: got" in again.stderr
