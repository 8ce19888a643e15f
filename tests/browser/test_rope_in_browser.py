"""The rope bench in a browser, with and without scripts."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("name", ["judge", "stretch", "choose", "batch", "cut", "stow", "knot"])
def test_bench_can_be_used_by_everyone(looked_at, name):
    looked_at(f"rope-{name}", f"/rope/{name}")


def test_list_of_benches_can_be_used_by_everyone(looked_at):
    looked_at("rope", "/rope")


def test_faults_can_be_found_by_everyone(looked_at):
    looked_at("rope-judge-faults", "/rope/judge?strength=strong&age=old")
    looked_at("rope-cut-faults", "/rope/cut?diameter=11&piece[0].name=a&piece[0].length=9&spool[0].name=")


def test_coil_and_forbidden_knot_can_be_used_by_everyone(looked_at):
    looked_at("rope-stow-coil", "/rope/stow?way=coil&loop=1+m")
    looked_at("rope-knot-hitch", "/rope/knot?name=sliding+hitch")


def test_bench_prints_without_its_form(browser_page, shot):
    browser_page.goto("/rope/judge")
    browser_page.emulate_media(media="print")
    assert browser_page.get_by_role("button", name="Work it out").count() == 0
    assert browser_page.get_by_role("heading", name="What it may do today").is_visible()
    shot(browser_page, "rope-judge-print")


def test_rope_is_judged_cut_and_judged_again_by_its_form_alone(context, site):
    """No script stands on these pages: a browser without any does the same."""
    page = context.browser.new_page(java_script_enabled=False, base_url=site.address)
    page.context.add_cookies(context.cookies())
    page.goto("/rope/judge")
    page.get_by_label("Falls it has caught").fill("1")
    page.get_by_role("button", name="Work it out").click()
    assert page.get_by_text("It has caught a fall").first.is_visible()
    page.goto("/rope/cut")
    page.get_by_role("group", name="Line 3").get_by_label("Line").fill("third")
    page.get_by_role("group", name="Line 3").get_by_label("Length").fill("5 m")
    page.get_by_role("button", name="Work it out").click()
    assert "piece%5B2%5D.name=third" in page.url
    assert page.get_by_role("cell", name="third 5.50 m").is_visible(), "5 m, and the half metre to spare"
    page.close()
