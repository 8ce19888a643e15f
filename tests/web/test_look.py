"""The pages draw verdicts as the sheets do, and every page keeps to one set of colours."""

from __future__ import annotations

import re
from importlib import resources

from ropewright.sheets.look import VERDICT_LOOKS

STYLES = resources.files("ropewright.web").joinpath("static/css")


def style(name):
    return STYLES.joinpath(name).read_text(encoding="utf-8")


def test_grounds_and_hatches_of_verdicts_are_those_of_the_sheets():
    text = style("verdicts.css")
    for verdict, look in VERDICT_LOOKS.items():
        if verdict is None:
            continue
        rule = re.search(rf"\.hatch-{verdict.value} \{{(.*?)\}}", text, re.DOTALL)[1]
        assert look.colour in rule
        assert rule.count("repeating-linear-gradient") == len(look.hatch)
        assert look.on in rule


def test_accent_is_for_the_hand_alone():
    assert "--hand" in style("paper.css")
    for name in ("verdicts.css", "tables.css", "jobs.css"):
        assert "--hand" not in style(name)


def test_what_every_page_shares_takes_its_colours_from_the_paper():
    for name in ("sheet.css", "text.css", "forms.css", "tables.css", "jobs.css"):
        text = style(name).replace("#fbf9f3", "")  # the paper of drawings, which stays light in the dark
        assert not re.findall(r"#[0-9a-f]{3,8}\b", text), name


def test_nothing_has_a_shadow():
    for place in STYLES.iterdir():
        assert "box-shadow" not in place.read_text(encoding="utf-8")
