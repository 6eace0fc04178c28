"""The papers of an enquiry as PDF: specification, requirement sheet, documents, spares, responsibility.

They say nothing that depends on who receives them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import groupby
from types import MappingProxyType

from specapp.documents.book import Book
from specapp.documents.options import Options
from specapp.documents.sheet import TitleBlock
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, words
from specapp.evaluation.clauses import clauses_of
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.requirements.criterion import criterion_text
from specapp.evaluation.requirements.requirement import group_title

_CAUTION = (
    "Local codes, the machine maker and licensed practice come first. Values from memory are to be confirmed."
)
_LINES_FOR_SPARES = 11  # a longer table would be folded into strips
_TO_WRITE_ON = "." * 75


def render(sheet: EnquirySheet, paper: str, options: Options) -> bytes:
    """Return one of `PAPERS` as PDF, the same bytes for the same enquiry and options."""
    title, subject, section = PAPERS[paper]
    machines = sheet.asked.machines
    block = TitleBlock(
        project=sheet.project,
        machine=", ".join(machines) if len(machines) < 4 else f"{len(machines)} machines",
        title=f"{sheet.reference} {title}",
        revision=f"amendment {sheet.amendment}" if sheet.amendment else "first issue",
        date=sheet.issued_on,
        standing=options.standing,
        setting_units=NONE,
        to_confirm=NONE,
        prepared="",
        checked="",
        approved="",
    )
    book = Book(options, block, (_CAUTION,), subject=subject, cover=False)
    section(book, sheet)
    return book.finish()


def _specification(book: Book, sheet: EnquirySheet) -> None:
    book.section(f"Enquiry specification {sheet.reference}", landscape=False, numbered=False)
    book.paragraph(sheet.title)
    for number, text in clauses_of(sheet):
        if "." in number:
            book.paragraph(f"{number}  {text}")
        else:
            book.heading(f"{number}  {text}")


def _requirements(book: Book, sheet: EnquirySheet) -> None:
    book.section(f"Requirement sheet {sheet.reference}", landscape=True, numbered=False)
    if sheet.weights:
        book.paragraph("Weights: " + "; ".join(f"{group} {weight:g}" for group, weight in sheet.weights))
    columns = (
        Column("Id", repeat=True, bold=True, widest=90),
        Column("Requirement", widest=250),
        Column("What counts", widest=140),
        Column("Must", widest=30),
        Column("Source", widest=120),
        Column("Reply and value offered", widest=120),
        Column("File and page", widest=70),
    )
    rows: list[Group | tuple[str, ...]] = []
    for group, each_of in groupby(sheet.asked.requirements, key=lambda each: each.group):
        rows.append(Group(group_title(group)))
        rows += [
            (
                each.id.replace("/", "/ ").replace("_", " "),
                f"{each.title}. {each.text}",
                criterion_text(each.criterion),
                "must" if each.knock_out else "",
                f"{each.status}: {each.source}" if each.source else each.status,
                "",
                "",
            )
            for each in each_of
        ]
    set_table(book, Table(columns, rows))


def _documents(book: Book, sheet: EnquirySheet) -> None:
    book.section(f"Vendor documents {sheet.reference}", landscape=False, numbered=False)
    book.paragraph("Weeks after order; 0 is with the offer. Weeks offered are filled in by the bidder.")
    columns = (
        Column("Document", repeat=True, bold=True, widest=260),
        Column("Purpose", widest=90),
        Column("Weeks asked", align="right", widest=60),
        Column("Weeks offered", align="right", widest=70),
    )
    rows = [(each.title, each.purpose, str(each.weeks), "") for each in sheet.documents]
    set_table(book, Table(columns, rows))


def _spares(book: Book, sheet: EnquirySheet) -> None:
    book.section(f"Spares {sheet.reference}", landscape=False, numbered=False)
    book.heading("Spares asked for, priced with the supply")
    columns = (
        Column("Item", repeat=True, bold=True, widest=250),
        Column("In service", align="right", widest=60),
        Column("Spares", align="right", widest=50),
        Column("Unit", widest=50),
        Column("Offered, make and type", widest=120),
    )
    rows = [
        (each.description, str(each.quantity), str(each.spares), each.unit, "")
        for each in sheet.asked.bill
        if each.spares
    ]
    set_table(book, Table(columns, rows))
    book.heading("Spares for two years, recommended by the bidder; prices only in the price file")
    blank = [(f"{number}", _TO_WRITE_ON, "", "", "") for number in range(1, _LINES_FOR_SPARES + 1)]
    recommended = (
        Column("No.", repeat=True, widest=30),
        Column("Item, make and type", widest=250),
        *columns[1:4],
    )
    set_table(book, Table(recommended, blank))


def _responsibility(book: Book, sheet: EnquirySheet) -> None:
    book.section(f"Responsibility {sheet.reference}", landscape=False, numbered=False)
    book.paragraph("Who supplies each link of the measuring chain. A link offered otherwise is a deviation.")
    machines = sheet.asked.machines
    columns = (
        Column("Link", repeat=True, bold=True, widest=240),
        *(Column(machine, widest=110) for machine in machines),
    )
    rows = []
    for each in sheet.scope:
        owners = dict(each.owners)
        rows.append((each.text, *(words(owners[tag]) if tag in owners else NONE for tag in machines)))
    set_table(book, Table(columns, rows))


_Section = Callable[[Book, EnquirySheet], None]
PAPERS: Mapping[str, tuple[str, str, _Section]] = MappingProxyType(
    {
        "specification": ("Enquiry specification", "What is asked, in numbered clauses", _specification),
        "requirements": ("Requirement sheet", "Requirements and what counts as an answer", _requirements),
        "documents": ("Vendor documents", "Documents asked, with weeks", _documents),
        "spares": ("Spares form", "Spares asked and recommended", _spares),
        "responsibility": ("Responsibility matrix", "Who supplies what", _responsibility),
    }
)
