"""The PDF: every page and every number on it, readable by all, the same bytes each time.

Text is read back with pdftotext (Poppler) where it is installed.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from ropewright.findings import Verdict
from ropewright.job.assessment import Assessment
from ropewright.job.model import Rescue
from ropewright.sheets import map_svg, pdf_bytes, write_pdf
from ropewright.sheets.pdf import compiled, font_folder
from ropewright.sheets.pdf_content import pdf_content

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")


def text_of(content: bytes, folder: Path) -> str:
    path = folder / "plan.pdf"
    path.write_bytes(content)
    run = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True, text=True)
    return re.sub(r"\s+", " ", run.stdout)


@pytest.fixture(scope="module")
def us_pdf(assessment: Assessment) -> bytes:
    return pdf_bytes(assessment)


@needs_poppler
def test_pdf_has_all_its_parts(us_pdf: bytes, tmp_path: Path) -> None:
    text = text_of(us_pdf, tmp_path)
    for part in (
        "Not as it stands: something fails.",
        "What to set",
        "Clearance where it is tightest",
        "Findings, worst first",
        "What was assumed",
        "Rescue",
        "Sources",
        "Competent person on site",
        "Qualified person, for the matter to be decided",
        "Worker one",
        "Worker two",
        "prepared by the foreman",
        "Invented example",
        "needed, book",
        "needed, simulated",
    ):
        assert part in text, part


@needs_poppler
def test_every_page_carries_number_and_caution(us_pdf: bytes, tmp_path: Path) -> None:
    text = text_of(us_pdf, tmp_path)
    pages = re.findall(r"page (\d+) of (\d+)", text)
    assert [int(number) for number, _ in pages] == list(range(1, int(pages[0][1]) + 1))
    assert text.count("Planning aid.") >= len(pages)


@needs_poppler
def test_stopper_is_tied_at_the_shorter_length_rounded_down(us_pdf: bytes, tmp_path: Path) -> None:
    # the job has 6.6 m = 21 ft 7.84 in, the longest that holds is 5.54 m = 18 ft 2.11 in
    text = text_of(us_pdf, tmp_path)
    assert "18 ft 2 in" in text
    assert "the job file has 21 ft 7-3/4 in" in text


@needs_poppler
def test_finding_gives_numbers_formula_source_and_remedy(us_pdf: bytes, tmp_path: Path) -> None:
    text = text_of(us_pdf, tmp_path)
    for part in ("13.7 ft", "at most 10.0 ft", "29 CFR 1926.502 (d)(16)(iii)", "[practice]", "C = f + d + s + b + m"):
        assert part in text, part
    assert "Set line L2 no longer than 18 ft 2 in. Assessed again with it: holds" in text
    assert "Whether the rafters under A1 carry 5,000 lbf." in text


@needs_poppler
def test_metric_plan_holds_no_feet(metric_assessment: Assessment, tmp_path: Path) -> None:
    plain = replace(metric_assessment, findings=(), assumed=())  # their sentences are the job's, in its own units
    text = text_of(pdf_bytes(plain), tmp_path)
    assert not re.search(r"\d (ft|in|lb|lbf)\b", text.replace("1/2 in", "").replace("3 ft with", ""))
    assert "5.40 m" in text


def test_equal_jobs_give_equal_bytes(assessment: Assessment, us_pdf: bytes) -> None:
    assert pdf_bytes(assessment) == us_pdf


def test_stamp_is_the_date_of_the_job(us_pdf: bytes) -> None:
    assert b"20250503" in us_pdf


def test_job_without_date_is_reproducible(changed: Callable[..., Assessment]) -> None:
    undated = changed(date=None, prepared_by="", address="", rescue=Rescue())
    assert pdf_bytes(undated) == pdf_bytes(undated)


@pytest.mark.parametrize(("which", "size"), [("assessment", b"612 792"), ("metric_assessment", b"595.27")])
def test_paper_is_the_one_in_use(which: str, size: bytes, request: pytest.FixtureRequest) -> None:
    made = pdf_bytes(request.getfixturevalue(which))
    assert re.search(rb"/MediaBox\s*\[\s*0 0 " + size, made)


def test_pdf_claims_to_be_readable_by_all(us_pdf: bytes) -> None:
    assert b"pdfuaid:part" in us_pdf


def test_drawing_without_words_is_refused(assessment: Assessment) -> None:
    content = pdf_content(assessment)
    content["map"]["alt"] = None
    with pytest.raises(RuntimeError, match="alt"):
        compiled(content, date(2025, 5, 3))


def test_hostile_text_is_set_as_text(changed: Callable[..., Assessment]) -> None:
    assert pdf_bytes(changed(name='#panic("x") $ [ ] @a <b> \\ */', notes=("= heading", '#read("/etc/passwd")')))


def test_assessment_with_nothing_in_it_still_prints(assessment: Assessment) -> None:
    empty = replace(assessment, findings=(), fields=(), zones=(), rig=(), assumed=(), verdict=Verdict.ASK)
    assert pdf_bytes(empty).startswith(b"%PDF")


def test_only_the_packaged_font_is_used(us_pdf: bytes) -> None:
    fonts = set(re.findall(rb"/FontName\s*/(?:[A-Z]{6}\+)?([A-Za-z-]+)", us_pdf))
    assert fonts
    assert all(name.startswith(b"SourceSansPro") for name in fonts)
    assert (font_folder() / "SourceSansPro-Regular.otf").exists()


def test_written_file_is_the_pdf(assessment: Assessment, us_pdf: bytes, tmp_path: Path) -> None:
    assert write_pdf(assessment, tmp_path / "plan.pdf").read_bytes() == us_pdf


def test_map_drawn_before_gives_the_same_pdf(assessment: Assessment, us_pdf: bytes) -> None:
    assert pdf_bytes(assessment, drawn=map_svg(assessment)) == us_pdf
