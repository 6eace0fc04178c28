"""Working on a machine in the browser: a changed fact beside its proposal, a trip set by hand and undone."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from specapp.projects.models import Machine, Override
from tests.factories import UserFactory, machine_of
from tests.projects.test_overrides import set_on

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def machine(project):
    return machine_of(project, author=UserFactory(), name="contract_example")


def address(live_server, name, machine, *more):
    return live_server.url + reverse(f"projects:{name}", args=[machine.project_id, machine.pk, *more])


def test_a_changed_fact_shows_what_it_would_change_and_is_there_after_going_back(
    signed_in, console, live_server, machine
):
    page = signed_in
    edit = address(live_server, "machine-edit", machine)
    page.goto(edit)
    panel = page.get_by_role("complementary", name="What would change")
    panel.get_by_text("Nothing: the fields say what is saved.").wait_for()
    speed = page.locator('[name="pinions[0].speed"]')
    page.locator('[name="pinions[0].teeth"]').fill("")
    speed.press_sequentially("", delay=10)
    speed.fill("19 000 rpm")
    panel.get_by_text("would be", exact=False).first.wait_for()
    panel.get_by_text(re.compile("19 ?000")).first.wait_for()
    expect(panel.get_by_text("Setpoints").first).to_be_visible()
    expect(speed, "typing is not disturbed").to_be_focused()
    assert Machine.objects.get().version == 1

    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(address(live_server, "machine-show", machine))
    page.go_back()
    page.locator('[name="pinions[0].speed"]').wait_for()
    expect(page.locator('[name="pinions[0].speed"]')).to_have_value("19 000 rpm")
    page.reload()
    expect(page.locator('[name="pinions[0].speed"]')).to_have_value("19 000 rpm")
    page.get_by_role("button", name="Forget it").click()
    page.wait_for_load_state()
    expect(page.locator('[name="pinions[0].speed"]')).not_to_have_value("19 000 rpm")
    assert console == []


def test_the_last_of_many_changes_is_the_one_shown(signed_in, console, live_server, machine):
    page = signed_in
    page.goto(address(live_server, "machine-edit", machine))
    page.locator('[name="pinions[0].teeth"]').fill("")
    speed = page.locator('[name="pinions[0].speed"]')
    speed.fill("")
    speed.press_sequentially("19 400 rpm", delay=60)
    panel = page.get_by_role("complementary", name="What would change")
    panel.get_by_text(re.compile("19 ?400")).first.wait_for()
    expect(panel.get_by_role("heading", name="Not readable yet")).to_have_count(0)
    page.get_by_role("button", name="Move Pinion P2 up").click()
    panel.get_by_text(re.compile("P2 is now P1|order of the pinions")).first.wait_for()
    assert console == []


def test_a_trip_is_set_beside_the_rules_and_undone(signed_in, console, live_server, machine):
    page = signed_in
    page.goto(address(live_server, "machine-show", machine))
    page.locator("#setpoints a.tag", has_text="P1/P1-1/radial").first.click()
    page.get_by_role("link", name=re.compile("set another trip")).click()
    page.get_by_label("Set to").fill("41 µm")
    page.get_by_label("Reason").fill("owner's specification, clause 7.3")
    page.get_by_role("button", name="Set it").click()
    page.get_by_role("heading", name="Set here").wait_for()
    expect(page.locator("td.says", has_text="owner's specification, clause 7.3")).to_be_visible()

    page.goto(address(live_server, "machine-show", machine))
    cell = page.locator("#setpoints td.level", has_text="set; rule").first
    expect(cell).to_contain_text("41 µm")
    cell.locator("a.why").click()
    panel = page.get_by_role("complementary", name="Why")
    panel.get_by_text(re.compile("clause 7.3")).first.wait_for()
    page.keyboard.press("Escape")

    page.goto(address(live_server, "machine-edit", machine))
    page.get_by_role("button", name="Move Pinion P2 up").click()
    panel = page.get_by_role("complementary", name="What would change")
    panel.get_by_text("1 override to be confirmed again.", exact=True).wait_for()
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("link", name="1 override to be confirmed again").click()
    row = page.locator("tr", has_text="P1/P1-1/radial").first
    expect(row).to_contain_text("its pinion stood in place 1, now in place 2")
    row.get_by_role("button", name="Confirm trip of P1/P1-1/radial").click()
    page.get_by_text("Confirmed: trip of P1/P1-1/radial.").wait_for()
    expect(row).to_contain_text("in force")
    page.get_by_role("button", name="Undo trip of P1/P1-1/radial").click()
    page.get_by_text("Undone; the rule's value stands").wait_for()
    assert not Override.objects.filter(undone_at=None).exists()
    page.goto(address(live_server, "machine-show", machine))
    expect(page.locator("#setpoints td.level", has_text="set; rule")).to_have_count(0)
    assert console == []


def test_changes_are_shown_without_scripts(browser, live_server, engineer, machine):
    set_on(machine)
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address(live_server, "machine-edit", machine))
    page.get_by_label("User name or e-mail address").fill(engineer.username)
    page.get_by_label("Password").fill("a-long-enough-password")
    page.get_by_role("button", name="Sign in").click()
    page.locator('[name="pinions[0].teeth"]').fill("")
    page.locator('[name="pinions[0].speed"]').fill("19 000 rpm")
    page.get_by_role("button", name="Show changes").click()
    expect(page.get_by_role("heading", name="What would change")).to_be_visible()
    expect(page.get_by_text("Nothing is saved yet.")).to_be_visible()
    page.get_by_role("button", name="Move Pinion P2 up").click()
    page.get_by_role("button", name="Show changes").click()
    expect(page.get_by_text("1 override to be confirmed again.").first).to_be_visible()
    context.close()


def test_what_would_turn_it_is_searched_with_progress(signed_in, console, live_server, machine):
    page = signed_in
    page.goto(address(live_server, "machine-show", machine))
    page.get_by_role("link", name="What would turn it").click()
    page.get_by_text("All turning points").first.wait_for(timeout=30_000)
    expect(page.get_by_role("progressbar")).to_have_count(0)
    assert console == []
