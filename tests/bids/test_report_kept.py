"""The report is made once, with the recommendation; what is decided or changed later moves none of it."""

import hashlib
from importlib import import_module
from io import BytesIO

import openpyxl
import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse
from pypdf import PdfReader

from specapp.bids.errors import Refused
from specapp.bids.judging import opened_offers
from specapp.bids.models import Decision, KeptReport, OfferContent, Part, ReportKind, Stage, StageSignature
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from tests.bids.making import AFTER
from tests.bids.pricing import priced, signed
from tests.factories import ProjectFactory, member

pytestmark = pytest.mark.django_db
SEALS = import_module("specapp.bids.migrations.0005_seal_reports").SEALS


@pytest.fixture
def enquiry():
    return priced(ProjectFactory())


@pytest.fixture
def reader(client, enquiry):
    client.force_login(member(enquiry.project, Role.APPROVER))
    return client


def at(enquiry, kind=None):
    name = "bids:evaluation-report" if kind else "bids:evaluation-show"
    return reverse(name, args=[enquiry.project_id, enquiry.pk, *([kind] if kind else [])])


def reports(reader, enquiry):
    return {kind: reader.get(at(enquiry, kind)).content for kind in ReportKind.values}


def words(pdf):
    return " ".join("".join(sheet.extract_text() for sheet in PdfReader(BytesIO(pdf)).pages).split())


def test_the_report_of_a_recommendation_never_changes_again(enquiry, reader):
    working = reports(reader, enquiry)
    assert "working copy" in words(working["pdf"])
    assert "working copy" in openpyxl.load_workbook(BytesIO(working["xlsx"]))["Summary"]["B5"].value
    assert not KeptReport.objects.exists()
    assert "A working copy" in reader.get(at(enquiry)).content.decode()

    offer = opened_offers(enquiry)[0]
    signed(enquiry, Stage.RECOMMENDED, offer, "Complete and in time.")
    kept = reports(reader, enquiry)
    text = words(kept["pdf"])
    assert "working copy" not in text.casefold()
    assert f"Recommended: {offer}" in text
    assert "does not lead" not in text
    assert "Complete and in time." in text
    page = reader.get(at(enquiry)).content.decode()
    for row in enquiry.reports.all():
        assert hashlib.sha256(kept[row.kind]).hexdigest() == row.file_id
        assert row.file_id in page
        assert AuditEntry.objects.get(action="enquiry.report").data[row.kind] == row.file_id
    assert "and are those of the report" in page

    # A decision, a price and the award, whichever way they came about, move the page and not the report.
    Decision.objects.create(
        offer=offer,
        requirement="SIG-05",
        standing="deviate",
        proposed="comply",
        reason="a test",
        agreed=True,
        person=enquiry.created_by,
        at=AFTER,
    )
    row = OfferContent.objects.get(envelope__offer=offer, envelope__part=Part.PRICE)
    row.content["supply"][0]["unit_price"] += 100
    row.save()
    assert "no longer those of the report" in reader.get(at(enquiry)).content.decode()
    signed(enquiry, Stage.AWARDED, offer)
    assert reports(reader, enquiry) == kept


def test_the_database_refuses_to_change_or_remove_a_kept_report(enquiry):
    signed(enquiry, Stage.RECOMMENDED, opened_offers(enquiry)[0])
    for change in (lambda: enquiry.reports.update(figures="0"), enquiry.reports.all().delete):
        with pytest.raises(DatabaseError, match=SEALS.text), transaction.atomic():
            change()


def test_what_cannot_be_evaluated_is_not_recommended(enquiry, reader):
    row = OfferContent.objects.filter(envelope__part=Part.PRICE).first()
    row.content["terms"]["advance_percent"] = 130
    row.save()
    with pytest.raises(Refused, match="none is recommended"):
        signed(enquiry, Stage.RECOMMENDED, opened_offers(enquiry)[0])
    enquiry.refresh_from_db()
    assert enquiry.stage == Stage.PRICED
    assert not enquiry.signatures.filter(stage=Stage.RECOMMENDED).exists()
    assert reader.get(at(enquiry, "pdf")).status_code == 409


def test_a_recommendation_without_a_kept_report_is_told(enquiry, reader):
    """An enquiry recommended before reports were kept: nothing is passed off as what was signed on."""
    offer = opened_offers(enquiry)[0]
    author = enquiry.created_by
    StageSignature.objects.create(
        enquiry=enquiry, stage=Stage.RECOMMENDED, offer=offer, checksum="0", person=author, at=AFTER
    )
    type(enquiry).objects.filter(pk=enquiry.pk).update(stage=Stage.RECOMMENDED)
    assert "none was kept" in reader.get(at(enquiry)).content.decode()
    assert "working copy" in words(reader.get(at(enquiry, "pdf")).content)
