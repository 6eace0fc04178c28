"""Mail to a bidder's people: an invitation, an amendment, a question, each told once, and nothing of them."""

from datetime import timedelta

import pytest
from django.core import mail
from django.urls import reverse

from specapp.bids.services.bidding import amendment_acknowledge, decline_take_back, enquiry_decline
from specapp.bids.services.evaluating import clarification_answer, clarification_ask
from specapp.core.mail.digest import asks_send, digests_send
from tests.bids.making import AFTER, bidding_person, drafted, invited, opened, sent_out
from tests.bids.planting import SECRETS, planted
from tests.factories import NOW, ProjectFactory

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


@pytest.fixture(autouse=True)
def has_mail(settings):
    settings.HAS_MAIL = True
    settings.DEFAULT_FROM_EMAIL = "specification@plant.example"
    settings.PUBLIC_ADDRESS = "https://specification.example"


def told(person, send=asks_send, now=LATER):
    """Send what is due and return the lines and links that the person gets."""
    mail.outbox.clear()
    assert send(now).failed == 0
    bodies = [each.body for each in mail.outbox if each.to == [person.email]]
    return [
        line.strip("- ") for body in bodies for line in body.splitlines() if line.startswith(("- ", "  "))
    ]


def test_each_is_told_once_with_the_link_of_its_own_page_alone():
    enquiry = drafted(ProjectFactory(name="Secretplant", number="J-SECRET"), "ENQ-SECRET")
    own, rival = invited(enquiry, "Northmark Secretbidder", "Eastlight Secretbidder")
    person, other = bidding_person(own), bidding_person(rival)
    link = f"https://specification.example{reverse('bids:bidding-show', args=[own.code])}"
    assert told(person) == []
    amendment = sent_out(enquiry)
    assert told(person) == ["1 invitation to make an offer", link]
    assert told(person) == []
    ask = {"requirement": "SIG-05", "author": enquiry.created_by, "now": LATER}
    (question,) = clarification_ask(bidders=[own], question="Secretquestion?", **ask)
    lines = told(person)
    assert lines == ["1 clarification to answer", link]
    amendment_acknowledge(amendment=amendment, bidder=own, author=person, now=LATER)
    second = sent_out(enquiry, "Secretnote")
    assert told(person) == ["1 amendment of an enquiry to acknowledge", link]
    (message,) = [each for each in mail.outbox if each.to == [person.email]]
    whole = f"{message.subject}{message.message()}"
    assert [word for word in ("Secret", "SECRET", "SIG-05", rival.code, other.name) if word in whole] == []
    # The digest tells it again while it waits.
    assert set(told(person, digests_send)) == {
        "1 amendment of an enquiry to acknowledge",
        "1 clarification to answer",
        link,
    }
    amendment_acknowledge(amendment=second, bidder=own, author=person, now=LATER)
    clarification_answer(clarification=question, answer="Yes", evidence="", author=person, now=LATER)
    assert told(person, digests_send, LATER + timedelta(days=1)) == []


def test_who_declined_is_asked_nothing_and_after_the_closing_only_questions():
    enquiry = drafted(ProjectFactory())
    own, rival = invited(enquiry, "Northmark (invented)", "Eastlight (invented)")
    person, other = bidding_person(own), bidding_person(rival)
    sent_out(enquiry)
    ask = {"requirement": "", "author": enquiry.created_by, "now": LATER}
    clarification_ask(bidders=[own, rival], question="Which?", **ask)
    enquiry_decline(bidder=own, reason="Busy", author=person, now=LATER)
    assert told(person) == []
    decline_take_back(bidder=own, author=person, now=LATER)
    assert len(told(person)) == 4
    opened(enquiry)
    assert [line for line in told(other, digests_send, AFTER) if not line.startswith("http")] == [
        "1 clarification to answer"
    ]


def test_mail_to_a_bidder_holds_none_of_the_planted_secrets():
    own, person = planted()
    assert asks_send(AFTER).failed == 0
    assert digests_send(AFTER).failed == 0
    mails = [each for each in mail.outbox if each.to == [person.email]]
    assert len(mails) == 2
    whole = "".join(str(each.message()) for each in mails).casefold()
    assert own.code.casefold() in whole
    codes = own.enquiry.bidders.exclude(pk=own.pk).values_list("code", flat=True)
    assert [each for each in (*SECRETS, *codes) if each.casefold() in whole] == []
