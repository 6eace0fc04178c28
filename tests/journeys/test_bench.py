"""The signal bench in the browser: tried with progress, read at the desk and on a phone."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from specapp.verification.models import BenchRun
from tests.journeys.test_accessibility import wrong_with

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("unsealed_after"),
]


def test_a_run_from_the_form_to_its_picture(signed_in, live_server, project, machine, console):
    page = signed_in
    place = [project.pk, machine.pk]
    page.goto(live_server.url + reverse("projects:machine-show", args=place))
    page.get_by_role("link", name="Signal bench").click()
    page.locator("summary", has_text="Functions").click()
    page.get_by_role("checkbox", name="P1/P1-1/radial").check()
    page.locator("summary", has_text="Scenarios").click()
    page.get_by_role("checkbox", name="Step to above trip").check()
    page.get_by_role("button", name="Try on the bench").click()
    expect(page.get_by_role("heading", name="Bench run 1")).to_be_visible()
    assert BenchRun.objects.count() == 1
    assert console == []
    cell = reverse("verification:cell-show", args=[*place, 1])
    addresses = (
        reverse("verification:run-list", args=place),
        reverse("verification:run-show", args=[*place, 1]),
        f"{cell}?function=P1/P1-1/radial/Y&scenario=step_above_trip",
    )
    assert wrong_with(page, [live_server.url + path for path in addresses]) == {}


def test_without_scripts_the_form_waits_for_the_run(browser, live_server, project, machine, engineer):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url + reverse("verification:run-list", args=[project.pk, machine.pk]))
    page.get_by_label("User name or e-mail address").fill(engineer.username)
    page.get_by_label("Password").fill("a-long-enough-password")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_label("Seed of the noise").fill("0")
    page.get_by_role("button", name="Try on the bench").click()
    expect(page.get_by_role("alert")).to_contain_text("Seed of the noise")
    page.get_by_label("Seed of the noise").fill("2")
    page.locator("summary", has_text="Functions").click()
    page.get_by_role("checkbox", name="P1/P1-1/radial").check()
    page.get_by_role("button", name="Try on the bench").click()
    expect(page.get_by_role("heading", name="Bench run 1")).to_be_visible()
    context.close()
