"""Whatever a program makes of the interface's own document, the server answers and never fails."""

import json

import pytest
import schemathesis
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished, request_started
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

from specapp.api import knocking
from specapp.api.interface import interface
from specapp.core.limits import Limit
from specapp.core.roles import Role
from tests.api.asking import Program
from tests.factories import ProjectFactory, machine_of
from tests.review.commenting import commented

pytestmark = pytest.mark.django_db


def _document():
    """Return the interface's document with machine/1 as any object of its fields.

    Generating from its whole schema takes minutes; tests/domain/test_fuzz.py does so without a server.
    """
    document = json.loads(json.dumps(interface.get_openapi_schema()))
    parts = document["components"]["schemas"]
    fields = {key: {"type": ["string", "number", "array", "null"]} for key in parts["machine1"]["properties"]}
    for name in [name for name in parts if name.startswith("machine1")]:
        del parts[name]
    parts["machine1"] = {"type": "object", "properties": fields, "maxProperties": 8}
    return document


# Without the stage that walks every bound of every field: it takes minutes, and the types hold the bounds.
CONFIG = schemathesis.Config.from_dict({"phases": {"coverage": {"enabled": False}}})
schema = schemathesis.openapi.from_dict(_document(), config=CONFIG)
schema.app = WSGIHandler()


@pytest.fixture
def program(monkeypatch):
    # The end of a request would close the connection in whose transaction the test runs.
    monkeypatch.setattr(request_started, "receivers", [])
    monkeypatch.setattr(request_finished, "receivers", [])
    for throttle in knocking.COSTLY:
        monkeypatch.setattr(throttle, "limit", Limit(1_000_000, 60))
    program = Program(ProjectFactory(), Role.OWNER)
    commented(machine_of(program.project, author=program.person))
    return program


@schema.parametrize()
@settings(
    max_examples=8,
    derandomize=True,
    deadline=None,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_no_request_fails_the_server(case, program):
    # Half of the requests meet rows that exist, so that more than "not found" is answered.
    for name, value in {
        "project_id": program.project.pk,
        "machine_id": program.project.machines.get().pk,
        "number": 1,
    }.items():
        if name in case.path_parameters:
            case.path_parameters[name] = value
    response = case.call(headers={"Authorization": f"Bearer {program.secret}"})
    case.validate_response(
        response, checks=[not_a_server_error, status_code_conformance, response_schema_conformance]
    )
