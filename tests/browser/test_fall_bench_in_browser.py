"""The fall bench in a browser: sliders redraw the fall, and the address keeps what was set."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


def test_bench_can_be_used_by_everyone(looked_at):
    looked_at("fall-bench", "/fall?a.offset=2 m&a.grab=EN 353-2")


def test_two_set_ups_for_a_large_screen_can_be_used_by_everyone(looked_at):
    looked_at("fall-bench-two", "/fall?two=yes&b.slack=0.6 m&large=yes")


def test_slider_redraws_the_fall_and_moves_the_address(browser_page):
    browser_page.goto("/fall")
    before = browser_page.locator("svg.ladder").inner_html()
    with browser_page.expect_response("**/fall/shown?*"):
        browser_page.locator('input[data-slides="a.slack"]').fill("3")
    browser_page.wait_for_function("before => document.querySelector('svg.ladder').innerHTML !== before", arg=before)
    assert browser_page.locator('input[name="a.slack"]').input_value() == "3 m"
    browser_page.wait_for_url("**/fall?*a.slack=3+m*")


def test_fault_while_typing_is_said_and_nothing_typed_is_lost(browser_page):
    browser_page.goto("/fall")
    with browser_page.expect_response("**/fall/shown?*"):
        browser_page.locator('input[name="a.mass"]').fill("100")
    browser_page.locator("#shown .fault-list").wait_for()
    assert browser_page.locator('input[name="a.mass"]').input_value() == "100"


def test_second_set_up_comes_with_its_box(browser_page):
    browser_page.goto("/fall")
    browser_page.get_by_label("two set-ups side by side").check()
    browser_page.wait_for_url("**two=yes**")
    assert browser_page.locator("svg.ladder").count() == 2
