"""Evaluators blind to each other: no page, file or record tells a decision before one has decided oneself."""

import re

import pytest
from django.urls import reverse

from specapp.bids.errors import Refused
from specapp.bids.models import Decision, Enquiry, Stage
from specapp.bids.services.evaluating import decision_put, form_read, stage_sign
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from tests.bids.addresses import MATRIX, place
from tests.bids.making import AFTER, at_opening
from tests.factories import NOW, PASSWORD, ProjectFactory, member

pytestmark = pytest.mark.django_db

REASON = "zqblindreason"
_LINK = re.compile(r'(?:href|action|src|hx-get)="(/[^"#]*|\?[^"#]*)')
# Pages of the project where a decision could come up beside the enquiry's own.
_WALKED = re.compile(r"/(enquiries|record|members)\b")
# Of rows that an enquiry has by the dozen, one is looked at.
_BY_THE_DOZEN = re.compile(r"/(requirements|clauses|papers|replies)/.|/form/")


@pytest.fixture
def blind():
    """An enquiry with an opened offer, where one of two owners has decided about a reply."""
    enquiry, envelope = at_opening(ProjectFactory())
    Enquiry.objects.filter(pk=enquiry.pk).update(blind_evaluation=True)
    first, second = (member(enquiry.project, Role.OWNER) for _ in range(2))
    form_read(envelope=envelope, author=first, now=AFTER)
    offer = type(envelope.offer).objects.select_related("bidder__enquiry").get(pk=envelope.offer_id)
    put = {"offer": offer, "requirement": "SIG-05", "now": AFTER}
    decision_put(standing="partial", reason=REASON, agreed=False, author=first, **put)
    return put, first, second


def _walk(client, project):
    """Yield address and text of every page about an enquiry or the record that a person comes to."""
    waiting = [reverse("projects:project-record", args=[project.pk])]
    waiting += [f"{waiting[0]}?as=csv", f"{waiting[0]}?about=partial", f"{waiting[0]}?as=csv&about=partial"]
    waiting += [
        reverse(name, args=place(name, project, None))
        for name in MATRIX
        if not name.startswith("bids:bidding-")
    ]
    seen = set()
    while waiting:
        address = waiting.pop()
        if address in seen:
            continue
        seen.add(address)
        answer = client.get(address)
        assert answer.status_code < 500, address
        text = (b"".join(answer) if answer.streaming else answer.content).decode("utf-8", "replace")
        yield address, text + str(dict(answer.headers))
        for link in _LINK.findall(text):
            whole = link.replace("&amp;", "&")
            whole = address.partition("?")[0] + whole if whole.startswith("?") else whole
            if _WALKED.search(whole) and not _BY_THE_DOZEN.search(whole):
                waiting.append(whole)


def test_what_one_decided_is_in_no_page_before_the_other_has_decided(blind, client):
    put, first, second = blind
    project = put["offer"].bidder.enquiry.project
    client.force_login(second)
    pages = dict(_walk(client, project))
    assert len(pages) > 25
    assert [address for address, text in pages.items() if REASON in text] == []
    record = reverse("projects:project-record", args=[project.pk])
    assert "offer decide" in pages[record]
    assert first.get_full_name() in pages[f"{record}?as=csv"]
    # That something was decided is told, what was is not: neither written nor to be found by asking for it.
    told = AuditEntry.objects.get(action="offer.decide")
    assert "partial" not in f"{told.object_name} {told.data}"
    assert not AuditEntry.objects.filter(object_name__icontains="SIG-05").exists()

    client.force_login(first)
    reply = reverse("bids:reply-show", args=place("bids:reply-show", project, None))
    assert REASON in client.get(reply).content.decode(), "one's own is seen"


def test_a_figure_seen_by_the_other_is_not_changed_any_more(blind):
    put, first, second = blind
    decision_put(standing="deviate", reason="Looked again.", agreed=False, author=first, **put)
    decision_put(standing="comply", reason="", agreed=False, author=second, **put)
    for person in (first, second):
        with pytest.raises(Refused, match="yours stays"):
            decision_put(standing="partial", reason="As the other.", agreed=False, author=person, **put)
    assert set(Decision.objects.values_list("standing", flat=True)) == {"deviate", "comply"}


def test_the_record_holds_the_figures_once_the_decisions_are_signed(blind):
    put, first, _ = blind
    sealed = AuditEntry.objects.get(action="offer.decide").data
    enquiry = put["offer"].bidder.enquiry
    stage_sign(
        enquiry=enquiry,
        stage=Stage.DECIDED,
        offer=None,
        text="",
        person=first,
        password=PASSWORD,
        now=NOW,
    )
    told = AuditEntry.objects.get(action="offer.own_figures").data[f"SIG-05, {first}"]
    assert (told["standing"], told["reason"]) == ("partial", REASON)
    assert told["seal"] in sealed.values()
