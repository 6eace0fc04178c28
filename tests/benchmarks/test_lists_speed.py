"""Server time of the pages of a project with 500 machines, at a fixed number of queries.

Processor times, with the limit of 40 ms scaled on a slower computer as in `test_pages_speed`.
"""

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.lists.services import machines_add, sheet_stage
from specapp.lists.sheets import sheets_of_text
from specapp.projects.models import Machine
from tests.benchmarks.test_pages_speed import limit_ms, median_ms  # noqa: F401  a fixture
from tests.factories import NOW, ProjectFactory, machine_of, member, sample_description
from tests.lists.bringing import SOUND, pasted

pytestmark = pytest.mark.django_db


@pytest.fixture
def project(client):
    project = ProjectFactory()
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    machine_of(project, author=person, name="eight_stage", tag="A-1")
    counted = Machine.objects.get()
    described = sample_description("eight_stage")
    documents = [{**described, "tag": f"K-{number}"} for number in range(499)]
    machines_add(project=project, documents=documents, author=person, now=NOW, origin={})
    Machine.objects.update(counts=counted.counts, counted_by=counted.counted_by)
    project.person = person
    return project


def test_lists_of_500_machines(client, project, limit_ms, django_assert_max_num_queries):  # noqa: F811
    place = [project.pk]
    for address in (
        reverse("projects:project-show", args=place),
        f"{reverse('projects:project-show', args=place)}?page=7",
        reverse("projects:project-list"),
    ):
        with django_assert_max_num_queries(8):
            client.get(address)
        spent = median_ms(lambda address=address: client.get(address), rounds=5)
        print(f"{address}: {spent:.1f} ms, at most {limit_ms:.1f}")
        assert spent <= limit_ms


def test_a_search_and_a_preview_of_500_machines(client, project, limit_ms):  # noqa: F811
    search = f"{reverse('lists:machine-search')}?q=K-49"
    spent = median_ms(lambda: client.get(search), rounds=3)
    print(f"search: {spent:.1f} ms")
    assert spent <= 10 * limit_ms
    rows = [(f"N-{number}", *SOUND[1:]) for number in range(500)]
    sheets = sheets_of_text(pasted(*rows))
    sheet_stage(project=project, name="list", sheets=sheets, author=project.person, now=NOW)
    address = reverse("lists:sheet-preview", args=[project.pk])
    spent = median_ms(lambda: client.get(address), rounds=3)
    print(f"preview of 500 machines: {spent:.1f} ms")
    assert spent <= 50 * limit_ms
