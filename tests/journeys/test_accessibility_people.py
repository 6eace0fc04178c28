"""WCAG 2.2 AA by axe on accounts, people, members and the record; joining a project in a second browser."""

import pytest
from django.urls import reverse

from specapp.core.links import link_token
from specapp.core.people import password_link_make
from specapp.core.roles import Role
from specapp.projects.inviting import invitation_make
from tests.factories import NOW, member
from tests.journeys.test_accessibility import RULES, wrong_with

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def reader(project):
    return member(project, Role.READER)


@pytest.fixture
def pages(project, machine, engineer, reader):
    type(engineer).objects.filter(pk=engineer.pk).update(is_superuser=True)
    link = password_link_make(person=reader, author=engineer, now=NOW.replace(year=2090))
    invitation = invitation_make(
        project=project, role=Role.READER, for_whom="Mr Holt", author=engineer, now=NOW.replace(year=2090)
    )
    return [
        reverse("core:account"),
        reverse("core:password-change"),
        reverse("core:password-forgotten"),
        reverse("core:password-link", args=[link_token(link)]),
        reverse("core:people-list"),
        reverse("core:person-show", args=[reader.pk]),
        reverse("core:person-new"),
        reverse("core:record"),
        reverse("projects:member-list", args=[project.pk]),
        reverse("projects:project-record", args=[project.pk]),
        reverse("projects:join", args=[link_token(invitation)]),
    ]


def test_every_page_at_the_desk_and_on_a_phone_in_the_dark(pages, signed_in, live_server, console):
    looks = ((1440, "light", RULES), (390, "dark", RULES))
    assert wrong_with(signed_in, [live_server.url + path for path in pages], looks) == {}
    assert console == []


def test_an_invitation_is_made_copied_and_used_by_somebody_new(
    browser, signed_in, live_server, project, machine
):
    page = signed_in
    page.goto(live_server.url + reverse("projects:member-list", args=[project.pk]))
    page.get_by_label("For whom").fill("Mr Holt")
    page.locator("#invitation_role").select_option("REVIEWER")
    page.get_by_role("button", name="Make a link").last.click()
    link = page.locator("output.link-address").inner_text()
    context = browser.new_context()
    guest = context.new_page()
    guest.goto(link)
    guest.get_by_label("User name").fill("holt")
    guest.get_by_label("Your name").fill("M Holt")
    guest.get_by_label("New password").fill("quiet-bearing-film")
    guest.get_by_label("The same again").fill("quiet-bearing-film")
    guest.get_by_role("button", name="Make the account and join").click()
    guest.get_by_role("link", name=machine.tag).wait_for()
    page.reload()
    page.get_by_role("row", name="M Holt").get_by_role("button", name="Remove").click()
    page.get_by_text("no longer a member").wait_for()
    guest.reload()
    guest.get_by_role("heading", name="Nothing here").wait_for()
    context.close()
