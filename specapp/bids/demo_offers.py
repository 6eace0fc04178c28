"""What the invented bidders of the demonstration answer: each form filled in as a bidder would."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from io import BytesIO

from openpyxl import load_workbook

from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.offer_form import HEAD_ROWS, FormSheet, price_sheets, technical_sheets
from specapp.evaluation.requirements.criterion import Criterion
from specapp.evaluation.requirements.requirement import Requirement

_UNIT_PRICES = {
    "proximity_probe_8mm": 410.0,
    "probe_holder": 260.0,
    "extension_cable_4m": 180.0,
    "vibration_transmitter": 690.0,
    "position_transmitter": 720.0,
    "velocity_sensor": 540.0,
    "junction_box": 1450.0,
}
_OTHER_PRICE = 600.0


@dataclass(frozen=True)
class Invented:
    """An invented bidder: what it charges, what it leaves open, when its files arrive."""

    name: str
    currency: str
    times: float
    services: Mapping[str, float | str]
    weeks: float
    advance_percent: float
    freight: float | None = None
    inland: float | None = None
    replies: Mapping[str, str] = field(default_factory=dict)
    hours_late: float = 0.0


COMPLETE = Invented(
    "Fjellmark Instruments (invented)",
    "EUR",
    1.0,
    {
        "factory_test": 2400.0,
        "site_days": 6200.0,
        "training": 1800.0,
        "software": "included",
        "documents": "included",
        "packing": 450.0,
    },
    weeks=16,
    advance_percent=10,
    freight=620.0,
    inland=240.0,
)
CHEAP = Invented(
    "Lavtun Control (invented)",
    "USD",
    1.02,
    {"factory_test": 1900.0, "documents": "included", "site_days": "not quoted", "packing": 300.0},
    weeks=26,
    advance_percent=40,
    replies={"SIG-02": "as per standard", "SIG-08": "noted", "COM-05": "as earlier job"},
)
LATE = Invented(
    "Sundby Measurement (invented)",
    "EUR",
    1.12,
    {
        "factory_test": 2600.0,
        "site_days": 6900.0,
        "training": "included",
        "software": 900.0,
        "documents": 350.0,
        "packing": "included",
    },
    weeks=18,
    advance_percent=20,
    freight=700.0,
    replies={"SUP-01": "later"},
    hours_late=3,
)


def technical_answers(form: bytes, sheet: EnquirySheet, bidder: Invented) -> bytes:
    """Return the technical form filled in: a good answer to all but what the bidder leaves open."""
    told: dict[tuple[str, str, str], object] = {}
    for at, each in enumerate(sheet.asked.requirements):
        offered = bidder.replies.get(each.id)
        if offered is None:
            offered = f"{bidder.weeks:g}" if each.criterion.unit == "week" else _answer(each)
            told["requirements", each.id, "claim"] = "complies"
            told["requirements", each.id, "evidence"] = f"Offer (invented), page {1 + at // 6}"
        told["requirements", each.id, "offered"] = offered
    for item in sheet.asked.bill:
        told["bill", f"item:{item.key}", "quantity"] = item.quantity
        told["bill", f"item:{item.key}", "spares"] = item.spares
    for document in sheet.documents:
        told["documents", f"document:{document.key}", "weeks"] = document.weeks
    return _filled(form, technical_sheets(sheet), told)


def price_answers(form: bytes, sheet: EnquirySheet, bidder: Invented) -> bytes:
    """Return the price form filled in."""
    told: dict[tuple[str, str, str], object] = {}
    for item in sheet.asked.bill:
        price = round(_UNIT_PRICES.get(item.key, _OTHER_PRICE) * bidder.times, 2)
        told["prices", f"supply:{item.key}", "price"] = price
        if item.spares:
            told["prices", f"spare:{item.key}", "price"] = price
    for key, value in bidder.services.items():
        is_price = isinstance(value, float)
        told["services", f"service:{key}", "state"] = "price" if is_price else value
        if is_price:
            told["services", f"service:{key}", "price"] = value
    terms = {
        "advance_percent": bidder.advance_percent,
        "freight_insurance": bidder.freight,
        "inland": bidder.inland,
    }
    told |= {("terms", f"term:{key}", "number"): value for key, value in terms.items()}
    told["terms", "term:currency", "text"] = bidder.currency
    return _filled(form, price_sheets(sheet), told)


def _answer(requirement: Requirement) -> str:
    criterion = requirement.criterion
    if criterion.kind in ("one_of", "count", "at_least", "at_most", "within", "covers"):
        return _figures(criterion)
    if criterion.kind == "stated":
        return "None deviates; as drawn on sheet 2 (invented)."
    return "yes, included" if criterion.kind == "yes" else ""


def _figures(criterion: Criterion) -> str:
    low, high = criterion.low, criterion.high
    if criterion.kind == "one_of":
        return ", ".join(criterion.choices) if criterion.needs_all else criterion.choices[0]
    if criterion.kind == "covers":
        first = low if low is not None else (high or 0) - 10
        last = high if high is not None else first + 100
        return f"{first:g} to {last:g}"
    limit = high if criterion.kind == "at_most" else low
    return f"{limit:g}"


def _filled(form: bytes, sheets: Iterable[FormSheet], told: Mapping[tuple[str, str, str], object]) -> bytes:
    places = {
        (sheet.name, key): (number, {column.name: at for at, column in enumerate(sheet.columns, start=2)})
        for sheet in sheets
        for number, (key, _) in enumerate(sheet.rows, start=HEAD_ROWS + 1)
    }
    book = load_workbook(BytesIO(form))
    for (name, key, column), value in told.items():
        if (name, key) in places and value is not None and value != "":
            row, columns = places[name, key]
            book[name].cell(row, columns[column]).value = value
    out = BytesIO()
    book.save(out)
    return out.getvalue()
