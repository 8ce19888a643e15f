"""`gear calendar` and `gear labels`: files written whole, made from the record as it is."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar

from ropewright.cli.main import main
from ropewright.store.gear_actions import receive
from ropewright.store.gear_fields import read_told
from ropewright.store.gear_piece import Act
from ropewright.store.gear_words import read_kind
from ropewright.store.opening import open_record

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run a command of gear on a record of two invented pieces."""
    place = tmp_path / "record.db"
    record = open_record(place)
    day = date(2026, 5, 1)
    for kind, tag, told in (
        ("rope", "R-001", {"length_m": "60 m", "interval": "6 months", "made": "2025-01", "life_by_age": "10 years"}),
        ("bag", "B-001", {}),
    ):
        receive(
            record, read_kind(kind, "kind"), tag, read_told(read_kind(kind, "kind"), told), Act("B. Example", day, day)
        )
    record.close()

    def call(*args: str, code: int = 0) -> Result:
        result = CliRunner().invoke(main, ["--store", str(place), "gear", *args])
        assert result.exit_code == code, result.output
        return result

    return call


def test_the_calendar_holds_what_is_due(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "due.ics"
    document = json.loads(run("calendar", str(out), "--json").stdout)
    events = Calendar.from_ical(out.read_bytes()).walk("VEVENT")
    assert document["events"] == len(events) == 2
    # bought or received 2026-05-01 and inspected every 6 months; made by 2025-01-01 and lasts 10 years
    assert [event["DTSTART"].dt for event in events] == [date(2026, 11, 1), date(2035, 1, 1)]
    assert document["head"]["hash"] in str(events[0]["DESCRIPTION"])


def test_labels_are_made_for_the_pieces_named(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    document = json.loads(run("labels", str(out), "r-001", "--address", "http://192.0.2.7:8000/", "--json").stdout)
    assert document["labels"] == [{"tag": "R-001", "code": "http://192.0.2.7:8000/gear/R-001"}]
    assert out.read_bytes().startswith(b"%PDF")
    assert len(json.loads(run("labels", str(out), "--all", "--json").stdout)["labels"]) == 2


REFUSED = [
    ("labels", "x.pdf"),
    ("labels", "x.pdf", "R-001", "--all"),
    ("labels", "x.pdf", "R-999"),
    ("labels", "x.pdf", "R-001", "--grid", "99x9"),
    ("labels", "x.pdf", "R-001", "--address", "ropes.example"),
    ("labels", "x.pdf", "R-001", "--skip", "24"),
    ("labels", "no/x.pdf", "R-001"),
    ("calendar", "no/x.ics"),
]


@pytest.mark.parametrize("args", REFUSED, ids=" ".join)
def test_what_can_not_be_is_refused_and_nothing_is_written(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, args: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.iterdir())
    result = run(*args, code=2)
    assert result.stderr.startswith(("error: ", "Usage: "))
    assert [path for path in sorted(tmp_path.iterdir()) if path not in before and "record" not in path.name] == []


def test_an_empty_record_has_no_calendar(tmp_path: Path) -> None:
    open_record(tmp_path / "empty.db").close()
    place = ["--store", str(tmp_path / "empty.db")]
    result = CliRunner().invoke(main, [*place, "gear", "calendar", str(tmp_path / "due.ics")])
    assert result.exit_code == 2
    assert "the record is empty" in result.stderr
