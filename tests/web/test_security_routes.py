"""Every route of the app, as the app tells them: strangers, missing tokens, other sites, headers, redirects."""

from __future__ import annotations

import re
from collections.abc import Iterator
from importlib import resources
from typing import Any

import pytest
from walking import crawled, read, ways

from ropewright.web.app import create_app
from ropewright.web.security import POLICY
from ropewright.web.settings import Settings

#: Answered without a session.
_OPEN = {"/healthz", "/openapi.json", "/enter", "/static/{name:path}", "/static/{name}"}
_CARRIED = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "x-frame-options": "DENY",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
_ELSEWHERE = "https://elsewhere.example/"


@pytest.fixture(scope="module")
def walked(filled) -> list[tuple[str, Any]]:
    """Address and answer of everything that a link leads to."""
    return list(crawled(filled))


def ask(client, way, **more):
    return client.request(way.method, way.address, **more)


def changing(app):
    found = [way for way in ways(app) if way.changes]
    assert len(found) > 20
    return found


def test_stranger_is_shown_the_door_on_every_route(stranger):
    statuses = {way: ask(stranger, way).status_code for way in ways(stranger.app) if way.route not in _OPEN}
    assert {way: status for way, status in statuses.items() if status != 401} == {}


def test_stranger_gets_nothing_by_sending_something(stranger):
    told = {"text": "a", "csrf_token": "b", "person": "C"}
    for way in changing(stranger.app):
        assert ask(stranger, way, data=told).status_code == 401, way
        assert ask(stranger, way, json=told).status_code == 401, way


def test_whatever_changes_something_needs_the_token(filled):
    """As a form, as JSON and with nothing: a page of another site can send all three."""
    for way in changing(filled.app):
        for sent in (
            {"data": {"person": "B. Other"}},
            {"json": {"text": ""}},
            {},
            {"files": {"file": ("a.toml", b"")}},
        ):
            assert ask(filled, way, **sent).status_code == 403, (way, sent)


def test_wrong_token_is_none(filled):
    right = filled.token()
    for way in changing(filled.app):
        for token in (right[:-1], right[::-1], "é", "x" * 5000):
            assert ask(filled, way, data={"csrf_token": token}).status_code == 403, way


def test_token_in_an_address_is_none(filled):
    token = filled.token()
    for way in changing(filled.app):
        assert ask(filled, way, params={"csrf_token": token}).status_code == 403, way


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_other_sites_change_nothing_even_with_the_token(filled, site):
    headers = {"x-csrf-token": filled.token(), "sec-fetch-site": site}
    for way in changing(filled.app):
        assert ask(filled, way, headers=headers).status_code == 403, way


def test_nothing_is_changed_by_looking(filled):
    """The methods that need no token are those that change nothing."""
    before = _kept(filled)
    for way in ways(filled.app):
        if not way.changes:
            ask(filled, way)
    assert _kept(filled) == before


def _kept(client) -> tuple[object, ...]:
    store = client.app.state.store
    with store.record.read() as view:
        count = view.head().count
    jobs = [*store.jobs.listed(), *store.jobs.listed(archived=True)]
    return count, [(one.number, one.version, one.archived) for one in jobs]


def refused(client) -> Iterator[tuple[str, Any]]:
    """Answers that are no pages: files, redirects, refusals, faults."""
    mark = client.get("/static/css/paper.css").headers["etag"]
    token = {"x-csrf-token": client.token()}
    huge = {**token, "content-length": str(client.app.state.settings.body_limit + 1)}
    for name, method, address, headers in [
        ("303", "GET", "/enter", {}), ("304", "GET", "/static/css/paper.css", {"if-none-match": mark}),
        ("400", "GET", "/", {"content-length": "-1"}), ("403", "POST", "/settings", {}), ("404", "GET", "/no", {}),
        ("404 api", "GET", "/api/no", {}), ("405", "PUT", "/settings", {}), ("405 api", "DELETE", "/api/jobs", {}),
        ("413", "POST", "/settings", huge), ("421", "GET", "/", {"host": "elsewhere.example"}),
        ("415", "POST", "/settings", {**token, "content-type": "text/xml"}), ("422", "POST", "/settings", token),
        ("422 api", "POST", "/api/jobs", token), ("font", "GET", "/static/fonts/sans.woff", {}),
        ("style", "GET", "/static/css/paper.css", {}),
        ("described", "GET", "/openapi.json", {}), ("head", "HEAD", "/openapi.json", {}),
    ]:  # fmt: skip
        answer = client.request(method, address, headers=headers)
        assert not name[0].isdigit() or str(answer.status_code) == name[:3], (name, answer.status_code)
        yield name, answer


def test_every_kind_of_answer_carries_every_guard(filled, walked):
    kinds = set()
    for name, answer in (*walked, *refused(filled)):
        kinds.add(answer.headers.get("content-type", "").partition(";")[0])
        assert {key: answer.headers.get(key) for key in _CARRIED} == _CARRIED, name
    assert kinds >= {
        "text/html",
        "text/css",
        "image/png",
        "image/svg+xml",
        "application/pdf",
        "application/problem+json",
    }


def test_fault_of_the_program_carries_every_guard(client, monkeypatch, capsys):
    monkeypatch.setattr("ropewright.web.home._texts", lambda *_chosen: 1 / 0)
    answer = client.get("/settings")
    assert answer.status_code == 500
    assert {key: answer.headers.get(key) for key in _CARRIED} == _CARRIED
    capsys.readouterr()


def test_only_what_never_changes_is_kept_by_browsers(walked):
    """A page holds a token and people's names: nothing but styles, letters and photos may outlive it."""
    for name, answer in walked:
        if not name.startswith(("/static/", "/gear/photo/")):
            assert answer.headers["cache-control"] == "no-store", name


def test_policy_is_answered_to_in_every_template():
    """No inline script, style or handler anywhere, whether a test shows that page or not; nothing from outside."""
    folder = resources.files("ropewright.web") / "templates"
    texts = {name.name: name.read_text(encoding="utf-8") for name in _templates(folder)}
    assert len(texts) > 30
    inline = re.compile(
        r"<style|<script(?![^>]*\bsrc=)|\sstyle=|\son[a-z]+\s*=\s*[\"']|javascript:|https?://|\|\s*safe\b",
        re.IGNORECASE,
    )
    assert {name: found[0] for name, text in texts.items() if (found := inline.search(text))} == {}


def _templates(folder):
    for one in folder.iterdir():
        if one.is_dir():
            yield from _templates(one)
        elif one.name.endswith(".html"):
            yield one


def test_no_page_has_anything_inline(walked):
    """As templates, but as sent: drawings and notes of the program come in besides."""
    for address, answer in walked:
        if answer.headers["content-type"].startswith("text/html"):
            for tag, told in read(answer.text).tags:
                assert tag not in ("style", "iframe", "object", "embed", "base"), address
                assert tag != "script" or told.get("src", "").startswith("/static/"), address
                assert not [name for name in told if name.startswith("on") or name == "style"], (address, tag, told)


def test_no_form_and_no_link_leads_elsewhere(walked):
    for address, answer in walked:
        if answer.headers["content-type"].startswith("text/html"):
            for _tag, told in read(answer.text).tags:
                for key in ("href", "src", "action", "formaction"):
                    assert re.match(r"(/(?!/)|#|\?|$)", told.get(key, "")), (address, told)


@pytest.mark.parametrize("where", [_ELSEWHERE, "//elsewhere.example", "/\\elsewhere.example"])
def test_no_address_sent_along_is_ever_gone_to(client, idle, where):
    """Whatever is changed leads on to a page of its own, never to one that somebody sent."""
    keys = (
        "next",
        "to",
        "url",
        "page",
        "return",
        "return_to",
        "redirect",
        "back",
        "tag",
        "code",
        "kind",
        "name",
        "job",
    )
    led = []
    for way in changing(client.app):
        answer = ask(
            client, way, data={"csrf_token": client.token(), **dict.fromkeys(keys, where)}, params={"next": where}
        )
        assert answer.status_code < 500, way
        assert "elsewhere" not in answer.headers.get("location", ""), way
        if answer.status_code == 303:
            led.append(answer.headers["location"])
    assert len(led) > 3
    assert [one for one in led if not re.match(r"(http://127\.0\.0\.1:8010)?/(?![/\\])", one)] == []


def test_door_leads_nowhere_else(stranger, settings):
    answer = stranger.get(f"{settings.link}&next={_ELSEWHERE}")
    assert answer.headers["location"] == "/settings?asked=yes"


@pytest.mark.parametrize("host", ["elsewhere.example", "127.0.0.1:8010@elsewhere.example", "127.0.0.1:8010, a.example"])
def test_foreign_host_is_refused_on_every_route(filled, host):
    for way in ways(filled.app):
        assert ask(filled, way, headers={"host": host}).status_code == 421, way


def test_forwarded_headers_are_not_believed(client):
    headers = {
        "x-forwarded-host": "elsewhere.example",
        "x-forwarded-proto": "https",
        "forwarded": "host=elsewhere.example",
    }
    answer = client.post("/jobs/example", data={"csrf_token": client.token()}, headers=headers)
    assert "elsewhere" not in answer.headers["location"]


def test_every_cookie_is_kept_from_scripts_and_other_sites(stranger, settings):
    kept = stranger.get(settings.link).headers.get_list("set-cookie")
    kept += stranger.send("/settings", {"person": "A. Roofer"}).headers.get_list("set-cookie")
    assert len(kept) == 5
    for cookie in kept:
        parts = {part.strip().partition("=")[0].lower() for part in cookie.split(";")[1:]}
        assert "httponly" in parts, cookie
        assert "samesite=strict" in cookie.lower(), cookie
        assert "path=/" in cookie.lower(), cookie
        assert "domain" not in parts, cookie  # this host alone


def test_session_ends_when_the_program_is_started_again(client, settings):
    token = client.token()
    again = Settings(place=settings.place, port=settings.port)
    with type(client)(create_app(again), base_url=str(client.base_url), cookies=client.cookies) as later:
        assert later.get("/jobs").status_code == 401
        assert later.post("/jobs/example", headers={"x-csrf-token": token}).status_code == 401
        assert later.get(settings.link).status_code == 401  # and so does the link


def test_session_ends_after_its_time(client, settings, monkeypatch):
    from itsdangerous import TimestampSigner

    later = TimestampSigner(settings.secret).get_timestamp() + settings.session_seconds + 1
    monkeypatch.setattr(TimestampSigner, "get_timestamp", lambda _signer: later)
    assert client.get("/jobs").status_code == 401


def test_link_of_two_at_once_admits_one(stranger, settings):
    """Two programs may open the link in the same moment: one gets in."""
    from concurrent.futures import ThreadPoolExecutor

    sessions = stranger.app.state.sessions
    with ThreadPoolExecutor(8) as pool:
        admitted = list(pool.map(lambda _turn: sessions.admit(settings.token), range(16)))
    assert sum(admitted) == 1
