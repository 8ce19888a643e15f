"""What is missing before a person may be on a job: not known is missing, and each thing names what asks for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from crew_states import a_training, person, signed
from plain_jobs import plain

from ropewright.job import job_from_mapping
from ropewright.job.crew_missing import Missing, Task, missing_of, task_of
from ropewright.quantity import UnitSystem
from ropewright.rules import load_pack, pack_names
from ropewright.store.crew_words import skills
from ropewright.store.entry import State

DAY = date(2026, 6, 1)


def missing(
    state: State, task: Task | None = None, pack: str = "us-construction", day: date = DAY
) -> dict[str, Missing]:
    found = missing_of(state, load_pack(pack), task or Task(), today=day, units=UnitSystem.METRIC)
    assert len({one.what for one in found}) == len(found)
    return {one.what: one for one in found}


@pytest.mark.parametrize("pack", pack_names())
def test_nothing_is_missing_of_somebody_who_has_it_all(pack: str) -> None:
    assert missing(person(), pack=pack) == {}


@pytest.mark.parametrize("pack", pack_names())
def test_of_somebody_of_whom_nothing_is_known_everything_is_missing(pack: str) -> None:
    nobody = person(mass_with_tools_kg=None, harness_size="", roles={}, trainings=[], sign_offs=[])
    found = missing(nobody, pack=pack)
    assert {"mass/unknown", "harness/unknown", "role/authorised", "skill/tie-on", "topic/use"} <= set(found)
    assert all(str(one.source) and one.mend and one.text for one in found.values())


LACKS = [
    (
        {"trainings": [a_training(certificate=None)]},
        "topic/use",
        "no signed certificate is told (29 CFR 1926.503 (b)(1))",
    ),
    (
        {"trainings": [a_training(trainer_is=["qualified"])]},
        "topic/use",
        "nobody says that the trainer is a competent person (29 CFR 1926.503 (a)(2))",
    ),
    ({"trainings": [a_training(on="2026-06-02")]}, "topic/use", "it ends on 2026-06-02 only"),
    (
        {"trainings": [a_training(expires="2026-05-31", expires_by="company rule 4")]},
        "topic/use",
        "it counted up to 2026-05-31 (company rule 4)",
    ),
    (
        {"trainings": [a_training(employer="Another employer", judged_on=None, judged_by="")]},
        "topic/use",
        "nobody here has judged it adequate",
    ),
    (
        {"trainings": [a_training(employer="Another employer", judged_on="2026-06-02", judged_by="B. Example")]},
        "topic/use",
        "judged adequate on 2026-06-02 only",
    ),
    (
        {"sign_offs": [signed(skill) for skill in skills() if skill != "tie-on"]},
        "skill/tie-on",
        "nobody has signed it off",
    ),
    (
        {
            "sign_offs": [
                *(signed(skill) for skill in skills()),
                signed("tie-on", on="2026-03-04", number=4, result="not yet"),
            ]
        },
        "skill/tie-on",
        "not yet, said C. Example on 2026-03-04",
    ),
]


@pytest.mark.parametrize(("changes", "what", "says"), LACKS, ids=[says[:30] for _, _, says in LACKS])
def test_what_does_not_count_is_missing_and_says_why(changes: dict[str, object], what: str, says: str) -> None:
    assert says in missing(person(**changes))[what].text


def test_the_last_day_of_a_training_still_counts() -> None:
    ending = person(trainings=[a_training(expires="2026-06-01", expires_by="company rule 4")])
    assert missing(ending) == {}


def test_a_later_look_at_a_skill_is_what_counts() -> None:
    again = [signed("tie-on", result="not yet"), signed("tie-on", on="2026-03-05", number=5)]
    assert missing(person(sign_offs=[*(signed(skill) for skill in skills() if skill != "tie-on"), *again])) == {}


def test_trainings_add_up() -> None:
    both = [a_training(topics=["use"], systems=["harness"]), a_training(number=4, systems=["lifeline"])]
    assert missing(person(trainings=both)).keys() == {"topic/assembly/harness"}


def test_a_system_that_the_job_uses_needs_training_with_it() -> None:
    task = Task(systems=("harness", "self-retracting"))
    assert missing(person(), task).keys() == {"topic/assembly/self-retracting", "topic/use/self-retracting"}


def test_an_open_need_is_missing_with_its_clause() -> None:
    """1926.503(c)(3)."""
    need = {"number": 8, "on": "2026-05-01", "trigger": "understanding", "note": "", "topics": [], "systems": []}
    found = missing(person(needs=[{**need, "answered_by": None}]))
    assert str(found["retraining/8"].source) == "29 CFR 1926.503 (c)(3)"
    assert missing(person(needs=[{**need, "answered_by": 9}])) == {}


def test_whoever_left_is_missing() -> None:
    assert "left on 2026-05-01" in missing(person("left", left="2026-05-01"))["standing"].text


def test_general_industry_wants_a_qualified_trainer_and_construction_a_competent_one() -> None:
    """1926.503(a)(2) and 1910.30(a)(2)."""
    competent = person(trainings=[a_training(trainer_is=["competent"])])
    assert missing(competent) == {}
    assert "qualified" in missing(competent, pack="us-general-industry")["topic/use"].text


def test_a_rescuer_needs_more_than_a_worker() -> None:
    task = Task(roles=("rescuer",))
    assert missing(person(), task).keys() == {"role/rescuer"}
    bare = person(sign_offs=[], trainings=[a_training(topics=["use"])])
    assert {"skill/haul", "skill/reach-casualty", "topic/rescue"} <= missing(bare, task).keys()


def test_a_competent_or_qualified_person_needs_grounds() -> None:
    """1926.32(f), (m), remembered: so the source says."""
    for role in ("competent", "qualified"):
        held = {role: {"by": "B. Example", "grounds": "", "number": 1}}
        found = missing(person(roles=held), Task(roles=(role,)))
        assert "[memory]" in str(found[f"grounds/{role}"].source)
        told = {role: {"by": "B. Example", "grounds": "may stop the work", "number": 1}}
        assert missing(person(roles=told), Task(roles=(role,))) == {}


MASSES = [
    (140.5, set()),  # 309.75 lb
    (140.7, {"mass/rule"}),  # 310.19 lb
]


@pytest.mark.parametrize(("mass", "what"), MASSES)
def test_from_310_lb_on_somebody_must_decide(mass: float, what: set[str]) -> None:
    """Note to 1926.502(d)(16): less than 310 lb (140.61 kg)."""
    assert missing(person(mass_with_tools_kg=mass)).keys() == what


def test_a_mass_beyond_the_plan_or_the_gear_is_missing() -> None:
    task = Task(planned_mass=95.0, gear_limits={"harness H-001": 95.0})
    assert missing(person(), task) == {}
    found = missing(person(mass_with_tools_kg=95.1), task)
    assert found.keys() == {"mass/plan", "mass/harness H-001"}
    assert "95.1" in found["mass/plan"].text or "96" in found["mass/plan"].text


def test_a_harness_of_another_size_is_missing() -> None:
    assert missing(person(), Task(harness_size="m")) == {}
    assert missing(person(), Task(harness_size="L")).keys() == {"harness/size"}


def test_a_steep_roof_asks_for_no_training_on_machines_of_low_slopes() -> None:
    """1926.503(a)(2)(v) speaks of low-slope roofs; without a job nobody knows, so it is asked."""
    untrained = person(trainings=[a_training(topics=[t for t in a_training()["topics"] if t != "machines"])])
    assert missing(untrained).keys() == {"topic/machines"}
    assert missing(untrained, Task(cases={"low slope": False})) == {}
    assert missing(untrained, Task(cases={"low slope": None})).keys() == {"topic/machines"}


def test_the_job_says_what_its_workers_use_and_weigh() -> None:
    job = job_from_mapping(plain())
    worker, line = job.crew[0], job.lines[0]
    task = task_of(job, "P-07", worker.name.upper())
    assert task.roles == ("authorised",)
    assert task.planned_mass == worker.mass.high
    assert ("grab" in task.systems) == (line.grab is not None)
    assert ("absorber" in task.systems) == (line.lanyard.absorber is not None)


def test_whoever_rescues_on_the_job_is_asked_as_a_rescuer() -> None:
    job = job_from_mapping(plain())
    rescues = replace(job, rescue=replace(job.rescue, by="E. Example", person="P-09"))
    assert task_of(rescues, "P-09", "E. Example").roles == ("rescuer",)
    assert task_of(rescues, "P-08", "e. example").roles == ("authorised",), "the job names another of this name by code"
    told_by_name = replace(job, rescue=replace(job.rescue, by="E. Example"))
    assert task_of(told_by_name, "P-08", "e. example").roles == ("rescuer",)
    assert "rescue-gear" in task_of(rescues, "P-09", "").systems
    assert task_of(rescues, "P-09", job.crew[0].name).roles == ("authorised", "rescuer")


def test_somebody_whom_the_job_does_not_name_is_asked_for_all_that_it_uses() -> None:
    task = task_of(job_from_mapping(plain()), "P-99", "Z. Example")
    assert task.roles == ("authorised",)
    assert task.planned_mass is None
