"""A form as it goes out, filled in as a bidder would, and broken in one place."""

from functools import cache
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from openpyxl import load_workbook

from specapp.documents.enquiry_workbook import price_form, technical_form
from specapp.evaluation.enquiry import DOCUMENTS, ITEMS, EnquirySheet
from specapp.evaluation.offer_form import HEAD_ROWS, price_sheets, technical_sheets
from tests.evaluation.asked import asked


@cache
def sheet(amendment=0) -> EnquirySheet:
    return EnquirySheet(
        reference="ENQ-7",
        title="Invented monitoring system",
        project="Invented plant",
        amendment=amendment,
        issued_on="2026-03-01",
        closes="2026-04-01 12:00 Europe/Oslo",
        asked=asked(),
        documents=DOCUMENTS,
        items=ITEMS,
    )


@cache
def empty(kind) -> bytes:
    return technical_form(sheet()) if kind == "technical" else price_form(sheet())


def address(kind, name, key, column):
    """Return the row and column of an answer, counted from 1."""
    sheets = technical_sheets(sheet()) if kind == "technical" else price_sheets(sheet())
    form = next(each for each in sheets if each.name == name)
    row = [each for each, _ in form.rows].index(key) + HEAD_ROWS + 1
    return row, [each.name for each in form.columns].index(column) + 2


def filled(kind, *answers, change=None) -> bytes:
    """Return a form with answers (sheet, key, column, value); `change` may do more to the workbook."""
    book = load_workbook(BytesIO(empty(kind)))
    for name, key, column, value in answers:
        row, at = address(kind, name, key, column)
        book[name].cell(row, at).value = value
    if change is not None:
        change(book)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(data, **parts) -> bytes:
    """Return an archive with parts added or replaced; names with __ for a stroke."""
    out = BytesIO()
    new = {name.replace("__", "/"): content for name, content in parts.items()}
    with ZipFile(BytesIO(data)) as old, ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for entry in old.namelist():
            if entry not in new:
                archive.writestr(entry, old.read(entry))
        for name, content in new.items():
            archive.writestr(name, content)
    return out.getvalue()
