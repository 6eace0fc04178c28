"""Hostile and broken workbooks that were sealed: each is refused with its place, and nothing of it is kept.

One enquiry holds them all, as versions of one offer; the good one that was read first stays as it was read.
"""

from io import BytesIO
from zipfile import ZipFile

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from specapp.bids.errors import Refused
from specapp.bids.models import OfferContent
from specapp.bids.services.evaluating import form_read
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from tests.bids.making import AFTER, drafted, invited, opened, received, sent_out, technical_file
from tests.evaluation.forms import repacked
from tests.factories import ProjectFactory, member

pytestmark = pytest.mark.django_db
_ROWS = 1_000_000
_REPLIES, _BILL = "xl/worksheets/sheet2.xml", "xl/worksheets/sheet3.xml"


def _edited(form, sheet, **cells):
    book = load_workbook(BytesIO(form))
    for place, value in cells.items():
        book[sheet][place] = value
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _merged(form):
    book = load_workbook(BytesIO(form))
    book["requirements"].merge_cells("H8:H9")
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _part(form, name):
    with ZipFile(BytesIO(form)) as archive:
        return archive.read(name).decode()


def _many_rows(form):
    text = _part(form, _BILL)
    head, end, tail = text.partition("</sheetData>")
    return repacked(form, **{_BILL.replace("/", "__"): f"{head}{'<row/>' * _ROWS}{end}{tail}".encode()})


def _bomb(form):
    lines = "".join(f'<!ENTITY a{at} "{f"&a{at - 1};" * 10}">' for at in range(1, 9))
    head, mark, rest = _part(form, _REPLIES).partition("?>")
    text = f'{head}{mark}<!DOCTYPE x [<!ENTITY a0 "ha">{lines}]>{rest}'
    return repacked(form, **{_REPLIES.replace("/", "__"): text.encode()})


def _hostile(form):
    """Return files by what is wrong with them, each with what the refusal has to say."""
    return {
        "a far cell": (_edited(form, "requirements", XFD9="far"), "requirements!XFD9"),
        "a far row": (_edited(form, "bill", C1048576="far"), "bill!A"),
        "a million rows": (_many_rows(form), "bill!A"),
        "padding": (repacked(form, **{"xl__media__a.bin": b"\0" * 31_000_000}), "when unpacked"),
        "an entity bomb": (_bomb(form), "cannot be read"),
        "a formula": (_edited(form, "requirements", H8="=1+1"), "requirements!H8"),
        "an array formula": (_edited(form, "requirements", H8="=SUM(A1:A9)*{1,2}"), "requirements!H8"),
        "a link outside": (_edited(form, "requirements", H8="=[1]a!A1"), "requirements!H8"),
        "macros renamed": (repacked(form, **{"xl__modules__VBAPROJECT.BIN": b"a"}), "macros"),
        "an old macro sheet": (repacked(form, **{"xl__macrosheets__a.xml": b"<a/>"}), "macros"),
        "merged cells": (_merged(form), "requirements!H8:H9"),
        "a text number": (_edited(form, "bill", F6="12"), "bill!F6"),
        "a decimal comma": (_edited(form, "bill", F6="1,5"), "bill!F6"),
        "a negative number": (_edited(form, "bill", F6=-1), "bill!F6"),
        "a date": (_edited(form, "bill", F6=AFTER.replace(tzinfo=None)), "bill!F6"),
        "a reworded requirement": (_edited(form, "requirements", D8="Easier."), "requirements!D8"),
        "a price": (_edited(form, "requirements", K8="EUR 900"), "requirements!K8"),
        "a control character": (_edited(form, "requirements", H8="a\u202eb"), "requirements!H8"),
    }


def test_hostile_files_are_refused_with_their_place_and_leave_nothing(client):
    enquiry = drafted(ProjectFactory())
    (bidder,) = invited(enquiry)
    form = technical_file(sent_out(enquiry))
    good = received(bidder, _edited(form, "requirements", H8="2.2 mm"))
    kept, refused_unsealed = {}, []
    for what, (data, place) in _hostile(form).items():
        try:
            kept[what] = received(bidder, data), place
        except InputErrors:
            refused_unsealed.append(what)
    opened(enquiry)
    good.refresh_from_db()
    person = member(enquiry.project, Role.EVALUATOR)
    form_read(envelope=good, author=person, now=AFTER)
    before = OfferContent.objects.get().content
    client.force_login(person)
    for what, (envelope, place) in kept.items():
        page = client.post(reverse("bids:file-read", args=[enquiry.project_id, enquiry.pk, envelope.pk]))
        assert page.status_code == 422, what
        assert place in page.content.decode(), what
    assert len(kept) + len(refused_unsealed) == 18
    assert set(refused_unsealed) <= {"macros renamed", "an old macro sheet"}
    assert OfferContent.objects.get().content == before


def test_a_sealed_file_is_not_read():
    enquiry = drafted(ProjectFactory())
    (bidder,) = invited(enquiry)
    sealed = received(bidder, technical_file(sent_out(enquiry)))
    with pytest.raises(Refused, match="sealed"):
        form_read(envelope=sealed, author=bidder.invited_by, now=AFTER)
