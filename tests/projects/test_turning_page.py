"""What would turn it, on its page: with progress and without, and given up when nobody waits."""

import json

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.worked import criteria_for, described
from specapp.rulebook.turning_points import turning_points
from tests.factories import ProjectFactory, machine_of, member

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.READER))
    return machine_of(project)


def url(name, machine):
    return reverse(f"projects:{name}", args=[machine.project_id, machine.pk])


def test_the_stream_tells_each_number_and_ends_with_what_the_page_shows(machine, client):
    answer = client.get(url("machine-turning-search", machine))
    told = [json.loads(line) for line in b"".join(answer.streaming_content).decode().splitlines()]
    found = turning_points(described(machine.description), criteria_for(()))
    assert [line["done"] for line in told[:-1]] == list(range(1, found.inputs + 1))
    page = client.get(url("machine-turning", machine), {"search": "now"}).content.decode()
    assert told[-1]["html"] in page
    assert f"{found.inputs} numbers were moved" in page


def test_a_reader_who_leaves_ends_the_search(machine, client):
    answer = client.get(url("machine-turning-search", machine))
    lines = iter(answer.streaming_content)
    next(lines)
    answer.close()
    with pytest.raises(StopIteration):
        next(lines)


def test_the_page_itself_searches_nothing_and_names_the_next_fact(machine, client):
    page = client.get(url("machine-turning", machine))
    assert "found" not in page.context
    assert b"?search=now" in page.content
    assert page.context["facts"].rows
