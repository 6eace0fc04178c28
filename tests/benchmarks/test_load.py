"""Fifty people read and comment at once, on the production server with SQLite: no error, nothing lost.

Asked: 60 s, every comment kept, 95 of 100 answers within 300 ms on two cores. Each person opens a page or
posts a comment, looks at it for 1 to 3 s, and goes on; one action in five is a comment. The people run in
this process, on the same cores as the server. `LOAD_SECONDS` sets another duration (20 unless told) and
`LOAD_PEOPLE` another number.

    LOAD_SECONDS=60 python -m pytest tests/benchmarks/test_load.py -n 0 -s
"""

import http.client
import json
import os
import random
import re
import signal
import socket
import sqlite3
import statistics
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.benchmarks.slowness import slowness

ROOT = Path(__file__).resolve().parents[2]
SECONDS = float(os.environ.get("LOAD_SECONDS", "20"))
PEOPLE = int(os.environ.get("LOAD_PEOPLE", "50"))
ASKED_MS = 300.0
COMMENTS_BEFORE = 300
_FORM_MARK = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')

SEED = f"""
import django, json
django.setup()
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from specapp.core.roles import Role
from tests.factories import ProjectFactory, machine_of, member
from tests.review.commenting import commented
project = ProjectFactory()
people = [member(project, Role.ENGINEER) for _ in range({PEOPLE})]
machines = [machine_of(project, author=people[0], name="eight_stage", tag=f"K-{{n}}") for n in range(4)]
for machine in machines:
    for n in range({COMMENTS_BEFORE} // 4):
        commented(machine, author=people[n % len(people)])
keys = []
for person in people:
    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = "specapp.core.sign_in.NameOrEmailBackend"
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    keys.append(session.session_key)
print(json.dumps([keys, project.pk, [machine.pk for machine in machines]]))
"""


@dataclass
class Person:
    """One person with a browser: a connection that stays open, a session, a mark for forms."""

    port: int
    key: str
    project: int
    machines: list[int]
    number: int
    waits_ms: list[float] = field(default_factory=list)
    posts_ms: list[float] = field(default_factory=list)
    posted: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def work(self, until: float) -> None:
        chance = random.Random(self.number)
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        self.cookies = f"sessionid={self.key}"
        time.sleep(chance.uniform(0, 2))
        while time.monotonic() < until:
            try:
                self.act(chance)
            except (OSError, http.client.HTTPException) as error:
                self.errors.append(repr(error))
                self.connection.close()
            time.sleep(chance.uniform(1, 3))

    def act(self, chance: random.Random) -> None:
        machine = f"/projects/{self.project}/machines/{chance.choice(self.machines)}/"
        if chance.random() < 0.2:
            self.comment(f"{machine}review/new/")
        else:
            self.read(
                machine + chance.choice(["", "review/", "review/", "points/BG/B1/radial/Y/", "drawings/"])
            )

    def read(self, address: str) -> str:
        status, body = self.ask("GET", address, self.waits_ms)
        if status != 200:
            self.errors.append(f"GET {address}: {status}")
        return body

    def comment(self, address: str) -> None:
        mark = _FORM_MARK.search(self.read(address))
        text = f"of person {self.number}, the {len(self.posted) + 1}th"
        told = {"csrfmiddlewaretoken": mark[1] if mark else "", "text": text, "audience": "INTERNAL"}
        told |= {"category": "MINOR", "discipline": "INSTRUMENTS", "item": "BG/B1/radial/Y"}
        status, _ = self.ask("POST", address, self.posts_ms, urlencode(told))
        if status == 302:
            self.posted.append(text)
        else:
            self.errors.append(f"POST {address}: {status}")

    def ask(self, method: str, address: str, times: list[float], body: str | None = None) -> tuple[int, str]:
        headers = {"Cookie": self.cookies, "Host": f"127.0.0.1:{self.port}"}
        if body is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        began = time.perf_counter()
        self.connection.request(method, address, body, headers)
        response = self.connection.getresponse()
        text = response.read().decode()
        times.append((time.perf_counter() - began) * 1000)
        for told in response.headers.get_all("Set-Cookie") or []:
            if told.startswith("csrftoken="):
                self.cookies = f"sessionid={self.key}; {told.partition(';')[0]}"
        return response.status, text


@pytest.fixture
def served(tmp_path):
    """Yield the port of a server on a database of its own, its people's sessions, and where they work."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "specapp.config.settings",
        "SPECAPP_VAR_DIR": str(tmp_path),
        "SPECAPP_BIND": f"127.0.0.1:{port}",
    }
    environment.pop("DATABASE_URL", None)

    def run(*arguments):
        return subprocess.run(
            [sys.executable, *arguments],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        ).stdout

    run("manage.py", "migrate", "-v", "0")
    keys, project, machines = json.loads(run("-c", SEED))
    command = ["-m", "gunicorn", "-c", "python:specapp.config.gunicorn_conf", "specapp.config.wsgi"]
    server = subprocess.Popen(
        [sys.executable, *command], cwd=ROOT, env=environment, stderr=subprocess.DEVNULL
    )
    try:
        _wait(port)
        yield port, keys, project, machines, tmp_path / "db.sqlite3"
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(30)


def _wait(port: int) -> None:
    for _ in range(300):
        try:
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
            connection.request("GET", "/health/")
            if connection.getresponse().status == 200:
                return
        except OSError:
            time.sleep(0.2)
    raise AssertionError("the server does not answer")


def p95(times: list[float]) -> float:
    return statistics.quantiles(times, n=20)[-1]


def test_fifty_people_read_and_comment(served):
    port, keys, project, machines, file = served
    people = [Person(port, key, project, machines, number) for number, key in enumerate(keys)]
    until = time.monotonic() + SECONDS
    threads = [threading.Thread(target=person.work, args=[until]) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    reads = [each for person in people for each in person.waits_ms]
    posts = [each for person in people for each in person.posts_ms]
    errors = [each for person in people for each in person.errors]
    acknowledged = sum(len(person.posted) for person in people)
    with sqlite3.connect(file) as database:
        kept = database.execute(
            "SELECT count(*) FROM review_comment WHERE text LIKE 'of person %'"
        ).fetchone()[0]
        numbers = database.execute(
            "SELECT count(*), count(DISTINCT machine_id || '/' || number) FROM review_comment"
        )
        total, distinct = numbers.fetchone()
    limit = ASKED_MS * slowness()
    print(
        f"\n{PEOPLE} people, {SECONDS:.0f} s, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}: "
        f"{len(reads)} pages, {acknowledged} comments, {len(errors)} errors\n"
        f"pages: median {statistics.median(reads):.0f} ms, p95 {p95(reads):.0f} ms; "
        f"comments: median {statistics.median(posts):.0f} ms, p95 {p95(posts):.0f} ms; "
        f"asked: p95 at most {ASKED_MS:.0f} ms, here {limit:.0f} ms"
    )
    assert not errors, errors[:5]
    assert kept == acknowledged
    assert total == distinct
    assert p95(reads + posts) <= limit
