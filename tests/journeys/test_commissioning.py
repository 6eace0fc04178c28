"""Beside the machine with a phone: a checklist item by item, a loop curve, the setpoints as left."""

import re

import pytest
from playwright.sync_api import expect

from tests.factories import UserFactory, machine_of
from tests.journeys.test_accessibility import violations
from tests.kernel.test_loop_curve import HAND

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("unsealed_after"),
]
SMALLEST_TARGET_PX = 44


@pytest.fixture
def machine(project):
    return machine_of(project, author=UserFactory(), name="minimal_packaged")


def fits(page):
    """Hold a page to the phone: no wider, axe finds nothing, what is pressed is large enough for a thumb."""
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert violations(page) == []
    for target in page.locator("main :is(button, input:not([type=hidden], [type=radio]), .record)").all():
        box = target.bounding_box()
        assert box is None or box["height"] >= SMALLEST_TARGET_PX, target.evaluate("e => e.outerHTML")


def test_a_checklist_and_a_loop_curve_on_a_phone(signed_in, console, project, machine):
    page = signed_in
    page.set_viewport_size({"width": 390, "height": 844})
    page.get_by_role("link", name=str(project)).click()
    page.get_by_role("link", name=machine.tag).click()
    page.get_by_role("link", name="Commissioning").click()
    page.get_by_label("For the").select_option("site test")
    fits(page)
    page.get_by_role("button", name="Make a checklist").click()
    page.get_by_role("link", name="Begin with item 1").click()

    expect(page.get_by_role("heading", level=1)).to_contain_text("loop curve scale factor")
    fits(page)
    page.get_by_label("As found, V/mm").fill("7.1")
    page.get_by_role("button", name="Save, next open item").click()
    expect(page.get_by_role("alert")).to_contain_text("A fail needs a remark")
    expect(page.get_by_label("As found, V/mm")).to_have_value("7.1")
    page.get_by_label("As left, V/mm").fill("7.9")
    page.get_by_role("button", name="Save, next open item").click()
    expect(page.get_by_text("Saved: item 1, pass.")).to_be_visible()
    expect(page.get_by_role("heading", level=1)).to_contain_text("gap voltage")
    page.get_by_label("does not apply").check()
    page.get_by_label("Remark").fill("set with the curve")
    page.get_by_role("button", name="Save, next open item").click()
    expect(page.get_by_text("Saved: item 2, does not apply.")).to_be_visible()
    page.get_by_role("link", name="Site test").click()
    expect(page.get_by_text(re.compile("2 of [0-9]+"))).to_have_count(2)
    fits(page)

    page.get_by_role("link", name="Commissioning").click()
    page.get_by_text("Loop curve", exact=True).click()
    page.get_by_role("link", name="Write down: loop curve").click()
    page.locator("a.record").first.click()
    fits(page)
    page.get_by_label("Readings").fill("\n".join(f"{gap} {volts}" for gap, volts in HAND))
    page.get_by_label("as left").check()
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("Written down: it passes.")).to_be_visible()
    expect(page.get_by_text("-9.87 V at 1.25 mm", exact=True)).to_be_visible()
    expect(page.get_by_role("region", name="Picture of the curve")).to_be_visible()
    page.reload()
    fits(page)

    page.get_by_role("link", name="Commissioning").click()
    page.get_by_role("link", name="As-built setpoint schedule").click()
    page.get_by_role("link", name="Enter trip").first.click()
    page.get_by_label("As left", exact=False).first.fill("1")
    page.get_by_label("Read from").fill("Printout 1")
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("1 open")).to_be_visible()
    page.reload()
    fits(page)
    # What was refused on purpose is told by the browser too.
    assert [said for said in console if "422" not in said] == []
