"""Tokens: shown once, kept as a digest, good for one person in one project, withdrawn at once."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from specapp.api import knocking
from specapp.api.models import ApiToken
from specapp.api.tokens import token_withdraw
from specapp.core.limits import Limit
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.services import member_remove
from tests.api.asking import Program, paths, token_for
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member

pytestmark = pytest.mark.django_db


@pytest.fixture
def program():
    return Program(ProjectFactory())


def test_a_token_is_shown_once_and_stored_as_a_digest(client):
    project = ProjectFactory()
    client.force_login(member(project, Role.ENGINEER))
    address = reverse("api:token-list", args=[project.pk])
    made = client.post(address, {"name": "nightly export"})
    secret = made.context["secret"]
    assert secret in made.content.decode()
    assert made.headers["Cache-Control"] == "no-store"
    row = ApiToken.objects.get()
    assert secret not in {getattr(row, field.attname) for field in row._meta.fields}
    assert secret not in str(AuditEntry.objects.filter(action="token.create").get().data)
    later = client.get(address).content.decode()
    assert secret not in later
    assert "nightly export" in later
    assert client.post(address, {"name": "nightly export"}).status_code == 422
    assert client.post(address, {"name": "x", "ends_on": "2020-01-01"}).status_code == 422


def test_a_token_tells_whose_it_is(program):
    answer = Client().get("/api/1/token", headers={"authorization": f"Bearer {program.secret}"})
    assert answer.json()["person"] == str(program.person)
    assert answer.json()["role"] == "engineer"
    program.token.refresh_from_db()
    assert program.token.last_used_at is not None


@pytest.mark.parametrize(
    "header", ["", "Bearer", "Bearer ", "Bearer x", "Basic eDp5", "Bearer é", "bearer " + "a" * 5000]
)
def test_who_is_not_known_is_turned_away(header, program):
    answer = Client().get("/api/1/token", headers={"authorization": header} if header else {})
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"] == "Bearer"
    assert paths(answer) == ["Authorization"]


def test_a_sign_in_opens_no_door_of_the_interface(client, program):
    client.force_login(program.person)
    assert client.get(f"/api/1/projects/{program.project.pk}/machines").status_code == 401


def test_withdrawing_ending_and_leaving_act_at_once(program):
    assert program.ask("GET", "/machines").status_code == 200
    token_withdraw(token=program.token, author=program.person, now=NOW)
    assert program.ask("GET", "/machines").status_code == 401
    _, program.secret = token_for(program.project, program.person, ends_on=datetime.date(2026, 1, 1))
    assert program.ask("GET", "/machines").status_code == 401
    _, program.secret = token_for(program.project, program.person, "third")
    assert program.ask("GET", "/machines").status_code == 200
    membership = program.project.memberships.get(user=program.person)
    member_remove(membership=membership, author=program.person, now=NOW)
    assert program.ask("GET", "/machines").status_code == 404


def test_a_person_who_no_longer_signs_in_has_no_token_either(program):
    program.person.is_active = False
    program.person.save()
    assert program.ask("GET", "/machines").status_code == 401


def test_a_token_opens_its_own_project_only(program):
    other = ProjectFactory()
    machine = machine_of(other)
    other.memberships.create(user=program.person, role=Role.OWNER)
    assert program.ask("GET", f"/machines/{machine.pk}", project=other).status_code == 404
    assert program.ask("GET", f"/machines/{machine.pk}").status_code == 404


def test_tokens_are_withdrawn_by_their_person_or_an_owner(client, program):
    address = reverse("api:token-withdraw", args=[program.project.pk, program.token.pk])
    client.force_login(member(program.project, Role.ENGINEER))
    assert client.post(address).status_code == 403
    assert (
        program.token.start
        not in client.get(reverse("api:token-list", args=[program.project.pk])).content.decode()
    )
    client.force_login(member(program.project, Role.OWNER))
    assert client.post(address).status_code == 302
    assert program.ask("GET", "/machines").status_code == 401
    assert AuditEntry.objects.filter(action="token.withdraw").count() == 1


def test_a_token_asks_no_more_often_than_its_limit(program, monkeypatch):
    monkeypatch.setattr(knocking.EVERY, "limit", Limit(3, 60))
    assert [program.ask("GET", "/machines").status_code for _ in range(4)] == [200, 200, 200, 429]
    assert int(program.ask("GET", "/machines").headers["Retry-After"]) <= 60


def test_trying_tokens_is_recorded_and_stopped(client, program, monkeypatch):
    monkeypatch.setattr(knocking, "FAILURES_FROM_PLACE", Limit(3, 60))
    knock = {"authorization": "Bearer guessed"}
    assert [client.get("/api/1/token", headers=knock).status_code for _ in range(4)] == [401, 401, 401, 429]
    entries = AuditEntry.objects.filter(action="token.fail")
    assert entries.count() == 3
    assert "guessed" not in str(entries.first().data)


def test_the_page_of_the_interface_names_every_operation_and_loads_nothing_from_elsewhere(client):
    client.force_login(UserFactory())
    page = client.get(reverse("api:interface-show")).content.decode()
    document = client.get(reverse("api:interface:openapi-json")).json()
    for address, methods in document["paths"].items():
        assert address in page
        assert len(methods) >= 1
    for found in ("src=", "href="):
        for rest in page.split(found)[1:]:
            assert rest[1] in "/#"
