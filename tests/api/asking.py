"""Asking the interface in tests: a token of a role, and requests that carry it."""

import json
from dataclasses import dataclass

from django.test import Client

from specapp.api.tokens import token_create
from specapp.core.roles import Role
from tests.factories import NOW, member


def token_for(project, person, name="a program", **more):
    return token_create(project=project, name=name, author=person, now=NOW, **{"ends_on": None, **more})


@dataclass
class Program:
    """A program with the token of a new member of a project."""

    project: object
    role: Role = Role.ENGINEER

    def __post_init__(self):
        self.person = member(self.project, self.role)
        self.token, self.secret = token_for(self.project, self.person)
        self.client = Client(raise_request_exception=True)

    def ask(self, method, address, body=None, project=None, **more):
        """Return the answer to a request below the project's address; `body` is JSON or bytes."""
        content = body if isinstance(body, bytes) or body is None else json.dumps(body)
        return self.client.generic(
            method,
            f"/api/1/projects/{(project or self.project).pk}{address}",
            content or b"",
            content_type="application/json",
            headers={"authorization": f"Bearer {self.secret}"},
            **more,
        )


def paths(response):
    """Return the paths of the problems of an answer, in order."""
    return [problem["path"] for problem in response.json()["problems"]]
