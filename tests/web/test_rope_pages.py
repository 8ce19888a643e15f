"""The rope bench: works by its forms alone, keeps the set-up in its address, says what is wrong where it is."""

from __future__ import annotations

import html
import json
import re

import pytest
from click.testing import CliRunner

from ropewright.cli.main import main
from ropewright.rope.knots import knots, tie
from ropewright.rope.service import FOUND, RETIRE

PAGES = ("judge", "stretch", "choose", "batch", "cut", "stow", "knot")
ODD = (
    ("judge", "strength", "strong"),
    ("judge", "strength", ""),
    ("judge", "fibre", "spaghetti"),
    ("judge", "age", "old"),
    ("judge", "catches", "-1"),
    ("judge", "rules", "atlantis"),
    ("stretch", "diameter", "11"),
    ("stretch", "length", ""),
    ("stretch", "mass", "-3 kg"),
    ("choose", "grab_to", "9 mm"),
    ("choose", "strength", "30 kN"),
    ("batch", "break", "30 kN\n31"),
    ("batch", "break", " "),
    ("batch", "coverage", "2"),
    ("cut", "piece[0].length", "12"),
    ("cut", "piece[0].end", "granny"),
    ("cut", "spool[0].count", "2.5"),
    ("stow", "container_height", "40 cm"),
    ("stow", "way", "thrown"),
    ("stow", "hole", "0 mm"),
    ("knot", "diameter", "1 m"),
    ("knot", "name", "granny"),
)


def shown(client, page, **query):
    answer = client.get(f"/rope/{page}", params=query)
    assert answer.status_code == 200, answer.text
    return html.unescape(answer.text)


def words(text):
    """Text of a page without its marks and doubled blanks."""
    return " ".join(re.sub(r"<[^>]+>", " ", text).split())


@pytest.mark.parametrize("page", PAGES)
def test_every_bench_answers_at_once_with_its_drawing_and_sources(client, page):
    text = shown(client, page)
    assert '<figure class="drawing"' in text
    assert "<svg" in text
    assert "invented example" in text


@pytest.mark.parametrize("page", PAGES)
def test_every_bench_starts_in_the_units_chosen(client, page):
    client.send("/settings", {"person": "A. Roofer", "units": "us"})
    form = shown(client, page).split("<form")[-1]
    assert re.search(r'value="[\d/,]+ (in|lbf|ft)"|\d lbf', form)


@pytest.mark.parametrize("page", PAGES)
def test_every_drawing_is_had_on_paper(client, page):
    answer = client.get(f"/rope/{page}.pdf")
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF")


def test_labels_are_had_on_paper(client):
    assert client.get("/rope/labels.pdf").content.startswith(b"%PDF")


@pytest.mark.parametrize(("page", "name", "text"), ODD)
def test_fault_is_told_at_its_field(client, page, name, text):
    query = {name: text}
    if page == "cut":  # a row is read only with the rest of it
        query = {"diameter": "11 mm", "piece[0].name": "a", "piece[0].length": "9 m", "spool[0].name": "A",
                 "spool[0].length": "50 m", **query}  # fmt: skip
    if name == "container_height":
        name = "container_diameter"  # what is missing is the partner
    answer = client.get(f"/rope/{page}", params=query)
    assert answer.status_code == 422
    ident = re.sub(r"[^A-Za-z0-9_-]+", "-", name).strip("-")
    assert f'id="fault-{ident}"' in answer.text
    assert f'href="#{ident}"' in answer.text


@pytest.mark.parametrize("page", ["judge.pdf", "cut.pdf", "labels.pdf"])
def test_paper_of_what_cannot_be_worked_out_is_refused(client, page):
    assert client.get(f"/rope/{page}", params={"strength": "x", "piece[0].name": "a"}).status_code == 422


def test_set_up_stands_in_the_address(client):
    text = shown(client, "judge", strength="22 kN", **{"found.cut": "yes"})
    assert 'value="22 kN"' in text
    assert re.search(r'name="found.cut" value="yes" checked', text)


def test_paper_has_the_set_up_of_the_page(client):
    assert "/rope/judge.pdf?strength=22" in shown(client, "judge", strength="22 kN")


@pytest.mark.parametrize("found", list(FOUND))
def test_what_is_found_on_a_rope_takes_it_out_before_any_number(client, found):
    """29 CFR 1926 Subpart M App C II(g): damaged components come out of service."""
    text = words(shown(client, "judge", strength="100 kN", **{f"found.{found}": "yes"}))
    assert text.index("out of service at once") < text.index("Left, at the low end")
    assert "fails lifeline" in text
    assert "holds lifeline" not in text


def test_bin_list_stands_beside_every_judgement(client):
    text = words(shown(client, "judge"))
    assert all(reason in text for reason, _source in RETIRE)


def test_what_nobody_told_is_asked_and_never_holds(client):
    text = words(shown(client, "judge", strength="100 kN", catches="", age=""))
    assert "Say whether it has ever caught a fall." in text
    assert "holds lifeline" not in text


def test_judgement_is_that_of_the_command(client):
    query = {"strength": "24 kN", "basis": "average", "fibre": "nylon", "construction": "laid", "condition": "worn",
             "water": "wet", "end": "eye splice", "edge": "yes", "age": "2 years", "catches": "0", "outdoors": "",
             "days_used": "", "life": "", "stretch": "unknown"}  # fmt: skip
    told = ["rope", "judge", "--json", "--strength", "24 kN", "--basis", "average", "--fibre", "nylon",
            "--construction", "laid", "--condition", "worn, wet", "--end", "eye splice", "--edge", "--age", "2 years",
            "--catches", "0"]  # fmt: skip
    document = json.loads(CliRunner().invoke(main, told).stdout)
    text = words(shown(client, "judge", **query))
    low = int(document["strength_low_n"] / 10) / 100
    assert f"Left, at the low end {low:g} kN" in text


def test_stretch_in_the_catch_grows_with_the_rope_out(client):
    def room(length):
        text = words(shown(client, "stretch", length=length))
        return float(re.search(r"at its highest ([\d.]+) m", text)[1])

    assert room("30 m") == pytest.approx(2 * room("15 m"), abs=0.02)


def test_no_rope_is_fit_where_the_grab_does_not_fit(client):
    text = words(shown(client, "choose", diameter="11 mm", grab_from="13 mm", grab_to="16 mm"))
    assert "0 of " in text


def test_only_the_fibres_ticked_are_compared(client):
    text = shown(client, "choose", **{"diameter": "11 mm", "fibre.nylon": "yes"})
    assert text.count('<details class="rope"') == 4
    assert "manila" not in words(text.split("<form")[0])


def test_no_break_is_left_out(client):
    text = words(shown(client, "batch", **{"break": "31.2 kN\n\n30.4 kN\n12 kN\n"}))
    assert "3 pieces broken" in text
    assert "Weakest piece 12.0 kN" in text


def test_what_ends_take_is_added_to_a_line(client):
    """Two lines of 10 m between plain ends come off 20 m; with knots at their ends they do not."""
    plain = {"diameter": "11 mm", "piece[0].name": "a", "piece[0].length": "10 m", "piece[0].count": "2",
             "piece[0].end": "none", "piece[0].far": "none", "spool[0].name": "A",
             "spool[0].length": "20 m"}  # fmt: skip
    assert "does not give every line" not in words(shown(client, "cut", **plain))
    text = words(shown(client, "cut", **{**plain, "piece[0].end": "bowline"}))
    assert "The stock does not give every line." in text
    assert "Nothing is claimed of the least" in text


def test_empty_rows_are_no_fault_and_two_more_stand_at_the_end(client):
    query = {"diameter": "11 mm", "piece[3].name": "late", "piece[3].length": "9 m", "spool[2].name": "S",
             "spool[2].length": "20 m", "piece[0].name": "", "piece[0].end": "bowline"}  # fmt: skip
    text = shown(client, "cut", **query)
    assert 'name="piece[0].name" type="text" value="late"' in text
    assert 'name="piece[2].name"' in text
    assert 'name="piece[3].name"' not in text


def test_lines_named_alike_are_refused(client):
    query = {"diameter": "11 mm", "piece[0].name": "a", "piece[0].length": "9 m", "piece[1].name": "a",
             "piece[1].length": "8 m", "spool[0].name": "S", "spool[0].length": "20 m"}  # fmt: skip
    answer = client.get("/rope/cut", params=query)
    assert answer.status_code == 422
    assert "a name of its own" in answer.text


def test_names_are_escaped_in_list_and_drawing(client):
    query = {"diameter": "11 mm", "piece[0].name": "<script>x", "piece[0].length": "9 m", "spool[0].name": "<b>S",
             "spool[0].length": "20 m"}  # fmt: skip
    text = client.get("/rope/cut", params=query).text
    assert "<script>x" not in text
    assert "<b>S" not in text


def test_rope_that_fills_more_than_its_bag_fails(client):
    """60 m of 11 mm rope are 5.7 L of rope (pi / 4 d^2 L): no 5 L bag holds them, however they are laid."""
    text = words(shown(client, "stow", length="60 m", container_volume="5 L"))
    assert "fails Fits its bag or bucket" in text


def test_coil_twists_once_a_loop_and_straight_rope_does_not(client):
    """A loop laid down the same way leaves one turn: 60 m in loops of 1 m come out with 60."""
    assert "60 turns in all" in words(shown(client, "stow", way="coil", length="60 m", loop="1 m"))
    assert "pulled out straight none" in words(shown(client, "stow", way="straight-in"))


@pytest.mark.parametrize("name", list(knots()))
def test_what_rules_forbid_is_said_before_steps_and_strength(client, name):
    text = words(shown(client, "knot", name=name).split("All knots")[0])
    forbidden = "Forbidden in a lifeline." in text
    assert forbidden == any(rule.forbids for rule in tie(knots()[name], 0.011).rules)
    if forbidden:
        assert text.index("Forbidden in a lifeline.") < text.index("Strength left") < text.index("Steps")


def test_sliding_hitch_is_told_as_forbidden(client):
    """29 CFR 1926 Subpart M App C II(h)(8): no sliding hitch knot in place of a rope grab but in an emergency."""
    assert "Forbidden in a lifeline." in words(shown(client, "knot", name="sliding hitch").split("All knots")[0])


def test_ends_that_are_no_knots_say_that_no_rope_is_known(client):
    assert "No published figure was found" in shown(client, "knot", name="eye splice")


def test_end_without_a_drawing_has_no_paper(client):
    text = shown(client, "knot", name="rated assembly")
    assert ("knot.pdf" in text) == (client.get("/rope/knot.pdf?name=rated+assembly").status_code == 200)


def test_labels_of_fields_are_spanish_where_spanish_is_spoken(client):
    client.send("/settings", {"person": "A. Roofer", "language": "es"})
    text = shown(client, "judge")
    assert "Resistencia" in text
    assert '<span lang="en">' in text
