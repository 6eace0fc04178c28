"""An opened enquiry with as many offers and requirements as a test wants, without forms to fill in."""

from hashlib import sha256

import msgspec

from specapp.bids.models import Amendment, Enquiry, Envelope, Offer, OfferContent, Part, Stage
from specapp.bids.sheets import issued_sheet
from specapp.evaluation.replies.failure_data import FIELDS, RATES
from specapp.evaluation.replies.offer import OfferedDevice, Reply, TechnicalOffer
from specapp.revisions.content import stored
from tests.bids.making import drafted, invited, sent_out
from tests.factories import NOW, ProjectFactory

# What bidders answer in turn: a figure, a word that says nothing, nothing, words to be read by people.
_SAID = (
    ("complies", "2.2 mm"),
    ("complies", "as per standard"),
    ("", ""),
    ("deviates", "another arrangement, told in the letter that goes with this offer (invented)"),
    ("complies", "5 %"),
)
_DEVICE = {
    "component_type": "B",
    "beta": "5 %",
    "beta_detected": "2 %",
    "failure_data_source": "certificate X-1 (invented)",
}


def enquiry_of(requirements: int, offers: int, issue=None) -> Enquiry:
    """Return an opened enquiry of so many requirements; each offer has its own answers and failure data."""
    enquiry = drafted(ProjectFactory(), issue=issue)
    names = [f"Bidder {number:02d} (invented)" for number in range(offers)]
    bidders = invited(enquiry, *names)
    first = sent_out(enquiry)
    sheet = issued_sheet(first)
    made = sheet.asked.requirements
    rows = [
        msgspec.structs.replace(each, id=each.id if not turn else f"{each.id}/{turn}")
        for turn in range(requirements // len(made) + 1)
        for each in made
    ][:requirements]
    whole = msgspec.structs.replace(
        sheet, asked=msgspec.structs.replace(sheet.asked, requirements=tuple(rows))
    )
    amendment = Amendment.objects.create(
        enquiry=enquiry,
        number=1,
        closes_at=first.closes_at,
        terms=first.terms,
        sheet=stored(msgspec.json.encode(whole)),
        technical_form=first.technical_form,
        price_form=first.price_form,
        issued_at=NOW,
        issued_by=first.issued_by,
    )
    for number, bidder in enumerate(bidders):
        _offered(bidder, amendment, answers(whole.asked, number))
    Enquiry.objects.filter(pk=enquiry.pk).update(stage=Stage.OPENED)
    enquiry.refresh_from_db()
    return enquiry


def answers(asked, number: int) -> TechnicalOffer:
    """Return what one bidder of many answers."""
    rates = dict.fromkeys(RATES, f"{1 + number / 10:.1f}e-8")
    return TechnicalOffer(
        replies=tuple(
            Reply(each.id, *_SAID[(place + number) % len(_SAID)], evidence=f"D-{place}", place=f"G{place}")
            for place, each in enumerate(asked.requirements)
        ),
        devices=tuple(OfferedDevice(name, {**_DEVICE, **rates}) for name in asked.devices),
    )


def _offered(bidder, amendment, content: TechnicalOffer) -> Offer:
    offer = Offer.objects.create(bidder=bidder)
    data = msgspec.json.encode(content)
    envelope = Envelope.objects.create(
        offer=offer,
        amendment=amendment,
        part=Part.TECHNICAL,
        version=1,
        name="offer.xlsx",
        size=len(data),
        sha256=sha256(data).hexdigest(),
        content=data,
        received_at=NOW,
        received_by=amendment.issued_by,
        on_behalf=True,
        is_late=False,
        opened_at=NOW,
    )
    OfferContent.objects.create(envelope=envelope, content=msgspec.to_builtins(content), read_at=NOW)
    return offer


assert set(_DEVICE) | set(RATES) == set(FIELDS)
