"""Two enquiries of the demonstration about a packaged air compressor: one with its prices open, in which the
lowest price as read is not the lowest evaluated, and one that bidders still answer. All of it is invented.
"""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction

from specapp.bids.demo_offers import CHEAP, COMPLETE, LATE, Invented, price_answers, technical_answers
from specapp.bids.judging import opened_offers
from specapp.bids.models import Amendment, Bidder, Enquiry, Envelope, Part, Stage
from specapp.bids.services.bidding import amendment_acknowledge, person_assign
from specapp.bids.services.enquiring import bidder_invite, enquiry_create, enquiry_issue, terms_change
from specapp.bids.services.evaluating import clarification_answer, clarification_ask, form_read, stage_sign
from specapp.bids.services.life import closing_extend
from specapp.bids.services.opening import opening_confirm
from specapp.bids.services.receiving import envelope_receive, late_decide
from specapp.bids.sheets import DEFAULT_TERMS, issued_sheet
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.demo import demo_password
from specapp.projects.models import Machine
from specapp.revisions.content import bytes_of
from specapp.revisions.models import Issue, Purpose
from specapp.revisions.services.distributing import Addressed
from specapp.revisions.services.freezing import revision_freeze
from specapp.revisions.services.issuing import Sending, issue_create
from specapp.revisions.services.numbering import asked_of
from specapp.revisions.services.signing import accepted_lists, signature_give

ASKED_TAG = "C-305"
_SIGNING = ("okafor", "keller", "brandt")
_RULES = {
    "currency": "EUR",
    "rates": {"USD": 0.92},
    "pass_mark": 75,
    "freight_insurance_percent_of_fob": 8,
    "inland_percent_of_cif": 3,
    "late_percent_per_week": 0.5,
    "advance_allowed_percent": 10,
    "interest_percent_per_year": 7,
}


@transaction.atomic
def demo_enquiries(now: datetime) -> None:
    """Make both enquiries, once."""
    machine = Machine.objects.filter(project__is_invented=True, tag=ASKED_TAG).first()
    if machine is None or Enquiry.objects.filter(project=machine.project).exists():
        return
    people = {user.username: user for user in User.objects.filter(memberships__project=machine.project)}
    if not {*_SIGNING, "duarte", "soto", "hagen"} <= people.keys():
        return
    password = demo_password(settings.VAR_DIR)
    issue = _issued(machine, people, password, now - timedelta(days=30))
    _priced(issue, people, password, now)
    _open(issue, people, now)


def _issued(machine: Machine, people: dict[str, User], password: str, at: datetime) -> Issue:
    author = people["okafor"]
    revision = revision_freeze(
        machine=machine, expected_version=machine.version, purpose=Purpose.ENQUIRY, author=author, now=at
    )
    for part, name in zip(asked_of(machine.project)[Purpose.ENQUIRY].parts, _SIGNING, strict=False):
        signature_give(
            revision=revision,
            checksum=revision.checksum,
            part=part,
            person=people[name],
            password=password,
            accepted=accepted_lists(revision).counts,
            now=at,
        )
        revision.refresh_from_db()
    return issue_create(
        project=machine.project,
        purpose=Purpose.ENQUIRY,
        chosen={revision.pk: revision.version},
        sending=Sending("Organisations asked (invented)", distribution=(Addressed(role=Role.CLIENT),)),
        author=author,
        now=at,
    )


def _drafted(
    issue: Issue, reference: str, title: str, closes_at: datetime, author: User, at: datetime
) -> Enquiry:
    enquiry = enquiry_create(
        issue=issue, reference=reference, title=title, author=author, now=at, terms={"needed_weeks": 20}
    )
    rules = {**DEFAULT_TERMS["settings"], **_RULES, "needed_weeks": 20}
    return terms_change(
        enquiry=enquiry,
        version=enquiry.version,
        terms={"settings": {**rules, "rate_date": at.date().isoformat()}},
        fields={"closes_at": closes_at},
        author=author,
        now=at,
    )


def _asked(enquiry: Enquiry, names: list[str], author: User, at: datetime) -> tuple[list[Bidder], Amendment]:
    bidders = [
        bidder_invite(enquiry=enquiry, name=name, contact="", email="", author=author, now=at)
        for name in names
    ]
    enquiry.refresh_from_db()
    return bidders, enquiry_issue(enquiry=enquiry, version=enquiry.version, note="", author=author, now=at)


def _priced(issue: Issue, people: dict[str, User], password: str, now: datetime) -> None:
    """The enquiry whose prices are open: three offers, one of them late and let in with a reason."""
    buyer, evaluator = people["soto"], people["duarte"]
    start, closes = now - timedelta(days=29), now - timedelta(days=9)
    enquiry = _drafted(issue, "ENQ-101", "Monitoring of C-305 (invented)", closes, buyer, start)
    invented = {each.name: each for each in (COMPLETE, CHEAP, LATE)}
    bidders, amendment = _asked(enquiry, list(invented), buyer, start)
    person_assign(bidder=bidders[0], person=people["hagen"], author=buyer, now=start)
    amendment_acknowledge(amendment=amendment, bidder=bidders[0], author=people["hagen"], now=start)
    for bidder in bidders:
        _received(bidder, amendment, invented[bidder.name], people, closes)
    for late in Envelope.objects.filter(offer__bidder__enquiry=enquiry, is_late=True).defer("content"):
        reason = "The carrier's strike was announced to all (invented)."
        late_decide(
            envelope=late, accepted=True, reason=reason, author=buyer, now=closes + timedelta(hours=8)
        )
    opened = closes + timedelta(days=1)
    _opened_by_two(enquiry, Part.TECHNICAL, people, password, opened)
    for offer in opened_offers(enquiry):
        _read(offer, Part.TECHNICAL, evaluator, opened)
    _clarified(bidders, people, opened)
    decided = {"offer": None, "text": "", "person": evaluator, "password": password}
    stage_sign(enquiry=enquiry, stage=Stage.DECIDED, now=now - timedelta(days=3), **decided)
    _opened_by_two(enquiry, Part.PRICE, people, password, now - timedelta(days=2))
    for offer in opened_offers(enquiry):
        _read(offer, Part.PRICE, evaluator, now - timedelta(days=2))


def _received(
    bidder: Bidder, amendment: Amendment, invented: Invented, people: dict[str, User], closes: datetime
) -> None:
    sheet = issued_sheet(amendment)
    files = {
        Part.TECHNICAL: technical_answers(bytes_of(amendment.technical_form_id), sheet, invented),
        Part.PRICE: price_answers(bytes_of(amendment.price_form_id), sheet, invented),
    }
    at = closes + timedelta(hours=invented.hours_late or -20)
    own = bidder.people.first()
    for part, data in files.items():
        envelope_receive(
            bidder=bidder,
            label="base",
            part=part,
            name=f"{part.lower()}_offer.xlsx",
            data=data,
            on_behalf=own is None,
            author=own or people["soto"],
            now=at,
        )


def _opened_by_two(
    enquiry: Enquiry, part: Part, people: dict[str, User], password: str, at: datetime
) -> None:
    for name in ("soto", "keller"):
        opening_confirm(enquiry=enquiry, part=part, person=people[name], password=password, now=at)
    enquiry.refresh_from_db()


def _read(offer, part: Part, author: User, at: datetime) -> None:
    for envelope in offer.envelopes.filter(part=part, opened_at__isnull=False):
        form_read(envelope=envelope, author=author, now=at)


def _clarified(bidders: list[Bidder], people: dict[str, User], at: datetime) -> None:
    told = {"author": people["duarte"], "now": at}
    ask = {"requirement": "SIG-02", "question": "Which scale factor error is guaranteed, and on which page?"}
    for row in clarification_ask(bidders=bidders, **ask, **told)[:1]:
        clarification_answer(
            clarification=row,
            answer="±5 %, page 3 (invented).",
            evidence="page 3",
            author=people["hagen"],
            now=at + timedelta(days=1),
        )


def _open(issue: Issue, people: dict[str, User], now: datetime) -> None:
    """The enquiry that bidders still answer, its closing time moved once."""
    buyer, start = people["soto"], now - timedelta(days=5)
    title = "Spare transmitters and probes for C-305 (invented)"
    enquiry = _drafted(issue, "ENQ-102", title, now + timedelta(days=9), buyer, start)
    bidders, amendment = _asked(enquiry, [COMPLETE.name, LATE.name], buyer, start)
    person_assign(bidder=bidders[0], person=people["hagen"], author=buyer, now=start)
    amendment_acknowledge(amendment=amendment, bidder=bidders[0], author=people["hagen"], now=start)
    enquiry.refresh_from_db()
    closing_extend(
        enquiry=enquiry,
        version=enquiry.version,
        closes_at=now + timedelta(days=16),
        note="The closing time is moved by one week (invented).",
        author=buyer,
        now=now - timedelta(days=1),
    )
    question = "Can the transmitters be delivered apart from the probes? (invented)"
    clarification_ask(bidders=bidders, requirement="", question=question, author=buyer, now=now)
