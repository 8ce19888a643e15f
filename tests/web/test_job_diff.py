"""What differs between two states: word by word, finding by finding."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ropewright.web.jobs.diff import changed_findings, word_diff

_TEXTS = st.lists(st.sampled_from(["a = 1", "b = '2 m'", "c", "", "x = { y = 1 }"]), max_size=12).map("\n".join)


def finding(name, verdict="holds", summary="s"):
    return {"id": name, "question": f"{name}?", "verdict": verdict, "summary": summary, "place": "p"}


def shown(hunks, kind):
    return [part.text for hunk in hunks for line in hunk.lines for part in line if part.kind == kind]


def test_only_the_word_that_changed_is_marked():
    hunks = word_diff('length = "4.50 m"', 'length = "4.40 m"')
    assert (shown(hunks, "gone"), shown(hunks, "new")) == (["4.50"], ["4.40"])


def test_lines_far_from_a_change_are_left_out():
    old = "\n".join(f"line {number}" for number in range(40))
    hunks = word_diff(old, old.replace("line 20", "line twenty"))
    assert len(hunks) == 1
    assert hunks[0].line == 19
    assert len(hunks[0].lines) == 5


def test_blanks_inside_braces_are_no_change():
    assert word_diff("a = { b = 1 }", "a = {b = 1}") == ()


@given(_TEXTS)
def test_equal_texts_do_not_differ(text):
    assert word_diff(text, text) == ()


@given(_TEXTS, _TEXTS)
def test_what_is_new_and_what_is_gone_come_from_their_texts(old, new):
    hunks = word_diff(old, new)
    assert all(text in new for text in shown(hunks, "new"))
    assert all(text in old for text in shown(hunks, "gone"))


def test_question_whose_answer_changed_is_told_with_both():
    changes = changed_findings([finding("a", "fails"), finding("b")], [finding("a"), finding("b")])
    assert [(one.question, one.before, one.after) for one in changes] == [("a?", "fails", "holds")]


def test_question_that_came_and_one_that_went_are_told():
    changes = changed_findings([finding("gone")], [finding("new")])
    assert [(one.question, one.before, one.after) for one in changes] == [
        ("new?", None, "holds"),
        ("gone?", "holds", None),
    ]


def test_other_words_for_one_verdict_are_a_change():
    assert len(changed_findings([finding("a", "ask", "18 kN")], [finding("a", "ask", "17 kN")])) == 1
