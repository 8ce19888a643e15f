"""Pages of people: in, trained, signed off; what is missing, by the clauses of the rules."""

from __future__ import annotations

import pytest

TRAINING = {
    "on": "2026-03-02", "topic": "all", "system": ["harness", "lifeline"], "trainer": "C. Example",
    "trainer_is": "competent", "signed_by": "C. Example", "signed_as": "trainer", "paper": "T-12",
}  # fmt: skip


@pytest.fixture
def person(client):
    fields = {"code": "P-07", "name": "A. Example", "mass": "82 kg", "mass_with_tools": "95 kg", "harness_size": "M"}
    assert client.send("/crew/new", {**fields, "role": ["authorised", "rescuer"]}).status_code == 303
    return client


def test_person_taken_in_has_a_page_and_stands_in_the_list(person):
    assert "A. Example" in person.get("/crew/P-07").text
    assert "P-07" in person.get("/crew", params={"search": "example"}).text
    assert "P-07" not in person.get("/crew", params={"standing": "left"}).text


def test_untrained_person_lacks_training_with_its_clause(person):
    """29 CFR 1926.503(a) asks for the training, (b)(1) for its written certification."""
    text = person.get("/crew/P-07").text
    assert "1926.503" in text


def test_training_takes_away_what_it_covers(person):
    before = person.get("/crew/P-07").text.count("<cite")
    assert person.send("/crew/P-07/do/train", TRAINING).status_code == 303
    text = person.get("/crew/P-07").text
    assert text.count("<cite") < before
    assert "Signed by C. Example." in text


def test_training_without_its_day_is_told_at_the_field(person):
    answer = person.send("/crew/P-07/do/train", {**TRAINING, "on": ""})
    assert answer.status_code == 422
    assert 'id="fault-train-on"' in answer.text
    assert 'value="C. Example"' in answer.text  # what was typed stays


def test_need_to_train_anew_stays_open_until_it_is_met(person):
    person.send("/crew/P-07/do/train", TRAINING)
    assert person.send("/crew/P-07/do/need", {"trigger": "systems", "note": "new grabs"}).status_code == 303
    text = person.get("/crew/P-07").text
    assert "to train anew" in text
    number = text.split('name="answers" value="')[1].split('"')[0]
    later = {**TRAINING, "on": "", "answers": number}
    from ropewright.store.day import today

    assert person.send("/crew/P-07/do/train", {**later, "on": today().isoformat()}).status_code == 303
    assert 'name="answers"' not in person.get("/crew/P-07").text


def test_skill_is_signed_off(person):
    answer = person.send("/crew/P-07/do/sign-off", {"skill": "fit-harness", "result": "can", "assessor": "C. Example"})
    assert answer.status_code == 303
    assert "seen by C. Example" in person.get("/crew/P-07").text


def test_person_leaves_and_comes_back(person):
    person.send("/crew/P-07/do/leave")
    assert "<b>left</b>" in person.get("/crew/P-07").text
    person.send("/crew/P-07/do/return", {"judged_by": "C. Example"})
    assert "<b>left</b>" not in person.get("/crew/P-07").text


def test_wrong_entry_is_withdrawn_by_a_new_one(person):
    person.send("/crew/P-07/do/train", TRAINING)
    number = person.get("/crew/P-07").text.split("entry ")[1].split(":")[0]
    assert person.send("/crew/P-07/do/withdraw", {"entry": number, "why": "wrong person"}).status_code == 303
    assert "Signed by C. Example." not in person.get("/crew/P-07").text


def test_missing_is_asked_of_the_pack_chosen(person):
    us, eu = (person.get("/crew/P-07", params={"rules": name}).text for name in ("us-construction", "eu-uk"))
    assert us != eu
    assert person.get("/crew/P-07", params={"rules": "../etc"}).status_code == 200


@pytest.mark.parametrize("fields", [{"name": ""}, {"name": "A", "mass": "82"}, {"name": "A", "code": "§"}])
def test_wrong_particulars_are_told(client, fields):
    assert client.send("/crew/new", fields).status_code == 422


@pytest.mark.parametrize(("method", "address"), [("get", "/crew/P-99"), ("send", "/crew/P-07/do/sing")])
def test_what_is_not_there_is_not_there(person, method, address):
    assert getattr(person, method)(address).status_code == 404
