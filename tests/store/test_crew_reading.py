"""What people write about people: every fault is told, and half a certificate is none (29 CFR 1926.503(b)(1))."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from crew_people import BY, add, new_record

from ropewright.errors import InputError, InputErrors
from ropewright.store.crew_actions import add_person, change_person, come_back, withdraw
from ropewright.store.crew_body import Certificate, Particulars
from ropewright.store.crew_reading import Texts, read_need, read_particulars, read_roles, read_sign_off, read_training

TODAY = date(2026, 6, 1)
TOLD: Texts = {"on": "2026-03-02", "topic": ("use", "care"), "trainer": "C. Example"}


def same(key: str) -> str:
    return key


def faults(texts: Texts) -> set[tuple[str, str]]:
    with pytest.raises((InputError, InputErrors)) as caught:
        read_training({**TOLD, **texts}, same, today=TODAY)
    found = caught.value.exceptions if isinstance(caught.value, InputErrors) else [caught.value]
    return {(fault.field, fault.expected.split(";")[0]) for fault in found if isinstance(fault, InputError)}


HALVES: list[tuple[Texts, str]] = [
    ({"signed_by": "C. Example"}, "signed_as"),
    ({"signed_as": "trainer"}, "signed_by"),
    ({"paper": "no. 12"}, "signed_by"),
    ({"signed_by": "C. Example", "signed_as": "worker"}, "signed_as"),
    ({"employer": "Another"}, "judged_on"),
    ({"employer": "Another", "judged_on": "2026-04-01"}, "judged_by"),
    ({"judged_on": "2026-04-01"}, "employer"),
    ({"topic": ()}, "topic"),
    ({"topic": "useless"}, "topic"),
    ({"on": ""}, "on"),
    ({"trainer": "x" * 300}, "trainer"),
    ({"trainer": "two\nlines"}, "trainer"),
]


@pytest.mark.parametrize(("texts", "field"), HALVES, ids=[f"{list(texts)}" for texts, _ in HALVES])
def test_half_told_is_refused_where_the_other_half_is_missing(texts: Texts, field: str) -> None:
    assert {name for name, _ in faults(texts)} == {field}


def test_all_faults_are_told_at_once() -> None:
    wrong: Texts = {"on": "3/4/2026", "topic": "hazard", "trainer": " ", "expires": "soon", "trainer_is": "expert"}
    assert {name for name, _ in faults(wrong)} == {"on", "topic", "trainer", "expires", "trainer_is"}


def test_a_whole_certificate_is_read() -> None:
    told = read_training({**TOLD, "signed_by": "C. Example", "signed_as": "Trainer"}, same, today=TODAY)
    assert told.certificate == Certificate("C. Example", "trainer", "")
    assert told.topics == ("care", "use")
    assert read_training(TOLD, same, today=TODAY).certificate is None


def test_what_is_left_out_is_not_known() -> None:
    assert read_particulars({"name": "A. Example", "mass": " "}, same) == Particulars(name="A. Example")
    assert read_roles({}, same) == ()


def test_a_skill_or_a_need_without_its_name_offers_the_list() -> None:
    with pytest.raises(InputError, match="give one of choose-anchor"):
        read_sign_off({"assessor": "C. Example"}, same, today=TODAY)
    with pytest.raises(InputError, match="give one of return, systems"):
        read_need({}, same, today=TODAY)


def test_actions_without_what_they_need_are_refused(tmp_path: Path) -> None:
    record = new_record(tmp_path)
    add(record)
    with pytest.raises(InputError, match="give a name"):
        add_person(record, "P-08", Particulars(), by=BY)
    with pytest.raises(InputError, match="give at least one of"):
        change_person(record, "P-07", Particulars(), by=BY)
    with pytest.raises(InputError, match="say what was wrong"):
        withdraw(record, "P-07", 1, why="", by=BY)
    with pytest.raises(InputError, match="has not left"):
        come_back(record, "P-07", TODAY, by=BY)
