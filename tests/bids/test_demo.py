"""The enquiries of the demonstration: loaded once, all invented; the lowest price as read does not win."""

from datetime import timedelta

import msgspec
import pytest
from django.urls import reverse
from django.utils import timezone

from specapp.bids.demo import demo_enquiries
from specapp.bids.judging import judged, opened_offers
from specapp.bids.models import Enquiry, Envelope, OfferContent, Part, Stage
from specapp.core.models import User
from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.offers_read import PriceOffer, bidder_document
from specapp.evaluation.reading import read_bids
from specapp.projects.demo import demo_load, demo_password

pytestmark = pytest.mark.django_db


def _order(results, value):
    return [each.name.split()[0] for each in sorted(results, key=value)]


def test_two_enquiries_are_loaded_once_and_normalising_turns_their_order(settings, tmp_path, client):
    settings.VAR_DIR = tmp_path
    folder, password = settings.BASE_DIR / "fixtures" / "machines", demo_password(tmp_path)
    demo_load(machines_folder=folder, password=password, now=timezone.now())
    demo_enquiries(timezone.now())
    demo_enquiries(timezone.now())
    priced, answered = Enquiry.objects.order_by("reference")
    assert (priced.stage, answered.stage) == (Stage.PRICED, Stage.ISSUED)
    assert all("invented" in each.name for each in priced.bidders.all())
    assert Envelope.objects.filter(is_late=True, late_accepted=True, opened_at__isnull=False).exists()
    rules = priced.amendments.get().terms["settings"]
    bidders = []
    for offer in opened_offers(priced):
        found = judged(priced, offer)
        assert found.passes
        row = OfferContent.objects.get(envelope__offer=offer, envelope__part=Part.PRICE)
        weeks = next(each for each in found.technical.replies if each.requirement == "SUP-10")
        told = {"weeks": float(weeks.offered), "factors": found.factors, "currency": rules["currency"]}
        price = msgspec.convert(row.content, PriceOffer, strict=False)
        bidders.append(bidder_document(str(offer), price, rates=rules["rates"], **told))
    items = list(bidders[0]["items"])
    groups = dict.fromkeys(bidders[0]["factors"], 100 / len(bidders[0]["factors"]))
    results = evaluate(
        read_bids({"settings": {**rules, "groups": groups}, "bidders": bidders, "items": items})
    ).bidders
    assert _order(results, lambda each: each.as_read) == ["Lavtun", "Fjellmark", "Sundby"]
    assert _order(results, lambda each: each.evaluated) == ["Fjellmark", "Lavtun", "Sundby"]

    client.force_login(User.objects.get(username="hagen"))
    listed = client.get(reverse("bids:bidding-list")).content.decode()
    assert all(each.reference in listed for each in (priced, answered))
    code = answered.bidders.get(people__username="hagen").code
    page = client.get(reverse("bids:bidding-show", args=[code])).content.decode()
    assert "Send a file" in page
    assert not any(name in listed + page for name in ("Lavtun", "Sundby", "Soto"))
    assert answered.closes_at > timezone.now() + timedelta(days=10)
