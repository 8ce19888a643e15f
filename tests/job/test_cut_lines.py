"""Lines of a job as pieces: the parts make up the sum, and no line comes out shorter than it is set."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from ropewright.errors import InputErrors
from ropewright.job.cut_file import cut_all, read_cut_file
from ropewright.job.cut_lines import LineAsked, LinesAsked, LineToCut, lines_to_cut
from ropewright.job.file import read_job
from ropewright.job.model import Job
from ropewright.rope.knots import knots, tie

FOOT = 0.3048
EXAMPLE = Path(__file__).parents[2] / "examples" / "gable-house.toml"
TWICE = "[[line]]\nname = 'blue'\nend = '2 ft'\n"
SPOOL = '\n[[spool]]\nname = "A"\nlength = "100 ft"\n'


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(EXAMPLE)


def cut(job: Job, **asked: object) -> dict[str, LineToCut]:
    return {line.name: line for line in lines_to_cut(job, LinesAsked(LineAsked(**asked)))}  # type: ignore[arg-type]


def part(line: LineToCut, start: str) -> float:
    return next(part.length for part in line.parts if part.name.startswith(start))


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "cut.toml"
    path.write_text(f"units = 'us'\njob = '{EXAMPLE}'\n{text}")
    return path


def test_parts_make_up_the_piece(job: Job) -> None:
    for line in cut(job, end=0.5, spare=0.3).values():
        assert line.piece.length == pytest.approx(sum(part.length for part in line.parts))
        assert part(line, "spare") == 0.3


def test_each_further_reach_is_no_shorter_and_none_under_the_stop(job: Job) -> None:
    stop, edge, ground = (cut(job, reach=reach, end=0.5) for reach in ("stop", "edge", "ground"))
    for line in job.lines:
        assert line.length < stop[line.name].length <= edge[line.name].length <= ground[line.name].length


def test_line_that_reaches_no_edge_needs_nothing_beyond_its_stop(job: Job) -> None:
    assert part(cut(job, reach="ground", end=0.5)["blue"], "on to the ground") == 0.0


def test_line_over_the_eave_is_long_enough_to_the_ground(job: Job) -> None:
    """The line that is caught can't be shorter than the height of its anchor over level ground."""
    line = cut(job, reach="ground", end=0.5)["white"]
    anchor = next(one for one in job.anchors if one.name == next(o.anchor for o in job.lines if o.name == "white"))
    assert part(line, "anchor to stop") + part(line, "on to the ground") >= anchor.point[2]


def test_knot_takes_what_is_measured_on_its_curve(job: Job) -> None:
    white = replace(next(line for line in job.lines if line.name == "white"), termination="bowline")
    line = cut(replace(job, lines=(white,), crew=()))["white"]
    tied, stopper = (tie(knots()[name], white.rope.diameter) for name in ("bowline", "double overhand stopper"))
    assert line.length == pytest.approx(white.length + tied.rope_in_all + stopper.rope_in_all)


def test_line_without_grab_has_an_end_at_its_lanyard_and_no_stopper(job: Job) -> None:
    bare = replace(job.lines[1], grab=None, termination="bowline")
    names = [part.name for part in cut(replace(job, lines=(bare,), crew=()))["white"].parts]
    assert "end at the lanyard, bowline" in names
    assert "double overhand stopper" not in names


def test_end_that_no_knot_makes_must_be_told(job: Job, tmp_path: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        read_cut_file(write(tmp_path, SPOOL))
    assert any(
        "rated assembly" in str(fault) and "as end, in [lines]" in str(fault) for fault in caught.value.exceptions
    )
    with pytest.raises(ValueError, match="rated assembly"):
        list(lines_to_cut(job, LinesAsked()))


def test_lines_of_a_job_stand_among_the_pieces(tmp_path: Path) -> None:
    asked = read_cut_file(write(tmp_path, f"[lines]\nend = '2 ft'\n{SPOOL}"))
    assert [piece.name for rope in asked.ropes for piece in rope.pieces] == ["blue", "white"]
    assert [line.length for line in asked.lines] == [piece.length for rope in asked.ropes for piece in rope.pieces]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (f"[lines]\nend = '2 ft'\n[[piece]]\nname = 'blue'\nlength = '3 ft'\n{SPOOL}", "name of its own"),
        (f"[lines]\nreach = 'moon'\nend = '2 ft'\n{SPOOL}", "'stop' or 'edge' or 'ground'"),
        (f"[lines]\nend = '2 ft'\nspare = '-1 ft'\n{SPOOL}", "lines.spare"),
        (f"[[line]]\nname = 'bleu'\nend = '2 ft'\n{SPOOL}", "the nearest is 'blue'"),
        (f"[[line]]\nname = 'blue'\ntermination = 'bowlin'\nend = '2 ft'\n{SPOOL}", "did you mean 'bowline'"),
        (f"{2 * TWICE}{SPOOL}", "give each line one"),
        (f"[[line]]\nname = 'blue'\nends = '2 ft'\n{SPOOL}", "the nearest is 'end'"),
    ],
)
def test_fault_of_the_lines_says_what_would_be_right(text: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        read_cut_file(write(tmp_path, text))
    assert any(says in str(fault) for fault in caught.value.exceptions), caught.value.exceptions


@pytest.mark.parametrize(
    ("head", "says"),
    [("[lines]\nspare = '1 ft'", "give the file of the job"), ("job = 'none.toml'", "no such file")],
)
def test_lines_need_their_job(head: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "cut.toml"
    path.write_text(f"units = 'us'\n{head}\n[[piece]]\nname = 'p'\nlength = '3 ft'\n{SPOOL}")
    with pytest.raises(InputErrors) as caught:
        read_cut_file(path)
    assert any(says in str(fault) for fault in caught.value.exceptions)


def test_job_that_can_t_be_used_is_a_fault_of_the_list(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("units = 'us'\n")
    path = tmp_path / "cut.toml"
    path.write_text(f"units = 'us'\njob = 'bad.toml'\n{SPOOL}")
    with pytest.raises(InputErrors) as caught:
        read_cut_file(path)
    assert any("ropewright plan" in str(fault) for fault in caught.value.exceptions)


def lines_of(tmp_path: Path, text: str) -> dict[str, LineToCut]:
    return {line.name: line for line in read_cut_file(write(tmp_path, f"{text}{SPOOL}")).lines}


def test_a_line_ended_otherwise_takes_the_rope_of_that_end(tmp_path: Path, job: Job) -> None:
    blue = lines_of(tmp_path, "[[line]]\nname = 'blue'\ntermination = 'bowline'\n")["blue"]
    tied = tie(knots()["bowline"], job.lines[0].rope.diameter)
    assert part(blue, "end at the anchor, bowline") == pytest.approx(tied.rope)
    assert part(blue, "backup, end at the anchor") == pytest.approx(tied.backup)
    assert blue.differs


def test_strength_of_a_line_follows_from_its_end(tmp_path: Path) -> None:
    """App C II(h)(3): a knot leaves half at the most; the job's rope was told as finished with its own end."""
    ended = {"as planned": "", "knotted": "termination = 'bowline'\n"}
    blue = {
        name: lines_of(tmp_path, f"[[line]]\nname = 'blue'\nend = '2 ft'\n{more}")["blue"]
        for name, more in ended.items()
    }
    assert blue["knotted"].strength.high <= 0.5 * blue["knotted"].strength.as_new.high
    assert blue["knotted"].strength.low < blue["as planned"].strength.low
    assert not blue["as planned"].differs


def test_rope_told_for_one_end_is_not_taken_for_another(tmp_path: Path) -> None:
    """Two feet are what the maker's end takes; a bowline on one line takes its own."""
    both = lines_of(tmp_path, "[lines]\nend = '2 ft'\n[[line]]\nname = 'blue'\ntermination = 'bowline'\n")
    assert part(both["white"], "end at the anchor, figure-eight loop, as told") == pytest.approx(2 * FOOT)
    assert "as told" not in " ".join(one.name for one in both["blue"].parts)


def test_an_end_that_no_knot_makes_is_asked_of_the_line_that_has_it(tmp_path: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        lines_of(tmp_path, "[lines]\nend = '2 ft'\n[[line]]\nname = 'white'\ntermination = 'eye splice'\n")
    (fault,) = caught.value.exceptions
    assert "line 'white': got 'eye splice'" in str(fault)


def test_the_example_of_a_job_cuts_its_lines_and_says_which_end_differs() -> None:
    asked = read_cut_file(EXAMPLE.with_name("cutting-job.toml"))
    assert [(line.name, line.differs) for line in asked.lines] == [("blue", False), ("white", True)]
    assert not any(plan.uncut for plan in cut_all(asked).values())
