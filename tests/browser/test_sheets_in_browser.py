"""The sheet index, the settings and the pages of faults, as a browser shows them."""

from __future__ import annotations

from urllib.parse import urlsplit

import pytest

pytestmark = pytest.mark.browser


def test_sheet_index_can_be_used_by_everyone(looked_at):
    looked_at("index", "/")


def test_settings_can_be_used_by_everyone(looked_at):
    looked_at("settings", "/settings")


def test_faults_can_be_used_by_everyone(looked_at, browser_page):
    looked_at("fault", "/no-such-page")


def test_wrong_form_can_be_used_by_everyone(looked_at, browser_page):
    browser_page.goto("/settings")
    browser_page.get_by_label("Your name").fill("")
    browser_page.get_by_role("button", name="Save").click()
    looked_at("settings-fault")


def test_spanish_is_spoken_once_chosen(looked_at, browser_page):
    browser_page.goto("/settings")
    browser_page.get_by_label("Español").check()
    browser_page.get_by_role("button", name="Save").click()
    assert browser_page.get_by_role("heading", level=1).inner_text() == "Ajustes"
    looked_at("settings-es")


def test_first_page_is_small(browser_page, site):
    sizes: dict[str, int] = {}

    def keep(answer):
        sizes[urlsplit(answer.url).path] = answer.request.sizes()["responseBodySize"]

    browser_page.on("requestfinished", lambda request: keep(request.response()))
    browser_page.goto("/", wait_until="networkidle")
    assert "/static/fonts/sans.woff" in sizes
    assert sum(sizes.values()) < 300_000


def test_keyboard_reaches_the_content_by_the_skip_link(browser_page):
    browser_page.goto("/")
    browser_page.keyboard.press("Tab")
    assert browser_page.evaluate("document.activeElement.className") == "skip"
    browser_page.keyboard.press("Enter")
    assert browser_page.evaluate("document.activeElement.id") == "main"


def test_policy_stops_inline_scripts(context):
    page = context.new_page()  # not watched: the browser complains here, as it should
    page.goto("/")
    ran = page.evaluate(
        "() => {const s = document.createElement('script'); s.textContent = 'window.ran = true';"
        "document.body.append(s); return window.ran === true}"
    )
    assert ran is False
