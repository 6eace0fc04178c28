"""An enquiry whose prices are open, with invented offers, for tests that begin there."""

from specapp.bids.demo_offers import CHEAP, COMPLETE, price_answers, technical_answers
from specapp.bids.models import Envelope, Part, Stage
from specapp.bids.services.enquiring import terms_change
from specapp.bids.services.evaluating import form_read, stage_sign
from specapp.bids.sheets import issued_sheet
from specapp.core.roles import Role
from specapp.revisions.content import bytes_of
from tests.bids.making import AFTER, drafted, invited, issued_for_enquiry, opened, received, sent_out
from tests.factories import NOW, PASSWORD, machine_of, member

RULES = {
    "currency": "EUR",
    "rates": {"USD": 0.92},
    "rate_date": "2026-10-01",
    "pass_mark": 60,
    "freight_insurance_percent_of_fob": 8,
    "inland_percent_of_cif": 3,
}


def priced(project, *answers, **rules):
    """Return an enquiry with the offers of invented bidders, prices open; with rules changed where told."""
    author = member(project, Role.OWNER)
    # A machine outside any hazardous area: the invented offers show no certificates.
    machine = machine_of(project, author, "minimal_packaged")
    enquiry = drafted(project, issue=issued_for_enquiry(project, machine))
    owner = enquiry.created_by
    settings = {**enquiry.terms["settings"], **RULES, **rules}
    told = {"version": enquiry.version, "terms": {"settings": settings}, "fields": {}}
    terms_change(enquiry=enquiry, author=owner, now=NOW, **told)
    answers = answers or (COMPLETE, CHEAP)
    bidders = invited(enquiry, *(each.name for each in answers))
    amendment = sent_out(enquiry)
    sheet = issued_sheet(amendment)
    forms = {
        Part.TECHNICAL: (technical_answers, bytes_of(amendment.technical_form_id)),
        Part.PRICE: (price_answers, bytes_of(amendment.price_form_id)),
    }
    for bidder, each in zip(bidders, answers, strict=True):
        for part, (filled, form) in forms.items():
            received(bidder, filled(form, sheet, each), part)
    opened(enquiry)
    _read(enquiry, Part.TECHNICAL)
    signed(enquiry, Stage.DECIDED)
    opened(enquiry, Part.PRICE)
    _read(enquiry, Part.PRICE)
    return enquiry


def _read(enquiry, part):
    for envelope in Envelope.objects.filter(offer__bidder__enquiry=enquiry, part=part):
        form_read(envelope=envelope, author=enquiry.created_by, now=AFTER)


def signed(enquiry, stage, offer=None, text=""):
    """Sign a step of an enquiry by who made it."""
    told = {"person": enquiry.created_by, "password": PASSWORD, "now": AFTER}
    signature = stage_sign(enquiry=enquiry, stage=stage, offer=offer, text=text, **told)
    enquiry.refresh_from_db()
    return signature
