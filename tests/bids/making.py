"""Enquiries about an issued machine, with bidders and files, for tests that begin after them."""

from datetime import timedelta
from functools import cache
from io import BytesIO

from openpyxl import load_workbook

from specapp.bids.models import Enquiry, Part, Stage
from specapp.bids.services.enquiring import bidder_invite, enquiry_create, enquiry_issue
from specapp.bids.services.opening import opening_confirm
from specapp.bids.services.receiving import envelope_receive
from specapp.bids.sheets import issued_sheet
from specapp.core.roles import Role
from specapp.evaluation.offer_form import HEAD_ROWS, price_sheets, technical_sheets
from specapp.projects.deciding.ground import machine_proposal
from specapp.revisions.content import basis_of, bytes_of, content_bytes, decided, stored
from specapp.revisions.models import Issue, Purpose, Revision, Series, State
from tests.factories import NOW, PASSWORD, machine_of, member

CLOSES = NOW + timedelta(days=14)
AFTER = CLOSES + timedelta(hours=1)


def issued_for_enquiry(project, machine=None, purpose=Purpose.ENQUIRY, recipients="Bidders (invented)"):
    """Return an issue of a machine for enquiry, without the documents that take seconds to render."""
    author = member(project, Role.OWNER)
    machine = machine or machine_of(project, author, "contract_example")
    rows = decided(machine)
    content = stored(content_bytes(machine, rows, machine_proposal(machine)))
    sequence = project.issues.count() + 1
    issue = Issue.objects.create(
        project=project,
        sequence=sequence,
        number=f"T-{project.pk}-{sequence}",
        purpose=purpose,
        recipients=recipients,
        issued_at=NOW,
        issued_on=NOW.date(),
        issued_by=author,
        issued_by_name=author.get_full_name(),
    )
    Revision.objects.create(
        machine=machine,
        purpose=purpose,
        series=Series.LETTERS,
        sequence=1,
        label="A",
        state=State.ISSUED,
        content=content,
        basis=basis_of(machine, rows),
        machine_version=machine.version,
        frozen_at=NOW,
        frozen_by=author,
        frozen_entry=1,
        issue=issue,
    )
    return issue


def drafted(project, reference="ENQ-1", issue=None) -> Enquiry:
    issue = issue or issued_for_enquiry(project)
    enquiry = enquiry_create(
        issue=issue, reference=reference, title="Invented system", author=issue.issued_by, now=NOW
    )
    enquiry.closes_at = CLOSES
    enquiry.save(update_fields=["closes_at"])
    return enquiry


def invited(enquiry, *names):
    return [
        bidder_invite(enquiry=enquiry, name=name, contact="", email="", author=enquiry.created_by, now=NOW)
        for name in names or ("Northmark Instruments (invented)",)
    ]


def sent_out(enquiry, note="", now=NOW):
    enquiry.refresh_from_db()
    amendment = enquiry_issue(
        enquiry=enquiry, version=enquiry.version, note=note, author=enquiry.created_by, now=now
    )
    enquiry.refresh_from_db()
    return amendment


@cache
def _filled(form, sheets, answers) -> bytes:
    book = load_workbook(BytesIO(form))
    for name, key, column, value in answers:
        sheet = next(each for each in sheets if each.name == name)
        row = [each for each, _ in sheet.rows].index(key) + HEAD_ROWS + 1
        at = [each.name for each in sheet.columns].index(column) + 2
        book[name].cell(row, at).value = value
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def technical_file(amendment, *answers) -> bytes:
    if not answers:
        return bytes_of(amendment.technical_form_id)
    sheets = technical_sheets(issued_sheet(amendment))
    return _filled(bytes_of(amendment.technical_form_id), sheets, answers)


def price_file(amendment, *answers) -> bytes:
    sheets = price_sheets(issued_sheet(amendment))
    return _filled(bytes_of(amendment.price_form_id), sheets, answers)


def received(bidder, data, part=Part.TECHNICAL, now=NOW, label="base"):
    return envelope_receive(
        bidder=bidder,
        label=label,
        part=part,
        name="offer.xlsx",
        data=data,
        on_behalf=True,
        author=bidder.invited_by,
        now=now,
    )


def opened(enquiry, part=Part.TECHNICAL, now=AFTER):
    for _ in range(2):
        person = member(enquiry.project, Role.OWNER)
        opening_confirm(enquiry=enquiry, part=part, person=person, password=PASSWORD, now=now)
    enquiry.refresh_from_db()
    return enquiry


def at_opening(project):
    """Return an enquiry whose one technical offer is opened, and its file."""
    return opened_with(
        drafted(project),
        ("requirements", "SIG-05", "claim", "complies"),
        ("requirements", "SIG-05", "offered", "2.2 mm"),
        ("requirements", "SIG-05", "evidence", "D-1 page 3"),
        ("requirements", "SIG-02", "offered", "as per standard"),
        ("bill", "item:junction_box", "quantity", 12),
    )


def opened_with(enquiry, *answers):
    """Return an enquiry with one technical offer of these answers, opened, and its file."""
    (bidder,) = invited(enquiry)
    amendment = sent_out(enquiry)
    envelope = received(bidder, technical_file(amendment, *answers))
    opened(enquiry)
    envelope.refresh_from_db()
    assert enquiry.stage == Stage.OPENED
    return enquiry, envelope


def bidding_person(bidder):
    """Return a new person of a bidder's organisation."""
    person = member(bidder.enquiry.project, Role.BIDDER)
    bidder.people.add(person)
    return person
