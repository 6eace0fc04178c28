"""Run in a process of its own, with a database of its own, before and after people save at the same moment.

`seed` makes the database and prints what browsers and programs need to save its machine; `left MACHINE`
prints what is in it afterwards.
"""

import datetime
import json
import os
import sys

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "specapp.config.test_settings")

import django

django.setup()

from django.conf import settings  # noqa: E402
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY  # noqa: E402
from django.contrib.sessions.backends.db import SessionStore  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from django.urls import reverse  # noqa: E402
from django.utils import timezone  # noqa: E402

from specapp.core.audit import chain_verify  # noqa: E402
from specapp.core.models import AuditEntry  # noqa: E402
from specapp.core.roles import Role  # noqa: E402
from specapp.projects.describing.typed import typed_of  # noqa: E402
from specapp.projects.models import Machine, Override, ProjectCriterion, SetpointState, SetpointValue  # noqa: E402
from specapp.review.models import RoundChange  # noqa: E402
from specapp.review.services.rounds import round_open  # noqa: E402
from tests.api.asking import Program  # noqa: E402
from tests.factories import ProjectFactory, machine_of, member  # noqa: E402

PEOPLE = 4
GROUP = "BG/B1/radial"
CRITERION = "radial.alarm_multiple"


def seeded():
    project = ProjectFactory()
    people = [member(project, Role.OWNER) for _ in range(PEOPLE)]
    programs = [Program(project) for _ in range(PEOPLE)]
    machine = machine_of(project, author=people[0])
    now = timezone.now()
    due_date = timezone.localdate(now) + datetime.timedelta(days=14)
    review = round_open(
        machine=machine,
        purpose="inter-discipline check",
        due_date=due_date,
        lead=people[0],
        reviewers=people[1:2],
        author=people[0],
        now=now,
    )
    place = [project.pk, machine.pk]
    group = f"?item={GROUP}"
    return {
        "machine": machine.pk,
        "sessions": [_session(person) for person in people],
        "secrets": [program.secret for program in programs],
        "api": f"/api/1/projects/{project.pk}/machines/{machine.pk}",
        "description": reverse("projects:machine-edit", args=place),
        "override": reverse("projects:override-edit", args=place) + f"{group}&field=trip",
        "criterion": reverse("projects:criterion-edit", args=[project.pk, CRITERION]),
        "round": reverse("review:round-show", args=[*place, review.pk]),
        "value": reverse("projects:setpoint-value-write", args=place) + f"{group}&level=trip",
        "left": reverse("commissioning:left-enter", args=place) + f"{group}&level=trip",
        "typed": typed_of(machine.description),
        "document": machine.description,
        "due_date": due_date.isoformat(),
    }


def _session(person):
    session = SessionStore()
    session[SESSION_KEY] = str(person.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session[HASH_SESSION_KEY] = person.get_session_auth_hash()
    session.create()
    return session.session_key


def left(machine_id):
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # One moment for every query: a save under way at the kill may still end.
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        machine = Machine.objects.get(pk=machine_id)
        saves = (
            AuditEntry.objects.filter(action="machine.update").order_by("pk").values_list("data", flat=True)
        )
        values = SetpointValue.objects.order_by("pk")
        return {
            "stored": [machine.version, machine.description["service"]],
            "saves": [[each["version"], each["is"].get("service")] for each in saves],
            "numbers": list(machine.comments.order_by("number").values_list("number", flat=True)),
            "overrides": Override.objects.filter(undone_at=None).count(),
            "criteria": ProjectCriterion.objects.count(),
            "changes": RoundChange.objects.count(),
            "values": list(values.filter(state=SetpointState.MAKERS).values_list("value", flat=True)),
            "as_left": values.filter(state=SetpointState.AS_LEFT).count(),
            "record": chain_verify().reason,
            "file": _integrity(cursor),
        }


def _integrity(cursor):
    """Return what SQLite finds of its file; PostgreSQL recovers its own when it starts."""
    if connection.vendor != "sqlite":
        return "ok"
    cursor.execute("PRAGMA integrity_check")
    return cursor.fetchone()[0]


if __name__ == "__main__":
    if sys.argv[1] == "seed":
        call_command("migrate", verbosity=0)
        print(json.dumps(seeded()))
    else:
        print(json.dumps(left(int(sys.argv[2]))))
