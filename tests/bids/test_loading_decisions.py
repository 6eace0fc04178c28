"""A load that a person decides in place of the rule's: who may, when, what it does, that it stays."""

from importlib import import_module
from io import BytesIO

import openpyxl
import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pypdf import PdfReader

from specapp.bids.comparing import evaluated
from specapp.bids.errors import Refused, Stale
from specapp.bids.judging import opened_offers
from specapp.bids.models import DecidedLoad, Enquiry, Stage
from specapp.bids.services.loading import Load, load_decide
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from tests.bids.making import AFTER
from tests.bids.pricing import priced, signed
from tests.factories import ProjectFactory, member

pytestmark = pytest.mark.django_db
SEALS = import_module("specapp.bids.migrations.0007_seal_loads").SEALS
ITEM, TITLE = "training", "Training"


@pytest.fixture
def enquiry():
    return priced(ProjectFactory())


@pytest.fixture
def gappy(enquiry):
    """The offer that leaves training out; the other asks 1800 EUR for it."""
    return next(each for each in opened_offers(enquiry) if "Lavtun" in str(each))


@pytest.fixture
def evaluator(enquiry):
    return member(enquiry.project, Role.EVALUATOR)


def decide(offer, author, amount=1000.0, currency="USD", reason="As ordered last year.", item=ITEM, seen=0):
    load = Load(amount, currency, reason)
    return load_decide(offer=offer, item=item, load=load, seen=seen, author=author, now=AFTER)


def at(enquiry, offer=None, item=ITEM):
    if offer is None:
        return reverse("bids:evaluation-show", args=[enquiry.project_id, enquiry.pk])
    return reverse("bids:load-show", args=[enquiry.project_id, enquiry.pk, offer.pk, item])


def counted(enquiry, offer):
    _, _, evaluation = evaluated(enquiry)
    found = next(each for each in evaluation.bidders if each.name == str(offer))
    return found.items[TITLE], found.reasons.items[TITLE]


def test_a_load_is_decided_on_its_page_and_stands_beside_the_rule_everywhere(
    enquiry, gappy, evaluator, client
):
    client.force_login(evaluator)
    assert at(enquiry, gappy) in client.get(at(enquiry)).content.decode()
    page = client.get(at(enquiry, gappy)).content.decode()
    assert "1 800 EUR" in page
    form = {"do": "load", "seen": "0", "load-amount": "1000", "load-currency": "USD"}
    answer = client.post(at(enquiry, gappy), form)
    assert answer.status_code == 422
    assert "required" in answer.content.decode()
    answer = client.post(at(enquiry, gappy), {**form, "load-reason": "<b>As ordered</b>"})
    assert answer.status_code == 302
    amount, reason = counted(enquiry, gappy)
    # 1000 USD at 0.92
    assert (amount, reason.basis, reason.by_rule.amount) == (pytest.approx(920), "decided", 1800)
    entry = AuditEntry.objects.get(action="offer.load")
    assert (entry.data["item"], entry.data["amount"], entry.data["currency"]) == (ITEM, 1000, "USD")

    page = client.get(at(enquiry)).content.decode()
    assert "By the rule: 1 800" in page
    assert "&lt;b&gt;As ordered&lt;/b&gt;" in page
    assert f"Training of {gappy}, decided at 920" in page
    report = [
        reverse("bids:evaluation-report", args=[enquiry.project_id, enquiry.pk, kind])
        for kind in ("pdf", "xlsx")
    ]
    pdf, xlsx = (client.get(each).content for each in report)
    text = " ".join("".join(sheet.extract_text() for sheet in PdfReader(BytesIO(pdf)).pages).split())
    assert "by the rule 1 800" in text
    book = openpyxl.load_workbook(BytesIO(xlsx))
    cells = [
        str(cell.value) for name in ("Price build-up", "Sensitivities") for row in book[name] for cell in row
    ]
    assert any("by the rule 1 800" in cell for cell in cells)
    assert "as the rules load it: 1 800" in cells

    last = DecidedLoad.objects.get()
    back = {"do": "rule", "seen": str(last.pk), "rule-reason": "The offer was cleared up."}
    assert client.post(at(enquiry, gappy), back).status_code == 302
    assert counted(enquiry, gappy)[1].basis == "highest_quote"
    history = client.get(at(enquiry, gappy)).content.decode()
    assert "back to the rule" in history
    assert "As ordered" in history


REFUSED = (
    ({"amount": -1.0}, "never lowers a price"),
    ({"amount": float("nan")}, "never lowers a price"),
    ({"amount": 2e12}, "never lowers a price"),
    ({"currency": "GBP"}, "rates for EUR, USD alone"),
    ({"reason": "  "}, "Say why"),
    ({"item": "factory_test"}, "has a price for this item"),
    ({"item": "documents"}, "has a price for this item, or includes it"),
    ({"item": "nothing"}, "No item of that name"),
    ({"amount": None}, "The rule counts already"),
)


def test_what_is_not_decided(gappy, evaluator):
    for told, words in REFUSED:
        with pytest.raises(Refused, match=words):
            decide(gappy, evaluator, **told)
    assert not DecidedLoad.objects.exists()


def test_two_people_do_not_overwrite_each_other(gappy, evaluator):
    first = decide(gappy, evaluator, 0.0)
    with pytest.raises(Stale):
        decide(gappy, evaluator, 5.0)
    decide(gappy, evaluator, 5.0, seen=first.pk)
    assert gappy.decided_loads.count() == 2


def test_only_while_prices_are_compared(enquiry, gappy, evaluator, client):
    Enquiry.objects.filter(pk=enquiry.pk).update(stage=Stage.DECIDED)
    with pytest.raises(Refused, match="after the prices are opened"):
        decide(gappy, evaluator)
    Enquiry.objects.filter(pk=enquiry.pk).update(stage=Stage.PRICED)
    decide(gappy, evaluator)
    enquiry.refresh_from_db()
    signed(enquiry, Stage.RECOMMENDED, gappy)
    with pytest.raises(Refused, match="before the recommendation"):
        decide(gappy, evaluator, seen=gappy.decided_loads.get().pk)
    client.force_login(evaluator)
    form = {"do": "load", "seen": "0", "load-amount": "1", "load-currency": "EUR", "load-reason": "Late."}
    assert client.post(at(enquiry, gappy), form).status_code == 409
    assert "<button" not in client.get(at(enquiry, gappy)).content.decode().partition("<main")[2]


def test_who_evaluates_decides_and_who_buys_reads(enquiry, gappy, client):
    form = {"do": "load", "seen": "0", "load-amount": "1", "load-currency": "EUR", "load-reason": "A test."}
    expected = {
        Role.OWNER: (200, 302),
        Role.ENGINEER: (200, 302),
        Role.EVALUATOR: (200, 302),
        Role.BUYER: (200, 403),
        Role.APPROVER: (200, 403),
        Role.REVIEWER: (403, 403),
        Role.READER: (403, 403),
        Role.CLIENT: (403, 403),
        Role.MAKER: (403, 403),
        Role.BIDDER: (403, 403),
    }
    for role, (reads, decides) in expected.items():
        client.force_login(member(enquiry.project, role))
        last = gappy.decided_loads.last()
        told = {**form, "seen": str(last.pk if last else 0)}
        got = client.get(at(enquiry, gappy)).status_code, client.post(at(enquiry, gappy), told).status_code
        assert got == (reads, decides), role
    client.force_login(enquiry.created_by)
    assert client.get(at(enquiry, gappy, "nothing")).status_code == 404


def test_as_many_queries_however_many_loads_are_decided(enquiry, gappy, evaluator):
    evaluated(enquiry)  # what is kept from then on is kept
    with CaptureQueriesContext(connection) as before:
        evaluated(enquiry)
    for item in ("training", "site_days"):
        decide(gappy, evaluator, item=item)
    with CaptureQueriesContext(connection) as after:
        evaluated(enquiry)
    assert len(after) == len(before)


def test_the_database_keeps_every_decision(gappy, evaluator):
    decide(gappy, evaluator)
    for change in (lambda: gappy.decided_loads.update(amount=0), gappy.decided_loads.all().delete):
        with pytest.raises(DatabaseError, match=SEALS.text), transaction.atomic():
            change()
