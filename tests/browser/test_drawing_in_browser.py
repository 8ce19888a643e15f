"""The roof drawing in a browser: by mouse, by keyboard, there and back, kept and not lost."""

from __future__ import annotations

from pathlib import Path

import pytest

pytestmark = pytest.mark.browser

EXAMPLE = Path(__file__).parents[2] / "examples/gable-house.toml"
STATE = "ropewrightDrawing.state"


@pytest.fixture
def drawing(browser_page):
    """A page with the example's drawing, ready to be used."""
    page = browser_page
    page.goto("/jobs/upload")
    page.locator('input[name="file"]').set_input_files(EXAMPLE)
    page.locator("main button.main").click()
    page.wait_for_url("**/jobs/1")
    page.goto("/jobs/1/draw")
    page.locator(".layer-field polyline").first.wait_for(state="attached", timeout=60_000)
    return page


def drag(page, knob, dx, dy, steps=6):
    box = page.locator(knob).first.locator(".dot").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx, y + dy, steps=steps)
    page.mouse.up()


def settled(page):
    """Wait until the last change was answered."""
    page.wait_for_function("() => !ropewrightDrawing.live.asking && ropewrightDrawing.live.times.length > 0", timeout=60_000)


def verdicts(page):
    return page.evaluate(f"{STATE}.live.workers.map(worker => worker.edges.verdict).join('')")


def test_drawing_can_be_used_by_everyone(drawing, looked_at, violations):
    assert violations(drawing) == []
    drawing.locator(".knob-anchor").first.focus()
    drawing.keyboard.press("Enter")
    assert violations(drawing) == []


def test_anchor_is_dragged_until_an_edge_fails_and_back(drawing):
    before = verdicts(drawing)
    drag(drawing, ".knob-anchor", 60, 90)
    settled(drawing)
    assert verdicts(drawing).count("f") > before.count("f")
    drawing.get_by_role("button", name="Undo").click()
    drawing.wait_for_function(
        f"expected => {STATE}.live.workers.map(w => w.edges.verdict).join('') === expected", arg=before
    )
    drawing.get_by_role("button", name="Redo").click()
    drawing.wait_for_function(
        f"expected => {STATE}.live.workers.map(w => w.edges.verdict).join('') !== expected", arg=before
    )


def test_arrow_keys_move_what_has_the_focus(drawing):
    before = drawing.evaluate(f"{STATE}.point('anchor[0].at')")
    drawing.locator(".knob-anchor").first.focus()
    drawing.keyboard.press("ArrowRight")
    settled(drawing)
    after = drawing.evaluate(f"{STATE}.point('anchor[0].at')")
    assert after[0] > before[0]
    assert after[1] == pytest.approx(before[1], abs=0.01)


def test_exact_number_is_typed_and_a_wrong_one_is_told_at_its_field(drawing):
    drawing.locator(".knob-anchor").first.focus()
    drawing.keyboard.press("Enter")
    field = drawing.locator('input[data-path="anchor[0].at[0]"]')
    field.fill("15 ft")
    field.press("Tab")
    settled(drawing)
    assert drawing.evaluate(f"{STATE}.live.anchors[0].at[0]") == pytest.approx(15 * 0.3048, abs=1e-3)
    field.fill("far")
    field.press("Tab")
    drawing.locator("[data-panel] .fault").wait_for()
    assert field.get_attribute("aria-invalid") == "true"


def test_side_becomes_a_hip(drawing):
    drawing.evaluate(f"{STATE}.select('roof')")
    drawing.locator("[data-panel] details summary").last.click()
    drawing.get_by_label("Side 2: kind").select_option("hip")
    settled(drawing)
    assert "hip" in drawing.evaluate(f"{STATE}.live.roof.edges.map(edge => edge.type)")


def test_edge_point_shows_its_fall_as_a_moving_picture(drawing):
    place = drawing.evaluate(
        """() => {
          const { state, plan } = ropewrightDrawing;
          const worker = state.live.workers.find(one => /[hdaf]/.test(one.edges.verdict));
          const number = [...worker.edges.verdict].findIndex(letter => letter !== "n");
          const [x, y] = plan.screen(worker.edges.points[number]);
          const box = plan.svg.getBoundingClientRect();
          return [x + box.left, y + box.top];
        }"""
    )
    drawing.mouse.click(*place)
    drawing.locator("[data-fall] [data-now]").filter(has_text=" s ·").wait_for(timeout=60_000)
    drawing.locator("#moment").fill("0.3")
    assert "0.3" in drawing.locator("[data-now]").inner_text()


def test_what_was_drawn_outlives_a_reload_and_is_kept_when_asked(drawing):
    drag(drawing, ".knob-anchor", 30, 0)
    settled(drawing)
    moved = drawing.evaluate(f"{STATE}.get('anchor[0].at')")
    drawing.reload()
    drawing.locator(".layer-field polyline").first.wait_for(state="attached", timeout=60_000)
    assert drawing.evaluate(f"{STATE}.get('anchor[0].at')") == moved
    drawing.get_by_role("button", name="Keep and work out the plan").click()
    drawing.wait_for_url("**/jobs/1")
    drawing.goto("/jobs/1/text")
    assert moved[0] in drawing.locator("textarea").input_value()


def test_thing_is_set_down_and_taken_out_again(drawing):
    drawing.get_by_label("Set down", exact=True).select_option("opening")
    box = drawing.locator("svg[data-plan]").bounding_box()
    drawing.mouse.click(box["x"] + box["width"] * 0.45, box["y"] + box["height"] * 0.4)
    settled(drawing)
    assert len(drawing.evaluate(f"{STATE}.live.roof.openings")) == 2
    drawing.get_by_role("button", name="Take it out").click()
    drawing.wait_for_function(f"() => {STATE}.live.roof.openings.length === 1")


def test_roof_is_shown_in_space(drawing):
    drawing.get_by_role("button", name="In space").click()
    drawing.wait_for_function("() => ropewrightDrawing.solid.frames.length > 0")
