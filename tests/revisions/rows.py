"""Issued rows without rendering every document: for tests of pages and permissions, which are many."""

from specapp.core.roles import Role
from specapp.documents import transmittal
from specapp.documents.options import Options
from specapp.documents.registry import PDF
from specapp.revisions.content import stored
from specapp.revisions.models import Issue, IssuedDocument, Purpose, Revision, State
from specapp.revisions.services.distributing import Addressed, distribution_write
from specapp.revisions.services.numbering import next_issue
from specapp.revisions.services.rendering import new_code
from specapp.revisions.services.signing import last_issued
from tests.factories import NOW
from tests.revisions.issuing import frozen

_NOTHING = transmittal.Transmittal("T", "review", "2026-03-02", "A", "B", "", "", (), ())


def addressed(who):
    return Addressed(role=who) if isinstance(who, Role) else Addressed(person=who)


def issued_rows(machine, now=NOW, purpose=Purpose.REVIEW, sent_to=(), **told):
    """Freeze a machine, and issue it with a datasheet that is no more than a sheet with its code.

    `sent_to` are roles and people of the distribution list.
    """
    before = last_issued(machine)
    revision = frozen(machine, purpose, author=machine.created_by, now=now)
    sequence, number = next_issue(machine.project)
    issue = Issue.objects.create(
        project=machine.project,
        sequence=sequence,
        number=number,
        purpose=purpose,
        issued_at=now,
        issued_on=now.date(),
        issued_by=machine.created_by,
        issued_by_name=machine.created_by.get_full_name(),
        **{"recipients": "the maker", **told},
    )
    distribution_write(issue, map(addressed, sent_to), machine.created_by, now)
    for each, key in ((revision, "datasheet"), (None, "transmittal")):
        code = new_code()
        data = transmittal.render(_NOTHING, Options(code=code))
        IssuedDocument.objects.create(
            issue=issue,
            revision=each,
            key=key,
            number=f"{number}-{key}",
            title=key.capitalize(),
            filename=f"{key}.pdf",
            media_type=PDF,
            code=code,
            file=stored(data),
        )
    Revision.objects.filter(pk=revision.pk).update(state=State.ISSUED, issue=issue, replaces=before)
    return issue
