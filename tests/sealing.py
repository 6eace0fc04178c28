"""The seals of all migrations, and taking them off so that a test which commits can be cleared away."""

from importlib import import_module
from pathlib import Path

from django.core.management import call_command
from django.db import connection

_ROOT = Path(__file__).parents[1]
SEALS = [
    import_module(".".join(path.relative_to(_ROOT).with_suffix("").parts)).SEALS
    for path in sorted(_ROOT.glob("specapp/*/migrations/*_seal_*.py"))
]


def clear_sealed():
    """Take every seal off, clear all rows away, and seal the tables again for the next test."""
    with connection.schema_editor() as editor:
        for each in SEALS:
            each.unseal(None, editor)
    call_command("flush", verbosity=0, interactive=False, inhibit_post_migrate=True)
    with connection.schema_editor() as editor:
        for each in SEALS:
            each.seal(None, editor)
