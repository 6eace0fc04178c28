"""An enquiry in the browser: what the buyer reads, what one bidder reads; axe, both schemes, desk and phone.

One server for all: the walk ends the enquiry step by step, so its parts stand in one test.
"""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from specapp.bids.demo_offers import CHEAP, COMPLETE, price_answers, technical_answers
from specapp.bids.models import Envelope, Part, Stage
from specapp.bids.services.enquiring import terms_change
from specapp.bids.services.evaluating import clarification_ask, decision_put, form_read, stage_sign
from specapp.bids.sheets import issued_sheet
from specapp.core.roles import Role
from specapp.revisions.content import bytes_of
from tests.bids.making import (
    AFTER,
    bidding_person,
    drafted,
    invited,
    issued_for_enquiry,
    opened,
    received,
    sent_out,
)
from tests.factories import NOW, PASSWORD, member
from tests.journeys.test_accessibility import CONTRAST, violations
from tests.journeys.test_accessibility import opened as shown

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("unsealed_after"),
]
# Rows of a table are of one make: looking at a hundred of them takes minutes and finds what ten tell.
FEWER_ROWS = "document.querySelectorAll('tbody tr:nth-child(n + 10)').forEach(row => row.remove())"


@pytest.fixture
def bought(project, machine):
    """An enquiry awarded to the first of two bidders, one of its replies decided otherwise than proposed."""
    enquiry = drafted(project, "ENQ-1", issued_for_enquiry(project, machine))
    rules = {**enquiry.terms["settings"], "currency": "EUR", "rates": {"USD": 0.92}}
    owner = enquiry.created_by
    terms_change(
        enquiry=enquiry,
        version=enquiry.version,
        terms={"settings": rules},
        fields={},
        author=owner,
        now=NOW,
    )
    bidders = invited(enquiry, COMPLETE.name, CHEAP.name)
    amendment = sent_out(enquiry)
    sheet = issued_sheet(amendment)
    for bidder, answers in zip(bidders, (COMPLETE, CHEAP), strict=True):
        technical = technical_answers(bytes_of(amendment.technical_form_id), sheet, answers)
        received(bidder, technical)
        received(bidder, price_answers(bytes_of(amendment.price_form_id), sheet, answers), Part.PRICE)
    sign = {"person": owner, "password": PASSWORD, "text": "", "now": AFTER}
    opened(enquiry)
    _read(enquiry, Part.TECHNICAL)
    told = {"requirement": "SIG-02", "author": owner, "now": AFTER}
    clarification_ask(bidders=bidders, question="Which error is guaranteed?", **told)
    decision = {"requirement": "COM-05", "standing": "partial", "reason": "Only its half is drawn."}
    decision_put(offer=bidders[0].offers.get(), agreed=True, author=owner, now=AFTER, **decision)
    stage_sign(enquiry=enquiry, stage=Stage.DECIDED, offer=None, **sign)
    enquiry.refresh_from_db()
    opened(enquiry, Part.PRICE)
    _read(enquiry, Part.PRICE)
    for stage in (Stage.RECOMMENDED, Stage.AWARDED):
        stage_sign(enquiry=enquiry, stage=stage, offer=bidders[0].offers.get(), **sign)
    enquiry.refresh_from_db()
    return enquiry


def _read(enquiry, part):
    for envelope in Envelope.objects.filter(offer__bidder__enquiry=enquiry, part=part):
        form_read(envelope=envelope, author=enquiry.created_by, now=AFTER)


@pytest.fixture
def answered(project, bought):
    """A second enquiry of the same issue, which two bidders still answer."""
    enquiry = drafted(project, "ENQ-2", bought.issue)
    enquiry.closes_at = timezone.now() + timedelta(days=5)
    enquiry.save()
    bidders = invited(enquiry, COMPLETE.name, CHEAP.name)
    sent_out(enquiry)
    told = {"requirement": "", "author": enquiry.created_by, "now": timezone.now()}
    clarification_ask(bidders=bidders, question="Is the offer for both machines?", **told)
    return enquiry


def _signed_in(page, live_server, person):
    page.goto(live_server.url)
    page.get_by_label("User name or e-mail address").fill(person.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Projects")).to_be_visible()


def _looked_at(page, addresses):
    """Return what axe finds on the pages, light and dark, and where one is wider than its window."""
    wrong = {}
    for address in addresses:
        shown(page, address)
        for width in (390, 1440):
            page.set_viewport_size({"width": width, "height": 900})
            if (wide := page.evaluate("document.documentElement.scrollWidth")) > width:
                wrong[f"{address} at {width}"] = wide
        page.evaluate(FEWER_ROWS)
        if found := violations(page):
            wrong[address] = found
        page.emulate_media(color_scheme="dark")
        if found := violations(page, CONTRAST):
            wrong[f"{address} dark"] = found
        page.emulate_media(color_scheme="light")
    return wrong


def test_an_enquiry_for_its_buyer_and_for_one_bidder(page, live_server, console, project, bought, answered):
    buyer = member(project, Role.BUYER)
    _signed_in(page, live_server, buyer)
    page.goto(live_server.url + reverse("bids:enquiry-list", args=[project.pk]))
    page.get_by_role("link", name="ENQ-1", exact=True).click()
    expect(page.get_by_role("listitem").filter(has_text="awarded").first).to_have_attribute(
        "aria-current", "step"
    )
    page.get_by_role("link", name="Side by side").click()
    table = page.get_by_role("region", name="Table of the offers")
    expect(table.get_by_role("rowheader")).to_have_text([COMPLETE.name, CHEAP.name])
    page.get_by_role("navigation", name="Shown").get_by_role("link", name="differ").first.click()
    expect(
        page.get_by_role("link", name="as per standard").or_(page.get_by_text("as per standard")).first
    ).to_be_visible()
    page.get_by_role("link", name="Evaluation").click()
    expect(page.get_by_role("region", name="Table of the ranking").get_by_role("row")).to_have_count(3)
    page.get_by_role("link", name="As purchased").click()
    expect(page.get_by_role("main")).to_contain_text(COMPLETE.name)
    at = [project.pk, bought.pk]
    offer = bought.bidders.get(name=CHEAP.name).offers.get()
    names = ("enquiry-show", "requirement-list", "as-bidder", "comparison-show", "evaluation-show")
    names += ("purchase-show", "clarification-log")
    addresses = [reverse(f"bids:{name}", args=at) for name in names]
    addresses += [
        reverse("bids:offer-show", args=[*at, offer.pk]),
        reverse("bids:reply-show", args=[*at, offer.pk, "SIG-02"]),
        reverse("bids:bidder-show", args=[*at, offer.bidder_id]),
        reverse("bids:enquiry-show", args=[project.pk, answered.pk]),
    ]
    assert _looked_at(page, [live_server.url + each for each in addresses]) == {}

    page.get_by_role("button", name="Sign out").click()
    own, other = answered.bidders.all()
    person = bidding_person(own)
    _signed_in(page, live_server, person)
    page.goto(live_server.url + reverse("bids:bidding-list"))
    page.get_by_role("link", name="ENQ-2").click()
    page.get_by_text("Make no offer", exact=True).click()
    page.get_by_label("Why you make no offer").fill("No capacity.")
    page.get_by_role("button", name="Decline").click()
    expect(page.get_by_text("You make no offer: recorded")).to_contain_text("No capacity.")
    assert violations(page) == []
    page.get_by_role("button", name="Take it back").click()
    expect(page.get_by_text("you may make an offer after all")).to_be_visible()
    page.get_by_role("button", name="Acknowledge the first issue").click()
    expect(page.get_by_text("Acknowledged: first issue.")).to_be_visible()
    page.get_by_label("File", exact=True).set_input_files(
        {"name": "offer.pdf", "mimeType": "application/pdf", "buffer": b"%PDF-1.4 offer"}
    )
    page.get_by_role("button", name="Send it sealed").click()
    expect(page.get_by_text("Received and sealed")).to_be_visible()
    expect(page.get_by_role("region", name="Receipts of your files").get_by_role("row")).to_have_count(2)
    page.get_by_label("Answer to 1").fill("Yes.")
    page.get_by_role("button", name="Answer", exact=True).click()
    expect(page.get_by_text("Answered: clarification 1.")).to_be_visible()
    expect(page.get_by_text(other.name.split()[0])).to_have_count(0)
    own_page = live_server.url + reverse("bids:bidding-show", args=[own.code])
    assert _looked_at(page, [live_server.url + reverse("bids:bidding-list"), own_page]) == {}
    assert console == []
    page.goto(live_server.url + addresses[0])
    expect(page.get_by_role("heading", level=1)).to_have_text("Not with your role")
