"""WCAG 2.2 AA by axe on every page, in both colour schemes, at the desk and on a phone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from specapp.projects.worked import proposal_for

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# Of what passes one example is told: all of a page of a hundred points take longer than the looking.
BRIEF = {"resultTypes": ["violations"]}
RULES = BRIEF | {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
# A colour scheme changes colours alone; the other rules have the same answer in both.
CONTRAST = BRIEF | {"runOnly": {"type": "rule", "values": ["color-contrast"]}}


def pages_of(project, machine):
    point = next(item for item in proposal_for(machine.description).points if item.setpoints.trip)
    place = [project.pk, machine.pk]
    show = reverse("projects:machine-show", args=place)
    return [
        reverse("projects:project-list"),
        reverse("projects:project-new"),
        reverse("projects:project-show", args=[project.pk]),
        reverse("projects:project-edit", args=[project.pk]),
        reverse("projects:machine-new", args=[project.pk]),
        show,
        f"{show}?show=needs&why={point.key}",
        reverse("projects:machine-edit", args=place),
        reverse("projects:machine-remove", args=place),
        reverse("projects:point-show", args=[*place, point.key]),
        reverse("projects:document-list", args=place),
        reverse("core:password-change"),
        "/nothing/here/",
    ]


def violations(page, rules=RULES):
    response = Axe().run(page, options=rules).response
    assert response["passes"], "axe looked at nothing"
    found = response["violations"]
    return [(item["id"], [node["html"][:120] for node in item["nodes"][:3]]) for item in found]


def opened(page, path):
    page.goto(path)
    page.evaluate("document.querySelectorAll('details').forEach(item => { item.open = true })")


@pytest.mark.parametrize("width", [1440, 390])
def test_every_page_at_the_desk_and_on_a_phone(width, signed_in, live_server, project, machine):
    page = signed_in
    page.set_viewport_size({"width": width, "height": 900})
    wrong = {}
    for path in pages_of(project, machine):
        opened(page, live_server.url + path)
        if found := violations(page):
            wrong[path] = found
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if wide > 0:
            wrong[f"{path} is too wide"] = wide
    assert wrong == {}


def test_every_page_in_the_dark_scheme(signed_in, live_server, project, machine):
    page = signed_in
    page.emulate_media(color_scheme="dark")
    wrong = {}
    for path in pages_of(project, machine):
        opened(page, live_server.url + path)
        if found := violations(page, CONTRAST):
            wrong[path] = found
    assert wrong == {}


def test_the_form_with_mistakes(signed_in, live_server, project):
    page = signed_in
    page.goto(live_server.url + reverse("projects:machine-new", args=[project.pk]))
    page.get_by_role("button", name="Propose").click()
    page.get_by_role("alert").wait_for()
    assert violations(page) == []


def test_the_sign_in_page(page, live_server):
    page.goto(live_server.url)
    assert violations(page) == []
