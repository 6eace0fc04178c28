"""Fixtures of the bench; what a test has kept is unsealed before its rows are cleared away."""

from importlib import import_module

import pytest
from django.core.management import call_command
from django.db import connection

SEALS = import_module("specapp.verification.migrations.0002_seal_runs")


@pytest.fixture
def runs_unsealed_after(transactional_db):
    """Clear the rows of a test that commits, and seal the table again for the next one."""
    yield
    with connection.schema_editor() as editor:
        SEALS.unseal(None, editor)
    call_command("flush", interactive=False, verbosity=0)
    with connection.schema_editor() as editor:
        SEALS.seal(None, editor)
