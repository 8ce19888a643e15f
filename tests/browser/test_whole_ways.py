"""Whole ways through the pages, as somebody at the machine goes them: from nothing to paper, and out of a city model.

The roof is one of four houses out of Gemeente Den Haag, 3D city model; CityJSON by TU Delft 3D geoinformation; CC BY
4.0 (see examples/data/README.md). The job on it is invented.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import expect

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))
from filled_store import fill_record
from guided_form import FORM
from walking import crawled, read, ways

pytestmark = pytest.mark.browser
EXAMPLES = Path(__file__).parents[2] / "examples"
ROOF = EXAMPLES / "data/denhaag_4b.city.json"
HOUSE = "GUID_3D7D60B9-8F3A-4D3B-A3E5-CD9B5565A5B2"
#: A plan is worked out in a fresh process, which may have to compile first. [ms]
PLANNED = 240_000
L_ROOF = {
    **FORM, "job.name": "Cooper Row, ridge tiles (invented)", "shape": "L", "inner_width": "4 m", "inner_depth": "3 m",
    "roof.form": "hip",
}  # fmt: skip


def fill_in(page, texts):
    for name, text in texts.items():
        box = page.locator(f'[name="{name}"]:visible')
        if box.count():
            (box.select_option if box.evaluate("one => one.tagName") == "SELECT" else box.fill)(text)


def words_of(pdf: Path) -> str:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    return subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout


def test_l_roof_is_told_planned_and_on_paper(browser_page, tmp_path, picture):
    page = browser_page
    page.goto("/")
    page.get_by_role("link", name="Jobs").first.click()
    page.get_by_role("link", name="New job").click()
    fill_in(page, L_ROOF)
    page.get_by_role("button", name="Make the job").last.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(L_ROOF["job.name"])
    expect(page.get_by_role("heading", name="Findings, worst first")).to_be_visible(timeout=PLANNED)
    picture(page, "app-plan")
    with page.expect_download() as told:
        page.get_by_role("link", name="Plan on paper").click()
    paper = tmp_path / "plan.pdf"
    told.value.save_as(paper)
    assert paper.read_bytes().startswith(b"%PDF")
    words = " ".join(words_of(paper).split())
    assert L_ROOF["job.name"] in words
    assert "Planning aid" in words


def test_l_roof_is_raised_over_all_six_walls(browser_page, picture):
    """The drawing of that job has the valley and the ridges of an L, not those of a rectangle."""
    page = browser_page
    page.goto("/jobs/new")
    fill_in(page, L_ROOF)
    page.get_by_role("button", name="Make the job").last.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(L_ROOF["job.name"])
    page.goto("/jobs/1/draw")
    page.locator(".layer-field polyline").first.wait_for(state="attached", timeout=60_000)
    kinds = page.evaluate("ropewrightDrawing.state.live.roof.edges.map(edge => edge.type)")
    assert kinds.count("eave") == 6
    assert "valley" in kinds
    picture(page, "app-drawing")


@pytest.fixture
def picture(shot):
    """`picture(page, name)`: keep what a screen shows at first for docs/app.md, if the environment asks for it."""

    def keep(page, name, part=None):
        page.evaluate("scrollTo(0, 0)")
        shot(page, name, clip=part or {"x": 0, "y": 0, **page.viewport_size})

    return keep


def named_alone() -> str:
    """The example's text with its roof file named without a folder, as a file is that comes along with it."""
    return (EXAMPLES / "hague-house.toml").read_text(encoding="utf-8").replace("data/denhaag_4b", "denhaag_4b")


@pytest.fixture
def real_roof(browser_page, tmp_path):
    """A page on a job whose roof is a house out of a city model."""
    page = browser_page
    job = tmp_path / "house.toml"
    job.write_text(named_alone(), encoding="utf-8")
    page.goto("/jobs/upload")
    page.get_by_label("Job file").set_input_files(job)
    page.get_by_label("Roof file that it names").set_input_files(ROOF)
    page.get_by_role("button", name="Make the job").click()
    page.wait_for_url("**/jobs/1")
    return page


def test_roof_out_of_a_city_model_gets_anchors_suggested_with_their_proof(browser_page, picture):
    page = browser_page
    page.goto("/jobs")
    page.get_by_role("link", name="Roof from a file").click()
    page.get_by_label("File", exact=True).set_input_files(ROOF)
    page.get_by_role("button", name="Read it").click()
    expect(page.locator(".buildings > li")).to_have_count(4)
    page.get_by_label("Name of the job").fill("House in The Hague (invented job)")
    page.get_by_role("button", name=f"Take the roof of {HOUSE}").click()
    page.wait_for_url("**/jobs/1/draw")
    page.get_by_role("link", name="Anchors").click()
    page.get_by_label("The job's anchors stay").uncheck()
    page.get_by_role("button", name="Look for anchors").click()
    words = page.locator("pre.words")
    expect(words).to_contain_text("Proven least", timeout=PLANNED)
    expect(page.get_by_role("group", name="Anchors found").locator("svg")).to_be_visible()
    picture(page, "app-anchors")
    page.get_by_role("button", name="Put these anchors into the job").click()
    page.wait_for_url("**/compare?old=1&new=2")
    expect(page.locator(".diff ins").first).to_contain_text("N1")


def test_real_roof_is_planned_and_a_mend_shows_what_it_changed(real_roof, picture):
    page = real_roof
    expect(page.get_by_role("heading", name="Findings, worst first")).to_be_visible(timeout=PLANNED)
    finding = page.locator('.findings details:has(form[action="/jobs/1/mend"])').first
    if finding.get_attribute("open") is None:
        finding.locator("summary").click()
    finding.get_by_role("button", name="Make this change").click()
    page.wait_for_url("**/compare?old=1&new=2")
    expect(page.locator(".diff ins").first).to_be_visible()
    expect(page.get_by_role("table")).to_be_visible(timeout=PLANNED)  # what that changed in the findings
    picture(page, "app-compare")


def test_real_roof_can_be_followed_back_to_its_first_state(real_roof):
    page = real_roof
    page.goto("/jobs/1/text")
    expect(page.get_by_text(ROOF.name, exact=True)).to_be_visible()
    page.get_by_label("Job file").fill(page.get_by_label("Job file").input_value().replace('"3 m"', '"2.5 m"'))
    page.get_by_label("What you changed").fill("shorter line")
    page.get_by_role("button", name="Keep as a new version").click()
    page.wait_for_url("**/jobs/1")
    page.goto("/jobs/1/compare?old=1&new=2")
    expect(page.locator(".diff del").first).to_have_text("3")
    expect(page.locator(".diff ins").first).to_have_text("2.5")


def test_bad_upload_says_what_is_wrong_and_the_right_one_then_goes_in(browser_page, tmp_path):
    page = browser_page
    job = tmp_path / "house.toml"
    job.write_text((EXAMPLES / "hague-house.toml").read_text(encoding="utf-8"), encoding="utf-8")
    page.goto("/jobs/upload")
    page.get_by_label("Job file").set_input_files(job)
    page.get_by_role("button", name="Make the job").click()
    fault = page.get_by_role("alert")
    expect(fault).to_contain_text("denhaag_4b.city.json")
    expect(fault).to_contain_text("attach this file to the job")
    job.write_text(named_alone(), encoding="utf-8")
    not_a_roof = tmp_path / "denhaag_4b.city.json"
    not_a_roof.write_bytes(ROOF.read_bytes()[:5000])
    page.get_by_label("Job file").set_input_files(job)
    page.get_by_label("Roof file that it names").set_input_files(not_a_roof)
    page.get_by_role("button", name="Make the job").click()
    expect(fault).to_be_visible()
    expect(fault).to_contain_text("JSON")
    page.get_by_label("Job file").set_input_files(job)
    page.get_by_label("Roof file that it names").set_input_files(ROOF)
    page.get_by_role("button", name="Make the job").click()
    page.wait_for_url("**/jobs/1")  # the first: what was refused left none behind


def test_first_question_of_an_inspection_is_in_sight_on_a_phone(browser_page, picture):
    page = browser_page
    page.goto("/gear/new?kind=harness")
    page.get_by_role("button", name="Take it in").click()
    page.wait_for_url("**/gear/H-001")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/gear/H-001/inspect")
    place = page.locator(".answers").first.bounding_box()
    assert place["y"] + place["height"] <= 844
    picture(page, "app-inspect")


def test_curves_and_ladder_of_a_fall_stand_side_by_side_on_a_wide_screen(browser_page, picture):
    page = browser_page
    page.goto("/fall?a.offset=2 m")
    curves, ladder = (one.bounding_box() for one in page.locator(".fall figure").all()[:2])
    assert curves["x"] + curves["width"] <= ladder["x"]
    assert abs(curves["y"] - ladder["y"]) < 40
    picture(page, "app-fall", page.locator(".fall").first.bounding_box())


class Visitor:
    """A page, asked as the walk through the app asks a client: what it shows is the browser's."""

    def __init__(self, site, cookies):
        import httpx

        self.app = site.app
        self._client = httpx.Client(base_url=site.address, cookies=cookies)

    def get(self, address, **more):
        return self._client.get(address, **more)

    def __enter__(self):
        return self

    def __exit__(self, *_how):
        self._client.close()


def test_no_page_is_cut_off_at_the_side_on_a_phone(browser_page, site, context):
    """One page of every route that a link leads to, at 390 px and in the language with the longer words."""
    page = browser_page
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/settings")
    page.get_by_label("Español").check()
    page.get_by_role("button", name="Guardar").or_(page.get_by_role("button", name="Save")).click()
    visitor = Visitor(site, {one["name"]: one["value"] for one in context.cookies()})
    with visitor:
        fill_over_the_wire(visitor)
        addresses = {
            route_of(address, site.app): address
            for address, answer in crawled(visitor)
            if answer.status_code == 200 and answer.headers["content-type"].startswith("text/html")
        }
    assert len(addresses) > 20
    cut = {}
    for address in addresses.values():
        page.goto(address, wait_until="load")
        wide = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
        if wide[0] > wide[1]:
            cut[address] = wide
    assert cut == {}


def route_of(address, app):
    """Route that an address belongs to; those without blanks first, as the app itself looks for them."""
    path = address.partition("?")[0]
    routes = sorted({way.route for way in ways(app) if way.method == "GET"}, key=lambda route: route.count("{"))
    return next(route for route in routes if re.fullmatch(re.sub(r"{[^}]*}", "[^/]+", route), path))


def fill_over_the_wire(visitor):
    """Something of everything, sent as forms of that session."""
    token = re.search(r'name="csrf-token" content="([^"]+)"', visitor.get("/settings").text)[1]

    class Sender:
        app = visitor.app

        @staticmethod
        def send(address, fields=None, **more):
            return visitor._client.post(address, data={"csrf_token": token, **(fields or {})}, **more)

    fill_record(Sender)
    Sender.send("/jobs/example")
    assert read(visitor.get("/crew/P-07").text).count("h1") == 1
