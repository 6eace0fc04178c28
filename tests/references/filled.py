"""A register, and a sheet of questions filled in as a maker would."""

from io import BytesIO

from openpyxl import load_workbook

from specapp.documents.ask_workbook import HEADINGS, render_for
from specapp.documents.options import Options
from specapp.projects.deciding.ground import machine_proposal
from specapp.references.files import kept_file
from specapp.references.models import DocumentKind
from specapp.references.services import document_register, document_revise, file_attach
from tests.factories import NOW

PDF = b"%PDF-1.4\n%%EOF\n"
HEAD = {
    "sheet:document": "MK-Q-7",
    "sheet:revision": "A",
    "sheet:person": "N. Oyelaran",
    "sheet:dated": "2026-02-20",
}


def registered(project, machine=None, number="GA-118", revisions=("1",), kind=DocumentKind.ARRANGEMENT):
    """Return a document with its revisions in the order received."""
    author = project.memberships.first().user
    document = document_register(
        project=project, machine=machine, number=number, title="", kind=kind, author=author, now=NOW
    )
    for revision in revisions:
        document_revise(
            document=document,
            revision=revision,
            dated=NOW.date(),
            received_on=NOW.date(),
            received_by="the site office",
            received_from="N. Oyelaran",
            author=author,
            now=NOW,
        )
    return document


def with_file(document, content=PDF, name="drawing.pdf"):
    """Return a file kept with the document's last revision."""
    author = document.entered_by
    kept = kept_file(name, content)
    return file_attach(revision=document.revisions.last(), kept=kept, author=author, now=NOW)


def filled(machine, answers, head=None, ask=""):
    """Return the questions' workbook with answers by key: a text or number, or a mapping by heading."""
    book = load_workbook(BytesIO(render_for(machine_proposal(machine), Options(), ask)))
    sheet = book.active
    rows = {sheet.cell(number, 1).value: number for number in range(1, sheet.max_row + 1)}
    for key, text in (HEAD if head is None else head).items():
        sheet.cell(rows[key], 5).value = text
    for key, answer in answers.items():
        told = answer if isinstance(answer, dict) else {"answer": answer}
        for heading, value in told.items():
            sheet.cell(rows[key], HEADINGS.index(heading) + 1).value = value
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def received(machine, answers):
    """Return a filled sheet as the register keeps it."""
    document = registered(machine.project, machine, HEAD["sheet:document"], ("A",), DocumentKind.ANSWERS)
    return with_file(document, filled(machine, answers), "answers.xlsx")
