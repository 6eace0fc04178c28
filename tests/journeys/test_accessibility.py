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
# Width, scheme, rules: at the desk, at the desk in the dark, on a phone.
LOOKS = ((1440, "light", RULES), (1440, "dark", CONTRAST), (390, "light", RULES))


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


def wrong_with(page, addresses, looks=LOOKS):
    """Return what is wrong with pages at each look, and where one is wider than its window.

    Each is opened once, at the first look: a stylesheet makes the others of the same page.
    """
    wrong = {}
    for address in addresses:
        for width, scheme, rules in looks:
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=scheme)
            if (width, scheme, rules) == looks[0]:
                opened(page, address)
            if found := violations(page, rules):
                wrong[address, width, scheme] = found
            wide = page.evaluate(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            )
            if wide > 0:
                wrong[address, width, "is too wide"] = wide
    return wrong


def test_every_page(signed_in, live_server, project, machine):
    assert wrong_with(signed_in, [live_server.url + path for path in pages_of(project, machine)]) == {}


def test_the_form_with_mistakes(signed_in, live_server, project):
    page = signed_in
    page.goto(live_server.url + reverse("projects:machine-new", args=[project.pk]))
    page.get_by_role("button", name="Propose").click()
    page.get_by_role("alert").wait_for()
    assert violations(page) == []


def test_the_sign_in_page(page, live_server):
    page.goto(live_server.url)
    assert violations(page) == []
