"""The offers side by side and what they truly cost, on the invented enquiry of the demonstration."""

from io import BytesIO

import openpyxl
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from specapp.bids.comparing import compared, evaluated
from specapp.bids.demo import demo_enquiries
from specapp.bids.models import Decision, Enquiry, OfferContent, Stage, StageSignature
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.demo import demo_load, demo_password
from tests.bids.many_offers import enquiry_of
from tests.factories import NOW, member

pytestmark = pytest.mark.django_db

HOSTILE = "<script>alert('\"2.2 mm\"')</script>"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("var")


@pytest.fixture
def enquiry(settings, folder):
    settings.VAR_DIR = folder
    machines, password = settings.BASE_DIR / "fixtures" / "machines", demo_password(folder)
    demo_load(machines_folder=machines, password=password, now=timezone.now())
    demo_enquiries(timezone.now())
    return Enquiry.objects.get(stage=Stage.PRICED)


def at(name, enquiry, *more, **query):
    return reverse(f"bids:{name}", args=[enquiry.project_id, enquiry.pk, *more], query=query or None)


def test_offers_are_compared_and_evaluated(enquiry, client):
    buyer = User.objects.get(username="soto")
    client.force_login(buyer)
    names = [bidder.name for bidder in enquiry.bidders.all()]
    page = client.get(at("comparison-show", enquiry)).content.decode()
    assert all(name in page for name in names)
    assert "SIG-05" in page.replace("<wbr>", "")
    whole = page.count("<tr>")
    for shown in ("differ", "deviate", "clarify", "must"):
        assert client.get(at("comparison-show", enquiry, show=shown)).content.decode().count("<tr>") < whole
    assert client.get(at("comparison-show", enquiry, show="nonsense", offer="nobody")).status_code == 200

    _, _, evaluation = evaluated(enquiry)
    page = client.get(at("evaluation-show", enquiry)).content.decode()
    assert "Fjellmark Instruments (invented) leads" in page
    assert "As read Lavtun Control (invented) was lowest: normalisation turns the ranking." in page
    for each in evaluation.bidders:
        assert f"{each.evaluated:,.0f}".replace(",", "\N{NO-BREAK SPACE}") in page.replace(
            "&nbsp;", "\xa0"
        ) or (f"{each.evaluated:,.0f}".replace(",", " ") in page)
        assert sum(value for value in each.lines.values()) == pytest.approx(each.evaluated)

    pdf = client.get(at("evaluation-report", enquiry, "pdf"))
    text = "".join(sheet.extract_text() for sheet in PdfReader(BytesIO(pdf.content)).pages)
    book = openpyxl.load_workbook(BytesIO(client.get(at("evaluation-report", enquiry, "xlsx")).content))
    assert {"Ranking", "Compliance", "Price build-up", "Sensitivities", "Deviations"} <= set(book.sheetnames)
    assert "What would turn the ranking" in text
    assert all(name.split()[0] in text for name in names)
    assert client.get(at("evaluation-report", enquiry, "doc")).status_code == 404

    # A decision that differs is an assumption like any other; as many queries whatever is decided.
    with CaptureQueriesContext(connection) as before:
        compared(enquiry)
    offer = compared(enquiry).offers[0]
    Decision.objects.create(
        offer=offer.offer,
        requirement="SIG-05",
        standing="deviate",
        proposed="comply",
        reason="a test",
        agreed=True,
        person=buyer,
        at=timezone.now(),
    )
    with CaptureQueriesContext(connection) as after:
        assert compared(enquiry).offers[0].standings["SIG-05"] == "deviate"
    assert len(after) == len(before)
    assert "SIG-05 decided deviate" in client.get(at("evaluation-show", enquiry)).content.decode()

    # Nobody outside sees any of it.
    for role in (Role.BIDDER, Role.MAKER, Role.CLIENT, Role.READER, Role.REVIEWER):
        client.force_login(member(enquiry.project, role))
        for name, more in (("comparison-show", ()), ("evaluation-show", ()), ("evaluation-report", ("pdf",))):
            assert client.get(at(name, enquiry, *more)).status_code in (403, 404)


def test_as_many_queries_whoever_offers_and_whatever_is_asked_and_no_word_of_a_bidder_is_markup(client):
    counts = []
    for requirements, offers in ((40, 3), (90, 8)):
        enquiry = enquiry_of(requirements, offers)
        client.force_login(member(enquiry.project, Role.EVALUATOR))
        for content in OfferContent.objects.filter(envelope__offer__bidder__enquiry=enquiry):
            content.content["replies"][0] |= {"claim": "complies", "offered": HOSTILE}
            content.content["deviations"] = [{"requirement": "", "text": HOSTILE, "reason": HOSTILE}]
            content.save()
        client.get(at("comparison-show", enquiry))
        with CaptureQueriesContext(connection) as asked:
            page = client.get(at("comparison-show", enquiry)).content.decode()
        counts.append(len(asked))
        assert page.count("<td><a ") + page.count('<td class="on-a-phone"><a ') == requirements * offers
        assert page.count('<td class="on-a-phone">') == requirements
        assert HOSTILE not in page
        # In its cell and, with the reason, in the list of deviations.
        assert page.count("&lt;script&gt;") >= 3 * offers
    assert counts[0] == counts[1]


def test_before_the_opening_there_is_nothing_to_compare(enquiry, client):
    client.force_login(User.objects.get(username="soto"))
    issued = Enquiry.objects.get(stage=Stage.ISSUED)
    assert "Nothing is compared" in client.get(at("comparison-show", issued)).content.decode()
    assert "sealed" in client.get(at("evaluation-show", issued)).content.decode()
    assert client.get(at("evaluation-report", issued, "pdf")).status_code == 409


def test_after_the_award_each_bidder_has_a_letter_of_its_own(enquiry, client):
    owner = User.objects.get(username="keller")
    chosen = next(each.offer for each in compared(enquiry).offers if "Fjellmark" in str(each.offer))
    for stage in (Stage.RECOMMENDED, Stage.AWARDED):
        StageSignature.objects.create(
            enquiry=enquiry,
            stage=stage,
            offer=chosen,
            checksum="0",
            person=owner,
            person_name="Keller",
            at=NOW,
        )
        Enquiry.objects.filter(pk=enquiry.pk).update(stage=stage)
    client.force_login(User.objects.get(username="soto"))
    page = client.get(at("purchase-show", enquiry)).content.decode()
    assert "Fjellmark Instruments (invented)" in page
    bought_text = _text(client.get(at("purchase-report", enquiry)).content)
    assert "What was purchased" in bought_text
    enquiry.refresh_from_db()
    bidders = list(enquiry.bidders.all())
    _, _, evaluation = evaluated(enquiry)
    figures = [
        f"{value:,.0f}".replace(",", " ")
        for each in evaluation.bidders
        for value in (each.evaluated, each.as_read)
    ]
    for bidder in bidders:
        text = " ".join(_text(client.get(at("letter-file", enquiry, bidder.pk)).content).split())
        others = [each.name.split()[0] for each in bidders if each.pk != bidder.pk]
        assert bidder.name.split()[0] in text
        assert not any(name in text for name in others)
        assert not any(figure in text for figure in figures)
        assert ("Your offer was chosen" in text) == (bidder.pk == chosen.bidder_id)
        assert ("It was not chosen" in text) == (bidder.pk != chosen.bidder_id)
    person = member(enquiry.project, Role.BIDDER)
    bidders[0].people.add(person)
    client.force_login(person)
    own = client.get(reverse("bids:bidding-letter", args=[bidders[0].code]))
    assert bidders[0].name.split()[0] in _text(own.content)
    assert (
        "our letter to you"
        in client.get(reverse("bids:bidding-show", args=[bidders[0].code])).content.decode()
    )
    assert client.get(reverse("bids:bidding-letter", args=[bidders[1].code])).status_code == 404


def _text(content):
    return "".join(sheet.extract_text() for sheet in PdfReader(BytesIO(content)).pages)
