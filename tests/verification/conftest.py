"""Fixtures of the bench; what a test has kept is unsealed before its rows are cleared away."""

from importlib import import_module

import pytest
from django.core.management import call_command
from django.db import connection

# The run itself, and the stored files that revisions and runs share.
SEALS = [
    import_module("specapp.verification.migrations.0002_seal_runs"),
    import_module("specapp.revisions.migrations.0002_seal_issued_rows"),
]


@pytest.fixture
def runs_unsealed_after(transactional_db):
    """Clear the rows of a test that commits, and seal the tables again for the next one."""
    yield
    with connection.schema_editor() as editor:
        for each in SEALS:
            each.unseal(None, editor)
    call_command("flush", interactive=False, verbosity=0, inhibit_post_migrate=True)
    with connection.schema_editor() as editor:
        for each in SEALS:
            each.seal(None, editor)
