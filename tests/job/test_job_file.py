"""Reading a job file: SI inside, every fault told at once with its field, nothing unknown taken as good.

Expected numbers: exact foot, pound and pound-force; plane trigonometry of the example roof.
"""

from __future__ import annotations

import copy
import re
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ropewright.errors import FileError, InputError, InputErrors
from ropewright.job import Job, changed, job_from_mapping, new_job_text, read_job
from ropewright.quantity import Range, UnitSystem

LBF = 4.4482216152605


@pytest.fixture
def raw() -> dict[str, object]:
    """Return the tables of a new job file, which has no fault."""
    return tomllib.loads(new_job_text("us"))


def faults(raw: dict[str, object]) -> list[str]:
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(raw)
    return [str(error) for error in caught.value.exceptions]


def without(raw: dict[str, object], key: str, field: str, index: int | None = None) -> dict[str, object]:
    result = copy.deepcopy(raw)
    table: Any = result[key]
    del (table if index is None else table[index])[field]
    return result


def test_figures_with_units_become_si(raw: dict[str, object]) -> None:
    job = job_from_mapping(raw)
    line, worker, anchor = job.lines[0], job.crew[0], job.anchors[0]
    assert job.units is UnitSystem.US
    assert line.length == pytest.approx(7 * 0.3048)
    assert line.reach == pytest.approx(10 * 0.3048)
    assert [worker.mass.low, worker.mass.likely, worker.mass.high] == pytest.approx([90.718474, 95.2543977, 99.7903214])
    assert anchor.strength.likely == pytest.approx(5000 * LBF)
    assert line.rope.fibre == "polyester"
    assert line.rope.diameter == pytest.approx(7 / 16 * 0.0254)
    assert line.grab is not None
    assert line.grab.follows
    assert job.site.levels[0].name == "ground"
    assert job.site.levels[1].height == pytest.approx(8 * 0.3048)


def test_an_anchor_given_in_plan_is_put_on_the_roof(raw: dict[str, object]) -> None:
    """At 6:12, 5 ft inside the wall and 6 ft inside the roof's edge at 10 ft: 3 ft higher."""
    job = job_from_mapping(changed(raw, "anchor[0].at", ["18 ft", "5 ft"]))
    assert job.anchors[0].point == pytest.approx(np.array([18, 5, 13]) * 0.3048)
    raised = changed(changed(raw, "anchor[0].at", ["18 ft", "5 ft"]), "anchor[0].above", "1 ft")
    assert job_from_mapping(raised).anchors[0].point[2] == pytest.approx(14 * 0.3048)


def test_an_anchor_given_in_space_stays_where_it_is(raw: dict[str, object]) -> None:
    job = job_from_mapping(changed(raw, "anchor[0].at", ["-5 ft", "5 ft", "30 ft"]))
    assert job.anchors[0].point == pytest.approx(np.array([-5, 5, 30]) * 0.3048)


def test_all_faults_are_told_at_once(raw: dict[str, object]) -> None:
    wrong: dict[str, object] = raw
    for field, value in (
        ("job.units", "feet"),
        ("roof.pitch", 6),
        ("anchor[0].strength", "5000 lb"),
        ("rope.line-11.fibre", "polyestr"),
        ("line[0].lenght", "9 ft"),
        ("line[0].grab", "atuo"),
        ("crew[0].mass", "6 ft"),
        ("crew[0].line", "L9"),
        ("site.obstacle[0].top", "nan ft"),
    ):
        wrong = changed(wrong, field, value)
    told = faults(wrong)
    assert [line.split(":")[0] for line in told] == [
        "job.units",
        "roof.pitch",
        "site.obstacle[0].top",
        "anchor[0].strength",
        "rope.line-11.fibre",
        "line[0].grab",
        "line[0].lenght",
        "crew[0].mass",
        "crew[0].line",
    ]
    assert "the nearest is 'length'" in told[6]
    assert "the nearest is 'auto'" in told[5]
    assert "say 'lbf' for a force" in told[3]


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("job.name", "", "give the job a name"),
        ("job.name", "a\nb", "give one line of text"),
        ("job.name", "x" * 400, "300 characters at most"),
        ("job.date", "last week", "give a date as year-month-day"),
        ("job.invented", "yes", "give true or false, without quotes"),
        ("job.rules", "us-constructoin", "us-construction"),
        ("job.local_rules", "none.toml", "no such file"),
        ("plan.spacing", "0 ft", "give a length from 50 mm (2.0 in) to 2.00 m (6.6 ft)"),
        ("plan.spacing", "1 ft to 2 ft", "give a length"),
        ("roof.form", "dome", "give 'flat' or 'shed' or 'gable' or 'hip'"),
        ("roof.size", ["36 ft"], "give 2 lengths in brackets"),
        ("roof.size", ["36 ft", "-24 ft"], "two lengths above zero"),
        ("roof.outline", [["0 ft", "0 ft"]], "both 'outline' and 'size'"),
        ("roof.gable_sides", [0], "numbers of sides from 1 to 4"),
        ("roof.gable_sides", [1, 2], "share a corner"),
        ("roof.pitches", ["6:12"], "'pitch' for all sides or 'pitches' for each"),
        ("roof.pitch", "0:12", "above 0"),
        ("roof.facets", [], "give the roof in one way"),
        ("roof.opening[0].center", ["50 ft", "50 ft"], "onto the roof"),
        ("roof.opening[0].center", ["18 ft", "12 ft"], "within one facet"),
        ("roof.opening[0].guard", "net", "'none' or 'cover' or 'guardrail'"),
        ("anchor[0].at", ["50 ft", "50 ft"], "this place is not on the roof"),
        ("anchor[0].at", "ridge", "give 2 or 3 lengths in brackets"),
        ("anchor[0].at", [18, 12], "anchor[0].at[0]: got 18; give a length with its unit"),
        ("anchor[0].basis", "rated", "'ultimate' or 'allowable'"),
        ("anchor[0].strength", "6,000 kN", "give a force from"),
        ("anchor[0].designed_by", 3, "give one line of text"),
        ("rope", [], "[rope.NAME]"),
        ("rope.line-11.condition", "fine", "'good'"),
        ("rope.line-11.strength", "30 kN to 20 kN", "put the lowest value of a range first"),
        ("lanyard.short.absorber", "yes", "a heading [lanyard.short.absorber]"),
        ("line", {}, "double brackets"),
        ("line[0].length", "60 ft", "longer than its whole rope is"),
        ("line[0].anchor", "A2", "known are 'A1'"),
        ("line[0].termination", "figure-ate loop", "figure-eight loop"),
        ("crew[0].mass", "2000 kg", "give a mass from 30 kg (66 lb) to 300 kg (661 lb)"),
        ("crew[0].trained_on", True, "give a date"),
        ("site.level[0].outline", [["0 ft", "0 ft"], ["1 ft", "0 ft"], ["2 ft", "0 ft"]], "must enclose an area"),
        ("site.obstacle[0].top", "-1 ft", "the top must lie above the base"),
        ("site.power_line[0].points", [["0 ft", "0 ft", "0 ft"]], "a list of 2 to 1000 places of 3 lengths each"),
        ("site.power_line[0].voltage", "7.2", "give a voltage with its unit"),
        ("answers.roof_sound", True, "give a table"),
        ("rescue.minutes", 10, "give a time with its unit"),
        ("facts.free_fal", "6 ft", "did you mean 'free_fall'"),
        ("facts.gear_age", 3, "give a time with its unit"),
        ("facts.gear_age", [1], "facts.gear_age: got 'a list'; give a time with its unit"),
        ("facts.guardrail", "perhaps", "give yes or no"),
        ("extra", 1, "there is no such field here"),
    ],
    ids=lambda value: value if isinstance(value, str) and "." in value else None,
)
def test_a_fault_says_what_would_be_right(raw: dict[str, object], field: str, value: object, says: str) -> None:
    told = faults(changed(raw, field, value))
    assert any(says in line for line in told), told
    section = re.split(r"[.\[]", field, maxsplit=1)[0]
    assert all(line.startswith(section) for line in told), told


@pytest.mark.parametrize(
    ("key", "field", "index"),
    [
        ("job", "name", None),
        ("job", "units", None),
        ("job", "rules", None),
        ("roof", "pitch", None),
        ("roof", "eave_height", None),
        ("roof", "size", None),
        ("anchor", "name", 0),
        ("anchor", "at", 0),
        ("anchor", "basis", 0),
        ("line", "rope", 0),
        ("line", "lanyard", 0),
        ("line", "length", 0),
        ("crew", "mass", 0),
        ("crew", "d_ring", 0),
        ("crew", "line", 0),
    ],
)
def test_what_nothing_can_be_planned_without_is_asked_for(
    raw: dict[str, object], key: str, field: str, index: int | None
) -> None:
    told = faults(without(raw, key, field, index))
    assert any(f".{field}: missing; " in line or ".outline: missing; " in line for line in told), told


@pytest.mark.parametrize("key", ["anchor", "line", "crew"])
def test_a_plan_needs_anchors_lines_and_crew(raw: dict[str, object], key: str) -> None:
    (told,) = faults({**raw, key: []})
    assert f"[[{key}]]" in told


def test_gear_that_was_not_told_of_stays_unknown(raw: dict[str, object]) -> None:
    """Whatever is left out comes back as None or 'unknown', never as something good."""
    for index_field in ("connector_strength", "gate_strength", "end_stop", "edge_protection", "termination"):
        raw = without(raw, "line", index_field, 0)
    for key in ("fibre", "construction", "stretch", "strength_basis", "condition", "uv_inhibitor"):
        del raw["rope"]["line-11"][key]  # type: ignore[index]
    del raw["lanyard"]["short"]["absorber"]  # type: ignore[index]
    del raw["lanyard"]["short"]["strength"]  # type: ignore[index]
    for key in ("follows", "fits_rope"):
        del raw["grab"]["auto"][key]  # type: ignore[index]
    raw = without(raw, "anchor", "independent", 0)
    for key in ("cover_capacity", "cover_fixed", "cover_marked", "guard"):
        del raw["roof"]["opening"][0][key]  # type: ignore[index]
    job = job_from_mapping(raw)
    line, rope, opening = job.lines[0], job.lines[0].rope, job.roof.openings[0]
    assert [rope.fibre, rope.construction, rope.stretch, rope.strength_basis, rope.condition] == ["unknown"] * 5
    assert rope.uv_inhibitor is None
    assert [line.connector_strength, line.gate_strength, line.end_stop, line.edge_protection] == [None] * 4
    assert line.termination == "unknown"
    assert [line.lanyard.absorber, line.lanyard.strength] == [None, None]
    assert line.grab is not None
    assert [line.grab.follows, line.grab.fits_rope] == [False, None]
    assert job.anchors[0].independent is None
    assert [opening.guard, opening.cover_capacity, opening.cover_fixed, opening.cover_marked] == [
        "none",
        None,
        None,
        None,
    ]
    assert job.roof_sound.yes is None
    assert job.rescue.minutes is None


def test_a_line_without_a_grab_has_none(raw: dict[str, object]) -> None:
    assert job_from_mapping(without(raw, "line", "grab", 0)).lines[0].grab is None


def test_of_a_single_figure_given_as_a_range_the_unsafe_end_is_taken_and_told(raw: dict[str, object]) -> None:
    job = job_from_mapping(changed(raw, "lanyard.short.length", "3 ft to 4 ft"))
    assert job.lines[0].lanyard.length == pytest.approx(4 * 0.3048)
    assert any("lanyard.short.length" in note and "high end" in note for note in job.notes)
    thin = job_from_mapping(changed(raw, "rope.line-11.diameter", "10 mm to 11 mm"))
    assert thin.lines[0].rope.diameter == pytest.approx(0.010)


def test_two_workers_on_one_line_is_no_fault_of_the_file(raw: dict[str, object]) -> None:
    crew = [*raw["crew"], {**raw["crew"][0], "name": "Worker 2"}]  # type: ignore[misc, index]
    assert [worker.line for worker in job_from_mapping({**raw, "crew": crew}).crew] == ["L1", "L1"]


@pytest.mark.parametrize("key", ["anchor", "line", "crew"])
def test_a_name_given_twice_is_a_fault_of_the_later_one(raw: dict[str, object], key: str) -> None:
    told = faults({**raw, key: [*raw[key], *raw[key]]})  # type: ignore[misc]
    assert told == [f"{key}[1].name: got {raw[key][0]['name']!r}; this name is taken; give each one its own"]  # type: ignore[index]


def test_gear_is_read_even_if_no_line_uses_it(raw: dict[str, object]) -> None:
    told = faults(changed(raw, "rope.spare.diameter", "11 furlongs"))
    assert any(line.startswith("rope.spare.diameter:") for line in told)


def test_the_answers_of_people_keep_their_names_and_dates(raw: dict[str, object]) -> None:
    given = changed(raw, "answers.roof_sound", {"yes": True, "by": "Robin", "on": date(2026, 1, 30)})
    job = job_from_mapping(changed(given, "rescue", {"method": "ladder", "by": "Kim", "minutes": "8 min to 12 min"}))
    assert (job.roof_sound.yes, job.roof_sound.by, job.roof_sound.on) == (True, "Robin", date(2026, 1, 30))
    assert (job.rescue.method, job.rescue.by, job.rescue.minutes) == ("ladder", "Kim", 12.0)


def test_facts_are_read_as_the_rules_take_them(raw: dict[str, object]) -> None:
    told = changed(changed(raw, "facts.gear_age", "90 d to 110 d"), "facts.guardrail", "no")
    job = job_from_mapping(changed(told, "facts.anchor_users", 1))
    assert dict(job.facts) == {
        "gear_age": Range(90 * 86400, 100 * 86400, 110 * 86400),
        "guardrail": False,
        "anchor_users": Range.exact(1.0),
    }


def test_the_raw_tables_are_kept_for_trying_changes(raw: dict[str, object]) -> None:
    before = copy.deepcopy(raw)
    job = job_from_mapping(raw)
    shorter = job_from_mapping(changed(job.raw, "line[0].length", "1.5 m"), path=job.path)
    assert shorter.lines[0].length == 1.5
    assert raw == before


# the file itself --------------------------------------------------------------------------------------------------


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "job.toml"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_a_file_reads_like_its_tables(tmp_path: Path) -> None:
    job = read_job(written(tmp_path, new_job_text("metric")))
    assert isinstance(job, Job)
    assert job.path == tmp_path / "job.toml"
    assert job.units is UnitSystem.METRIC


def test_windows_line_ends_and_a_byte_order_mark_do_not_matter(tmp_path: Path) -> None:
    text = "\ufeff" + new_job_text("us").replace("\n", "\r\n")
    assert read_job(written(tmp_path, text)).name == "New job"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[job]\nname = \n", "line 2, column 8: got 'name ='; TOML is broken: "),
        ("[job]\nname", "end of file: got 'name'; TOML is broken: "),
        ("[job]\n[job]\n", "line 2, "),
        (b"name = '\xff'", "byte 8: got 255; save the file as UTF-8 text"),
        ("a = " + "9" * 5000, "this is not a job file"),
        ("a = " + "[" * 5000, "this is not a job file"),
        ("a = '" + "x" * 40_000 + "'", "line 1: got '40006 characters'; break it"),
        ("# " + "x" * 80 + "\n" * (1 << 20), "a job file is text of at most 1 MiB"),
    ],
    ids=["value", "end", "twice", "bytes", "digits", "brackets", "long line", "large"],
)
def test_a_broken_file_is_told_with_its_place(tmp_path: Path, text: str | bytes, says: str) -> None:
    with pytest.raises(FileError) as caught:
        read_job(written(tmp_path, text))
    assert says in str(caught.value)
    assert "job.toml" in str(caught.value)


@pytest.mark.parametrize(("name", "says"), [("", "give a job file itself"), ("none.toml", "there is no such file")])
def test_what_is_no_file_is_told(tmp_path: Path, name: str, says: str) -> None:
    with pytest.raises(FileError, match=says):
        read_job(tmp_path / name)


def test_faults_of_local_rules_name_their_own_file(tmp_path: Path) -> None:
    (tmp_path / "ours.toml").write_text("[[limit]]\nfact = 'free_fal'\n")
    path = written(tmp_path, new_job_text("us").replace('# local_rules = "ours.toml"', 'local_rules = "ours.toml"'))
    with pytest.raises(InputErrors) as caught:
        read_job(path)
    assert all("ours.toml" in str(error) for error in caught.value.exceptions)


def test_faults_name_the_file(tmp_path: Path) -> None:
    path = written(tmp_path, new_job_text("us").replace('pitch = "6:12"', "pitch = 6"))
    with pytest.raises(InputErrors) as caught:
        read_job(path)
    assert caught.value.message == f"{path}: 1 fault"
    (error,) = caught.value.exceptions
    assert isinstance(error, InputError)
    assert str(error).startswith(f"{path}: roof.pitch: got 6; ")


def test_a_stiffness_that_no_fibre_gives_is_a_fault_of_its_field() -> None:
    """150 GPa over the section of an 11 mm rope is 14.3 MN; 100 MN is kN written for N."""
    raw = changed(tomllib.loads(new_job_text("metric")), 'rope."line-11".stiffness', "100,000 kN")
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(raw)
    assert [error.field for error in caught.value.exceptions] == ["rope.line-11.stiffness"]
