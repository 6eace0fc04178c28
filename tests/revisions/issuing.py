"""Steps on the way to an issue, for tests that begin after them."""

from datetime import timedelta

from specapp.core.roles import Role
from specapp.projects.services import machine_update
from specapp.revisions.content import content_of
from specapp.revisions.gate import gate_lines
from specapp.revisions.models import Part, Purpose
from specapp.revisions.services.freezing import revision_freeze
from specapp.revisions.services.holds import hold_put, holds_in_force
from specapp.revisions.services.issuing import Sending, issue_create
from specapp.revisions.services.numbering import asked_of
from specapp.revisions.services.signing import accepted_lists, signature_give
from tests.factories import NOW, PASSWORD, member

SENDING = Sending("Maker of the machine (invented)")


def frozen(machine, purpose=Purpose.REVIEW, author=None, now=NOW):
    machine.refresh_from_db()
    return revision_freeze(
        machine=machine,
        expected_version=machine.version,
        purpose=purpose,
        author=author or member(machine.project, Role.ENGINEER),
        now=now,
    )


def signed(revision, part=Part.PREPARED, person=None, now=NOW, **changed):
    given = {
        "checksum": revision.checksum,
        "password": PASSWORD,
        "accepted": accepted_lists(revision).counts,
        **changed,
    }
    person = person or member(revision.machine.project, Role.OWNER)
    signature = signature_give(revision=revision, part=part, person=person, now=now, **given)
    revision.refresh_from_db()
    return signature


def signed_by_all(revision, now=NOW):
    for part in asked_of(revision.machine.project)[revision.purpose].parts:
        signed(revision, part, now=now)


def held(revision):
    """Put everything that is unsettled on the hold list."""
    machine = revision.machine
    for line in gate_lines(content_of(revision.checksum).proposal, holds_in_force(machine)):
        if line.hold is None:
            hold_put(
                machine=machine,
                item=line.item,
                owner="the maker",
                due_date=(NOW + timedelta(days=30)).date(),
                author=revision.frozen_by,
                now=NOW,
            )


def issued(machine, purpose=Purpose.REVIEW, now=NOW):
    """Return an issue of one machine."""
    revision = frozen(machine, purpose, now=now)
    signed_by_all(revision, now)
    if asked_of(machine.project)[purpose].is_gated:
        held(revision)
    return sent([revision], now)


def sent(revisions, now=NOW, author=None, **changed):
    project = revisions[0].machine.project
    given = {
        "project": project,
        "purpose": revisions[0].purpose,
        "chosen": {revision.pk: revision.version for revision in revisions},
        "sending": SENDING,
        **changed,
    }
    return issue_create(author=author or member(project, Role.OWNER), now=now, **given)


def described_anew(machine, author, now=NOW, **changed):
    """Change a machine's description."""
    machine.refresh_from_db()
    return machine_update(
        machine=machine,
        description={**machine.description, **changed},
        expected_version=machine.version,
        author=author,
        now=now,
    )
