"""What is kept beside a proposal: the same for the same, never for another reader or other values."""

from types import SimpleNamespace

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.kept import kept_beside
from tests.factories import ProjectFactory, machine_of, member


def test_an_answer_is_worked_out_once_for_one_thing_and_its_arguments():
    asked = []

    @kept_beside(4)
    def answer(thing, *args):
        asked.append(args)
        return [thing.name, *args]

    one, alike = SimpleNamespace(name="one"), SimpleNamespace(name="one")
    assert answer(one, "si") is answer(one, "si")
    assert answer(one, "us") == ["one", "us"]
    assert answer(alike, "si") is not answer(one, "si")
    assert asked == [("si",), ("us",), ("si",)]


def test_what_failed_is_not_kept():
    answers = iter([KeyError("no such shaft"), "drawn"])

    @kept_beside(4)
    def answer(thing):
        found = next(answers)
        if isinstance(found, Exception):
            raise found
        return found

    thing = SimpleNamespace()
    try:
        answer(thing)
    except KeyError:
        assert answer(thing) == "drawn"


@pytest.mark.django_db
def test_each_reader_sees_the_page_as_his_own(client):
    """The sections are kept for all; links to the form are for those who may change it, units for the one."""
    project = ProjectFactory()
    machine = machine_of(project)
    address = reverse("projects:machine-show", args=[project.pk, machine.pk])
    edit = reverse("projects:machine-edit", args=[project.pk, machine.pk])
    pages = {}
    for role, query in (
        (Role.ENGINEER, ""),
        (Role.READER, ""),
        (Role.READER, "?units=us"),
        (Role.ENGINEER, ""),
    ):
        client.force_login(member(project, role))
        page = client.get(address + query).content.decode()
        pages.setdefault((role, query), []).append(
            page.partition('<div class="sections"')[2].partition("<aside")[0]
        )
    first, again = pages[Role.ENGINEER, ""]
    assert first == again
    assert f'href="{edit}#' in first
    assert f'href="{edit}#' not in pages[Role.READER, ""][0]
    assert pages[Role.READER, "?units=us"] != pages[Role.READER, ""]
