"""The documents of an issue, rendered once: title block filled in, each with a code of its own."""

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from specapp.documents import change_note
from specapp.documents.changes import changes_between
from specapp.documents.options import Options
from specapp.documents.registry import DOCUMENTS, PDF
from specapp.documents.sheet_code import ALPHABET, LENGTH, code_of
from specapp.projects.models import PageSize, Project
from specapp.revisions.content import content_of
from specapp.revisions.gate import GateLine, gate_lines
from specapp.revisions.models import HoldItem, Part, RegisterEntry, Revision, Signature
from specapp.revisions.services.numbering import CHANGE_NOTE, DOCUMENT_TITLES, purpose_words

PAPER = {PageSize.A4: "A4", PageSize.A3: "A3", PageSize.LETTER: "Letter", PageSize.TABLOID: "Tabloid"}


@dataclass(frozen=True, slots=True)
class Rendered:
    """One document, not yet stored."""

    key: str
    number: str
    title: str
    filename: str
    media_type: str
    code: str
    content: bytes


def new_code() -> str:
    return code_of(secrets.randbelow(len(ALPHABET) ** LENGTH))


def signed_words(signature: Signature, project: Project) -> str:
    """Return who signed and on which day of the project's time zone."""
    day = signature.signed_at.astimezone(ZoneInfo(project.time_zone)).date()
    return f"{signature.person_name} {day.isoformat()}"


def held_words(line: GateLine) -> str:
    assert line.hold is not None
    return f"{line.item.text} – {line.hold.owner}, by {line.hold.due_date.isoformat()}"


def hold_lines(revision: Revision, holds: Sequence[HoldItem]) -> list[str]:
    """Return what a revision goes out with on hold, a line each."""
    lines = gate_lines(content_of(revision.checksum).proposal, holds)
    return [held_words(line) for line in lines if line.hold is not None]


def issue_options(project: Project, purpose: str, issued_on: date) -> Options:
    """Return what every document of an issue says in its title block."""
    invented = "invented, " if project.is_invented else ""
    return Options(
        page_size=PAPER[PageSize(project.page_size)],
        project=str(project),
        standing=f"{invented}{purpose_words(purpose)}",
        issued_on=issued_on.isoformat(),
    )


def revision_render(
    revision: Revision,
    replaces: Revision | None,
    entries: Mapping[str, RegisterEntry],
    holds: Sequence[HoldItem],
    issued_on: date,
) -> list[Rendered]:
    """Return every document of a revision; the same content, signatures and codes give the same bytes.

    What differs from the revision it replaces is marked in rows and on drawings.
    """
    project = revision.machine.project
    content = content_of(revision.checksum)
    given = {row.part: signed_words(row, project) for row in revision.signatures.filter(voided_at=None)}
    common = issue_options(project, revision.purpose, issued_on)
    before = content_of(replaces.checksum).proposal if replaces else None
    changes = changes_between(before, content.proposal, revision.label) if before else None
    rendered = []
    for key, title in DOCUMENT_TITLES.items():
        entry, code = entries[key], new_code()
        options = Options(
            page_size=common.page_size,
            project=common.project,
            standing=common.standing,
            issued_on=common.issued_on,
            revision=revision.label,
            prepared=given.get(Part.PREPARED, ""),
            checked=given.get(Part.CHECKED, ""),
            approved=given.get(Part.APPROVED, ""),
            code=code,
            number=entry.number,
            changes=changes,
        )
        if key == CHANGE_NOTE:
            data = change_note.render(
                before,
                content.proposal,
                options,
                replaces=replaces.label if replaces else "",
                holds=hold_lines(revision, holds),
            )
            media_type, name = PDF, "change_note.pdf"
        else:
            document = DOCUMENTS[key]
            data = document.render(content.proposal, options)
            media_type, name = document.media_type, document.filename
        filename = f"{file_part(entry.number)}_rev_{file_part(revision.label)}_{name}"
        rendered.append(Rendered(key, entry.number, entry.title or title, filename, media_type, code, data))
    return rendered


def file_part(text: str) -> str:
    """Return a number or tag as part of a file name: ASCII letters and digits, everything else a hyphen."""
    kept = "".join(char if char.isascii() and (char.isalnum() or char in "._") else "-" for char in text)
    return kept.strip("-.") or "x"
