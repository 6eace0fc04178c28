"""WCAG 2.2 AA by axe on the pages of trips, loops, intrinsic safety and area, and the vote decided."""

import pytest
from django.urls import reverse

from tests.factories import UserFactory, machine_of
from tests.journeys.test_accessibility import CONTRAST, RULES, wrong_with

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
AREA = {"zone": 1, "area_gases": ["hydrogen", "n-butane"]}


@pytest.fixture
def machine(project, engineer):
    return machine_of(project, author=UserFactory(), name="minimal_process", hazardous_area=AREA)


@pytest.fixture
def pages(project, machine):
    own = [project.pk, machine.pk]
    area = reverse("assurance:area-show", args=own)
    return [
        reverse("assurance:function-list", args=own),
        reverse("assurance:function-show", args=[*own, "P1/P1-1/radial"]),
        reverse("assurance:voting-decide", args=own),
        reverse("assurance:loop-list", args=own),
        reverse("assurance:entity-list", args=own),
        f"{area}?marking=Ex+ec+IIB+T1+Gc+X&area=zone+1&gas=hydrogen&group=&temperature_class=&coldest=&hottest=48",
        f"{area}?marking=&area=zone+1&gas=hydrogn",
    ]


def test_every_page_at_the_desk_and_on_a_phone_in_the_dark(signed_in, live_server, pages, console):
    looks = ((1440, "light", RULES), (390, "dark", CONTRAST))
    assert wrong_with(signed_in, [live_server.url + path for path in pages], looks) == {}
    # The last page answers 422, which the browser tells.
    assert [said for said in console if "422" not in said] == []


def test_the_purchaser_decides_the_vote(signed_in, live_server, project, machine):
    page = signed_in
    page.goto(live_server.url + reverse("projects:machine-show", args=[project.pk, machine.pk]))
    page.get_by_role("link", name="Trips, loops, area").click()
    page.get_by_role("link", name="Voting", exact=True).click()
    page.get_by_label("Vote of the radial pairs").select_option("2oo2")
    page.get_by_label("Reason").fill("A false trip costs a day.")
    page.get_by_role("button", name="Record the decision").click()
    page.get_by_text("The decision on the vote is recorded.").wait_for()
    machine.refresh_from_db()
    assert machine.description["safety"]["radial_trip_voting"] == "2oo2"
