"""Fixtures of revisions; what a test has issued is unsealed before its rows are cleared away."""

from importlib import import_module

import pytest
from django.core.management import call_command
from django.db import connection

from specapp.core.roles import Role
from tests.factories import ProjectFactory, machine_of, member

SEALS = [
    import_module(f"specapp.revisions.migrations.{name}")
    for name in ("0002_seal_issued_rows", "0004_seal_distribution")
]


@pytest.fixture
def unsealed_after(transactional_db):
    """Let the clearing after a test with real transactions remove issued rows."""
    yield
    with connection.schema_editor() as editor:
        for each in SEALS:
            each.unseal(None, editor)
    # Cleared here, so that the seals are back before any other test.
    call_command("flush", verbosity=0, interactive=False, inhibit_post_migrate=True)
    with connection.schema_editor() as editor:
        for each in SEALS:
            each.seal(None, editor)


@pytest.fixture
def project(db):
    return ProjectFactory(time_zone="Pacific/Auckland", number="NM-7")


@pytest.fixture
def engineer(project):
    return member(project, Role.ENGINEER)


@pytest.fixture
def machine(project, engineer):
    return machine_of(project, author=engineer, name="minimal_process")
