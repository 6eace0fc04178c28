"""An enquiry in whose every corner a secret is planted, and one bidder who may learn none of them."""

from specapp.bids.models import DecidedLoad, Envelope, Part
from specapp.bids.services.bidding import enquiry_decline
from specapp.bids.services.enquiring import requirement_change
from specapp.bids.services.evaluating import (
    clarification_answer,
    clarification_ask,
    decision_put,
    form_read,
    reply_transcribe,
    stage_sign,
)
from specapp.bids.services.receiving import envelope_receive, late_decide
from specapp.core.roles import Role
from specapp.projects.models import Membership
from tests.bids.making import (
    AFTER,
    CLOSES,
    bidding_person,
    drafted,
    invited,
    issued_for_enquiry,
    opened,
    price_file,
    sent_out,
    technical_file,
)
from tests.factories import NOW, PASSWORD, ProjectFactory, UserFactory, machine_of
from tests.review.commenting import commented

# Each is found nowhere else: a word, or a figure for what is weighed or priced.
SECRETS = (
    WEIGHT := "7.71239",
    PASS_MARK := "63.1729",
    PRICE := "918273",
    CHANGED := "zqchangedbecause",
    LEFT_OUT := "zqleftoutbecause",
    RIVAL := "Zqrival Instruments",
    CONTACT := "Zqcontact",
    MAIL := "zqmail@rival.example",
    QUESTION := "zqrivalquestion",
    ANSWER := "zqrivalanswer",
    REPLY := "zqrivalreply",
    FILE := "zqrivalfile",
    ENTERED := "zqenteredforit",
    DECIDED := "zqdecidedbecause",
    SIGNED := "zqsignedbecause",
    LOADED := "zqloadedbecause",
    LOAD := "817263",
    LATE := "zqlatebecause",
    DECLINED := "zqdeclinedbecause",
    PERSON := "Zqperson",
    COMMENT := "zqcomment",
    MACHINE := "zqmachinetext",
    RECIPIENTS := "zqrecipients",
    UNISSUED := "ZQUNISSUED",
    CLIENT := "Zqclient",
)


def planted():
    """Return a bidder and its person in an enquiry recommended, full of secrets of others."""
    project = ProjectFactory(client=CLIENT)
    owner = _named(project, Role.OWNER)
    machine = machine_of(project, owner, "contract_example", service=MACHINE)
    commented(machine, owner, text=COMMENT)
    issue = issued_for_enquiry(project, machine, recipients=RECIPIENTS)
    type(issue.issued_by).objects.filter(pk=issue.issued_by_id).update(name=f"{PERSON} Issuer")
    issue.refresh_from_db()
    drafted(project, UNISSUED, issue)
    enquiry = drafted(project, "ENQ-1", issue)
    enquiry.terms["settings"]["pass_mark"] = float(PASS_MARK)
    enquiry.save()
    _changed(enquiry, owner, "SIG-05", CHANGED, weight=float(WEIGHT))
    _changed(enquiry, owner, "SIG-06", LEFT_OUT, is_left_out=True)
    own, rival, without = invited(enquiry, "Northmark (invented)", RIVAL, f"{RIVAL} Second")
    type(rival).objects.filter(pk=rival.pk).update(contact=CONTACT, email=MAIL)
    person, other = bidding_person(own), bidding_person(rival)
    type(other).objects.filter(pk=other.pk).update(name=f"{PERSON} Rival", username="zqpersonname")
    amendment = sent_out(enquiry)
    enquiry_decline(bidder=without, reason=DECLINED, author=bidding_person(without), now=NOW)
    for bidder, who, word in ((own, person, "2.2 mm"), (rival, other, REPLY)):
        told = (("requirements", "SIG-05", "offered", word),)
        _sent(bidder, who, technical_file(amendment, *told), Part.TECHNICAL, f"{_file(word)}.xlsx")
    term = ("terms", "term:currency", "text", "EUR")
    price = ("services", "service:training", "price", float(PRICE))
    stated = ("services", "service:training", "state", "price")
    _sent(rival, other, price_file(amendment, term, stated, price), Part.PRICE, f"{FILE}2.xlsx")
    late = _sent(rival, other, b"%PDF-1.4 late", Part.TECHNICAL, f"{FILE}.pdf", CLOSES)
    opened(enquiry)
    late_decide(envelope=late, accepted=False, reason=LATE, author=owner, now=AFTER)
    _judged(enquiry, owner, own, rival)
    return own, person


def _file(word):
    return FILE if word == REPLY else "offer"


def _named(project, role):
    person = UserFactory(name=f"{PERSON} {role.label}")
    Membership.objects.create(project=project, user=person, role=role)
    return person


def _changed(enquiry, author, key, reason, **changed):
    row = enquiry.requirements.get(key=key)
    requirement_change(
        requirement=row, version=row.version, changed=changed, reason=reason, author=author, now=NOW
    )


def _sent(bidder, person, data, part, name, now=NOW):
    return envelope_receive(
        bidder=bidder, label="base", part=part, name=name, data=data, on_behalf=False, author=person, now=now
    )


def _judged(enquiry, author, own, rival):
    told = {"author": author, "now": AFTER}
    for bidder in (own, rival):
        offer = bidder.offers.get()
        form_read(envelope=Envelope.objects.get(offer=offer, part=Part.TECHNICAL, version=1), **told)
        entered = {"claim": "", "offered": ENTERED, "remark": ENTERED, "file": "a.pdf", "page": "2"}
        reply_transcribe(offer=offer, requirement="SIG-02", told=entered, **told)
        put = {"offer": offer, "requirement": "SIG-05", "standing": "partial", "reason": DECIDED}
        decision_put(agreed=True, **put, **told)
        DecidedLoad.objects.create(
            offer=offer,
            item="packing",
            amount=float(LOAD),
            currency="USD",
            reason=LOADED,
            decided_at=AFTER,
            decided_by=author,
            decided_by_name=author.get_full_name(),
        )
    (asked,) = clarification_ask(bidders=[rival], requirement="SIG-02", question=QUESTION, **told)
    clarification_answer(clarification=asked, answer=ANSWER, evidence="", **told)
    clarification_ask(bidders=[own], requirement="SIG-02", question="Which error?", **told)
    author.set_password(PASSWORD)
    author.save()
    sign = {"enquiry": enquiry, "person": author, "password": PASSWORD, "now": AFTER}
    stage_sign(stage="DECIDED", offer=None, text=SIGNED, **sign)
