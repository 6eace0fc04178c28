"""Seals are written by one piece of code for both databases, and every one is there after all migrations."""

from contextlib import nullcontext
from types import SimpleNamespace

import pytest
from django.db import NotSupportedError, connection

from specapp.core.seals import Seal, Seals, changed, whole
from tests.sealing import SEALS


@pytest.mark.django_db
def test_every_seal_is_there():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
            if connection.vendor == "sqlite"
            else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
        )
        names = {row[0] for row in cursor.fetchall()}
    assert len(SEALS) == 9
    assert set().union(*(each.names for each in SEALS)) <= names


def written(seals, vendor):
    said = []
    cursor = SimpleNamespace(execute=said.append)
    database = SimpleNamespace(vendor=vendor, cursor=lambda: nullcontext(cursor))
    seals.seal(None, SimpleNamespace(connection=database))
    return said


def test_a_condition_is_told_in_the_words_of_each_database():
    seals = Seals("Stays", (Seal("kept", "UPDATE", changed(("a", "b"))),))
    (said,) = written(seals, "sqlite")
    assert said.startswith("CREATE TRIGGER kept_sealed_update BEFORE UPDATE ON kept WHEN OLD.a IS NOT NEW.a")
    assert said.endswith("OR OLD.b IS NOT NEW.b BEGIN SELECT RAISE(ABORT, 'Stays'); END")
    function, trigger = written(seals, "postgresql")
    assert "IF OLD.a IS DISTINCT FROM NEW.a OR OLD.b IS DISTINCT FROM NEW.b THEN" in function
    assert trigger.endswith("ON kept FOR EACH ROW EXECUTE FUNCTION kept_sealed_update()")


def test_whole_tables_take_neither_change_nor_deletion():
    assert Seals("Stays", whole("a", "b")).names == {
        *("a_sealed_update", "a_sealed_delete"),
        *("b_sealed_update", "b_sealed_delete"),
    }


def test_a_database_without_seals_is_refused_before_anything_is_written():
    with pytest.raises(NotSupportedError, match="oracle"):
        written(Seals("Stays", whole("a")), "oracle")
