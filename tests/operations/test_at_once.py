"""Really at once: a server of two processes, four people and four programs, and a kill amid saves.

On a database of its own of the kind that the tests run on, SQLite or PostgreSQL, set up as in use.
"""

import json
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date, timedelta
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from secrets import token_hex
from threading import Barrier, Event
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
PEOPLE = 4  # as in saving.py
TOKEN = "t" * 32
SAVED, ACKNOWLEDGED = 12, 20

Answer = tuple[int, str]


@pytest.fixture(scope="module")
def database(tmp_path_factory, migrated, django_db_setup, django_db_blocker) -> Iterator[str]:
    """Return the address of a new database of the kind that the tests run on, migrated."""
    if connection.vendor == "sqlite":
        path = tmp_path_factory.mktemp("at_once") / "db.sqlite3"
        migrated.copy_to_file(path)
        yield f"sqlite:///{path}"
        return
    name = f"at_once_{token_hex(4)}"
    with django_db_blocker.unblock():
        migrated.copy_on_server(name)
    yield f"{os.environ['DATABASE_URL'].rpartition('/')[0]}/{name}"
    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="module")
def environment(database, tmp_path_factory) -> dict[str, str]:
    """Return what the processes are told: nothing of this test run but the database and the secret."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return {
        **kept,
        "SPECAPP_ENV": "local",
        "SPECAPP_SECRET_KEY": settings.SECRET_KEY,
        "SPECAPP_VAR_DIR": str(tmp_path_factory.mktemp("var")),
        "DATABASE_URL": database,
    }


@pytest.fixture(scope="module")
def look(environment) -> Callable[..., dict]:
    def look(*arguments: str) -> dict:
        told = subprocess.run(
            [sys.executable, "-m", "tests.operations.saving", *arguments],
            cwd=ROOT,
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )
        assert told.returncode == 0, told.stderr
        return json.loads(told.stdout)

    return look


@dataclass(frozen=True, slots=True)
class Site:
    """A server that is running, and what browsers and programs need to save its machine."""

    port: int
    group: int
    seed: dict

    def page(self, person: int, address: str, typed: dict[str, str] | None = None) -> Answer:
        headers = {
            "Cookie": f"{settings.SESSION_COOKIE_NAME}={self.seed['sessions'][person]}; csrftoken={TOKEN}"
        }
        if typed is None:
            return asked(self.port, "GET", address, headers)
        headers["Content-Type"] = "application/x-www-form-urlencoded"
        return asked(self.port, "POST", address, headers, urlencode({**typed, "csrfmiddlewaretoken": TOKEN}))

    def program(self, number: int, method: str, address: str, body: dict | None = None) -> Answer:
        headers = {
            "Authorization": f"Bearer {self.seed['secrets'][number]}",
            "Content-Type": "application/json",
        }
        return asked(self.port, method, self.seed["api"] + address, headers, body and json.dumps(body))


def asked(port: int, method: str, path: str, headers: dict[str, str], body: str | None = None) -> Answer:
    link = HTTPConnection("127.0.0.1", port, timeout=120)
    try:
        link.request(method, path, body, headers)
        answer = link.getresponse()
        return answer.status, answer.read().decode()
    finally:
        link.close()


@pytest.fixture(scope="module")
def site(environment, look) -> Iterator[Site]:
    """Serve a new database by two processes of four threads."""
    seed = look("seed")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen(
        [
            *(sys.executable, "-m", "gunicorn", "specapp.config.wsgi"),
            *("-w", "2", "--threads", "4", "-b", f"127.0.0.1:{port}", "--log-level", "warning"),
        ],
        cwd=ROOT,
        env=environment,
        start_new_session=True,
    )
    try:
        served = Site(port, server.pid, seed)
        for _ in range(1200):
            assert server.poll() is None, "the server has ended"
            try:
                assert served.page(0, seed["description"])[0] == 200
                break
            except OSError:
                Event().wait(0.1)
        else:
            pytest.fail("the server does not answer")
        yield served
    finally:
        if server.poll() is None:
            os.killpg(server.pid, signal.SIGKILL)
        server.wait()


def at_once(act: Callable[[int], Answer]) -> list[Answer]:
    """Let every person or program act at one moment; return what each was answered."""
    gate = Barrier(PEOPLE)

    def waits_for_all(number: int) -> Answer:
        gate.wait()
        return act(number)

    with ThreadPoolExecutor(PEOPLE) as people:
        return list(people.map(waits_for_all, range(PEOPLE)))


def words(number: int, what: object) -> str:
    return f"words of {number} for {what}"


@pytest.fixture(scope="module")
def answers(site) -> dict[str, list[Answer]]:
    """Return what was answered where all saved the same version of one thing at one moment."""
    seed = site.seed
    kept: dict[str, list[Answer]] = {}

    def typed(what: str, version: int) -> Callable[[int], dict[str, str]]:
        due_date = date.fromisoformat(seed["due_date"])
        told = {"version": str(version)}
        return {
            "description": lambda n: {**seed["typed"], **told, "service": words(n, f"version {version}")},
            "override": lambda n: {**told, "value": f"4{n}", "reason": words(n, what)},
            "criterion": lambda n: {"row": "", "value": f"1.6{n}", "reason": words(n, what)},
            "round": lambda n: {
                **told,
                "do": "change",
                "due_date": str(due_date + timedelta(days=n + 1)),
                "reason": words(n, what),
            },
            "value": lambda n: {
                **told,
                "value": f"5{n}",
                "state": "MAKERS",
                "document": "VS-118",
                "person": words(n, what),
                "dated": "2026-02-01",
            },
            "left": lambda n: {
                **told,
                "value": f"3{n}",
                "document": "Printout 3",
                "person": words(n, what),
                "dated": "2026-02-01",
            },
        }[what]

    def on_pages(what: str, version: int) -> list[Answer]:
        fill = typed(what, version)
        return at_once(lambda n: site.page(n, seed[what], fill(n)))

    for version in range(1, 4):
        kept[f"version {version}"] = on_pages("description", version)
    kept["override"] = on_pages("override", 4)
    kept["criterion"] = on_pages("criterion", 0)
    kept["round"] = on_pages("round", 1)
    kept["value"] = on_pages("value", 5)
    kept["left"] = on_pages("left", 5)
    kept["machine"] = at_once(
        lambda n: site.program(n, "PUT", "?version=5", {**seed["document"], "title": words(n, "machine")})
    )
    kept["comments"] = at_once(
        lambda n: site.program(n, "POST", "/comments", {"text": "kept", "audience": "INTERNAL"})
    )
    kept["replies"] = at_once(
        lambda n: site.program(n, "POST", "/comments/1/replies", {"version": 1, "text": words(n, "replies")})
    )
    kept["stands"] = [site.program(0, "GET", "")]
    return kept


@pytest.fixture(scope="module")
def killed(site, answers, look) -> tuple[list[list], list[int], dict]:
    """Kill the server amid saves; return the acknowledged saves and comments, and what was left."""
    saves: list[list] = []
    numbers: list[int] = []
    enough, over = Event(), Event()

    def until_killed(act: Callable[[int], None], number: int) -> None:
        while not over.is_set():
            try:
                act(number)
            except (OSError, HTTPException):
                return
            if len(saves) >= SAVED and len(numbers) >= ACKNOWLEDGED:
                enough.set()

    def saves_description(person: int) -> None:
        _, page = site.page(person, site.seed["description"])
        version = int(re.search(r'name="version" value="(\d+)"', page)[1])
        said = words(person, f"version {version}")
        typed = {**site.seed["typed"], "service": said, "version": str(version)}
        if site.page(person, site.seed["description"], typed)[0] == 302:
            saves.append([version + 1, said])

    def comments(number: int) -> None:
        status, text = site.program(number, "POST", "/comments", {"text": "kept", "audience": "INTERNAL"})
        assert status == 201, text
        numbers.append(json.loads(text)["number"])

    with ThreadPoolExecutor(PEOPLE) as people:
        running = [people.submit(until_killed, saves_description, n) for n in range(2)]
        running += [people.submit(until_killed, comments, n) for n in range(2)]
        waited = enough.wait(120)
        os.killpg(site.group, signal.SIGKILL)
        over.set()
        for each in running:
            each.result()
    assert waited, (len(saves), len(numbers))
    return saves, numbers, look("left", str(site.seed["machine"]))


@pytest.mark.parametrize(
    "what",
    [
        *("version 1", "version 2", "version 3"),
        *("override", "criterion", "round", "value", "left"),
    ],
)
def test_of_people_who_save_one_version_one_wins_and_the_others_see_both(answers, what):
    given = answers[what]
    assert sorted(status for status, _ in given) == [302, *[409] * (PEOPLE - 1)], given
    (winner,) = [number for number, (status, _) in enumerate(given) if status == 302]
    for number, (status, page) in enumerate(given):
        if status == 409:
            assert words(number, what) in page, "what was typed is lost"
            assert words(winner, what) in page, "what stands now is not told"


@pytest.mark.parametrize(("what", "tens"), [("override", 4), ("value", 5)])
def test_who_loses_is_shown_the_value_that_stands_and_may_save_over_it(answers, what, tens):
    (winner,) = [number for number, (status, _) in enumerate(answers[what]) if status == 302]
    for number, (status, page) in enumerate(answers[what]):
        if status == 409:
            assert f"{tens}{winner} µm p-p" in page
            assert re.search(rf'name="value" value="{tens}{number}"', page)
            assert 'name="version" value="5"' in page, "the next saving would fail again"


def test_of_the_values_written_down_at_once_one_is_kept(answers, killed):
    (winner,) = [number for number, (status, _) in enumerate(answers["value"]) if status == 302]
    assert killed[2]["values"] == [50.0 + winner]


def test_of_programs_that_save_one_version_one_wins_and_the_others_are_told(answers):
    for what, taken in (("machine", 200), ("replies", 201)):
        assert sorted(status for status, _ in answers[what]) == [taken, *[409] * (PEOPLE - 1)]
        refused = [json.loads(text) for status, text in answers[what] if status == 409]
        assert {problem["path"] for each in refused for problem in each["problems"]} == {"version"}
    (winner,) = [n for n, (status, _) in enumerate(answers["machine"]) if status == 200]
    stands = json.loads(answers["stands"][0][1])
    assert (stands["version"], stands["description"]["title"]) == (6, words(winner, "machine"))


def test_no_number_is_given_twice_and_what_lost_leaves_nothing(answers, killed):
    assert [status for status, _ in answers["comments"]] == [201] * PEOPLE
    given = sorted(json.loads(text)["number"] for _, text in answers["comments"])
    assert given == list(range(1, PEOPLE + 1))
    left = killed[2]
    assert (left["overrides"], left["criteria"], left["changes"], left["as_left"]) == (1, 1, 1, 1)


def test_a_kill_amid_saves_loses_nothing_that_was_acknowledged(killed):
    saves, numbers, left = killed
    assert left["record"] == ""
    assert left["file"] == "ok"
    assert set(map(tuple, saves)) <= set(map(tuple, left["saves"]))
    assert set(numbers) <= set(left["numbers"])
    assert left["numbers"] == list(range(1, len(left["numbers"]) + 1))
    # At most what was being saved at the moment, and then as a whole: machine and record agree.
    assert left["stored"] == left["saves"][-1]
    # Version 5 is the override's.
    assert [version for version, _ in left["saves"]] == [2, 3, 4, *range(6, left["stored"][0] + 1)]
