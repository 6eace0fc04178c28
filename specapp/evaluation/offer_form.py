"""The form that goes out and comes back: its sheets, columns and the keys of its rows.

Written by `specapp.documents.enquiry_workbook`, read by `specapp.evaluation.offer_reading`. The first
column of every sheet is hidden and says what each row is. Only answer columns may be changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.replies.failure_data import FIELDS
from specapp.evaluation.replies.offer import CLAIMS
from specapp.evaluation.requirements.criterion import criterion_text, unit_text
from specapp.evaluation.requirements.requirement import group_title

TECHNICAL: Final = "offer-technical/1"
PRICE: Final = "offer-price/1"
HEAD_ROWS: Final = 5  # format, enquiry, amendment, sheet, headings
EXTRA_ITEMS: Final = 20
DEVIATION_ROWS: Final = 60
OPTION_ROWS: Final = 15
SPARE_ROWS: Final = 30
INCLUDED: Final = "included"
BY_OTHERS: Final = "by others"
NOT_QUOTED: Final = "not quoted"
PRICED: Final = "price"
STATES: Final = (PRICED, INCLUDED, BY_OTHERS, NOT_QUOTED)
TERMS: Final[tuple[tuple[str, str, str], ...]] = (
    ("currency", "Currency, three capital letters", "text"),
    ("price_basis", "Price basis and place, such as FOB Rotterdam", "text"),
    ("discount_percent", "Discount on the supply, percent", "number"),
    ("taxes", "Taxes and duties, amount", "number"),
    ("freight_insurance", "Freight and insurance, amount", "number"),
    ("inland", "Inland transport and clearance, amount", "number"),
    ("advance_percent", "Advance payment, percent of the supply", "number"),
    ("payment", "Payment terms", "text"),
    ("price_validity", "Price is valid until", "text"),
)

Answer = Literal["text", "number", "choice"]
Value = str | float | int | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column; `answer` is empty where the cell is locked, else what may be typed there."""

    name: str
    heading: str
    width: float
    answer: Answer | None = None
    longest: int = 300
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FormSheet:
    """One sheet of the form: rows by key with the locked cells as issued, in the order of the columns.

    ``free`` are rows in which locked columns may be typed into too, because the bidder names the thing.
    """

    name: str
    title: str
    help_text: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, tuple[Value, ...]], ...]
    free: frozenset[str] = frozenset()


def technical_sheets(sheet: EnquirySheet) -> tuple[FormSheet, ...]:
    """Return the sheets of the technical file; no cell in it is for a price."""
    return (
        _requirements(sheet),
        _bill(sheet),
        _devices(sheet),
        _deviations(),
        _documents(sheet),
    )


def price_sheets(sheet: EnquirySheet) -> tuple[FormSheet, ...]:
    """Return the sheets of the price file."""
    return (_supply(sheet), _items(sheet), _options(), _spares(), _terms(sheet))


def _requirements(sheet: EnquirySheet) -> FormSheet:
    columns = (
        Column("number", "id", 9),
        Column("group", "group", 16),
        Column("text", "requirement", 60),
        Column("criterion", "what counts", 30),
        Column("must", "must", 6),
        Column("claim", "reply", 14, "choice", choices=CLAIMS),
        Column("offered", "offered", 30, "text", 300),
        Column("unit", "unit", 10),
        Column("evidence", "file and page", 24, "text", 200),
        Column("remark", "remark", 34, "text", 600),
    )
    rows = tuple(
        (
            each.id,
            (
                each.id,
                group_title(each.group),
                f"{each.title}. {each.text}",
                criterion_text(each.criterion),
                "must" if each.knock_out else "",
                None,
                None,
                unit_text(each.criterion),
                None,
                None,
            ),
        )
        for each in sheet.asked.requirements
    )
    return FormSheet(
        "requirements",
        "Requirements",
        "Reply to every line. A bare number is in the unit beside it; write decimals with a point.",
        columns,
        rows,
    )


def _bill(sheet: EnquirySheet) -> FormSheet:
    columns = (
        Column("description", "item", 46),
        Column("asked", "asked", 9),
        Column("unit", "unit", 8),
        Column("spares_asked", "spares asked", 9),
        Column("quantity", "offered", 10, "number"),
        Column("spares", "spares offered", 10, "number"),
        Column("type_text", "make and type", 30, "text", 120),
        Column("remark", "remark", 34, "text", 300),
    )
    rows = [
        (
            f"item:{item.key}",
            (item.description, item.quantity, item.unit, item.spares, None, None, None, None),
        )
        for item in sheet.asked.bill
    ]
    extras = [(f"extra:{number}", (None,) * len(columns)) for number in range(1, EXTRA_ITEMS + 1)]
    return FormSheet(
        "bill",
        "Bill offered",
        "Give the quantity offered of each item; the last lines are for what comes on top.",
        columns,
        (*rows, *extras),
        frozenset(key for key, _ in extras),
    )


def _devices(sheet: EnquirySheet) -> FormSheet:
    headings = {
        "dangerous_undetected_per_h": "dangerous undetected",
        "dangerous_detected_per_h": "dangerous detected",
        "safe_detected_per_h": "safe detected",
        "safe_undetected_per_h": "safe undetected",
        "component_type": "type A or B",
        "beta": "common cause, undetected",
        "beta_detected": "common cause, detected",
        "failure_data_source": "source",
    }
    columns = (
        Column("device", "device", 30),
        *(
            Column(name, headings[name], 34 if name == "failure_data_source" else 14, "text", 200)
            for name in FIELDS
        ),
        Column("marking", "marking", 26, "text", 120),
    )
    rows = tuple(
        (f"device:{name}", (name.replace("_", " "), *(None,) * (len(columns) - 1)))
        for name in sheet.asked.devices
    )
    return FormSheet(
        "failure data",
        "Failure data",
        "Rates of one device, with unit (1/h or FIT); shares as 0.05 or 5 %. Name the report they are from.",
        columns,
        rows,
    )


def _deviations() -> FormSheet:
    columns = (
        Column("requirement", "requirement id", 18, "text", 60),
        Column("text", "what deviates", 60, "text", 600),
        Column("reason", "reason", 60, "text", 600),
    )
    rows = tuple((f"deviation:{number}", (None, None, None)) for number in range(1, DEVIATION_ROWS + 1))
    return FormSheet(
        "deviations", "Deviations", "One line a deviation. Without any, say none at DOC-02.", columns, rows
    )


def _documents(sheet: EnquirySheet) -> FormSheet:
    columns = (
        Column("title", "document", 56),
        Column("purpose", "purpose", 16),
        Column("asked", "weeks after order, asked", 12),
        Column("weeks", "weeks offered", 12, "number"),
        Column("remark", "remark", 40, "text", 300),
    )
    rows = tuple(
        (f"document:{each.key}", (each.title, each.purpose, each.weeks, None, None))
        for each in sheet.documents
    )
    return FormSheet("documents", "Vendor documents", "0 weeks: with the offer.", columns, rows)


def _supply(sheet: EnquirySheet) -> FormSheet:
    columns = (
        Column("description", "item", 50),
        Column("unit", "unit", 8),
        Column("quantity", "quantity", 10),
        Column("price", "unit price", 16, "number"),
        Column("total", "total", 16),
        Column("remark", "remark", 40, "text", 300),
    )
    supply = [
        (f"supply:{item.key}", (item.description, item.unit, item.quantity, None, None, None))
        for item in sheet.asked.bill
    ]
    spares = [
        (f"spare:{item.key}", (f"Spare: {item.description}", item.unit, item.spares, None, None, None))
        for item in sheet.asked.bill
        if item.spares
    ]
    return FormSheet(
        "prices",
        "Prices of the supply",
        "One unit price a line; totals are made from it. Spares asked for follow.",
        columns,
        (*supply, *spares),
    )


def _items(sheet: EnquirySheet) -> FormSheet:
    columns = (
        Column("title", "item", 50),
        Column("state", "state", 14, "choice", choices=STATES),
        Column("price", "price", 16, "number"),
        Column("remark", "remark", 40, "text", 300),
    )
    rows = tuple((f"service:{each.key}", (each.title, None, None, None)) for each in sheet.items)
    return FormSheet(
        "services",
        "Services and other items",
        "Say of each item: price, included, by others or not quoted.",
        columns,
        rows,
    )


def _options() -> FormSheet:
    columns = (
        Column("description", "option", 60, "text", 200),
        Column("price", "price", 16, "number"),
        Column("remark", "remark", 40, "text", 300),
    )
    rows = tuple((f"option:{number}", (None, None, None)) for number in range(1, OPTION_ROWS + 1))
    return FormSheet("options", "Options", "Options are in no total.", columns, rows)


def _spares() -> FormSheet:
    columns = (
        Column("description", "spare for two years", 60, "text", 200),
        Column("quantity", "quantity", 10, "number"),
        Column("price", "unit price", 16, "number"),
        Column("remark", "remark", 40, "text", 300),
    )
    rows = tuple((f"spare2:{number}", (None, None, None, None)) for number in range(1, SPARE_ROWS + 1))
    return FormSheet(
        "two-year spares", "Spares for two years", "Listed, not in the comparison.", columns, rows
    )


def _terms(sheet: EnquirySheet) -> FormSheet:
    columns = (
        Column("title", "term", 50),
        Column("text", "words", 40, "text", 200),
        Column("number", "figure", 16, "number"),
    )
    rows = tuple((f"term:{key}", (title, None, None)) for key, title, _ in TERMS)
    return FormSheet("terms", "Terms", "Amounts in the currency of the offer.", columns, rows)
