"""Run in a process of its own, with a database of its own: people and programs save at the same moment.

`together` prints what each of them was answered; `until_killed` prints the number of each comment as soon as
it is acknowledged, and never ends; `left` prints what is in the database afterwards.
"""

import json
import os
import sys
import threading

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "specapp.config.test_settings")

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import setup_test_environment  # noqa: E402
from django.urls import reverse  # noqa: E402

from specapp.core.audit import chain_verify  # noqa: E402
from specapp.core.roles import Role  # noqa: E402
from specapp.projects.models import Machine, Override  # noqa: E402
from specapp.review.models import Comment  # noqa: E402
from tests.api.asking import Program  # noqa: E402
from tests.factories import ProjectFactory, machine_of, member, sample_description  # noqa: E402

AT_ONCE = 6
TEXT = {"text": "kept", "audience": "INTERNAL"}


def together(acts):
    """Run acts at one moment and return the status that each was answered, in order of size."""
    gate, answers = threading.Barrier(len(acts)), []

    def run(act):
        gate.wait()
        try:
            answers.append(act().status_code)
        except Exception as fault:  # told in place of an answer, so that the test names it
            answers.append(repr(fault))
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=[act]) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sorted(answers, key=str)


def on_a_page(person, address, typed):
    browser = Client()
    browser.force_login(person)
    return lambda: browser.post(address, typed)


def saved_together():
    project = ProjectFactory()
    programs = [Program(project) for _ in range(AT_ONCE)]
    machine = machine_of(project, author=programs[0].person)
    place = f"/machines/{machine.pk}"
    people = [member(project, Role.ENGINEER) for _ in range(AT_ONCE)]

    def titled(number):
        return sample_description("minimal_process") | {"title": f"of {number}"}

    found = {
        "machine": together(
            [
                lambda n=n, each=each: each.ask("PUT", f"{place}?version=1", titled(n))
                for n, each in enumerate(programs)
            ]
        ),
        "comments": together(
            [lambda each=each: each.ask("POST", f"{place}/comments", TEXT) for each in programs]
        ),
        "replies": together(
            [
                lambda each=each: each.ask("POST", f"{place}/comments/1/replies", {"version": 1, "text": "a"})
                for each in programs
            ]
        ),
    }
    address = reverse("projects:override-edit", args=[project.pk, machine.pk])
    typed = {"item": "BG/B1/radial", "field": "trip", "value": "45", "reason": "a test", "version": "2"}
    query = "?item=BG/B1/radial&field=trip"
    found["override"] = together([on_a_page(person, address + query, typed) for person in people])
    machine.refresh_from_db()
    return found | {
        "version": machine.version,
        "title": machine.description["title"],
        "numbers": list(Comment.objects.order_by("number").values_list("number", flat=True)),
        "overrides": Override.objects.filter(undone_at=None).count(),
        "record": chain_verify().reason,
    }


def until_killed():
    program = Program(ProjectFactory())
    machine = machine_of(program.project, author=program.person)
    print(machine.pk, flush=True)
    while True:
        answer = program.ask("POST", f"/machines/{machine.pk}/comments", TEXT)
        assert answer.status_code == 201, answer.content
        print(answer.json()["number"], flush=True)


def left(machine_id):
    machine = Machine.objects.get(pk=machine_id)
    return {
        "numbers": list(machine.comments.order_by("number").values_list("number", flat=True)),
        "record": chain_verify().reason,
    }


if __name__ == "__main__":
    setup_test_environment()
    call_command("migrate", verbosity=0)
    if sys.argv[1] == "saving":
        print(json.dumps(saved_together()), flush=True)
        until_killed()
    print(json.dumps(left(int(sys.argv[2]))))
