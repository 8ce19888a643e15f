"""Who is let in, what is refused at the door, and what every answer carries."""

from __future__ import annotations

import pytest

from ropewright.web.security import POLICY

PAGES = ("/", "/settings", "/no-such-page")


def test_health_is_answered_without_a_session(stranger):
    assert stranger.get("/healthz").json() == {"status": "ok"}


def test_interface_is_described_without_a_session(stranger):
    assert stranger.get("/openapi.json").json()["info"]["title"] == "Ropewright"


@pytest.mark.parametrize("page", PAGES)
def test_nobody_sees_a_page_without_the_link(stranger, page):
    assert stranger.get(page).status_code == 401


def test_link_works_once(stranger, settings):
    assert stranger.get(settings.link).status_code == 303
    stranger.cookies.clear()
    assert stranger.get(settings.link).status_code == 401


def test_wrong_link_does_not_use_up_the_right_one(stranger, settings):
    assert stranger.get("/enter?token=guessed").status_code == 401
    assert stranger.get(settings.link).status_code == 303


def test_guessing_the_link_is_slowed(stranger):
    statuses = [stranger.get(f"/enter?token={number}").status_code for number in range(21)]
    assert statuses == [401] * 20 + [429]


def test_session_cookie_is_kept_from_scripts_and_other_sites(stranger, settings):
    cookie = stranger.get(settings.link).headers["set-cookie"]
    assert cookie.startswith(settings.cookie)
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie


def test_altered_session_is_none(client, settings):
    kept = client.cookies[settings.cookie]
    client.cookies.clear()
    client.cookies.set(settings.cookie, "x" + kept)
    assert client.get("/").status_code == 401


@pytest.mark.parametrize(
    "host", ["example.com", "127.0.0.1", "127.0.0.1:9", "localhost.example:8010", "127.0.0.1:8010.example", ""]
)
def test_foreign_host_is_refused_even_with_a_session(client, host):
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1:8010", "localhost:8010", "[::1]:8010", "LOCALHOST:8010"])
def test_own_names_are_answered(client, host):
    assert client.get("/healthz", headers={"host": host}).status_code == 200


def test_form_without_token_changes_nothing(client):
    assert client.post("/settings", data={"person": "B. Other"}).status_code == 403
    assert "A. Roofer" in client.get("/settings").text


def test_token_of_another_session_is_refused(client, settings):
    token = client.token()
    client.app.state.sessions._token = settings.token
    client.cookies.clear()
    client.get(settings.link)
    assert client.post("/settings", data={"person": "B. Other", "csrf_token": token}).status_code == 403


def test_form_sent_by_another_site_is_refused(client):
    sent = client.post(
        "/settings", data={"person": "B", "csrf_token": client.token()}, headers={"sec-fetch-site": "cross-site"}
    )
    assert sent.status_code == 403


@pytest.mark.parametrize("page", [*PAGES, "/healthz", "/static/css/paper.css"])
def test_every_answer_carries_the_policy(client, page):
    headers = client.get(page).headers
    assert headers["content-security-policy"] == POLICY
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"


def test_policy_allows_nothing_inline_and_nothing_from_outside():
    assert "unsafe" not in POLICY
    assert "http" not in POLICY
    assert "default-src 'none'" in POLICY


def test_body_told_too_large_is_refused(client, settings):
    sent = client.post("/settings", content=b"a", headers={"content-length": str(settings.body_limit + 1)})
    assert sent.status_code == 413


def test_body_that_turns_out_too_large_is_refused(client, settings):
    def parts():
        yield b"person="
        for _ in range(settings.body_limit // (1 << 20) + 1):
            yield b"a" * (1 << 20)

    headers = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post("/settings", content=parts(), headers=headers).status_code == 413


def test_other_content_is_refused(client):
    sent = client.post("/settings", content=b"<a/>", headers={"content-type": "text/xml"})
    assert sent.status_code == 415


def test_page_that_is_not_there_says_so_without_a_trace(client):
    page = client.get("/no-such-page")
    assert page.status_code == 404
    assert "There is no such page" in page.text
    assert "Traceback" not in page.text


@pytest.mark.parametrize("name", ["../app.py", "..%2fapp.py", "%2e%2e/app.py", "/etc/passwd", "css/../../app.py"])
def test_no_name_reaches_the_file_system(client, name):
    assert client.get(f"{client.base_url}/static/{name}").status_code == 404


def test_what_nobody_foresaw_shows_a_plain_page(client, capsys, monkeypatch):
    def broken(*_args, **_more):
        raise RuntimeError("secret detail")

    monkeypatch.setattr("ropewright.web.home._texts", broken)
    page = client.get("/settings")
    assert page.status_code == 500
    assert "Ropewright itself failed" in page.text
    assert "secret detail" not in page.text
    assert "secret detail" in capsys.readouterr().err
