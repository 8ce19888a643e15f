"""Name, units, language and look."""

from __future__ import annotations

import pytest


def test_name_is_asked_once(stranger, settings):
    assert stranger.get(settings.link).headers["location"] == "/settings?asked=yes"
    stranger.send("/settings", {"person": "A. Roofer"})
    del stranger.cookies[settings.cookie]
    stranger.app.state.sessions._token = settings.token
    assert stranger.get(settings.link).headers["location"] == "/"


@pytest.mark.parametrize("name", ["", "   ", "x" * 81, "a\u202eb"])
def test_name_that_is_none_comes_back_at_its_field(client, name):
    page = client.send("/settings", {"person": name})
    assert page.status_code == 422
    assert 'aria-invalid="true"' in page.text
    assert "give your name" in page.text


def test_language_comes_from_the_browser_until_it_is_chosen(client):
    spanish = {"accept-language": "es-MX,en;q=0.5"}
    assert '<html lang="es">' in client.get("/nothing", headers=spanish).text or client.cookies["ropewright_language"]
    client.cookies.delete("ropewright_language")
    assert '<html lang="es">' in client.get("/", headers=spanish).text
    client.send("/settings", {"person": "A. Roofer", "language": "en"})
    assert '<html lang="en">' in client.get("/", headers=spanish).text


def test_look_chosen_stands_in_the_page(client):
    client.send("/settings", {"person": "A. Roofer", "theme": "dark"})
    assert 'data-theme="dark"' in client.get("/").text


def test_what_is_typed_is_escaped(client):
    page = client.send("/settings", {"person": "<script>alert(1)</script>"})
    assert "<script>alert" not in client.get("/").text
    assert page.status_code == 303
