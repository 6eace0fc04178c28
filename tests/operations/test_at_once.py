"""Real requests at one moment, and a process killed amid saves: on a database of either kind, as in use."""

import json
import os
import subprocess
import sys
from itertools import islice
from pathlib import Path
from secrets import token_hex

import pytest
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
AT_ONCE = 6  # as in saving.py
ACKNOWLEDGED = 25


@pytest.fixture(scope="module")
def database(tmp_path_factory, django_db_blocker):
    """Return the address of a new database of the kind that the tests run on."""
    if connection.vendor == "sqlite":
        return f"sqlite:///{tmp_path_factory.mktemp('at_once') / 'db.sqlite3'}"
    name = f"at_once_{token_hex(4)}"
    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute(f"CREATE DATABASE {name}")
    return f"{os.environ['DATABASE_URL'].rpartition('/')[0]}/{name}"


def process(database, *arguments):
    return subprocess.Popen(
        [sys.executable, "-m", "tests.operations.saving", *arguments],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "specapp.config.test_settings",
            "DATABASE_URL": database,
        },
        stdout=subprocess.PIPE,
        text=True,
    )


@pytest.fixture(scope="module")
def saving(database):
    """Save at once, then go on saving until killed; return what was answered and what was left."""
    with process(database, "saving") as running:
        lines = iter(running.stdout)
        answered, machine = json.loads(next(lines)), next(lines).strip()
        acknowledged = [int(line) for line in islice(lines, ACKNOWLEDGED)]
        running.kill()
        acknowledged += [int(line) for line in lines]
    with process(database, "left", machine) as looking:
        left = json.loads(looking.stdout.read())
    return answered, acknowledged, left


def test_of_several_who_save_one_version_one_is_taken_and_the_others_are_told(saving):
    answered, *_ = saving
    others = [409] * (AT_ONCE - 1)
    assert answered["machine"] == [200, *others]
    assert answered["replies"] == [201, *others]
    assert answered["override"] == [302, *others]
    assert (answered["version"], answered["overrides"]) == (3, 1)
    assert answered["title"].startswith("of ")


def test_no_number_is_given_twice_and_the_record_holds(saving):
    answered, *_ = saving
    assert answered["comments"] == [201] * AT_ONCE
    assert answered["numbers"] == list(range(1, AT_ONCE + 1))
    assert answered["record"] == ""


def test_a_kill_amid_saves_loses_nothing_that_was_acknowledged(saving):
    _, acknowledged, left = saving
    assert len(acknowledged) >= ACKNOWLEDGED
    assert set(acknowledged) <= set(left["numbers"])
    assert left["numbers"] == list(range(1, len(left["numbers"]) + 1))
    assert left["record"] == ""
