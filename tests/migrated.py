"""The database that the migrations make: made once, and copied for everybody who starts with it.

Making it takes longer than any test. The copy goes by the text of all migrations and of what they import, so
that it is made anew after every change; `migrate` runs on each copy all the same and finds nothing to do.
For SQLite it is a file in pytest's cache, for PostgreSQL a database that stays on the server.
"""

import fcntl
import hashlib
import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import django
from django.db import connection

_ROOT = Path(__file__).parents[1]
_TEXTS = (
    "specapp/*/migrations/*.py",
    "specapp/*/models/*.py",
    "specapp/*/models.py",
    "specapp/core/seals.py",
)
_KEPT_S = 7 * 24 * 3600


def _digest():
    digest = hashlib.sha256(f"{django.__version__} {sqlite3.sqlite_version}".encode())
    for path in sorted(path for pattern in _TEXTS for path in _ROOT.glob(pattern)):
        digest.update(path.relative_to(_ROOT).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()[:24]


class Migrated:
    """A migrated database, empty as yet, of the kind that the tests run on."""

    def __init__(self, folder):
        self._name = f"migrated_{_digest()}"
        self._file = folder / f"{self._name}.sqlite3"
        self._lock = (folder / "lock").open("w")
        self._held = None

    def lend(self):
        """Let the tests' database begin as a copy; whoever finds none makes it while the others wait."""
        fcntl.flock(self._lock, fcntl.LOCK_EX)
        if connection.vendor == "postgresql":
            if self._is_on_server():
                connection.settings_dict["TEST"]["TEMPLATE"] = self._name
        elif self._file.exists():
            # A database in memory lives for as long as somebody is connected to it.
            name = connection.creation._get_test_db_name()
            self._held = sqlite3.connect(name, uri=True, check_same_thread=False)
            with closing(sqlite3.connect(self._file)) as kept:
                kept.backup(self._held)

    def keep(self):
        """Keep the tests' database, now migrated, unless it is kept already, and let the others go on."""
        if connection.vendor == "postgresql":
            if not self._is_on_server():
                self._copy_on_server(connection.settings_dict["NAME"], self._name)
        elif not self._file.exists():
            self._keep_in_file()
        fcntl.flock(self._lock, fcntl.LOCK_UN)

    def copy_to_file(self, path):
        """Make a database file of SQLite that begins as a copy."""
        shutil.copyfile(self._file, path)

    def copy_on_server(self, name):
        """Make a database of that name on the server that begins as a copy."""
        self._copy_on_server(self._name, name)

    def close(self):
        self._lock.close()
        if self._held is not None:
            self._held.close()

    def _keep_in_file(self):
        for old in self._file.parent.glob("*.sqlite3"):
            if time.time() - old.stat().st_mtime > _KEPT_S:
                old.unlink()
        begun = self._file.with_suffix(".begun")
        begun.unlink(missing_ok=True)
        connection.ensure_connection()
        with closing(sqlite3.connect(begun)) as kept:
            connection.connection.backup(kept)
        begun.rename(self._file)

    def _is_on_server(self):
        with connection.creation._nodb_cursor() as cursor:
            return connection.creation._database_exists(cursor, self._name)

    def _copy_on_server(self, source, target):
        connection.close()
        with connection.creation._nodb_cursor() as cursor:
            cursor.execute(f"CREATE DATABASE {target} TEMPLATE {source}")
