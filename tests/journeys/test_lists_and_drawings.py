"""From a pasted list to machines, from a drawing to a point, from a point to the clipboard; accessibility."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from specapp.lists.services import sheet_stage
from specapp.lists.sheets import sheets_of_text
from tests.factories import NOW, machine_of
from tests.journeys.test_accessibility import CONTRAST, LOOKS, wrong_with
from tests.lists.bringing import HEADS, PINIONS, SOUND, pasted

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_pasted_list_becomes_machines(signed_in, live_server, project, console):
    page = signed_in
    page.goto(live_server.url + reverse("projects:project-show", args=[project.pk]))
    page.get_by_role("link", name="Bring a list").click()
    rows = (SOUND, ("K-12", "proces", *SOUND[2:]))
    text = pasted(*rows, heads=("Item no.", *HEADS[1:], *PINIONS))
    page.get_by_label("Or cells pasted from a spreadsheet").fill(text)
    page.get_by_role("button", name="Preview").click()
    page.get_by_label("Field of column A").select_option("tag")
    page.get_by_role("button", name="Read with these fields").click()
    expect(page.get_by_role("rowheader", name="row 3, column B")).to_be_visible()
    page.get_by_role("button", name="Take over the ticked machines").click()
    page.get_by_role("link", name="K-11").click()
    expect(page.get_by_role("heading", name="K-11")).to_be_visible()
    assert console == []


def test_a_balloon_leads_to_its_point_by_keyboard(signed_in, live_server, project, machine, console):
    page = signed_in
    page.goto(live_server.url + reverse("projects:drawing-list", args=[project.pk, machine.pk]))
    link = page.locator(".desk-only svg a").first
    label = link.get_attribute("aria-label")
    link.focus()
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Worked out").wait_for()
    assert label
    assert "/points/" in page.url
    assert console == []


def test_one_shaft_at_a_time_on_a_phone(signed_in, live_server, project, machine):
    page = signed_in
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(live_server.url + reverse("projects:drawing-list", args=[project.pk, machine.pk]))
    page.get_by_label("Shaft").select_option("P2")
    page.get_by_role("button", name="Show").click()
    expect(page.locator("svg:visible")).to_have_count(1)
    assert page.locator("svg:visible").get_attribute("id") == "shaft-P2-narrow"


def test_the_reasoning_goes_to_the_clipboard(signed_in, live_server, project, machine, context, console):
    context.grant_permissions(["clipboard-read", "clipboard-write"], origin=live_server.url)
    page = signed_in
    address = reverse("projects:point-show", args=[project.pk, machine.pk, "P1/P1-1/radial/Y"])
    page.goto(live_server.url + address)
    page.get_by_role("button", name="Copy the reasoning").click()
    expect(page.get_by_text("Copied.")).to_be_visible()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert "of the acceptance limit (radial.trip_multiple)" in copied
    assert copied.strip().endswith("working, v1.")
    assert console == []


def pages_of(project, machine, other):
    place = [project.pk, machine.pk]
    drawings = reverse("projects:drawing-list", args=place)
    compare = reverse("lists:machine-compare", args=[project.pk])
    return [
        *(f"{drawings}?show={kind}" for kind in ("arrangement", "chain", "racks", "setpoints", "trips")),
        reverse("projects:point-show", args=[*place, "P1/P1-1/radial/Y"]),
        reverse("lists:sheet-bring", args=[project.pk]),
        reverse("lists:sheet-preview", args=[project.pk]),
        reverse("lists:machine-copy", args=[project.pk]),
        f"{compare}?first={machine.pk}&second={other.pk}",
        f"{reverse('lists:machine-search')}?q=305",
        reverse("lists:schedule-list", args=place),
    ]


def test_pages_are_accessible(signed_in, live_server, project, machine, engineer):
    other = machine_of(project, author=engineer, tag="K-2")
    rows = (SOUND, ("K-12", "proces", *SOUND[2:]))
    sheets = sheets_of_text(pasted(*rows, heads=("tag", *HEADS[1:], PINIONS[0], "My own")))
    sheet_stage(project=project, name="list", sheets=sheets, author=engineer, now=NOW)
    looks = (*LOOKS, (390, "dark", CONTRAST))
    addresses = [live_server.url + path for path in pages_of(project, machine, other)]
    assert wrong_with(signed_in, addresses, looks) == {}
