"""Gear in a browser: taking in, inspecting on a phone with scripts and without, history."""

from __future__ import annotations

import pytest

pytestmark = pytest.mark.browser


@pytest.fixture
def rope(browser_page):
    """A page on a rope that was just taken in."""
    page = browser_page
    page.goto("/gear/new?kind=rope")
    for name, text in {"fibre": "polyester", "construction": "sheathed core", "length_m": "60 m", "strength_n": "30 kN",
                       "strength_basis": "maker's minimum", "end_1": "sewn eye", "wear": "new"}.items():  # fmt: skip
        page.locator(f'input[name="{name}"]').fill(text)
    page.get_by_role("button", name="Take it in").click()
    page.wait_for_url("**/gear/R-001")
    return page


def test_gear_can_be_used_by_everyone(rope, looked_at):
    looked_at("gear-list", "/gear")
    looked_at("gear-item", "/gear/R-001")
    looked_at("gear-due", "/gear/due?within=2 years")
    looked_at("gear-new", "/gear/new?kind=rope")


def test_inspection_can_be_used_by_everyone(rope, looked_at):
    looked_at("gear-inspect", "/gear/R-001/inspect")


def test_rope_is_inspected_on_a_phone(rope):
    rope.set_viewport_size({"width": 390, "height": 844})
    rope.goto("/gear/R-001/inspect")
    for group in rope.locator("fieldset:has(.answers)").all():
        none = group.get_by_text("Has none")
        (none if none.count() else group.get_by_text("In order")).click()
    rope.locator("#answer-cuts").get_by_text("Fault").click()
    rope.get_by_role("button", name="Keep it").click()
    rope.wait_for_url("**/gear/R-001")
    assert rope.locator(".standing b").inner_text() == "quarantined"
    box = rope.locator("main").bounding_box()
    assert box["width"] <= 390


def test_answers_are_large_enough_for_a_thumb(rope):
    rope.set_viewport_size({"width": 390, "height": 844})
    rope.goto("/gear/R-001/inspect")
    for box in (label.bounding_box() for label in rope.locator(".answers label").all()):
        assert box["height"] >= 44
        assert box["width"] >= 44


def test_inspection_works_without_scripts(chromium, site, context):
    page = context.new_page()
    page.goto("/gear/new?kind=bag")
    page.get_by_role("button", name="Take it in").click()
    plain = chromium.new_context(
        base_url=site.address, java_script_enabled=False, storage_state=context.storage_state()
    )
    still = plain.new_page()
    still.goto("/gear/B-001/inspect")
    for group in still.locator("fieldset:has(.answers)").all():
        group.locator('input[value="ok"]').check()
    still.get_by_role("button", name="Keep it").click()
    assert still.url.endswith("/gear/B-001")
    plain.close()
