"""WCAG 2.2 AA by axe on reference documents, sources, questions, answers and the rulebook."""

import pytest
from django.urls import reverse

from tests.factories import UserFactory, machine_of
from tests.journeys.test_accessibility import wrong_with
from tests.references.filled import PDF, received, registered, with_file

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SOURCE = {"document": "GA-118", "revision": "1", "page": "3", "state": "quoted"}
ANSWERS = {
    "fact:pinions[P2].journal_diameter": 60,
    "fact:pinions[P1].journal_diameter": "many",
    "setpoint:P1/axial/A:trip": 0.5,
    "words:loop/devices": "see our data sheet",
}


@pytest.fixture
def machine(project, engineer):
    return machine_of(
        project,
        author=UserFactory(),
        sources={"stage_count": SOURCE, "bull_gear.speed": {**SOURCE, "revision": "2"}},
    )


@pytest.fixture
def pages(project, machine):
    document = registered(project, revisions=("1", "2"))
    with_file(document, PDF)
    row = received(machine, ANSWERS)
    of_machine = [project.pk, machine.pk]
    return [
        reverse("references:document-list", args=[project.pk]),
        reverse("references:document-new", args=[project.pk]),
        reverse("references:document-show", args=[project.pk, document.pk]),
        reverse("references:source-list", args=of_machine),
        reverse("references:question-list", args=of_machine),
        reverse("references:answer-list", args=[*of_machine, row.pk]),
        f"{reverse('references:rule-list', args=[project.pk])}?machine={machine.pk}",
        f"{reverse('references:criteria-list', args=[project.pk])}?q=radial",
        reverse("references:criteria-bring", args=[project.pk]),
    ]


def test_every_page(signed_in, live_server, pages, console):
    assert wrong_with(signed_in, [live_server.url + path for path in pages]) == {}
    assert console == []


def test_a_sitting_without_scripts(browser, live_server, engineer, project, machine):
    """The whole way of a value from a document into the proposal, with JavaScript switched off."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(live_server.url)
    page.get_by_label("User name or e-mail address").fill(engineer.username)
    page.get_by_label("Password").fill("a-long-enough-password")
    page.get_by_role("button", name="Sign in").click()
    page.goto(live_server.url + reverse("references:source-list", args=[project.pk, machine.pk]))
    page.locator("#id_document").fill("GA-118")
    page.locator("#id_revision").fill("2")
    page.locator('[name="value-pinions[1].journal_diameter"]').fill("62 mm")
    page.get_by_role("button", name="Save with this source").first.click()
    page.get_by_text("Everything you enter now comes from GA-118 rev 2").wait_for()
    machine.refresh_from_db()
    assert machine.description["sources"]["pinions[1].journal_diameter"]["document"] == "GA-118"
    context.close()
