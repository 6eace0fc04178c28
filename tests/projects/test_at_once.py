"""Really at once: processes of a server, threads of people, one SQLite file, and a server that is killed.

PostgreSQL has its own test; here the file is what the embedded installation uses.
"""

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from threading import Event
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.db import connection

from specapp.core.roles import Role
from specapp.projects.describing.typed import typed_of
from tests.factories import ProjectFactory, machine_of, member

ROOT = Path(__file__).resolve().parents[2]
PEOPLE = 4
TOKEN = "t" * 32


@dataclass(frozen=True, slots=True)
class Site:
    """A database file of an installation, and what a browser needs to save its machine."""

    folder: Path
    address: str
    typed: dict[str, str]
    cookies: tuple[str, ...]

    def rows(self, sql: str) -> list[tuple]:
        with sqlite3.connect(self.folder / "db.sqlite3") as database:
            return database.execute(sql).fetchall()

    def environment(self) -> dict[str, str]:
        kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
        return {
            **kept,
            "SPECAPP_ENV": "local",
            "SPECAPP_SECRET_KEY": settings.SECRET_KEY,
            "SPECAPP_VAR_DIR": str(self.folder),
        }


def signed_in(person) -> str:
    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    return f"{settings.SESSION_COOKIE_NAME}={session.session_key}; csrftoken={TOKEN}"


@pytest.fixture
def site(transactional_db, tmp_path) -> Site:
    """Copy the tests' own database, with one machine in it, to a file."""
    if connection.vendor != "sqlite":
        pytest.skip("PostgreSQL has its own test")
    project = ProjectFactory()
    people = [member(project, Role.ENGINEER) for _ in range(PEOPLE)]
    machine = machine_of(project, author=people[0])
    made = Site(
        tmp_path,
        f"/projects/{project.pk}/machines/{machine.pk}/description/",
        typed_of(machine.description),
        tuple(signed_in(person) for person in people),
    )
    with sqlite3.connect(tmp_path / "db.sqlite3") as file:
        connection.connection.backup(file)
    return made


@pytest.fixture
def server(site) -> Iterator[tuple[int, int]]:
    """Serve it by two processes of four threads; yields port and process group."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "gunicorn", "specapp.config.wsgi"),
            *("-w", "2", "--threads", "4", "-b", f"127.0.0.1:{port}", "--log-level", "warning"),
        ],
        cwd=ROOT,
        env=site.environment(),
        start_new_session=True,
    )
    try:
        for _ in range(600):
            try:
                if asked(port, site.cookies[0], "GET", site.address)[0] == 200:
                    break
            except OSError:
                Event().wait(0.1)
        else:
            pytest.fail("the server does not answer")
        yield port, process.pid
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def asked(port: int, cookie: str, method: str, path: str, body: str = "") -> tuple[int, str]:
    link = HTTPConnection("127.0.0.1", port, timeout=60)
    headers = {"Cookie": cookie}
    if body:
        headers["Content-Type"] = "application/x-www-form-urlencoded"
    try:
        link.request(method, path, body or None, headers)
        answer = link.getresponse()
        return answer.status, answer.read().decode()
    finally:
        link.close()


def saved(site: Site, port: int, version: int, person: int, service: str) -> tuple[int, str]:
    typed = {**site.typed, "service": service, "version": str(version), "csrfmiddlewaretoken": TOKEN}
    return asked(port, site.cookies[person], "POST", site.address, urlencode(typed))


def test_of_people_who_save_one_version_at_once_one_wins_and_nobody_loses_a_word(site, server):
    port, _ = server
    with ThreadPoolExecutor(PEOPLE) as people:
        for version in range(1, 4):
            words = [f"words of {person} at {version}" for person in range(PEOPLE)]
            saving = [people.submit(saved, site, port, version, *each) for each in enumerate(words)]
            answers = [each.result() for each in saving]
            assert sorted(status for status, _ in answers) == [302, 409, 409, 409]
            (stored,) = site.rows("SELECT version, description ->> 'service' FROM projects_machine")
            winner = next(place for place, (status, _) in enumerate(answers) if status == 302)
            assert stored == (version + 1, words[winner])
            for mine, (status, page) in zip(words, answers, strict=True):
                # The page of who came second has what was typed and what is stored now.
                assert status == 302 or (mine in page and words[winner] in page)
    assert site.rows("SELECT count(*) FROM core_auditentry WHERE action = 'machine.update'") == [(3,)]


def test_a_server_killed_amid_saves_leaves_every_acknowledged_one(site, server):
    port, group = server
    acknowledged: list[tuple[int, str]] = []
    enough, killed = Event(), Event()

    def keeps_saving(person: int) -> None:
        while not killed.is_set():
            try:
                _, page = asked(port, site.cookies[person], "GET", site.address)
                version = int(re.search(r'name="version" value="(\d+)"', page)[1])
                words = f"words of {person} at {version}"
                if saved(site, port, version, person, words)[0] == 302:
                    acknowledged.append((version + 1, words))
            except (OSError, HTTPException):
                return
            if len(acknowledged) >= 12:
                enough.set()

    with ThreadPoolExecutor(PEOPLE) as people:
        running = [people.submit(keeps_saving, person) for person in range(PEOPLE)]
        assert enough.wait(120)
        os.killpg(group, signal.SIGKILL)
        killed.set()
        for each in running:
            each.result()

    assert site.rows("PRAGMA integrity_check") == [("ok",)]
    told = "SELECT data ->> '$.version', data ->> '$.is.service' FROM core_auditentry"
    recorded = site.rows(f"{told} WHERE action = 'machine.update' ORDER BY id")
    assert set(acknowledged) <= set(recorded)
    (stored,) = site.rows("SELECT version, description ->> 'service' FROM projects_machine")
    # At most what was being saved at the moment, and then as a whole: machine and record agree.
    assert stored == recorded[-1]
    assert [version for version, _ in recorded] == list(range(2, stored[0] + 1))
    checked = subprocess.run(
        [sys.executable, "manage.py", "check_audit"],
        cwd=ROOT,
        env=site.environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert checked.returncode == 0, checked.stderr
