"""Guessing is slowed down, and nobody is shut out for long by a stranger."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from specapp.core.audit import NOBODY
from specapp.core.limits import Limit, client_address, window_count, window_wait
from specapp.core.models import AuditEntry, CountedWindow
from specapp.core.roles import Role
from tests.factories import NOW, PASSWORD, ProjectFactory, UserFactory, machine_of, member
from tests.health.test_urls import every_name

pytestmark = pytest.mark.django_db


@pytest.fixture
def keller():
    return UserFactory(username="keller")


def tried(client, name="keller", password="wrong", place="198.51.100.7"):
    data = {"username": name, "password": password}
    return client.post(reverse("core:sign-in"), data, REMOTE_ADDR=place).status_code


def test_the_sixth_attempt_at_a_name_from_one_place_is_not_tried(client, keller):
    assert [tried(client) for _ in range(6)] == [200] * 5 + [429]
    # Not even the right password, or the answer would tell it.
    assert tried(client, password=PASSWORD) == 429
    assert "_auth_user_id" not in client.session
    assert tried(client, password=PASSWORD, place="203.0.113.9") == 302


def test_it_ends_after_a_quarter_of_an_hour(client, keller):
    for _ in range(6):
        tried(client)
    for row in CountedWindow.objects.all():
        row.began_at -= timedelta(minutes=15)
        row.save()
    assert tried(client, password=PASSWORD) == 302


def test_a_sign_in_takes_its_attempts_back(client, keller):
    for _ in range(4):
        tried(client)
    assert tried(client, password=PASSWORD) == 302
    assert not CountedWindow.objects.filter(count__gt=4).exists()
    assert [tried(Client()) for _ in range(6)] == [200] * 5 + [429]


def test_one_place_trying_many_names_is_stopped(client):
    answers = [tried(client, name=f"name{n}") for n in range(52)]
    assert answers == [200] * 50 + [429] * 2


def test_a_browser_known_to_a_person_is_not_shut_out_by_strangers(client, keller):
    assert tried(client, password=PASSWORD) == 302
    client.post(reverse("core:sign-out"))
    for n in range(31):
        tried(Client(), place=f"203.0.113.{n}")
    # The name is closed to browsers that are not known, from any place.
    assert tried(Client(), password=PASSWORD, place="192.0.2.1") == 429
    assert tried(client, password=PASSWORD) == 302


def test_a_known_browser_still_stops_guessing_and_is_known_to_its_person_alone(client, keller):
    UserFactory(username="osei")
    assert tried(client, password=PASSWORD) == 302
    client.post(reverse("core:sign-out"))
    assert [tried(client) for _ in range(6)] == [200] * 5 + [429]
    client.cookies["known_browser"] = client.cookies["known_browser"].value + "x"
    assert [tried(client, name="osei", place="192.0.2.2") for _ in range(6)] == [200] * 5 + [429]


def test_failures_are_recorded_without_what_was_typed(client, keller):
    tried(client, name="my-secret-password")
    tried(client)
    unknown, known = AuditEntry.objects.filter(action="sign_in.fail").order_by("pk")
    assert (unknown.object_name, unknown.object_id, unknown.actor_name) == ("unknown name", None, NOBODY)
    assert known.object_id == keller.pk
    assert "my-secret" not in f"{unknown.data}{unknown}"


@pytest.mark.parametrize(("is_behind_proxy", "expected"), [(False, "127.0.0.1"), (True, "203.0.113.5")])
def test_only_the_own_proxy_is_believed_about_the_address(rf, settings, is_behind_proxy, expected):
    settings.IS_BEHIND_PROXY = is_behind_proxy
    request = rf.get("/", HTTP_X_FORWARDED_FOR="10.0.0.1, 203.0.113.5")
    assert client_address(request) == expected


def test_a_window_counts_until_its_end_and_begins_anew():
    limit = Limit(2, 60)
    assert window_wait(limit, NOW, "a") == 0
    assert window_count(limit, NOW, "a") == 1
    assert window_wait(limit, NOW, "a") == 0
    assert window_count(limit, NOW, "a") == 2
    assert window_wait(limit, NOW + timedelta(seconds=59), "a") == 1
    assert window_wait(limit, NOW + timedelta(seconds=60), "a") == 0
    assert window_count(limit, NOW + timedelta(seconds=61), "a") == 1


def test_expensive_pages_are_limited_for_each_person(client, settings):
    settings.RATE_LIMITS = {"GET projects:document-download": (2, 60)}
    project = ProjectFactory()
    machine = machine_of(project)
    address = reverse("projects:document-download", args=[project.pk, machine.pk, "points"])
    for _ in range(2):
        client.force_login(member(project, Role.READER))
        assert [client.get(address).status_code for _ in range(3)] == [200, 200, 429]
    answer = client.get(address)
    assert 0 < int(answer.headers["Retry-After"]) <= 60
    downloads = AuditEntry.objects.filter(action="file.download", project_id=project.pk)
    assert downloads.count() == 4
    assert downloads.first().object_name.endswith(".csv")
    assert downloads.first().data["machine"] == machine.pk


def test_the_head_of_an_expensive_page_counts_as_the_page(client, settings):
    settings.RATE_LIMITS = {"GET projects:document-download": (2, 60)}
    project = ProjectFactory()
    address = reverse("projects:document-download", args=[project.pk, machine_of(project).pk, "points"])
    client.force_login(member(project, Role.READER))
    asked = (client.head, client.get, client.head, client.get)
    assert [ask(address).status_code for ask in asked] == [200, 200, 429, 429]


def test_limits_name_addresses_that_exist(settings):
    assert {"POST projects:machine-new", "GET projects:machine-turning-search"} <= set(settings.RATE_LIMITS)
    assert {each.partition(" ")[2] for each in settings.RATE_LIMITS} <= set(every_name())
    assert set(settings.DOWNLOADS_RECORDED_BY_THEIR_SERVICE) <= set(every_name())


def test_a_request_that_is_too_large_is_refused_before_it_is_read(client, settings):
    settings.LARGEST_REQUEST_BYTES = 1000
    client.force_login(UserFactory())
    answer = client.post("/sheets/", {"file": "x" * 1001})
    assert answer.status_code == 413
    assert b"Too large" in answer.content
    assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
