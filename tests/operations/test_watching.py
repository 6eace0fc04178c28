"""The health page and the logs: they say what is ill, and hold nothing that anybody typed."""

import json
import logging
import sys

import pytest
from django.db import OperationalError
from django.http import HttpRequest
from django.test import RequestFactory
from django.urls import resolve

from specapp.config import health
from specapp.config.logs import JsonLines
from specapp.core.models import CountedWindow
from tests.factories import ProjectFactory, UserFactory, member

pytestmark = pytest.mark.django_db
SECRET = "typed by somebody"


def test_a_well_installation_says_so_and_leaves_no_trace(client):
    answer = client.get("/health/")
    assert answer.status_code == 200
    assert set(answer.json()) == {"status", "version", "checks"}
    assert set(answer.json()["checks"].values()) == {"ok"}
    assert not CountedWindow.objects.exists()


def test_what_is_ill_is_named(client, monkeypatch):
    def fails(**columns):
        raise OperationalError("attempt to write a readonly database")

    monkeypatch.setattr(CountedWindow.objects, "create", fails)
    monkeypatch.setattr(health, "LEAST_FREE_BYTES", 10**18)
    monkeypatch.setattr(health, "_of_this_program", lambda: frozenset({("core", "9999_next")}))
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["checks"] == {
        "database": "cannot be written",
        "migrations": "not applied",
        "disk": "less than 1000000000000 MB free",
    }
    assert "readonly" not in answer.content.decode()


def line(record, request: HttpRequest | None = None):
    if request is not None:
        record.request = request
    return json.loads(JsonLines().format(record))


def record_of(name, text, *arguments, **more):
    return logging.LogRecord(name, logging.ERROR, "a.py", 1, text, arguments, **{"exc_info": None, **more})


def test_a_line_names_request_person_and_address_and_no_value():
    project = ProjectFactory()
    request = RequestFactory().get(f"/projects/{project.pk}/?q={SECRET}")
    request.user, request.id = member(project, "READER"), "a1b2c3d4"
    request.resolver_match = resolve(f"/projects/{project.pk}/")
    told = line(record_of("django.request", "%s: %s", "Not Found", request.path), request)
    assert told["event"] == "Not Found"
    assert (told["request"], told["user"]) == ("a1b2c3d4", request.user.pk)
    assert told["address"] == "projects:project-show"
    assert request.path not in str(told)


def test_of_an_exception_only_type_and_place_are_kept():
    try:
        int(SECRET)
    except ValueError:
        told = line(
            record_of("django.request", "%s: %s", "Internal Server Error", "/", exc_info=sys.exc_info())
        )
    assert told["exception"] == "ValueError"
    assert told["frames"][-1].endswith("test_of_an_exception_only_type_and_place_are_kept")
    assert SECRET not in json.dumps(told)
    assert SECRET not in json.dumps(line(record_of("some.library", "got %s", SECRET)))
    refused = line(record_of("django.security.DisallowedHost", f"Invalid header: {SECRET}"))
    assert refused["event"] == "DisallowedHost"


def test_each_request_has_a_number_and_only_a_proxy_gives_it(client, settings, caplog):
    told = {"X-Request-ID": "0123456789abcdef-proxy"}
    settings.IS_BEHIND_PROXY = False
    assert client.get("/health/", headers=told).headers["X-Request-ID"] != told["X-Request-ID"]
    settings.IS_BEHIND_PROXY = True
    with caplog.at_level(logging.INFO, logger="specapp.requests"):
        assert client.get("/health/", headers=told).headers["X-Request-ID"] == told["X-Request-ID"]
    assert [each.status for each in caplog.records] == [200]
    forged = {"X-Request-ID": 'a"}\n{"level": "forged'}
    assert client.get("/health/", headers=forged).headers["X-Request-ID"] != forged["X-Request-ID"]


def test_a_null_character_is_refused_at_every_door(client):
    project = ProjectFactory()
    client.force_login(member(project, "ENGINEER"))
    assert client.get(f"/projects/{project.pk}/", {"page": "\0"}).status_code == 400
    assert client.get("/search/", {"q\0": "a"}).status_code in (400, 404)
    assert client.post("/sign-in/", {"username": "a\0", "password": "b"}).status_code == 400
    client.force_login(UserFactory())
    assert client.get("/projects/%00/").status_code in (400, 404)
