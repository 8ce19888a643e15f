"""Jobs as a browser shows them: usable by everyone on both widths, and nothing typed is lost."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from playwright.sync_api import expect

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))
from guided_form import FORM

pytestmark = pytest.mark.browser
EXAMPLES = Path(__file__).parents[2] / "examples"
#: A plan is worked out in a fresh process, which may have to compile first. [ms]
PLANNED = 240_000


def upload(page, path):
    page.goto("/jobs/upload")
    page.get_by_label("Job file").set_input_files(path)
    page.get_by_role("button", name="Make the job").click()


def test_empty_list_can_be_used_by_everyone(looked_at):
    looked_at("jobs-empty", "/jobs")


def test_bad_upload_says_what_is_wrong(browser_page, looked_at, tmp_path):
    bad = tmp_path / "barn.toml"
    bad.write_text("[job]\nname = 3\n", encoding="utf-8")
    upload(browser_page, bad)
    expect(browser_page.get_by_role("alert")).to_contain_text("job.name")
    looked_at("job-upload-fault")


def test_plan_opens_to_formula_and_mend_and_the_mend_shows_what_it_changed(browser_page, looked_at):
    page = browser_page
    upload(page, EXAMPLES / "l-hip-metric.toml")
    expect(page.get_by_role("heading", name="Findings, worst first")).to_be_visible(timeout=PLANNED)
    looked_at("job-plan")
    first = page.locator(".findings details").first
    expect(first.get_by_text("Formula")).to_be_visible()
    first.get_by_role("button", name="Make this change").click()
    expect(page.locator(".diff ins").first).to_be_visible()
    expect(page.get_by_role("table")).to_be_visible(timeout=PLANNED)
    looked_at("job-compare")
    looked_at("job-versions", "/jobs/1/versions")
    looked_at("jobs", "/jobs")
    page.goto("/jobs/1")
    with page.expect_download() as told:
        page.get_by_role("link", name="Plan on paper").click()
    assert Path(told.value.path()).read_bytes().startswith(b"%PDF")


def test_work_can_be_followed_and_stopped(browser_page):
    page = browser_page
    upload(page, EXAMPLES / "gable-house.toml")
    expect(page.get_by_role("progressbar", name="How far it is")).to_be_visible()
    page.get_by_role("button", name="Stop").click()
    expect(page.get_by_text("Working it out was stopped.")).to_be_visible()
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("heading", name="Findings, worst first")).to_be_visible(timeout=PLANNED)


def test_reload_loses_nothing_that_was_typed(browser_page, shot):
    page = browser_page
    page.goto("/jobs/new")
    page.get_by_label("Name of the job").fill("Mill barn")
    expect(page.get_by_text("What you type is kept.")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Name of the job")).to_have_value("Mill barn")
    shot(page, "job-new-wide-light")


def test_lost_connection_is_said(context):
    page = context.new_page()  # not watched: the browser complains of the connection, as it should
    page.goto("/jobs/new")
    context.set_offline(True)
    page.get_by_label("Name of the job").fill("Mill barn")
    expect(page.get_by_text("No connection")).to_be_visible()
    context.set_offline(False)
    page.get_by_label("Name of the job").fill("Mill barn 2")
    expect(page.get_by_text("What you type is kept.")).to_be_visible()


def test_guided_form_works_without_scripts(chromium, site, context):
    plain = chromium.new_context(
        base_url=site.address, java_script_enabled=False, storage_state=context.storage_state()
    )
    page = plain.new_page()
    page.goto("/jobs/new")
    page.get_by_role("button", name="One more anchor").click()
    page.get_by_role("button", name="Take the last anchor out").click()
    for name, text in FORM.items():
        box = page.locator(f'[name="{name}"]:visible')
        if box.count():
            (box.select_option if box.evaluate("one => one.tagName") == "SELECT" else box.fill)(text)
    page.get_by_role("button", name="Make the job").last.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Barn")
    plain.close()


def test_wrong_guided_form_leads_to_its_faults(browser_page, looked_at):
    page = browser_page
    page.goto("/jobs/new")
    page.get_by_label("Name of the job").fill("Barn")
    page.get_by_role("button", name="Make the job").last.click()
    page.get_by_role("alert").get_by_role("link", name="Width, along x").click()
    expect(page.locator("#width")).to_be_focused()
    looked_at("job-new-fault")


def test_text_and_anchors_can_be_used_by_everyone(browser_page, looked_at):
    upload(browser_page, EXAMPLES / "gable-house.toml")
    looked_at("job-text", "/jobs/1/text")
    looked_at("job-anchors", "/jobs/1/anchors")


def test_spanish_plan_says_what_is_in_english(browser_page, shot):
    page = browser_page
    page.goto("/settings")
    page.get_by_label("Español").check()
    page.get_by_role("button", name="Save").click()
    page.goto("/jobs/upload")
    page.get_by_label("Archivo de trabajo").set_input_files(EXAMPLES / "l-hip-metric.toml")
    page.get_by_role("button", name="Crear el trabajo").click()
    expect(page.get_by_role("heading", name="Resultados, lo peor primero")).to_be_visible(timeout=PLANNED)
    expect(page.get_by_text("se calculan y se redactan en inglés")).to_be_visible()
    expect(page.get_by_text("¿Con qué fuerza se detiene al trabajador?").first).to_be_visible()
    shot(page, "job-plan-es-wide-light")
