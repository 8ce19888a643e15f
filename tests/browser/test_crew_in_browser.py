"""People in a browser."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


def test_crew_can_be_used_by_everyone(looked_at, browser_page):
    browser_page.goto("/crew/new")
    browser_page.get_by_label("Name").fill("B. Example")
    browser_page.get_by_label("Mass with clothing and tools").fill("95 kg")
    browser_page.get_by_role("button", name="Take in").click()
    browser_page.wait_for_url("**/crew/P-01")
    looked_at("crew-new", "/crew/new")
    looked_at("crew-list", "/crew")
    looked_at("crew-person", "/crew/P-01")
