"""Who gets what at the addresses of the references; the whole matrix is in tests/health/test_urls.py."""

from tests.references.filled import received, registered, with_file

_READING = (302, 404, 403, 200, 200, 200)
_EDITING = (302, 404, 403, 403, 200, 200)
_NOTHING_TOLD = (302, 404, 403, 403, 422, 422)
_NEVER = (302, 405, 405, 405, 405, 405)

# What GET answers, and what an empty POST answers: anonymous, stranger, bidder, reader, engineer, owner.
MATRIX = {
    "references:document-list": (_READING, _NEVER),
    "references:document-new": (_EDITING, _NOTHING_TOLD),
    "references:document-show": (_READING, _NOTHING_TOLD),
    "references:file-show": (_READING, _NEVER),
    "references:file-add": (_NEVER, _NOTHING_TOLD),
    "references:document-carry": (_NEVER, _NOTHING_TOLD),
    "references:rule-list": (_READING, _NEVER),
    "references:criteria-list": (_READING, _NEVER),
    "references:criteria-bring": (_EDITING, _NOTHING_TOLD),
    "references:source-list": (_READING, _NOTHING_TOLD),
    "references:question-list": (_READING, _NOTHING_TOLD),
    "references:question-file": (_READING, _NEVER),
    "references:answer-list": (_EDITING, _NOTHING_TOLD),
}


def place(name, project, machine):
    """Return the parts of an address; rows it needs are made, once a machine."""
    number = f"D-{machine.pk}"
    if name in ("references:document-show", "references:file-add", "references:document-carry"):
        found = project.reference_documents.filter(number=number).first()
        return [project.pk, (found or registered(project, machine, number)).pk]
    if name == "references:file-show":
        found = project.reference_documents.filter(number=number).first()
        return [project.pk, with_file(found or registered(project, machine, number)).pk]
    if name == "references:question-file":
        return [project.pk, machine.pk, "maker", "pdf"]
    if name == "references:answer-list":
        found = project.reference_documents.filter(machine=machine).first()
        row = found.revisions.last().attachments.last() if found else received_as(machine, number)
        return [project.pk, machine.pk, row.pk]
    of_machine = name in ("references:source-list", "references:question-list")
    return [project.pk, machine.pk] if of_machine else [project.pk]


def received_as(machine, number):
    """Return an answered sheet under a number of its own."""
    row = received(machine, {})
    type(row.revision.document).objects.filter(pk=row.revision.document_id).update(number=number)
    return row
