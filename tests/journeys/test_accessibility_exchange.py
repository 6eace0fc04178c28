"""WCAG 2.2 AA by axe on comments out and in, a changed round, the tokens and the interface for programs."""

from datetime import timedelta

import pytest
from django.urls import reverse

from specapp.api.tokens import token_withdraw
from specapp.core.roles import Role
from specapp.review.services.round_changes import round_change
from tests.api.asking import token_for
from tests.factories import NOW, machine_of, member
from tests.journeys.test_accessibility import opened, violations
from tests.review.addresses import asked
from tests.review.commenting import GROUP, commented
from tests.review.test_exchange import brought, fetched, filled, uid

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def pages(client, project, engineer):
    machine = machine_of(project, author=engineer, name="minimal_process")
    first, second = member(project, Role.REVIEWER), member(project, Role.MAKER)
    review = asked(machine, [first], lead=engineer)
    round_change(
        review=review,
        expected_version=1,
        due_date=review.due_date + timedelta(days=7),
        add=[second],
        excuse=[first],
        reason="The maker answers himself.",
        may_stand_in=False,
        author=engineer,
        now=NOW,
    )
    commented(machine, engineer)
    client.force_login(engineer)
    cells = (
        (uid(1), "reply", "Taken from the maker's drawing."),
        (uid(1), "reply code", "none such"),
        ("new:1", "where", GROUP),
        ("new:1", "comment", "Lower it."),
    )
    brought(client, machine, filled(fetched(client, machine, "xlsx"), *cells))
    token_for(project, engineer)
    token_withdraw(token=token_for(project, engineer, "another")[0], author=engineer, now=NOW)
    return [
        reverse("review:exchange", args=[project.pk, machine.pk]),
        reverse("review:round-show", args=[project.pk, machine.pk, review.pk]),
        reverse("api:token-list", args=[project.pk]),
        reverse("api:interface-show"),
    ]


@pytest.mark.parametrize(("width", "scheme"), [(1440, "light"), (390, "dark")])
def test_every_page_at_the_desk_and_on_a_phone(width, scheme, pages, signed_in, live_server, console):
    page = signed_in
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=scheme)
    wrong = {}
    for path in pages:
        opened(page, live_server.url + path)
        if found := violations(page):
            wrong[path] = found
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if wide > 0:
            wrong[f"{path} is too wide"] = wide
    assert wrong == {}
    assert console == []
