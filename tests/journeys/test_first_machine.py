"""From four facts to a datasheet and a bill in hand."""

import re

import openpyxl
import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from specapp.projects.models import Machine

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def describe(page):
    page.get_by_label("Tag needed").fill("K-77")
    page.get_by_label("Service class").select_option("process")
    page.get_by_label("Number of stages").fill("3")
    page.get_by_label("Bull gear speed").fill("1,490 rpm")
    page.locator('[name="pinions[0].speed"]').fill("18,200 rpm")
    page.locator('[name="pinions[1].speed"]').fill("22 000 rpm")
    page.get_by_label("Hazardous area").select_option("zone 2")
    page.get_by_label("Gas group").select_option("IIB")
    page.get_by_label("Temperature class").select_option("T3")


def test_from_four_facts_to_documents(signed_in, console, project, tmp_path):
    page = signed_in
    page.get_by_role("link", name=str(project)).click()
    page.get_by_role("link", name="Describe the first one").click()
    describe(page)
    page.get_by_role("button", name="Propose").click()

    page.get_by_role("heading", name="K-77", level=1).wait_for()
    expect(page.get_by_text("points on").first).to_be_visible()
    alarm = page.locator("#setpoints td.level a.why").first
    as_set = alarm.inner_text()
    alarm.click()
    panel = page.get_by_role("complementary", name="Why")
    panel.get_by_text(re.compile("SET-")).first.wait_for()
    expect(panel.get_by_role("link", name="Close")).to_be_focused()
    page.keyboard.press("Escape")
    expect(panel).to_be_hidden()
    expect(alarm).to_be_focused()

    page.get_by_role("link", name="US", exact=True).click()
    converted = page.locator("#setpoints td.level").first
    expect(converted).to_contain_text("mil")
    expect(converted).to_contain_text(f"set {as_set}")
    page.get_by_role("link", name="as set", exact=True).click()
    expect(page.locator("#setpoints td.level a.why").first).to_have_text(as_set)

    page.get_by_role("link", name="Only what needs me").click()
    expect(page.locator("#bill")).to_have_count(0)
    page.get_by_role("link", name="Documents").click()
    expect(page.get_by_text("working, not issued").first).to_be_visible()

    with page.expect_download() as datasheet:
        page.get_by_role("link", name="Datasheet").click()
    datasheet.value.save_as(tmp_path / "datasheet.pdf")
    text = "".join(sheet.extract_text() for sheet in PdfReader(tmp_path / "datasheet.pdf").pages)
    assert "K-77" in text
    assert "not issued" in text
    with page.expect_download() as bill:
        page.get_by_role("link", name="workbook").first.click()
    bill.value.save_as(tmp_path / "bill.xlsx")
    cells = [
        cell.value
        for sheet in openpyxl.load_workbook(tmp_path / "bill.xlsx")
        for row in sheet
        for cell in row
    ]
    assert any("proximity probe" in str(cell).lower() for cell in cells)
    assert console == []


def test_pinions_are_added_and_removed_in_place_and_kept(signed_in, console, live_server, project):
    page = signed_in
    page.goto(f"{live_server.url}/projects/{project.pk}/machines/new/")
    describe(page)
    page.get_by_role("button", name="Add a pinion").click()
    page.get_by_role("heading", name="Pinion P3").wait_for()
    expect(page.get_by_label("Tag needed")).to_have_value("K-77")
    page.get_by_role("button", name="Remove Pinion P1").click()
    page.get_by_role("heading", name="Pinion P3").wait_for(state="detached")
    expect(page.locator('[name="pinions[0].speed"]')).to_have_value("22 000 rpm")
    warned = []
    page.on("dialog", lambda dialog: (warned.append(dialog.type), dialog.accept()))
    expect(page.get_by_text("Kept as typed, not saved.")).to_be_visible()
    page.get_by_role("link", name="Projects").click()
    page.get_by_role("heading", name="Projects").wait_for()
    page.go_back()
    expect(page.locator('[name="pinions[0].speed"]')).to_have_value("22 000 rpm")
    assert warned == [], "what is kept is not lost"
    page.route("**/machines/new/", lambda route: route.abort())
    page.locator('[name="pinions[0].speed"]').fill("23 000 rpm")
    page.get_by_role("link", name="Projects").click()
    page.get_by_role("heading", name="Projects").wait_for()
    assert warned == ["beforeunload"], "what could not be kept would be"
    assert [line for line in console if "ERR_FAILED" not in line and "htmx:" not in line] == []


def test_a_double_click_proposes_one_machine_and_tells_no_mistake(signed_in, console, live_server, project):
    page = signed_in
    page.goto(f"{live_server.url}/projects/{project.pk}/machines/new/")
    describe(page)
    page.get_by_role("button", name="Propose").dblclick()
    expect(page).to_have_url(re.compile(r"/machines/\d+/$"))
    expect(page.get_by_role("alert")).to_have_count(0)
    assert Machine.objects.count() == 1
    assert console == []


def test_a_mistake_is_led_to_from_the_summary(signed_in, console, live_server, project):
    page = signed_in
    page.goto(f"{live_server.url}/projects/{project.pk}/machines/new/")
    describe(page)
    page.locator("summary", has_text="Driver").click()
    page.get_by_label("Power", exact=True).fill("4.1 bar")
    page.get_by_role("button", name="Propose").click()
    page.get_by_role("alert").get_by_role("link").first.click()
    field = page.get_by_label("Power", exact=True)
    expect(field).to_have_value("4.1 bar")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_be_visible()
    assert not Machine.objects.exists()
    # The answer 422 to a form with mistakes is listed by the browser as a failed load.
    assert [line for line in console if "422" not in line] == []


def test_everything_works_without_scripts(browser, live_server, engineer, project):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{live_server.url}/projects/{project.pk}/machines/new/")
    page.get_by_label("User name or e-mail address").fill(engineer.username)
    page.get_by_label("Password").fill("a-long-enough-password")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name="Add a pinion").click()
    expect(page.get_by_role("heading", name="Pinion P3")).to_be_visible()
    describe(page)
    page.get_by_role("button", name="Propose").click()
    page.locator("#setpoints td.level a.why").first.click()
    expect(page.get_by_role("complementary", name="Why")).to_be_visible()
    page.get_by_role("link", name="Close").click()
    expect(page.get_by_role("complementary", name="Why")).to_have_count(0)
    context.close()
