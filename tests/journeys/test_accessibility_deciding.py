"""WCAG 2.2 AA by axe on the pages where people decide, in both schemes, at the desk and on a phone."""

import pytest
from django.urls import reverse

from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.setpoint_values import Provenance, given_value, setpoint_values_write
from tests.factories import NOW, UserFactory, machine_of
from tests.journeys.test_accessibility import wrong_with
from tests.projects.test_overrides import GROUP, POINT, set_on

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def decided(project):
    """A machine with overrides, one of them to be confirmed again, and a maker's value."""
    machine = machine_of(project, author=UserFactory(), name="minimal_process")
    set_on(machine)
    row = set_on(machine, "P2/P2-1/radial", "trip", 35.0)
    type(row).objects.filter(pk=row.pk).update(speed_rpm=1.0)
    set_on(machine, POINT, "angle", 10.0)
    machine.refresh_from_db()
    setpoint_values_write(
        machine=machine,
        expected_version=machine.version,
        values=[given_value(machine_proposal(machine), GROUP, "trip", "45")],
        provenance=Provenance("MAKERS", "VS-118", "2", "the maker", NOW.date()),
        author=UserFactory(),
        now=NOW,
    )
    return machine


def pages_of(project, machine):
    place = [project.pk, machine.pk]
    item = f"item={GROUP}"
    return [
        f"{reverse('projects:machine-show', args=place)}?show=needs",
        reverse("projects:point-show", args=[*place, POINT]),
        reverse("projects:override-list", args=place),
        f"{reverse('projects:override-edit', args=place)}?field=trip&{item}",
        reverse("projects:setpoint-value-list", args=place),
        f"{reverse('projects:setpoint-value-write', args=place)}?level=trip&{item}",
        reverse("projects:setpoint-list-import", args=place),
        f"{reverse('projects:machine-turning', args=place)}?search=now",
        reverse("projects:criterion-edit", args=[project.pk, "radial.alarm_zone"]),
    ]


def test_every_page(signed_in, live_server, project, decided):
    assert wrong_with(signed_in, [live_server.url + path for path in pages_of(project, decided)]) == {}
