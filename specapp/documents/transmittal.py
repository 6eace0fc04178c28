"""The transmittal: which documents go to whom, for what, with their checksums."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from specapp.documents.book import Book
from specapp.documents.front import CAUTION_LINE
from specapp.documents.options import Options
from specapp.documents.sheet import TitleBlock
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE

TITLE: Final = "Transmittal"


@dataclass(frozen=True, slots=True)
class SentDocument:
    """A line of the transmittal; ``replaces`` is the revision it takes the place of, empty for none."""

    machine: str
    number: str
    title: str
    revision: str
    filename: str
    sha256: str
    replaces: str


@dataclass(frozen=True, slots=True)
class SentMachine:
    """A machine of the package: tag, revision, content checksum, who signed, what is on hold."""

    tag: str
    revision: str
    checksum: str
    signed: tuple[tuple[str, str], ...]
    holds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Transmittal:
    """What a transmittal says. Dates are ISO dates in the project's time zone."""

    number: str
    purpose: str
    date: str
    sender: str
    recipients: str
    answer_by: str
    note: str
    machines: tuple[SentMachine, ...]
    documents: tuple[SentDocument, ...]


def render(transmittal: Transmittal, options: Options) -> bytes:
    """Return the transmittal as PDF, the same bytes for the same contents and options."""
    tags = ", ".join(machine.tag for machine in transmittal.machines)
    block = TitleBlock(
        project=options.project,
        machine=tags if len(transmittal.machines) < 4 else f"{len(transmittal.machines)} machines",
        title=f"{TITLE} {transmittal.number}",
        revision="",
        date=transmittal.date,
        standing=options.standing,
        setting_units=NONE,
        to_confirm=NONE,
        prepared=transmittal.sender,
        checked="",
        approved="",
    )
    book = Book(options, block, (CAUTION_LINE,), subject="Documents sent, for what and to whom", cover=False)
    book.section(f"{TITLE} {transmittal.number}", landscape=False, numbered=False)
    for label, text in (
        ("Purpose", transmittal.purpose),
        ("Date", transmittal.date),
        ("From", transmittal.sender),
        ("To", transmittal.recipients),
        ("Answer by", transmittal.answer_by or "no answer asked for"),
        ("Note", transmittal.note),
    ):
        if text:
            book.paragraph(f"{label}: {text}", after=2)
    _machines(book, transmittal.machines)
    _documents(book, transmittal.documents)
    book.heading("Received")
    book.paragraph(
        "Name                                              Date                              Signature"
    )
    return book.finish()


def _machines(book: Book, machines: tuple[SentMachine, ...]) -> None:
    book.heading("Machines")
    columns = (
        Column("Machine", repeat=True, bold=True, widest=90),
        Column("Revision", widest=60),
        Column("Signed", widest=230),
        Column("Content (SHA-256)", widest=150),
    )
    rows = [
        (
            machine.tag,
            machine.revision,
            "\n".join(f"{part}: {who}" for part, who in machine.signed) or NONE,
            f"{machine.checksum[:32]}\n{machine.checksum[32:]}",
        )
        for machine in machines
    ]
    set_table(book, Table(columns, rows))
    holds = [(machine.tag, hold) for machine in machines for hold in machine.holds]
    if holds:
        book.heading("Hold list")
        held = (
            Column("Machine", repeat=True, widest=90),
            Column("On hold, by whom and until when", widest=420),
        )
        set_table(book, Table(held, holds))


def _documents(book: Book, documents: tuple[SentDocument, ...]) -> None:
    book.turn(landscape=True)
    book.heading(f"Documents: {len(documents)}")
    columns = (
        Column("Number", repeat=True, bold=True, widest=150),
        Column("Title", widest=190),
        Column("Revision", widest=50),
        Column("Replaces", widest=50),
        Column("File", widest=190),
        Column("SHA-256", widest=150),
    )
    rows = [
        (
            document.number,
            f"{document.title}, {document.machine}",
            document.revision,
            document.replaces or NONE,
            document.filename,
            f"{document.sha256[:32]}\n{document.sha256[32:]}",
        )
        for document in documents
    ]
    set_table(book, Table(columns, rows))
