"""The life of an enquiry: asked, sealed, opened by two, judged, signed, prices only of acceptable offers."""

from datetime import timedelta

import pytest
from django.urls import reverse

from specapp.bids.errors import Refused
from specapp.bids.judging import judged
from specapp.bids.models import Envelope, Part, Requirement, Stage
from specapp.bids.services.enquiring import enquiry_create, requirement_change
from specapp.bids.services.evaluating import (
    clarification_ask,
    decision_put,
    form_read,
    reply_transcribe,
    stage_sign,
)
from specapp.bids.services.opening import opening_confirm
from specapp.bids.services.receiving import late_decide
from specapp.bids.sheets import issued_sheet
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.revisions.models import Purpose
from tests.bids.making import (
    AFTER,
    CLOSES,
    at_opening,
    drafted,
    invited,
    issued_for_enquiry,
    opened,
    price_file,
    received,
    sent_out,
    technical_file,
)
from tests.factories import NOW, PASSWORD, ProjectFactory, member

pytestmark = pytest.mark.django_db


def _changed(enquiry, key="SIG-05", reason="Owner's clause 7.3", **changed):
    row = Requirement.objects.get(enquiry=enquiry, key=key)
    return requirement_change(
        requirement=row,
        version=row.version,
        changed=changed,
        reason=reason,
        author=enquiry.created_by,
        now=NOW,
    )


def test_an_enquiry_asks_what_the_frozen_machine_needs():
    enquiry = drafted(ProjectFactory())
    asked = enquiry.requirements.get(key="MEA-01/proximity_probe_8mm")
    assert asked.current["criterion"]["low"] == 46


def test_only_what_was_issued_for_enquiry_is_asked_about():
    issue = issued_for_enquiry(ProjectFactory(), purpose=Purpose.REVIEW)
    with pytest.raises(Refused, match="not for enquiry"):
        enquiry_create(issue=issue, reference="E", title="T", author=issue.issued_by, now=NOW)


def test_a_requirement_changes_with_a_reason_and_can_be_checked_still():
    enquiry = drafted(ProjectFactory())
    with pytest.raises(InputErrors):
        _changed(enquiry, reason=" ", weight=5)
    with pytest.raises(InputErrors):
        _changed(enquiry, criterion={"kind": "at_least", "quantity": "length", "unit": "mm", "low": None})
    row = _changed(enquiry, weight=5)
    assert (row.current["weight"], row.made["weight"]) == (5.0, 2.0)
    assert AuditEntry.objects.filter(action="enquiry.requirement").exists()


def test_what_went_out_stays_as_it_was_and_an_amendment_says_what_changed():
    enquiry = drafted(ProjectFactory())
    with pytest.raises(Refused, match="at least one organisation"):
        sent_out(enquiry)
    invited(enquiry)
    first = sent_out(enquiry)
    _changed(enquiry, is_left_out=True)
    with pytest.raises(Refused, match="note"):
        sent_out(enquiry)
    second = sent_out(enquiry, "SIG-05 is dropped.")
    ids = [{each.id for each in issued_sheet(row).asked.requirements} for row in (first, second)]
    assert ids[0] - ids[1] == {"SIG-05"}
    assert (first.number, second.number) == (0, 1)
    with pytest.raises(Refused, match="closed"):
        sent_out(enquiry, "Too late.", now=CLOSES)


def test_files_are_sealed_until_two_persons_open_and_late_ones_stay_sealed():
    enquiry = drafted(ProjectFactory())
    bidder, late = invited(enquiry, "A (invented)", "B (invented)")
    amendment = sent_out(enquiry)
    data = technical_file(amendment)
    in_time = received(bidder, data, now=CLOSES - timedelta(seconds=1))
    too_late = received(late, data, now=CLOSES)
    assert (in_time.is_late, too_late.is_late) == (False, True)
    one = member(enquiry.project, Role.BUYER)
    ask = {"enquiry": enquiry, "part": Part.TECHNICAL, "person": one}
    with pytest.raises(Refused, match="before the closing time"):
        opening_confirm(password=PASSWORD, now=CLOSES - timedelta(seconds=1), **ask)
    with pytest.raises(Refused, match="not your password"):
        opening_confirm(password="wrong", now=AFTER, **ask)
    assert opening_confirm(password=PASSWORD, now=AFTER, **ask).opened_at is None
    with pytest.raises(Refused, match="second person"):
        opening_confirm(password=PASSWORD, now=AFTER, **ask)
    assert not Envelope.objects.exclude(opened_at=None).exists()
    other = member(enquiry.project, Role.OWNER)
    opening_confirm(enquiry=enquiry, part=Part.TECHNICAL, person=other, password=PASSWORD, now=AFTER)
    in_time.refresh_from_db()
    too_late.refresh_from_db()
    assert (in_time.opened_at, too_late.opened_at) == (AFTER, None)
    late_decide(envelope=too_late, accepted=True, reason="Carrier's delay", author=other, now=AFTER)
    too_late.refresh_from_db()
    assert too_late.opened_at == AFTER


def test_one_person_opens_where_the_enquiry_says_so():
    enquiry = drafted(ProjectFactory())
    enquiry.one_person_opening = True
    enquiry.save()
    (bidder,) = invited(enquiry)
    amendment = sent_out(enquiry)
    assert issued_sheet(amendment).one_person_opening
    received(bidder, technical_file(amendment))
    person = member(enquiry.project, Role.OWNER)
    opening = opening_confirm(
        enquiry=enquiry, part=Part.TECHNICAL, person=person, password=PASSWORD, now=AFTER
    )
    assert opening.opened_at == AFTER


def test_an_opened_form_is_read_judged_and_decided_by_people():
    enquiry, envelope = at_opening(ProjectFactory())
    person = member(enquiry.project, Role.EVALUATOR)
    form_read(envelope=envelope, author=person, now=AFTER)
    offer = envelope.offer
    found = judged(enquiry, offer)
    assert (found.standings["SIG-05"], found.standings["SIG-02"]) == ("comply", "no reply")
    assert next(each for each in found.check.bill if each.key == "junction_box").difference == "fewer"
    assert not found.passes
    put = {"offer": offer, "requirement": "SIG-05", "agreed": True, "author": person, "now": AFTER}
    with pytest.raises(Refused, match="say why"):
        decision_put(standing="deviate", reason="", **put)
    decision_put(standing="deviate", reason="Curve shows 1.8 mm.", **put)
    assert judged(enquiry, offer).standings["SIG-05"] == "deviate"


def test_evaluators_blind_to_each_other_decide_alone_before_a_figure_is_agreed(client):
    enquiry, envelope = at_opening(ProjectFactory())
    type(enquiry).objects.filter(pk=enquiry.pk).update(blind_evaluation=True)
    enquiry.refresh_from_db()
    first, second = (member(enquiry.project, Role.EVALUATOR) for _ in range(2))
    form_read(envelope=envelope, author=first, now=AFTER)
    offer = envelope.offer
    offer.bidder.enquiry = enquiry
    put = {"offer": offer, "requirement": "SIG-05", "now": AFTER}
    with pytest.raises(Refused, match="decide for themselves first"):
        decision_put(standing="comply", reason="", agreed=True, author=first, **put)
    decision_put(standing="partial", reason="SEEN-BY-ONE", agreed=False, author=first, **put)
    address = reverse("bids:reply-show", args=[enquiry.project_id, enquiry.pk, offer.pk, "SIG-05"])
    client.force_login(second)
    assert "SEEN-BY-ONE" not in client.get(address).content.decode()
    with pytest.raises(Refused, match="decide for themselves first"):
        decision_put(standing="comply", reason="", agreed=True, author=second, **put)
    decision_put(standing="comply", reason="", agreed=False, author=second, **put)
    assert "SEEN-BY-ONE" in client.get(address).content.decode()
    assert judged(enquiry, offer).standings["SIG-05"] == "comply", "as proposed, until one is agreed"
    decision_put(standing="partial", reason="Talked over.", agreed=True, author=second, **put)
    assert judged(enquiry, offer).standings["SIG-05"] == "partial"


def test_a_reply_entered_on_behalf_has_its_page_and_goes_over_the_bidders_own():
    enquiry, envelope = at_opening(ProjectFactory())
    person = member(enquiry.project, Role.EVALUATOR)
    form_read(envelope=envelope, author=person, now=AFTER)
    told = {"claim": "complies", "offered": "3 %", "remark": "", "file": "letter.pdf", "page": "2"}
    reply_transcribe(offer=envelope.offer, requirement="SIG-02", told=told, author=person, now=AFTER)
    found = judged(enquiry, envelope.offer)
    assert found.standings["SIG-02"] == "comply"
    own = envelope.read.content["replies"]
    assert next(each for each in own if each["requirement"] == "SIG-02")["offered"] == "as per standard"


def test_questions_are_numbered_for_each_bidder_alone():
    enquiry, envelope = at_opening(ProjectFactory())
    bidder = envelope.offer.bidder
    bidder.enquiry = enquiry
    ask = {"requirement": "SIG-02", "question": "Which figure?", "author": enquiry.created_by, "now": AFTER}
    first = clarification_ask(bidders=[bidder], **ask)
    second = clarification_ask(bidders=[bidder], **ask)
    assert [row.number for row in (*first, *second)] == [1, 2]


def test_prices_of_offers_that_are_not_acceptable_stay_sealed():
    enquiry = drafted(ProjectFactory())
    enquiry.terms["settings"]["pass_mark"] = 0
    enquiry.save()
    good, bad = invited(enquiry, "Good (invented)", "Bad (invented)")
    amendment = sent_out(enquiry)
    money = price_file(amendment, ("terms", "term:currency", "text", "EUR"))
    files = {}
    for bidder in (good, bad):
        received(bidder, technical_file(amendment))
        files[bidder.name] = received(bidder, money, Part.PRICE)
    late = [received(bidder, money, Part.PRICE, CLOSES) for bidder in (good, bad)]
    late_technical = received(good, technical_file(amendment), now=CLOSES)
    opened(enquiry)
    person = member(enquiry.project, Role.OWNER)
    offer = files["Good (invented)"].offer
    for requirement in judged(enquiry, offer).knocked_out:
        decision_put(
            offer=offer,
            requirement=requirement.id,
            standing="comply",
            reason="Shown at the meeting.",
            agreed=True,
            author=person,
            now=AFTER,
        )
    sign = {
        "enquiry": enquiry,
        "offer": None,
        "text": "",
        "person": person,
        "password": PASSWORD,
        "now": AFTER,
    }
    with pytest.raises(Refused, match="not its next step"):
        stage_sign(stage=Stage.AWARDED, **sign)
    stage_sign(stage=Stage.DECIDED, **sign)
    enquiry.refresh_from_db()
    opened(enquiry, Part.PRICE)
    for file in files.values():
        file.refresh_from_db()
    assert files["Good (invented)"].opened_at == AFTER
    assert files["Bad (invented)"].opened_at is None
    enquiry.refresh_from_db()
    assert enquiry.stage == Stage.PRICED
    told = {"reason": "Carrier's delay", "author": person, "now": AFTER}
    let_in = [late_decide(envelope=file, accepted=True, **told).opened_at for file in late]
    assert let_in == [AFTER, None]
    with pytest.raises(Refused, match="not let in any more"):
        late_decide(envelope=late_technical, accepted=True, **told)
    assert late_decide(envelope=late_technical, accepted=False, **told).opened_at is None
