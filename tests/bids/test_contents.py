"""What an enquiry asks is changed by its pages, with reasons, and goes out as it then stands."""

from io import BytesIO
from itertools import pairwise

import pypdf
import pytest
from django.urls import reverse

from specapp.bids.sheets import issued_sheet
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.documents.enquiry_papers import render
from specapp.documents.options import Options
from specapp.evaluation.clauses import clauses_of
from specapp.evaluation.offers_read import read_technical
from tests.bids.making import drafted, invited, sent_out, technical_file
from tests.factories import ProjectFactory, member

pytestmark = pytest.mark.django_db


@pytest.fixture
def enquiry(client):
    found = drafted(ProjectFactory())
    client.force_login(member(found.project, Role.BUYER))
    return found


def _at(name, enquiry, *rest):
    return reverse(f"bids:{name}", args=[enquiry.project_id, enquiry.pk, *rest])


def _posted(client, place, **told):
    """Return a page's form as a browser would post it, with what the test changes."""
    context = client.get(place).context
    fields = {name: context["form"][name].value() for name in context["form"].fields}
    given = {name: value for name, value in fields.items() if value is not None and value is not False}
    return client.post(place, {**given, "version": context["enquiry"].version, **told})


def test_clauses_are_reworded_and_left_out(client, enquiry):
    place = _at("clause-edit", enquiry, "2.1")
    assert _posted(client, place, text="All in one box.").status_code == 422
    assert _posted(client, place, text="All in <b>one</b> box.", reason="Owner").status_code == 302
    assert client.post(place, {"text": "x", "reason": "y", "version": 1}).status_code == 409
    assert _posted(client, _at("clause-edit", enquiry, "2.2"), text="", reason="Owner").status_code == 302
    for number in ("2", "9.9", "40.1"):
        assert client.get(_at("clause-edit", enquiry, number)).status_code == 404
    first = client.get(_at("clause-edit", enquiry, "3.1")).context["made"]
    for text in ("Otherwise.", first):
        assert (
            _posted(client, _at("clause-edit", enquiry, "3.1"), text=text, reason="As it was").status_code
            == 302
        )
    enquiry.refresh_from_db()
    assert list(enquiry.terms["clauses"]) == ["2.1", "2.2"]
    listed = client.get(_at("clause-list", enquiry)).content.decode()
    assert "All in &lt;b&gt;one&lt;/b&gt; box." in listed
    assert "left out" in listed
    invited(enquiry)
    sheet = issued_sheet(sent_out(enquiry))
    numbered = dict(clauses_of(sheet))
    assert numbered["2.1"] == "All in <b>one</b> box."
    assert "2.2" not in numbered
    pages = pypdf.PdfReader(BytesIO(render(sheet, "specification", Options()))).pages
    assert "All in <b>one</b> box." in "\n".join(page.extract_text() for page in pages)
    assert AuditEntry.objects.filter(action="enquiry.contents").count() == 4


def test_vendor_documents_change_weeks_are_struck_and_added(client, enquiry):
    place = _at("documents-edit", enquiry)
    assert _posted(client, place, weeks_manuals="soon", reason="x").status_code == 422
    assert _posted(client, place, new_title="Cyber plan", reason="x").status_code == 422
    told = {"weeks_manuals": 18, "strike_as_built": "on", "new_title": "Cyber plan", "new_weeks": 6}
    assert _posted(client, place, **told, new_purpose="for approval", reason="Owner").status_code == 302
    enquiry.refresh_from_db()
    invited(enquiry)
    amendment = sent_out(enquiry)
    documents = {each.key: each for each in issued_sheet(amendment).documents}
    assert documents["manuals"].weeks == 18
    assert "as_built" not in documents
    assert documents["own_document_1"].title == "Cyber plan"
    assert read_technical(technical_file(amendment), issued_sheet(amendment))


def test_items_and_mandatory_spares_change(client, enquiry):
    place = _at("items-edit", enquiry)
    assert _posted(client, place, spares_junction_box=-1, reason="x").status_code == 422
    told = {"spares_junction_box": 2, "strike_software": "on", "new_title": "Two years of calls"}
    assert _posted(client, place, **told, reason="Owner").status_code == 302
    invited(enquiry)
    sheet = issued_sheet(sent_out(enquiry))
    assert {each.key: each.spares for each in sheet.asked.bill}["junction_box"] == 2
    keys = [each.key for each in sheet.items]
    assert "software" not in keys
    assert keys[-1] == "own_item_1"


def test_a_requirement_of_ones_own_is_added_to_its_group(client, enquiry):
    place = _at("requirement-new", enquiry)
    told = {"group": "SIG", "title": "Spare range", "text": "10 % above the trip.", "kind": "at_least"}
    told |= {"unit": "%", "reason": "Owner's clause 4", "weight": 2}
    assert _posted(client, place, **told).status_code == 422
    assert _posted(client, place, **told, limit=10).status_code == 302
    assert _posted(client, place, **{**told, "kind": "one_of", "choices": "A\nB"}).status_code == 302
    assert _posted(client, place, **{**told, "kind": "one_of"}).status_code == 422
    first, second = enquiry.requirements.filter(made__isnull=True)
    assert (first.key, second.key) == ("OWN-01", "OWN-02")
    invited(enquiry)
    amendment = sent_out(enquiry)
    sheet = issued_sheet(amendment)
    groups = [each.group for each in sheet.asked.requirements]
    assert len(list(dict.fromkeys(groups))) == 1 + sum(a != b for a, b in pairwise(groups))
    assert read_technical(technical_file(amendment), sheet)
    assert "Spare range" in client.get(_at("requirement-list", enquiry)).content.decode()


def test_nothing_of_it_changes_after_the_closing(client, enquiry):
    invited(enquiry)
    sent_out(enquiry)
    for name, rest, told in (
        ("clause-edit", ["2.1"], {"text": "x"}),
        ("documents-edit", [], {}),
        ("items-edit", [], {}),
        ("requirement-new", [], {"group": "SIG", "title": "T", "text": "x", "kind": "yes"}),
    ):
        assert _posted(client, _at(name, enquiry, *rest), **told, reason="Late").status_code == 409, name
