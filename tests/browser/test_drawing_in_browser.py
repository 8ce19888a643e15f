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
    page.wait_for_function(
        "() => !ropewrightDrawing.live.asking && ropewrightDrawing.live.times.length > 0", timeout=60_000
    )


def verdicts(page):
    return page.evaluate(f"{STATE}.live.workers.map(worker => worker.edges.verdict).join('')")


def test_drawing_can_be_used_by_everyone(drawing, looked_at):
    drawing.locator(".knob-anchor").first.focus()
    drawing.keyboard.press("Enter")
    drawing.get_by_role("button", name="In space").click()
    looked_at("drawing")
    drawing.get_by_label("Set down", exact=True).select_option("trace wing")
    looked_at("drawing-corner-by-corner")


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


def on_screen(page, place):
    """Place on the page of a place in the plan."""
    return page.evaluate(
        """place => {
          const { plan } = ropewrightDrawing;
          const [x, y] = plan.screen(place), box = plan.svg.getBoundingClientRect();
          return [x + box.left, y + box.top];
        }""",
        place,
    )


def test_roof_is_drawn_from_nothing_corner_by_corner(drawing):
    drawing.set_viewport_size({"width": 1280, "height": 1300})
    drawing.get_by_label("Set down", exact=True).select_option("trace roof")
    for corner in ([0, 0], [11, 0.2], [10.95, 4], [6, 4.1], [6.05, 7.9], [0.1, 8]):  # not quite square: it is made so
        x, y = on_screen(drawing, corner)
        drawing.mouse.move(x - 9, y)
        drawing.mouse.click(x, y)
    drawing.mouse.click(*on_screen(drawing, drawing.evaluate("ropewrightDrawing.trace.ring[0]")))
    settled(drawing)
    ring = drawing.evaluate(f"{STATE}.get('roof.outline').map((_one, n) => {STATE}.point(`roof.outline[${{n}}]`))")
    assert len(ring) == 6
    sides = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    assert all(min(abs(x), abs(y)) < 0.02 for x, y in sides)
    assert sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) > 0
    drawing.get_by_role("button", name="Undo").click()
    assert drawing.evaluate(f"{STATE}.get('roof.outline')") is None


def test_wing_is_drawn_by_lengths_and_directions_without_a_pointer(drawing):
    drawing.get_by_label("Set down", exact=True).select_option("trace area")
    length = drawing.get_by_label("Length of the next side")
    for way, long in (("right", "4 m"), ("turn-left", "3 m"), ("turn-left", "4 m")):
        drawing.get_by_label("Its direction").select_option(way)
        length.fill(long)
        length.press("Enter")
    length.fill("far")
    length.press("Enter")
    assert length.get_attribute("aria-invalid") == "true"
    drawing.get_by_role("button", name="Done").press("Enter")
    settled(drawing)
    ring = drawing.evaluate(f"[0, 1, 2, 3].map(n => {STATE}.point(`area[0].outline[${{n}}]`))")
    assert ring[2][0] - ring[0][0] == pytest.approx(4, abs=0.01)
    assert ring[2][1] - ring[0][1] == pytest.approx(3, abs=0.01)


def test_corner_of_a_slanting_wall_is_drawn_to_a_right_angle(drawing):
    found = drawing.evaluate(
        """async () => {
          const main = document.querySelector('script[src*="drawing/main"]').src;
          const { squared } = await import(main.replace("main.js", "geometry.js"));
          const ring = [[0, 0], [4, 3], [1.1, 7.05], [-3, 4]];  // the third corner lies near (1, 7)
          return squared(ring[2], ring, 2, true, 0.3).at;
        }"""
    )
    assert found == pytest.approx([1, 7], abs=1e-9)  # 4-3-5: (4, 3) + (-3, 4)


def test_worst_places_stand_first_and_lead_to_their_falls(drawing):
    drag(drawing, ".knob-anchor", 60, 90)
    settled(drawing)
    rows = drawing.locator("[data-worst] .finding b").all_inner_texts()
    severity = ["doubtful", "ask", "fails"]
    assert rows
    assert rows == sorted(rows, key=severity.index, reverse=True)
    drawing.locator("[data-worst] .finding").first.press("Enter")
    drawing.locator("[data-fall] [data-now]").filter(has_text=" s ·").wait_for(timeout=60_000)


def test_falls_are_hidden_while_what_is_drawn_can_not_be_a_roof(drawing):
    drawing.evaluate(f"{STATE}.set('roof.eave_height', 'high'); {STATE}.changed()")
    drawing.locator("svg[data-plan].stale").wait_for()
    assert not drawing.locator(".layer-field").is_visible()
    drawing.get_by_role("button", name="Roof", exact=True).click()
    assert drawing.locator('input[data-path="roof.eave_height"]').get_attribute("aria-invalid") == "true"


def test_height_of_a_power_line_can_be_typed(drawing):
    drawing.get_by_label("Set down", exact=True).select_option("power line")
    drawing.get_by_role("button", name="in the middle").click()
    drawing.get_by_label("1 height").fill("8 m")
    drawing.get_by_label("1 height").press("Tab")
    settled(drawing)
    assert drawing.evaluate(f"{STATE}.live.site.power.at(-1).points[0][2]") == pytest.approx(8)


def test_names_in_the_plan_do_not_lie_over_each_other(drawing):
    drawing.set_viewport_size({"width": 390, "height": 844})
    drawing.get_by_role("button", name="All of it").click()
    boxes = drawing.evaluate(
        """[...document.querySelectorAll(".layer-dims text, .layer-handles text")].map(one => {
          const box = one.getBoundingClientRect();
          return [box.left, box.top + 2, box.right, box.bottom - 2];
        })"""
    )
    assert len(boxes) > 4
    over = [
        (a, b)
        for number, a in enumerate(boxes)
        for b in boxes[:number]
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]
    assert over == []


def test_page_scrolls_under_one_finger_but_a_handle_is_held(drawing):
    ways = "one => getComputedStyle(document.querySelector(one)).touchAction"
    assert drawing.evaluate(ways, "svg[data-plan]") == "pan-y"
    assert drawing.evaluate(ways, ".knob-anchor") == "none"


@pytest.fixture
def phone(chromium, context, site):
    """A page on a phone with the example's drawing, and what its fingers do."""
    touching = chromium.new_context(
        base_url=site.address, locale="en-GB", has_touch=True, is_mobile=True, viewport={"width": 390, "height": 844}
    )
    touching.add_cookies(context.cookies())
    page = touching.new_page()
    page.goto("/jobs/upload")
    page.locator('input[name="file"]').set_input_files(EXAMPLE)
    page.locator("main button.main").click()
    page.wait_for_url("**/jobs/1")
    page.goto("/jobs/1/draw")
    page.locator(".layer-field polyline").first.wait_for(state="attached", timeout=60_000)
    page.locator("svg[data-plan]").scroll_into_view_if_needed()
    yield page
    touching.close()


@pytest.fixture
def fingers(phone):
    """Fingers on that phone: what they do, and where."""
    session = phone.context.new_cdp_session(phone)

    def touch(kind, *places):
        points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    return touch


def test_thumb_drags_an_anchor_and_two_fingers_come_closer(phone, fingers):
    before = phone.evaluate(f"{STATE}.point('anchor[0].at')")
    x, y = on_screen(phone, before)
    fingers("touchStart", (x, y))
    for step in range(1, 6):
        fingers("touchMove", (x + 6 * step, y + 8 * step))
    fingers("touchEnd")
    after = phone.evaluate(f"{STATE}.point('anchor[0].at')")
    assert after[0] > before[0]
    assert after[1] < before[1]
    scale = phone.evaluate("ropewrightDrawing.plan.scale")
    x, y = on_screen(phone, [2, 2])
    fingers("touchStart", (x - 20, y), (x + 20, y))
    for step in range(1, 6):
        fingers("touchMove", (x - 20 - 6 * step, y), (x + 20 + 6 * step, y))
    fingers("touchEnd")
    assert phone.evaluate("ropewrightDrawing.plan.scale") > 1.5 * scale


def test_page_of_roof_files_can_be_used_by_everyone(browser_page, looked_at):
    looked_at("roof-file", "/jobs/from-file")
    browser_page.locator('input[name="file"]').set_input_files(
        Path(__file__).parents[1] / "data/roofs/denhaag_4b.city.json"
    )
    browser_page.get_by_role("button", name="Read it").click()
    browser_page.wait_for_url("**/from-file/*")
    looked_at("roof-file-buildings")
    browser_page.get_by_role("button", name="Take the roof of").nth(2).click()
    browser_page.locator(".layer-field").wait_for(state="attached")
    looked_at("draw-roof-of-a-file")
