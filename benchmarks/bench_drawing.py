"""How long the roof drawing takes in Chromium: an anchor dragged along a path of 150 moves, and the view in space.

Run it on an idle machine: the server, the browser and this program share the cores. Chromium draws in software here.
`bench_pages.py` measures the first page and 50 readers at once.

A redraw counts from the first move that an answer is asked for until that answer is drawn; moves that come meanwhile
wait for the next one, so that a wait for the answer before is in it.
"""

from __future__ import annotations

import os
import re
import shutil
import statistics
import subprocess
import tempfile
from pathlib import Path

from bench_pages import Server
from playwright.sync_api import Page, sync_playwright

EXAMPLE = Path(__file__).parents[1] / "examples/gable-house.toml"
MOVES, PAUSE = 150, 16  # of a hand that moves at the pace of the screen [ms]
BAYS = 30  # two facets each
FRAMES = 120

SPIN = """async frames => {
  const { solid } = ropewrightDrawing, between = [];
  solid.frames.length = 0;
  let last = null;
  await new Promise(done => requestAnimationFrame(function turn(now) {
    if (last !== null) between.push(now - last);
    last = now;
    solid.spin(0.03, 0);
    if (between.length < frames) requestAnimationFrame(turn);
    else done();
  }));
  return [between, solid.frames];
}"""


def percentile(values: list[float], share: float) -> float:
    """Value that this share does not exceed."""
    return sorted(values)[min(int(share * len(values)), len(values) - 1)]


def told(name: str, values: list[float]) -> None:
    """Print what a list of times comes to."""
    median, high = statistics.median(values), percentile(values, 0.95)
    print(f"{name:<44} median {median:6.1f} ms   p95 {high:6.1f} ms   ({len(values)} times)")


def bays() -> list[dict[str, object]]:
    """Sixty facets as the drawing is sent them: gabled bays beside each other."""
    found: list[dict[str, object]] = []
    for bay in range(BAYS):
        x = 3.0 * bay
        for name, a, b, azimuth in (("w", x, x + 1.5, 270.0), ("e", x + 3.0, x + 1.5, 90.0)):
            ring = [[a, 0, 3], [b, 0, 4], [b, 8, 4], [a, 8, 3]]
            found.append({"id": f"{name}{bay}", "ring": ring, "holes": [], "pitch_deg": 33.7, "azimuth_deg": azimuth})
    return found


def upload(page: Page, path: Path) -> str:
    """Address of the drawing of a job file that is sent."""
    page.goto("/jobs/upload")
    page.locator('input[name="file"]').set_input_files(path)
    page.locator("main button.main").click()
    page.wait_for_url(re.compile(r"/jobs/[0-9]+$"))
    page.goto(f"{page.url}/draw")
    page.locator(".layer-field").wait_for(state="attached")
    page.wait_for_function("() => window.ropewrightDrawing")
    page.wait_for_timeout(8000)  # the plan of the job is worked out meanwhile
    return page.url


def drag(page: Page) -> tuple[list[float], list[float]]:
    """Times from move to redraw, and those of them on the way to the server and back. [ms]"""
    page.evaluate("performance.setResourceTimingBufferSize(2000)")
    box = page.locator(".knob-anchor .dot").first.bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 5, y)
    page.wait_for_timeout(1500)
    page.evaluate("() => { ropewrightDrawing.live.times.length = 0; performance.clearResourceTimings(); }")
    for move in range(MOVES):
        page.mouse.move(x + 5 + move, y + 40 * (move / MOVES) ** 2)
        page.wait_for_timeout(PAUSE)
    page.mouse.up()
    page.wait_for_function("() => !ropewrightDrawing.live.asking")
    times: list[float] = page.evaluate("ropewrightDrawing.live.times")
    asked: list[float] = page.evaluate(
        "performance.getEntriesByType('resource').filter(e => e.name.endsWith('/live'))"
        ".map(e => e.responseEnd - e.requestStart)"
    )
    return times, asked


def drawing_itself(page: Page) -> list[float]:
    """Times of drawing one answer, with the browser's layout of it. [ms]"""
    found: list[float] = page.evaluate(
        """() => Array.from({ length: 40 }, () => {
          const start = performance.now();
          ropewrightDrawing.state.dispatchEvent(new CustomEvent("answer", { detail: true }));
          document.body.getBoundingClientRect();
          return performance.now() - start;
        })"""
    )
    return found


def main() -> None:
    """Print every figure."""
    print(f"load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        server = Server(folder)
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        try:
            client = server.enter()
            context = browser.new_context(base_url=server.address, viewport={"width": 1280, "height": 900})
            cookies = [{"name": n, "value": v, "url": server.address} for n, v in client.cookies.items()]
            context.add_cookies(cookies)
            page = context.new_page()
            upload(page, EXAMPLE)
            before = server.cpu_seconds()
            times, asked = drag(page)
            spent = (server.cpu_seconds() - before) * 1e3 / max(len(asked), 1)
            told("drag to redraw on the example", times)
            told("  of it: server, there and back", asked)
            told("  of it: browser, drawing an answer", drawing_itself(page))
            print(f"  server, processor time of an answer          {spent:6.1f} ms")
            page.evaluate("facets => { ropewrightDrawing.state.live.roof.facets = facets; }", bays())
            page.locator('button[data-do="solid"]').click()
            between, drawn = page.evaluate(SPIN, FRAMES)
            told("in space, 60 facets, frame to frame (software)", between)
            told("  of it: drawing on the canvas", drawn)
        finally:
            browser.close()
            server.process.terminate()
            try:
                server.process.wait(timeout=20)
            except subprocess.TimeoutExpired:
                server.process.kill()
    print(f"load of the machine after: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
