"""Run in a process of its own, with a database of its own: several freeze, issue, send, confirm at once."""

import json
import threading

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402

from specapp.core.roles import Role  # noqa: E402
from specapp.revisions.errors import Refused  # noqa: E402
from specapp.revisions.models import Issue, Purpose, Revision  # noqa: E402
from specapp.revisions.services.distributing import (  # noqa: E402
    Addressed,
    issue_distribute,
    issue_receive,
)
from specapp.revisions.services.freezing import revision_freeze  # noqa: E402
from tests.factories import NOW, ProjectFactory, machine_of, member  # noqa: E402
from tests.revisions.issuing import frozen, sent, signed  # noqa: E402


def together(acts):
    """Run acts at one moment; return what each raised, None where it went through."""
    gate, came = threading.Barrier(len(acts)), [None] * len(acts)

    def run(index, act):
        gate.wait()
        try:
            act()
        except Exception as error:  # handed to the test, which knows what may be refused
            came[index] = type(error).__name__
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return came


def main():
    call_command("migrate", verbosity=0)
    project = ProjectFactory()
    owner = member(project, Role.OWNER)
    machines = [machine_of(project, author=owner, tag=f"K-{n}") for n in range(3)]

    def freeze(machine):
        revision_freeze(machine=machine, expected_version=1, purpose=Purpose.REVIEW, author=owner, now=NOW)

    same = together([lambda: freeze(machines[0])] * 3)
    candidates = [Revision.objects.get(machine=machines[0]), *map(frozen, machines[1:])]
    for revision in candidates:
        signed(revision)
    apart = together([lambda revision=revision: sent([revision], author=owner) for revision in candidates])
    again = frozen(machines[0])
    signed(again)
    twice = together([lambda: sent([again], author=owner)] * 3)
    issue = Issue.objects.order_by("sequence").first()
    maker = member(project, Role.MAKER)
    to_makers = {"issue": issue, "addressed": [Addressed(Role.MAKER)], "author": owner, "now": NOW}
    added = together([lambda: issue_distribute(**to_makers)] * 3)
    confirmed = {"issue": issue, "person": maker, "role": Role.MAKER, "now": NOW}
    receiving = together([lambda: issue_receive(**confirmed)] * 3)
    print(
        json.dumps(
            {
                "sent": [issue.distribution.count(), sorted(map(str, added))],
                "received": [issue.receipts.count(), sorted(map(str, receiving))],
                "same": sorted(map(str, same)),
                "labels": list(Revision.objects.filter(machine=machines[0]).values_list("label", flat=True)),
                "apart": apart,
                "twice": sorted(map(str, twice)),
                "numbers": list(Issue.objects.order_by("sequence").values_list("sequence", flat=True)),
                "refused": Refused.__name__,
            }
        )
    )


if __name__ == "__main__":
    main()
