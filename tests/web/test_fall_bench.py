"""The fall bench: works by its form alone, keeps the set-up in its address, says what is wrong where it is."""

from __future__ import annotations

import re

import pytest

from ropewright.quantity import Range, UnitSystem
from ropewright.web.fall.form import FIELDS, defaults, read_setup

ODD = ("a.mass=1e9 kg", "a.line=", "a.rope=string", "a.slack=-1 m", "a.setback=9 m", "a.clearance=x", "a.limit=0 kN")


def test_bench_shows_both_clearances_and_the_force(client):
    text = client.get("/fall").text
    assert "by the book" in text
    assert "simulated, likely" in text
    assert text.count("<svg") == 2


def test_set_up_stands_in_the_address(client):
    text = client.get("/fall", params={"a.mass": "130 kg", "a.slack": "0.6 m"}).text
    assert 'value="130 kg"' in text
    assert 'value="0.6 m"' in text


def test_second_set_up_starts_as_the_first(client):
    text = client.get("/fall", params={"two": "yes", "a.mass": "130 kg"}).text
    assert text.count('value="130 kg"') == 2
    assert text.count("<svg") == 4


@pytest.mark.parametrize("query", ODD)
def test_fault_is_told_at_its_field(client, query):
    name = query.partition("=")[0]
    answer = client.get(f"/fall?{query}")
    assert answer.status_code == 422
    assert f'id="fault-{name.replace(".", "-").replace("setback", "line")}"' in answer.text


def test_chain_that_stops_nothing_is_a_fault_and_no_accident(client):
    answer = client.get("/fall", params={"a.mass": "900 kg", "a.slack": "40 m", "a.absorber": ""})
    assert answer.status_code in (200, 422)


def test_part_that_is_fetched_anew_is_no_whole_page(client):
    text = client.get("/fall/shown").text
    assert "<html" not in text
    assert "by the book" in text


def test_bench_starts_in_the_units_chosen(client):
    client.send("/settings", {"person": "A. Roofer", "units": "us"})
    text = client.get("/fall").text
    assert 'value="220 lb"' in text
    assert 'data-unit="lb"' in text


@pytest.mark.parametrize("units", list(UnitSystem))
def test_every_start_can_be_read_and_stands_on_its_slider(units):
    texts = {f"a.{name}": value for name, value in defaults(units).items()}
    assert isinstance(read_setup(texts, "a").mass, Range)
    for field in FIELDS:
        low, high, _step, unit = field.slide(units)
        number = float(re.match(r"[\d.,]+", texts[f"a.{field.name}"])[0].replace(",", ""))
        assert low <= number <= high
        assert texts[f"a.{field.name}"].endswith(f" {unit}")


def test_drawings_are_spanish_where_spanish_is_spoken(client):
    client.send("/settings", {"person": "A. Roofer", "language": "es"})
    assert "caída libre" in client.get("/fall").text
