"""The sheet of one line: it says first whether it may be a lifeline, and leaves out nothing that takes it out."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
import typst
from click.testing import CliRunner, Result

from ropewright.cli.main import main
from ropewright.errors import InputError
from ropewright.findings import Verdict
from ropewright.job.assessment import Assessment, RigRow
from ropewright.job.file import read_job
from ropewright.job.model import Job
from ropewright.job.rope_sheet import RopeSheet, rope_sheet
from ropewright.quantity import Dimension, parse_quantity
from ropewright.rope.knots import knots, tie
from ropewright.rope.service import FOUND, RETIRE
from ropewright.rope.stow import Way
from ropewright.rope.termination import EndKind, terminations
from ropewright.sheets.end_drawing import end_svg
from ropewright.sheets.pdf import font_folder
from ropewright.sheets.pdf_content import _rig_row
from ropewright.sheets.rope_sheet import sheet_content, sheet_pdf

EXAMPLES = Path(__file__).parents[2] / "examples"
US, METRIC = EXAMPLES / "gable-house.toml", EXAMPLES / "l-hip-metric.toml"


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(US)


def ended(job: Job, termination: str, **changes: object) -> RopeSheet:
    line = replace(job.lines[0], termination=termination, **changes)  # type: ignore[arg-type]
    return rope_sheet(replace(job, lines=(line,)), line.name)


def run(*options: object) -> Result:
    return CliRunner().invoke(main, ["rope", "sheet", *map(str, options)])


def test_a_line_of_enough_strength_may_be_a_lifeline_and_a_knotted_one_of_too_little_may_not(job: Job) -> None:
    """29 CFR 1926.502(d)(9) asks for 5,000 lbf; the white rope of 5,600 lbf keeps half at the most with its knot."""
    blue, white = (sheet_content(rope_sheet(job, name)) for name in ("blue", "white"))
    assert blue["may"]
    assert not white["may"]
    assert white["answer"] == "NOT AS A LIFELINE."


def test_the_sum_of_the_parts_is_the_length_and_none_is_rounded_down(job: Job) -> None:
    told = rope_sheet(job, "white")
    content = sheet_content(told)
    shown = [parse_quantity(length, Dimension.LENGTH, "part") for length, _ in content["parts"]]
    assert all(a >= part.length - 1e-9 for a, part in zip(shown, told.parts, strict=True))
    assert told.length == pytest.approx(sum(part.length for part in told.parts))
    assert parse_quantity(content["stop"], Dimension.LENGTH, "stop") <= told.line.length + 1e-9


def test_rope_that_nobody_has_told_of_is_said_not_to_be_counted(job: Job) -> None:
    assert "rated assembly" in rope_sheet(job, "blue").not_counted
    told = rope_sheet(job, "blue", end=0.5)
    assert told.not_counted == ""
    assert told.length == pytest.approx(rope_sheet(job, "blue").length + 0.5)


def test_a_knotted_end_comes_with_its_picture_its_rules_and_its_tails(job: Job) -> None:
    content = sheet_content(ended(job, "bowline"))
    ET.fromstring(content["knot"]["svg"])
    assert any("inspects each knot" in words for words, _ in content["rules"])
    tail = tie(knots()["bowline"], job.lines[0].rope.diameter).tail
    (said,) = [words for words in content["warnings"] if words.startswith("Tails at least")]
    assert parse_quantity(said.removeprefix("Tails at least ").rstrip("."), Dimension.LENGTH, "tail") >= tail - 1e-9


def test_a_splice_is_drawn_and_tells_its_tucks_with_their_rule(job: Job) -> None:
    """29 CFR 1926.251(d)(4)(i), (ii): three full tucks in manila, four in synthetic rope; read, of slings."""
    content = sheet_content(ended(job, "eye splice"))
    ET.fromstring(content["eye"]["svg"])
    (tucks,) = [(words, source) for words, source in content["rules"] if "full tucks" in words]
    assert "3 full tucks in natural fibre, 4 in synthetic" in tucks[0]
    assert "1926.251 (d)(4)(i), (ii)" in tucks[1]
    assert "slings' rule" in tucks[0]


@pytest.mark.parametrize("name", sorted(terminations()))
def test_every_end_there_is_has_words_or_a_picture(job: Job, name: str) -> None:
    told = ended(job, name)
    assert (told.tied is None) != (not told.ending)
    assert sheet_content(told)["rules"]


def test_only_ends_without_a_knot_have_a_scheme() -> None:
    assert [kind for kind in EndKind if end_svg(kind)] == [EndKind.SPLICE, EndKind.SEWN]


def test_everything_that_takes_a_rope_out_stands_on_the_sheet(job: Job) -> None:
    content = sheet_content(rope_sheet(job, "blue"))
    assert {what for what, _ in content["look_for"]} >= set(FOUND)
    assert [words for words, _ in content["retire"]] == [words for words, _ in RETIRE]
    assert any("caught a fall" in words for words, _ in content["retire"])


def test_a_line_told_to_be_laid_back_and_forth_is_put_away_so(job: Job) -> None:
    assert ended(job, "sewn eye", loose_rope="laid back and forth").way is Way.BACK_AND_FORTH
    assert ended(job, "sewn eye", loose_rope="in a bag").way is Way.STRAIGHT_IN


def test_a_bag_that_is_too_small_is_said_to_be(job: Job) -> None:
    facts = dict(sheet_content(rope_sheet(job, "blue", container=0.001))["stow"]["facts"])
    assert facts["Fits the one told"] == "no"


@pytest.mark.parametrize(("path", "name"), [(US, "white"), (METRIC, "red")], ids=["us", "metric"])
def test_the_pdf_is_the_same_bytes_each_time(path: Path, name: str) -> None:
    told = rope_sheet(read_job(path), name)
    made = sheet_pdf(told)
    assert made.startswith(b"%PDF")
    assert made == sheet_pdf(told)


def test_units_are_those_of_the_job() -> None:
    us, metric = (sheet_content(rope_sheet(read_job(p), n)) for p, n in ((US, "white"), (METRIC, "red")))
    assert (us["paper"], metric["paper"]) == ("us-letter", "a4")
    assert us["length"].endswith("in")
    assert metric["length"].endswith("m")


def test_a_line_that_is_not_there_offers_the_nearest(job: Job) -> None:
    with pytest.raises(InputError, match="the nearest is 'white'"):
        rope_sheet(job, "whte")


def test_json_has_the_facts_and_the_exit_code_says_whether_it_may_be_a_lifeline(tmp_path: Path) -> None:
    blue, white = (run(US, "--line", name, "--json") for name in ("blue", "white"))
    assert (blue.exit_code, white.exit_code) == (0, 1)
    answer = json.loads(white.stdout)
    assert answer["verdict"] == "fails"
    assert answer["length_m"] == pytest.approx(sum(part["length_m"] for part in answer["parts"]))
    assert answer["strength_low_n"] < answer["asked_n"]
    assert {"ending", "stow", "look_for", "retire", "caution", "working_load_low_n"} <= answer.keys()
    out = tmp_path / "white.pdf"
    assert run(US, "--line", "white", "--pdf", out).exit_code == 1
    assert out.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ((US, "--line", "green"), "--line: got 'green'"),
        ((US, "--line", "blue", "--end", "2"), "--end: got '2'; give a length with its unit"),
        (("none.toml", "--line", "blue"), "none.toml"),
        ((US, "--line", "blue", "--pdf", "/no/such/folder/a.pdf"), "--pdf"),
    ],
)
def test_wrong_input_is_told_and_exits_2(options: tuple[object, ...], says: str) -> None:
    result = run(*options)
    assert result.exit_code == 2
    assert says in result.stderr


def test_the_plan_s_rig_table_says_where_the_rest_of_the_rope_goes(job: Job) -> None:
    kept, untold = (replace(job.lines[0], loose_rope=word) for word in ("hung up", "unknown"))
    row = RigRow("Sam", "blue", "west ridge", 3.0, 3.0, "polyester", "", "", "none", Verdict.HOLDS)
    shown = [
        _rig_row(Assessment(replace(job, lines=(line,)), (), (), (), (row,), (), Verdict.HOLDS), row)["rope"]
        for line in (kept, untold)
    ]
    assert shown == ["polyester; the rest of it hung up", "polyester"]


@pytest.mark.parametrize("name", ["bowline", "butterfly loop", "double fisherman's bend", "eye splice", "unknown"])
def test_the_sheet_stays_on_two_pages_whatever_ends_the_line(job: Job, name: str) -> None:
    template = resources.files("ropewright.sheets").joinpath("templates/rope_sheet.typ").read_bytes()
    fonts = typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())])
    content = {"content": json.dumps(sheet_content(ended(job, name)))}
    assert len(typst.compile(template, sys_inputs=content, font_paths=fonts, format="svg")) == 2


def test_an_end_that_nobody_has_named_is_said_to_be_unnamed(job: Job) -> None:
    content = sheet_content(ended(job, "unknown"))
    assert content["ending"] == "nobody has said how"
    assert content["not_counted"] == "what its end, which nobody has named, takes"


def test_a_hitch_of_closed_cord_has_no_tail_to_measure(job: Job) -> None:
    content = sheet_content(ended(job, "sliding hitch"))
    assert not any("tail, end" in name for _, name in content["parts"])
    assert not any("Tails" in words for words in content["warnings"])
