"""A server with the demonstration's machines, and a browser that has signed in to it."""

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import expect

from specapp.core.roles import Role
from tests.factories import ProjectFactory, UserFactory, machine_of, member

# A busy computer draws a page slowly; a page that is wrong is still found, only later.
expect.set_options(timeout=20_000)

CONSOLE_TROUBLE = ("error", "warning")


@pytest.fixture
def project(transactional_db):
    return ProjectFactory(name="Northmere", number="NM-1")


@pytest.fixture
def engineer(project):
    person = member(project, Role.OWNER)
    person.may_start_projects = True
    person.save()
    return person


@pytest.fixture
def machine(project):
    return machine_of(project, author=UserFactory(), name="minimal_packaged")


@pytest.fixture
def console(page, live_server):
    """What the page complains about and which hosts it asks; a test that opens pages holds it empty."""
    seen = []
    page.on("console", lambda message: message.type in CONSOLE_TROUBLE and seen.append(message.text))
    page.on("pageerror", lambda error: seen.append(str(error)))
    page.on("request", lambda request: request.url.startswith(live_server.url) or seen.append(request.url))
    return seen


@pytest.fixture
def signed_in(page, live_server, engineer, console):
    """Return a page that begins at the projects; in test_review.py people come in by the sign-in form."""
    signed = Client()
    signed.force_login(engineer)
    session = signed.cookies[settings.SESSION_COOKIE_NAME].value
    page.context.add_cookies(
        [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}]
    )
    page.goto(live_server.url)
    page.get_by_role("heading", name="Projects").wait_for()
    return page
