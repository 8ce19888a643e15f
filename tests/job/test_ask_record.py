"""What the record says of the ropes and people that a job names: unfit fails, not looked up asks, never better."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from plain_jobs import plain

from ropewright.errors import InputErrors
from ropewright.findings import Finding, Verdict
from ropewright.job import assess, job_from_mapping
from ropewright.job.ask_record import ask_about_record
from ropewright.job.line_ends import rope_needed
from ropewright.job.model import Job
from ropewright.job.real_gear import with_record
from ropewright.job.recorded import Recorded, recorded_of
from ropewright.store.crew_actions import add_person, leave, need_training, sign_off, train
from ropewright.store.crew_body import Certificate, Need, Particulars, SignOff, Training
from ropewright.store.crew_words import skills, systems, topics
from ropewright.store.entry import Head
from ropewright.store.gear_actions import give_out, put_in_kit, quarantine_gear, receive, record_fall, retire, start_use
from ropewright.store.gear_fields import read_told
from ropewright.store.gear_piece import Act
from ropewright.store.gear_words import read_kind
from ropewright.store.ledger import Ledger
from ropewright.store.opening import open_record

TODAY = date(2026, 6, 1)
ACT = Act("B. Example", TODAY, TODAY)

#: A rope that nothing speaks against: new, its life and interval told.
ROPE = {
    "fibre": "polyester", "construction": "sheathed core", "stretch": "static", "diameter_m": "11 mm",
    "length_m": "30 m", "strength_n": "30 kN", "strength_basis": "batch minimum", "wear": "new", "made": "2026-01-01",
    "life_by_age": "10 years", "interval": "6 months",
}  # fmt: skip


@pytest.fixture
def record(tmp_path: Path) -> Ledger:
    clock = datetime(2026, 6, 1, 23, 59, tzinfo=UTC)
    return open_record(tmp_path / "record.db", clock=lambda: clock)


def rope(record: Ledger, tag: str = "R-001", *, kind: str = "rope", **changes: str) -> None:
    told = {key: text for key, text in {**(ROPE if kind == "rope" else {}), **changes}.items() if text}
    receive(record, read_kind(kind, "kind"), tag, read_told(read_kind(kind, "kind"), told), ACT)


def person(record: Ledger, code: str = "P-07", *, roles: tuple[str, ...] = ("authorised",), **changes: object) -> None:
    told = Particulars(name="A. Example", mass=82.0, mass_with_tools=95.0, harness_size="M")
    add_person(record, code, told, roles=roles, by="B. Example")
    training: dict[str, Any] = {
        "on": date(2026, 3, 2), "topics": tuple(topics()), "systems": tuple(systems()), "trainer": "C. Example",
        "trainer_is": ("competent",), "certificate": Certificate("C. Example", "trainer"),
    }  # fmt: skip
    train(record, code, Training(**{**training, **changes}), by="B. Example")
    for skill in skills():
        sign_off(record, code, SignOff(date(2026, 3, 3), skill, "can", "C. Example"), by="B. Example")


def a_job(**crew: str) -> Job:
    raw = deepcopy(plain())
    raw["line"][0]["tag"] = "r-001"  # type: ignore[index]
    raw["crew"][0] |= crew  # type: ignore[index]
    return job_from_mapping(raw)


def looked_up(job: Job, record: Ledger) -> Job:
    with record.read() as view:
        return with_record(job, recorded_of(view, job, TODAY))


def answers(job: Job) -> dict[str, Finding]:
    return {finding.id: finding for finding in ask_about_record(job)}


def test_a_job_that_names_nothing_is_asked_nothing() -> None:
    assert answers(job_from_mapping(plain())) == {}


def test_what_is_named_and_not_looked_up_is_asked() -> None:
    found = answers(a_job(person="p-07"))
    assert {name: one.verdict for name, one in found.items()} == {
        "gear-record/one": Verdict.ASK,
        f"crew-record/{a_job().crew[0].name}": Verdict.ASK,
    }
    assert all("--store" in one.decide for one in found.values())


def test_a_fit_rope_that_is_long_enough_holds(record: Ledger) -> None:
    rope(record)
    found = answers(looked_up(a_job(), record))
    assert {name: one.verdict for name, one in found.items()} == {
        "gear-record/one": Verdict.HOLDS,
        "gear-length/one": Verdict.HOLDS,
    }


UNFIT: list[tuple[str, Callable[[Ledger], object], str]] = [
    ("quarantined", lambda record: quarantine_gear(record, ["R-001"], "stiff place", ACT), "stiff place"),
    ("fallen", lambda record: (start_use(record, ["R-001"], ACT), record_fall(record, ACT, tags=["R-001"])), "fall"),
    ("retired", lambda record: retire(record, ["R-001"], "worn", ACT), "worn"),
]


@pytest.mark.parametrize(("act", "says"), [case[1:] for case in UNFIT], ids=[case[0] for case in UNFIT])
def test_unfit_gear_fails(record: Ledger, act: Callable[[Ledger], object], says: str) -> None:
    rope(record)
    act(record)
    found = answers(looked_up(a_job(), record))["gear-record/one"]
    assert found.verdict is Verdict.FAILS
    assert says in found.summary


def test_late_gear_fails(record: Ledger) -> None:
    rope(record, bought="2025-06-01", made="2025-01-01", wear="good", uses="3")
    found = answers(looked_up(a_job(), record))["gear-record/one"]
    assert found.verdict is Verdict.FAILS
    assert "inspect" in found.summary


def test_gear_that_is_late_only_on_the_day_of_the_job_fails(record: Ledger) -> None:
    """An inspection every 6 months from 2026-06-01 on is due on 2026-12-01."""
    rope(record, bought="2026-06-01")
    raw = deepcopy(plain())
    raw["line"][0]["tag"] = "R-001"  # type: ignore[index]
    raw["job"]["date"] = date(2026, 12, 2)  # type: ignore[index]
    assert answers(looked_up(job_from_mapping(raw), record))["gear-record/one"].verdict is Verdict.FAILS
    raw["job"]["date"] = date(2026, 12, 1)  # type: ignore[index]
    assert answers(looked_up(job_from_mapping(raw), record))["gear-record/one"].verdict is Verdict.HOLDS


def test_what_the_record_does_not_know_fails(record: Ledger) -> None:
    found = answers(looked_up(a_job(person="P-99"), record))
    assert [one.verdict for one in found.values()] == [Verdict.FAILS, Verdict.FAILS]
    assert "no piece with the tag R-001" in found["gear-record/one"].summary


def test_a_tag_of_something_else_than_rope_fails(record: Ledger) -> None:
    rope(record, kind="harness")
    assert "a line is of rope" in answers(looked_up(a_job(), record))["gear-record/one"].summary


def test_a_rope_shorter_than_the_line_with_its_ends_fails(record: Ledger) -> None:
    needed = rope_needed(a_job().lines[0])
    rope(record, length_m=f"{needed - 0.001:.6f} m")
    found = answers(looked_up(a_job(), record))["gear-length/one"]
    assert found.verdict is Verdict.FAILS
    assert found.margin == pytest.approx(-0.001, abs=1e-6)


def test_a_rope_just_long_enough_holds_and_one_of_unknown_length_is_asked(record: Ledger) -> None:
    needed = rope_needed(a_job().lines[0])
    rope(record, length_m=f"{needed + 0.00001:.6f} m")
    assert answers(looked_up(a_job(), record))["gear-length/one"].verdict is Verdict.HOLDS
    rope(record, "R-002", length_m="")
    raw = deepcopy(plain())
    raw["line"][0]["tag"] = "R-002"  # type: ignore[index]
    assert answers(looked_up(job_from_mapping(raw), record))["gear-length/one"].verdict is Verdict.ASK


def test_the_real_rope_takes_the_place_of_the_one_that_the_job_describes(record: Ledger) -> None:
    rope(record, strength_n="24 kN", length_m="18 m", diameter_m="12 mm", wear="good", uses="2")
    spec = looked_up(a_job(), record).lines[0].rope
    assert (spec.strength.low, spec.length, spec.diameter) == (24_000.0, 18.0, 0.012)
    assert spec.condition == "good, dry"
    assert spec.stiffness is None, "that of a rope of another diameter"
    assert spec.service is not None
    assert spec.service.days_used == 2


def test_the_worse_of_both_conditions_counts(record: Ledger) -> None:
    rope(record)
    raw = deepcopy(plain())
    raw["line"][0]["tag"] = "R-001"  # type: ignore[index]
    raw["rope"]["r"]["condition"] = "worn, wet"  # type: ignore[index]
    assert looked_up(job_from_mapping(raw), record).lines[0].rope.condition == "worn, wet"


def test_a_rope_of_unknown_history_is_not_called_good(record: Ledger) -> None:
    rope(record, wear="")
    assert looked_up(a_job(), record).lines[0].rope.condition == "unknown, dry"


def test_what_the_record_is_silent_of_is_asked(record: Ledger) -> None:
    rope(record, strength_n="", strength_basis="")
    job = looked_up(a_job(), record)
    assert "strength as new" in answers(job)["gear-told/one"].summary
    assert answers(job)["gear-told/one"].verdict is Verdict.ASK
    assert job.lines[0].rope.strength.low == 30_000.0, "the job's own"


def test_a_rope_that_is_out_with_somebody_else_is_asked(record: Ledger) -> None:
    rope(record)
    person(record)
    give_out(record, ["R-001"], "D. Example", "another job", ACT)
    assert "out with D. Example" in answers(looked_up(a_job(), record))["gear-holder/R-001/one"].summary


def test_a_rope_that_is_out_with_its_own_worker_is_at_hand(record: Ledger) -> None:
    rope(record)
    person(record)
    give_out(record, ["R-001"], "A. Example", "this job", ACT)
    assert "gear-holder/R-001/one" not in answers(looked_up(a_job(person="P-07"), record))


def crew_answer(job: Job, record: Ledger) -> Finding:
    looked = looked_up(job, record)
    return answers(looked)[f"crew-record/{looked.crew[0].name}"]


def test_a_person_of_whom_nothing_is_missing_holds_and_counts_as_trained(record: Ledger) -> None:
    person(record)
    job = a_job(person="P-07")
    assert crew_answer(job, record).verdict is Verdict.HOLDS
    assert looked_up(job, record).crew[0].trained_on == date(2026, 3, 2)


LACKS: list[tuple[dict[str, object], str]] = [
    ({"certificate": None}, "1926.503 (b)(1)"),
    ({"expires": date(2026, 5, 31), "expires_by": "company rule 4"}, "counted up to 2026-05-31"),
    ({"systems": ("harness",)}, "not with: lifeline"),
]


@pytest.mark.parametrize(("changes", "says"), LACKS, ids=["certificate", "expired", "system"])
def test_a_missing_certification_fails_and_nobody_is_trained_by_it(
    record: Ledger, changes: dict[str, object], says: str
) -> None:
    person(record, **changes)
    job = a_job(person="P-07", trained_on="2026-03-02")
    found = crew_answer(job, record)
    assert found.verdict is Verdict.FAILS
    assert says in found.summary
    assert looked_up(job, record).crew[0].trained_on is None


def test_an_open_need_and_leaving_fail(record: Ledger) -> None:
    person(record)
    need_training(record, "P-07", Need(TODAY, "understanding"), by="B. Example")
    assert crew_answer(a_job(person="P-07"), record).verdict is Verdict.FAILS
    person(record, "P-08")
    leave(record, "P-08", TODAY, by="B. Example")
    assert crew_answer(a_job(person="P-08"), record).verdict is Verdict.FAILS


def test_a_skill_that_nobody_saw_is_asked_since_no_text_asks_for_it(record: Ledger) -> None:
    person(record)
    sign_off(record, "P-07", SignOff(TODAY, "tie-on", "not yet", "C. Example"), by="B. Example")
    found = crew_answer(a_job(person="P-07"), record)
    assert found.verdict is Verdict.ASK
    assert "tie-on" in found.summary
    assert found.decide


def test_somebody_heavier_than_planned_fails(record: Ledger) -> None:
    person(record)
    assert crew_answer(a_job(person="P-07", mass="94 kg"), record).verdict is Verdict.FAILS


def test_a_harness_too_weak_for_its_user_fails(record: Ledger) -> None:
    person(record)
    rope(record, "H-001", kind="harness", user_mass_kg="90 kg", size="M", made="2026-01", life_by_age="10 years",
         interval="6 months")  # fmt: skip
    give_out(record, ["H-001"], "P-07", "this job", ACT)
    found = crew_answer(a_job(person="P-07"), record)
    assert found.verdict is Verdict.FAILS
    assert "harness H-001 is marked for users up to 90" in found.summary


def test_the_rescuer_is_looked_up_as_one(record: Ledger) -> None:
    person(record)
    raw = deepcopy(plain())
    raw["rescue"] = {"method": "lower to the ground", "by": "E. Example", "minutes": "8 min", "person": "P-07"}
    found = answers(looked_up(job_from_mapping(raw), record))["rescuer-record/job"]
    assert "gets a hanging worker down" in found.summary
    person(record, "P-09", roles=("rescuer",))
    raw["rescue"]["person"] = "P-09"
    assert answers(looked_up(job_from_mapping(raw), record))["rescuer-record/job"].verdict is Verdict.HOLDS


def test_one_rope_is_not_two_lines_nor_one_person_two_workers() -> None:
    raw = deepcopy(plain())
    raw["line"] = [{**raw["line"][0], "tag": "R-001"}, {**raw["line"][0], "name": "two", "tag": "R-001"}]  # type: ignore[index]
    worker = {**raw["crew"][0], "person": "P-07"}  # type: ignore[index]
    raw["crew"] = [worker, {**worker, "name": "another", "line": "two"}]
    found = answers(job_from_mapping(raw))
    assert found["gear-twice/R-001"].verdict is found["crew-twice/P-07"].verdict is Verdict.FAILS


def test_the_plan_s_strength_is_that_of_the_rope_as_it_is_and_mends_keep_the_record(record: Ledger) -> None:
    """A rope with a catch that nobody cleared can't hold, whatever the job says of its condition."""
    rope(record, catches="1", wear="good", uses="5")
    job = looked_up(a_job(), record)
    whole = {finding.id: finding for finding in assess(job).findings}
    assert whole["rigged-strength/one"].verdict is not Verdict.HOLDS
    assert whole["gear-record/one"].verdict is Verdict.FAILS
    plainly = {finding.id: finding for finding in assess(job_from_mapping(plain()), remedies=False).findings}
    assert whole["rigged-strength/one"].low <= plainly["rigged-strength/one"].low  # type: ignore[operator]


def test_a_mend_is_tried_with_the_record_still_read() -> None:
    """Whoever the record does not know fails after a mend too; without the record it would only be asked."""
    raw = deepcopy(plain())
    raw["crew"][0]["person"] = "P-99"  # type: ignore[index]
    looked = with_record(job_from_mapping(raw), Recorded(Head(0, "0" * 64), TODAY))
    after = [finding.remedy.job_after for finding in assess(looked).findings if finding.remedy]
    assert after
    assert set(after) == {Verdict.FAILS}


def with_gear(*tags: str, **crew: str) -> Job:
    raw = deepcopy(plain())
    raw["line"][0]["gear"] = list(tags)  # type: ignore[index]
    raw["crew"][0] |= crew  # type: ignore[index]
    return job_from_mapping(raw)


HARNESS = {"size": "M", "made": "2026-01", "life_by_age": "10 years", "interval": "6 months", "wear": "new",
           "user_mass_kg": "110 kg"}  # fmt: skip


def test_other_gear_of_a_line_must_be_fit_too(record: Ledger) -> None:
    rope(record, "H-001", kind="harness", **HARNESS)
    found = answers(looked_up(with_gear("h-001", "L-404"), record))
    assert found["gear-record/H-001/one"].verdict is Verdict.HOLDS
    assert found["gear-record/L-404/one"].verdict is Verdict.FAILS
    quarantine_gear(record, ["H-001"], "stitching cut", ACT)
    found = answers(looked_up(with_gear("H-001"), record))
    assert found["gear-record/H-001/one"].verdict is Verdict.FAILS
    assert answers(with_gear("H-001"))["gear-record/H-001/one"].verdict is Verdict.ASK


@pytest.mark.parametrize(("mass", "verdict"), [("110 kg", Verdict.HOLDS), ("110.1 kg", Verdict.FAILS)])
def test_gear_must_be_marked_for_its_user(record: Ledger, mass: str, verdict: Verdict) -> None:
    rope(record, "H-001", kind="harness", **HARNESS)
    assert answers(looked_up(with_gear("H-001", mass=mass), record))["gear-user/H-001/one"].verdict is verdict


def test_a_kit_is_as_fit_as_its_parts(record: Ledger) -> None:
    rope(record, "K-001", kind="kit")
    rope(record, "H-001", kind="harness", **HARNESS)
    assert answers(looked_up(with_gear("K-001"), record))["gear-record/K-001/one"].verdict is Verdict.FAILS
    put_in_kit(record, "K-001", ["H-001"], ACT)
    assert answers(looked_up(with_gear("K-001"), record))["gear-record/K-001/one"].verdict is Verdict.HOLDS
    assert "gear-user/K-001/one" in answers(looked_up(with_gear("K-001"), record))
    quarantine_gear(record, ["H-001"], "stitching cut", ACT)
    assert answers(looked_up(with_gear("K-001"), record))["gear-record/K-001/one"].verdict is Verdict.FAILS


BAD_TAGS: list[tuple[object, str]] = [
    ("H-001", "give a list of at most 20 tags"),
    (["H/1"], "line[0].gear[0]"),
    ([7], "line[0].gear[0]"),
    (["H-1"] * 21, "give a list of at most 20 tags"),
]


@pytest.mark.parametrize(("tags", "says"), BAD_TAGS, ids=["no list", "bad tag", "no text", "too many"])
def test_tags_that_can_not_be_are_faults_of_the_file(tags: object, says: str) -> None:
    raw = deepcopy(plain())
    raw["line"][0]["gear"] = tags  # type: ignore[index]
    raw["crew"][0]["person"] = "P/7"  # type: ignore[index]
    with pytest.raises(InputErrors) as caught:
        job_from_mapping(raw)
    texts = [str(fault) for fault in caught.value.exceptions]
    assert any(says in text for text in texts)
    assert any(text.startswith("crew[0].person") for text in texts)


def test_a_rescuer_alone_on_the_roof_is_asked_about(record: Ledger) -> None:
    person(record, roles=("authorised", "rescuer"))
    raw = deepcopy(plain())
    raw["crew"][0]["person"] = "P-07"  # type: ignore[index]
    raw["rescue"] = {"method": "lower", "by": "A. Example", "minutes": "8 min", "person": "P-07"}
    assert answers(looked_up(job_from_mapping(raw), record))["rescuer-alone/job"].verdict is Verdict.ASK
