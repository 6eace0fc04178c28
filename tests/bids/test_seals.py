"""The database itself refuses to change or delete what was received, opened, issued or signed."""

from importlib import import_module

import pytest
from django.db import DatabaseError, transaction

from specapp.bids.models import Amendment, Clarification, Envelope, Opening, OpeningPerson
from specapp.bids.services.bidding import amendment_acknowledge
from specapp.bids.services.evaluating import clarification_answer, clarification_ask, stage_sign
from specapp.bids.services.life import enquiry_cancel
from specapp.bids.services.receiving import late_decide
from specapp.core.roles import Role
from tests.bids.making import AFTER, CLOSES, drafted, invited, opened, received, sent_out
from tests.factories import PASSWORD, ProjectFactory, member

pytestmark = pytest.mark.django_db
SEALS = import_module("specapp.bids.migrations.0003_seal_offers").SEALS
DECLINING = import_module("specapp.bids.migrations.0009_seal_declining").SEALS


def _refused(change):
    with pytest.raises(DatabaseError, match=SEALS.text), transaction.atomic():
        change()


def _pdf(bidder, now=AFTER):
    return received(bidder, b"%PDF-1.4 offer", now=now)


def test_what_was_received_issued_opened_and_signed_stays():
    enquiry = drafted(ProjectFactory())
    bidder, late = invited(enquiry, "A (invented)", "B (invented)")
    sent_out(enquiry)
    amendment_acknowledge(
        amendment=enquiry.amendments.get(), bidder=bidder, author=enquiry.created_by, now=AFTER
    )
    _pdf(bidder, now=CLOSES.replace(hour=0))
    kept = Envelope.objects.filter(pk=_pdf(late).pk)
    changes = [{"content": b"%PDF-1.4 other"}, {"sha256": "0" * 64}, {"size": 1}, {"is_late": False}]
    for change in (*changes, {"received_at": CLOSES}, {"name": "b.pdf"}, {"version": 9}, {"part": "PRICE"}):
        _refused(lambda change=change: kept.update(**change))
    _refused(kept.delete)
    person = member(enquiry.project, Role.OWNER)
    late_decide(envelope=kept.get(), accepted=True, reason="Carrier", author=person, now=AFTER)
    _refused(lambda: kept.update(late_reason="Something else"))
    opened(enquiry)
    assert kept.get().opened_at == AFTER
    for change in ({"opened_at": None}, {"opened_at": CLOSES}):
        _refused(lambda change=change: kept.update(**change))
    _refused(lambda: Opening.objects.update(needed=1))
    _refused(OpeningPerson.objects.all().delete)
    _refused(lambda: Amendment.objects.update(note="Nothing changed."))
    _refused(bidder.acknowledgements.all().delete)
    _refused(lambda: bidder.offers.update(label="A3"))
    told = {"author": person, "now": AFTER}
    (asked,) = clarification_ask(bidders=[bidder], requirement="", question="Which?", **told)
    questions = Clarification.objects.filter(pk=asked.pk)
    _refused(lambda: questions.update(question="What?"))
    clarification_answer(clarification=asked, answer="This.", evidence="", **told)
    _refused(lambda: questions.update(answer="That."))
    questions.update(closed_at=AFTER)
    sign = {"enquiry": enquiry, "person": person, "password": PASSWORD, "now": AFTER}
    stage_sign(stage="DECIDED", offer=None, text="", **sign)
    _refused(lambda: enquiry.signatures.update(checksum="0" * 64))
    enquiry_cancel(enquiry=enquiry, reason="Budget", **told)
    _refused(lambda: type(enquiry.cancellation).objects.update(reason="Other"))
