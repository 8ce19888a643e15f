"""Long work: done elsewhere, followed, stopped at once, and none is lost in silence."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from ropewright.web.work import FullError, State, Works

HERE = str(Path(__file__).parent)
LONG = 60.0  # only so that a test that goes wrong ends


@pytest.fixture
def works(monkeypatch):
    monkeypatch.syspath_prepend(HERE)  # the process begins with the path of this one
    made = Works()
    yield made
    made.close()


def started(works, name, *arguments, key="k", then=None):
    return works.start(key, f"work_tasks:{name}", *arguments, then=then)


def until(works, number, state):
    with works._changed:
        assert works._changed.wait_for(lambda: works.find(number).state is state, LONG)


def test_result_comes_from_another_process(works):
    kept = []
    work = works.wait(started(works, "add", 1, 2, then=kept.append).number, LONG)
    assert work.state is State.DONE
    total, process = work.result
    assert total == 3
    assert process != os.getpid()
    assert kept == [(3, process)]


def test_what_was_refused_names_its_field(works):
    work = works.wait(started(works, "refuse").number, LONG)
    assert (work.state, work.faults[0].field) == (State.REFUSED, "line[0].length")


def test_what_nobody_foresaw_fails_and_the_next_is_done(works):
    assert works.wait(started(works, "fail").number, LONG).state is State.FAILED
    assert works.wait(started(works, "add", 1, 2).number, LONG).state is State.DONE


def test_process_that_dies_fails_its_work_and_the_next_is_done(works):
    assert works.wait(started(works, "die").number, LONG).state is State.FAILED
    assert works.wait(started(works, "add", 1, 2).number, LONG).state is State.DONE


def test_stop_ends_what_would_never_end(works):
    work = started(works, "hang")
    until(works, work.number, State.WORKING)
    assert works.stop(work.number).state is State.STOPPED
    assert works.wait(started(works, "add", 1, 2).number, LONG).state is State.DONE
    assert works.find(work.number).state is State.STOPPED


def test_progress_is_told(works):
    work = started(works, "hang")
    with works._changed:
        assert works._changed.wait_for(lambda: works.find(work.number).doing == "hanging", LONG)
    assert works.find(work.number).share == 0.25


def test_one_key_is_worked_on_once(works):
    first = started(works, "hang")
    assert started(works, "hang").number == first.number
    assert started(works, "hang", key="other").number != first.number


def test_what_waits_can_be_stopped(works):
    started(works, "hang")
    waiting = started(works, "add", 1, 2, key="other")
    assert works.stop(waiting.number).state is State.STOPPED


def test_too_much_is_refused(works):
    started(works, "hang", key="first")
    until(works, works.of_key("first").number, State.WORKING)
    for number in range(20):
        started(works, "hang", key=str(number))
    with pytest.raises(FullError):
        started(works, "hang", key="more")


def test_result_that_could_not_be_kept_fails_and_the_next_is_done(works, capsys):
    def full(_value):
        raise OSError("the disk is full")

    assert works.wait(started(works, "add", 1, 2, then=full).number, LONG).state is State.FAILED
    assert "the disk is full" in capsys.readouterr().err
    assert works.wait(started(works, "add", 1, 2).number, LONG).state is State.DONE


def test_what_has_ended_stays_so(works):
    done = works.wait(started(works, "add", 1, 2).number, LONG)
    assert works.stop(done.number).state is State.DONE
    assert works.stop(999) is None
