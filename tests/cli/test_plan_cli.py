"""`ropewright plan`: exit status, files, the document for programs and what is promised of each finding in it.

The contract: exit 0 everything holds, 1 something fails, is doubtful or must be asked, 2 the input can't be used; one
JSON document in SI that `ropewright/sheets/schema` describes; every finding with the same keys.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import click
import jsonschema
import pytest
from click.testing import CliRunner

from ropewright.cli.main import main
from ropewright.sheets.document import findings_schema

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = {"findings.json", "map.svg", "plan.pdf"}

#: Restrained on a flat roof, every question of the pack answered from what was read.
HOLDING = """
[job]
name = "wholly held (invented)"
units = "metric"
rules = "us-general-industry"
[roof]
form = "flat"
size = ["12 m", "10 m"]
eave_height = "6 m"
[site]
ground = "0 m"
[[anchor]]
name = "middle"
at = ["6 m", "5 m"]
strength = "25 kN"
basis = "ultimate"
independent = true
[rope.r]
fibre = "polyester"
construction = "sheathed core"
stretch = "static"
diameter = "11 mm"
length = "20 m"
strength = "30 kN"
strength_basis = "batch minimum"
condition = "new, dry"
[lanyard.l]
length = "0.5 m"
strength = "25 kN"
absorber = { force = "4 kN", length = "1 m" }
[grab.g]
lock = "0.1 m"
slip = "0 m"
fits_rope = true
[[line]]
name = "one"
anchor = "middle"
rope = "r"
lanyard = "l"
grab = "g"
length = "3 m"
termination = "rated assembly"
connector_strength = "25 kN"
gate_strength = "17 kN"
end_stop = true
edge_protection = true
loose_rope = "in a bag"
[[crew]]
name = "w"
mass = "100 kg"
d_ring = "1.4 m"
line = "one"
trained_on = 2026-01-05
[answers]
roof_sound = { yes = true, by = "lead", on = 2026-04-01 }
[rescue]
method = "lower by the second line"
by = "lead"
"""


def run(*arguments):
    return CliRunner().invoke(main, [str(one) for one in arguments])


@pytest.fixture
def job(tmp_path):
    def writing(*changes):
        text = HOLDING
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        path = tmp_path / "job.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return writing


def no_constant(name):
    raise AssertionError(f"{name} is no JSON number")


@cache
def document(path):
    result = run("plan", path, "--json")
    assert result.exit_code == 1, result.stderr
    return json.loads(result.stdout, parse_constant=no_constant)


@pytest.fixture(params=["gable-house", "l-hip-metric", "hague-house"])
def plan(request):
    return document(EXAMPLES / f"{request.param}.toml")


# exit status and files -----------------------------------------------------------------------------------------------


def test_a_job_in_which_everything_holds_exits_with_0(job):
    result = run("plan", job(), "--json")
    told = json.loads(result.stdout)
    assert [one["id"] for one in told["findings"] if one["verdict"] != "holds"] == []
    assert (result.exit_code, told["verdict"]) == (0, "holds")


def test_a_caught_worker_of_whom_all_holds_exits_with_0(job):
    path = job(('length = "3 m"', 'length = "2.7 m"'), ('at = ["6 m", "5 m"]', 'at = ["6 m", "3 m"]'))
    result = run("plan", path, "--json")
    told = json.loads(result.stdout)
    assert any(row["reached"] for row in told["edges"])
    assert (result.exit_code, told["verdict"]) == (0, "holds")


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        (('strength = "25 kN"\nbasis', 'strength = "10 kN"\nbasis'), "fails"),
        (('strength = "25 kN"\nbasis', 'strength = "20 kN to 24 kN to 30 kN"\nbasis'), "doubtful"),
        (("end_stop = true\n", ""), "ask"),
        (("yes = true, ", ""), "ask"),
    ],
    ids=["weak anchor", "anchor perhaps too weak", "end of the line not told", "soundness of the roof not told"],
)
def test_whatever_does_not_hold_exits_with_1(job, change, verdict):
    """The pack asks nothing about the end of a line or the roof itself: not told is asked all the same."""
    result = run("plan", job(change), "--json")
    assert (result.exit_code, json.loads(result.stdout)["verdict"]) == (1, verdict)


def test_the_files_are_written_and_named(job, tmp_path):
    result = run("plan", job(), "--out", tmp_path / "deep" / "out")
    written = {path.name for path in (tmp_path / "deep" / "out").iterdir()}
    assert result.exit_code == 0
    assert written == FILES
    assert all(name in result.stdout for name in FILES)
    assert (tmp_path / "deep" / "out" / "plan.pdf").read_bytes().startswith(b"%PDF-")


def test_the_file_holds_the_document_that_is_printed(job, tmp_path):
    result = run("plan", job(), "--out", tmp_path, "--json")
    assert json.loads((tmp_path / "findings.json").read_text(encoding="utf-8")) == json.loads(result.stdout)


def test_a_second_run_writes_the_same_files(job, tmp_path):
    contents = []
    for folder in ("one", "two"):
        run("plan", job(), "--out", tmp_path / folder)
        contents.append({name: (tmp_path / folder / name).read_bytes() for name in ("findings.json", "map.svg")})
    assert contents[0] == contents[1]


def test_without_a_folder_nothing_is_written(job, tmp_path):
    run("plan", job())
    assert {path.name for path in tmp_path.iterdir()} == {"job.toml"}


def test_the_summary_fits_one_screen_and_carries_the_caution():
    result = run("plan", EXAMPLES / "gable-house.toml")
    assert len(result.stdout.splitlines()) <= 40
    assert "competent or qualified person" in result.stdout.replace("\n", " ")


# what can't be used --------------------------------------------------------------------------------------------------


def test_a_broken_file_names_line_and_column(job):
    result = run("plan", job(('units = "metric"', 'units = "metric')))
    assert result.exit_code == 2
    assert "line 4, column" in result.stderr
    assert "job.toml" in result.stderr
    assert "Traceback" not in result.output


def test_all_faults_of_a_file_are_told_one_to_a_line(job):
    result = run("plan", job(('mass = "100 kg"', "mass = 100"), ('length = "3 m"', 'length = "3 kN"')))
    assert result.exit_code == 2
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 2
    assert {"crew[0].mass", "line[0].length"} == {
        next(k for k in ("crew[0].mass", "line[0].length") if k in one) for one in lines
    }


@pytest.mark.parametrize("name", ["missing.toml", "."])
def test_a_file_that_is_not_there_or_is_a_folder_exits_with_2(tmp_path, name):
    result = run("plan", tmp_path / name)
    assert result.exit_code == 2
    assert result.stderr.startswith("error: ")
    assert len(result.stderr.splitlines()) == 1


def test_an_anchor_inside_the_house_is_told_with_file_and_field(job):
    result = run("plan", job(('at = ["6 m", "5 m"]', 'at = ["6 m", "5 m", "2 m"]')))
    assert result.exit_code == 2
    assert "job.toml: anchor[0].at" in result.stderr


def test_a_folder_that_cannot_be_made_exits_with_2(job, tmp_path):
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    result = run("plan", job(), "--out", tmp_path / "taken" / "out")
    assert result.exit_code == 2
    assert "--out" in result.stderr


def test_a_file_that_cannot_be_written_leaves_the_old_ones_whole(job, tmp_path):
    """A folder stands where the map should go; root may write anywhere, so that rights would not do."""
    out = tmp_path / "out"
    (out / "map.svg").mkdir(parents=True)
    (out / "map.svg" / "kept").write_text("old", encoding="utf-8")
    (out / "plan.pdf").write_bytes(b"old plan")
    result = run("plan", job(), "--out", out)
    assert result.exit_code == 2
    assert "--out" in result.stderr
    assert (out / "plan.pdf").read_bytes() == b"old plan"
    assert {path.name for path in out.iterdir()} <= FILES  # nothing half written is left behind


# the document --------------------------------------------------------------------------------------------------------


def test_the_document_is_what_the_schema_says(plan):
    jsonschema.Draft202012Validator(findings_schema()).validate(plan)


def test_every_finding_has_the_keys_of_the_contract(plan, contract):
    for one in plan["findings"]:
        assert one.keys() >= contract
        assert one["verdict"] in {"holds", "fails", "doubtful", "ask"}
        assert one["question"].endswith("?"), one["id"]
        assert one["formula"], one["id"]


def test_ids_are_unique(plan):
    ids = [one["id"] for one in plan["findings"]]
    assert len(set(ids)) == len(ids)


def test_a_limit_has_an_operator_a_unit_and_a_source(plan):
    for one in plan["findings"]:
        if one["limit"] is not None:
            assert one["operator"] in {"<=", "<", ">=", ">"}, one["id"]
            assert one["source"], one["id"]
            assert one["unit"], one["id"]


def test_the_margin_has_the_sign_of_the_verdict(plan):
    for one in plan["findings"]:
        if one["limit"] is None:
            assert one["margin"] is None, one["id"]
        elif one["verdict"] == "holds":
            assert one["margin"] >= 0, one["id"]
        elif one["verdict"] in ("fails", "doubtful"):
            assert one["margin"] < 0, one["id"]


def test_value_and_limit_agree_with_margin_and_verdict(plan):
    """Recomputed from the numbers shown: margin is the distance from the unsafe end to the limit."""
    for one in plan["findings"]:
        if one["limit"] is None or one["value"] is None or one["low"] is None:
            continue
        at_most = one["operator"] in ("<=", "<")
        margin = one["limit"] - one["high"] if at_most else one["low"] - one["limit"]
        assert one["margin"] == pytest.approx(margin, rel=1e-6, abs=1e-6), one["id"]
        past = one["value"] > one["limit"] + 1e-6 if at_most else one["value"] < one["limit"] - 1e-6
        if past:
            assert one["verdict"] in ("fails", "ask"), one["id"]


def test_what_happens_at_an_edge_names_the_edge_and_a_point_on_it(plan):
    edges = {(row["edge"], row["x_m"], row["y_m"], row["z_m"]) for row in plan["edges"]}
    at_edges = [one for one in plan["findings"] if one["where"]["edge"] and one["where"]["worker"]]
    assert at_edges
    for one in at_edges:
        point = tuple(round(one["where"]["point"][key], 6) for key in ("x_m", "y_m", "z_m"))
        assert (one["where"]["edge"], *point) in edges, one["id"]


def test_keys_of_figures_end_in_their_unit(plan):
    units = ("_m", "_n", "_kg", "_s", "_v", "_m2", "_deg", "_m_s", "_m_per_s", "_n_per_m")
    bare = {"factor", "n", "k", "share", "friction", "users_per_line", "cover_factor", "anchor_design_factor"}
    bare |= {"energy_error", "rope_model_error", "absorber_model_error", "opening_model_error"}
    for row in plan["edges"]:
        for key, value in row.items():
            assert not isinstance(value, float) or key.endswith(units), key
    for one in plan["findings"]:
        for key, value in one["inputs"].items():
            is_figure = isinstance(value, int | float) and not isinstance(value, bool)
            assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", key), (one["id"], key)
            named_step = key.startswith("step_")  # steps of a rope's strength: ratios
            assert not is_figure or named_step or key.endswith(units) or key in bare, (one["id"], key)


def test_every_question_to_a_person_says_what_to_decide(plan):
    assert all(one["decide"] for one in plan["findings"] if one["verdict"] == "ask")


def test_the_verdict_of_the_whole_is_the_worst(plan):
    order = ["holds", "doubtful", "ask", "fails"]
    assert plan["verdict"] == max((one["verdict"] for one in plan["findings"]), key=order.index)


def test_the_edges_verdicts_are_those_of_the_findings_at_worst(plan):
    order = ["holds", "doubtful", "ask", "fails"]
    kinds = {
        "free-fall",
        "arrest-force",
        "deceleration",
        "clearance-book",
        "clearance-simulated",
        "swing",
        "power-line",
    }
    for worker in {row["worker"] for row in plan["edges"]}:
        rows = [row["verdict"] for row in plan["edges"] if row["worker"] == worker and row["verdict"]]
        found = [
            one["verdict"]
            for one in plan["findings"]
            if one["where"]["worker"] == worker and one["id"].split("/")[0] in kinds
        ]
        if rows:
            assert max(rows, key=order.index) == max(found, key=order.index)


def test_no_path_of_this_machine_stands_in_the_document(plan):
    assert str(EXAMPLES) not in json.dumps(plan)


# every command -------------------------------------------------------------------------------------------------------


def commands(command, path=()):
    context = click.Context(command)
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            yield from commands(command.get_command(context, name), (*path, name))
        if not command.invoke_without_command:
            return
    yield pytest.param(path, command, id=" ".join(path))


@pytest.mark.parametrize(("path", "command"), list(commands(main)))
def test_every_command_takes_json_and_shows_help_with_an_example(path, command):
    names = {name for parameter in command.params for name in parameter.opts}
    assert "--json" in names
    result = run(*path, "--help")
    assert result.exit_code == 0
    assert "xample" in result.stdout


def test_the_list_of_commands_shows_without_importing_the_heavy_parts():
    result = run("--help")
    assert result.exit_code == 0
    assert "plan" in result.stdout


def test_draws_asked_for_on_the_command_line_are_those_of_the_job_file(job):
    reaching = (('mass = "100 kg"', 'mass = "90 kg to 110 kg"'), ('length = "3 m"', 'length = "6 m"'))
    told = run("plan", job(*reaching), "--draws", "64", "--json")
    asked = run("plan", job(*reaching, ("[roof]", "[plan]\ndraws = 64\n[roof]")), "--json")
    assert told.exit_code == asked.exit_code
    draws = [one["draws"] for one in json.loads(told.stdout)["findings"] if one["draws"]]
    assert {one["count"] for one in draws} == {64}
    assert json.loads(told.stdout)["findings"] == json.loads(asked.stdout)["findings"]


def test_draws_of_the_job_file_can_be_left_out_once(job):
    file = job(("[roof]", "[plan]\ndraws = 64\n[roof]"))
    found = json.loads(run("plan", file, "--draws", "0", "--json").stdout)["findings"]
    assert all(one["draws"] is None for one in found)


@pytest.mark.parametrize("count", ["-1", "2.5", "'many'", "200000"])
def test_a_number_of_draws_that_cant_be_is_a_fault_of_the_file(job, count):
    result = run("plan", job(("[roof]", f"[plan]\ndraws = {count}\n[roof]")))
    assert result.exit_code == 2
    assert "plan.draws" in result.stderr
