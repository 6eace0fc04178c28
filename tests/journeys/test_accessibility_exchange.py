"""WCAG 2.2 AA by axe on comments out and in, a changed round, the tokens and the interface for programs."""

from datetime import timedelta

import pytest
from django.urls import reverse

from specapp.api.tokens import token_withdraw
from specapp.core.roles import Role
from specapp.review.services.round_changes import round_change
from tests.api.asking import token_for
from tests.factories import NOW, machine_of, member
from tests.journeys.test_accessibility import RULES, wrong_with
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


def test_every_page_at_the_desk_and_on_a_phone_in_the_dark(pages, signed_in, live_server, console):
    looks = ((1440, "light", RULES), (390, "dark", RULES))
    assert wrong_with(signed_in, [live_server.url + path for path in pages], looks) == {}
    assert console == []
