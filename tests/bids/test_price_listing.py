"""What stands beside the evaluated price: parts of the supply, options and spares apart, every assumption."""

from io import BytesIO

import openpyxl
import pytest
from django.urls import reverse

from specapp.bids.comparing import evaluated
from specapp.bids.models import OfferContent, Part
from specapp.bids.presenting.evaluation import build_up
from specapp.bids.presenting.prices import assumptions, options, parts_of
from specapp.core.roles import Role
from tests.bids.pricing import priced
from tests.factories import ProjectFactory, member

pytestmark = pytest.mark.django_db
OPTION = {"key": "1", "description": "=Portable display", "quantity": 2.0, "unit_price": 500.0}


@pytest.fixture
def enquiry():
    """One offer has a discount, an option and spares for two years, the last of them without a price."""
    enquiry = priced(ProjectFactory(), late_percent_per_week=0.5, estimates={})
    row = OfferContent.objects.get(
        envelope__offer__bidder__name__startswith="Lavtun", envelope__part=Part.PRICE
    )
    row.content["terms"] |= {"discount_percent": 5.0, "taxes": 100.0, "payment": "60 days <net>"}
    row.content["options"] = [OPTION]
    row.content["two_year_spares"] = [
        {"key": "1", "description": "Probe", "quantity": 3.0, "unit_price": 400.0},
        {"key": "2", "description": "Cable", "quantity": 1.0, "unit_price": None},
    ]
    row.save()
    return enquiry


def test_the_parts_of_the_supply_sum_to_its_line_and_what_is_apart_counts_nowhere(enquiry):
    found, _, evaluation = evaluated(enquiry)
    parts = parts_of(found)
    for each in evaluation.bidders:
        assert parts[each.name].fob == pytest.approx(each.lines["fob"])
    told = parts["Lavtun Control (invented)"]
    assert told.spares > 0
    assert told.discount == pytest.approx(-0.05 * (told.supply + told.spares))
    titles = [line.title for line in build_up(evaluation, parts)]
    assert titles[1:5] == ["– supply", "– spares asked for", "– corrections", "– discount"]
    (option,) = options(found)
    # 2 x 500 USD at 0.92
    assert (option.total, option.compared) == ("1 000 USD", "920")
    row = OfferContent.objects.get(pk=found.offers[1].offer.envelopes.get(part=Part.PRICE).read.pk)
    row.content["options"], row.content["two_year_spares"] = [], []
    row.save()
    _, _, without = evaluated(enquiry)
    assert [each.evaluated for each in without.bidders] == [each.evaluated for each in evaluation.bidders]


def test_every_rule_and_rate_is_an_assumption_with_its_source(enquiry):
    _, bids, evaluation = evaluated(enquiry)
    told = {each.what: (each.value, each.source) for each in assumptions(bids, evaluation)}
    assert told["Rates of exchange"][0] == "1 USD is 0.92 EUR, of 2026-10-01"
    assert told["Freight and insurance not quoted"] == ("8 % of the supply", "rules frozen before closing")
    assert told["Item that nobody quoted"][0] == "open, never 0"
    assert told["Spares for two years, options"][1] == "common practice"
    assert "MEA" not in told["Weights of the groups"][0]


def test_page_and_report_list_them(enquiry, client):
    client.force_login(member(enquiry.project, Role.BUYER))
    page = client.get(reverse("bids:evaluation-show", args=[enquiry.project_id, enquiry.pk])).content.decode()
    for words in (
        "=Portable display",
        "60 days &lt;net&gt;",
        "– discount",
        "Spares for two years",
        "no price",
    ):
        assert words in page
    address = reverse("bids:evaluation-report", args=[enquiry.project_id, enquiry.pk, "xlsx"])
    book = openpyxl.load_workbook(BytesIO(client.get(address).content))
    assert {"Assumptions", "Options", "Two-year spares", "Terms"} <= set(book.sheetnames)
    cell = book["Options"]["B2"]
    assert (cell.value, cell.data_type) == ("=Portable display", "s")
    assert client.get(address.replace("xlsx", "pdf")).status_code == 200


def test_an_acceptable_offer_with_a_line_unpriced_has_no_place_and_stops_nobody(enquiry, client):
    row = OfferContent.objects.get(
        envelope__offer__bidder__name__startswith="Lavtun", envelope__part=Part.PRICE
    )
    row.content["supply"][0]["unit_price"] = None
    row.save()
    client.force_login(member(enquiry.project, Role.BUYER))
    page = client.get(reverse("bids:evaluation-show", args=[enquiry.project_id, enquiry.pk])).content.decode()
    assert "Fjellmark Instruments (invented) leads" in page
    assert f"no price for {row.content['supply'][0]['description'][:20]}" in page
    row.content["supply"][0]["unit_price"], row.content["currency"] = 5.0, "GBP"
    row.save()
    _, _, evaluation = evaluated(enquiry)
    without = next(each for each in evaluation.bidders if each.name.startswith("Lavtun"))
    assert without.unranked_because == "priced in GBP, for which the frozen rules have no rate"
