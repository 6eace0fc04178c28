"""Who gets what at the addresses of enquiries; the whole matrix is in tests/health/test_urls.py."""

from specapp.bids.models import Bidder, Enquiry
from specapp.bids.services.evaluating import clarification_ask
from specapp.core.models import User
from specapp.core.roles import Role
from tests.bids.making import drafted, invited, issued_for_enquiry, opened_with, sent_out
from tests.factories import NOW

# Price and judgement of offers are for those who buy: a reader of the project is told no.
_READING = (302, 404, 403, 403, 200, 200)
_WRITING = (302, 404, 403, 403, 422, 422)
_NEVER = (302, 405, 405, 405, 405, 405)

# A bidder finds what its organisation was asked and nothing of an enquiry; all others find none of its pages.
_BIDDING = (302, 404, 200, 404, 404, 404)
_SENDING = (302, 404, 422, 404, 404, 404)

MATRIX = {
    "bids:bidding-list": ((302, 200, 200, 200, 200, 200), _NEVER),
    "bids:bidding-show": (_BIDDING, _NEVER),
    "bids:bidding-form": (_BIDDING, _NEVER),
    "bids:bidding-paper": (_BIDDING, _NEVER),
    "bids:bidding-send": (_NEVER, _SENDING),
    "bids:bidding-answer": (_NEVER, _SENDING),
    "bids:bidding-acknowledge": (_NEVER, (302, 404, 302, 404, 404, 404)),
    "bids:bidding-decline": (_NEVER, _SENDING),
    "bids:bidding-take-back": (_NEVER, (302, 404, 409, 404, 404, 404)),
    "bids:enquiry-list": (_READING, _NEVER),
    "bids:enquiry-new": (_READING, _WRITING),
    "bids:enquiry-show": (_READING, _NEVER),
    "bids:terms-edit": (_READING, _WRITING),
    "bids:bidder-add": (_NEVER, _WRITING),
    "bids:enquiry-send": (_NEVER, (302, 404, 403, 403, 409, 409)),
    "bids:clause-list": (_READING, _NEVER),
    "bids:clause-edit": (_READING, _WRITING),
    "bids:documents-edit": (_READING, _WRITING),
    "bids:items-edit": (_READING, _WRITING),
    "bids:requirement-new": (_READING, _WRITING),
    "bids:closing-move": (_READING, _WRITING),
    "bids:enquiry-cancel": (_READING, _WRITING),
    "bids:bidder-show": (_READING, _WRITING),
    "bids:acknowledgement-enter": (_NEVER, _WRITING),
    "bids:clarification-log": (_READING, _WRITING),
    "bids:clarification-enter": (_NEVER, _WRITING),
    "bids:requirement-list": (_READING, _NEVER),
    "bids:requirement-edit": (_READING, _WRITING),
    "bids:as-bidder": (_READING, _NEVER),
    "bids:form-file": (_READING, _NEVER),
    "bids:paper-file": (_READING, _NEVER),
    "bids:file-receive": (_NEVER, _WRITING),
    "bids:file-show": (_READING, _NEVER),
    "bids:file-late": (_NEVER, _WRITING),
    "bids:file-read": (_NEVER, (302, 404, 403, 403, 302, 302)),
    "bids:offers-open": (_READING, _WRITING),
    "bids:enquiry-sign": (_READING, _WRITING),
    "bids:offer-show": (_READING, _NEVER),
    "bids:reply-show": (_READING, _WRITING),
    "bids:load-show": (_READING, _WRITING),
    "bids:bidding-letter": ((302, 404, 404, 404, 404, 404), _NEVER),
    "bids:purchase-show": (_READING, _NEVER),
    # Before the award nothing is purchased and nobody gets a letter.
    "bids:purchase-report": ((302, 404, 403, 403, 409, 409), _NEVER),
    "bids:letter-file": ((302, 404, 403, 403, 403, 409), _NEVER),
    "bids:comparison-show": (_READING, _NEVER),
    "bids:evaluation-show": (_READING, _NEVER),
    # Nothing is reported before the prices are open.
    "bids:evaluation-report": ((302, 404, 403, 403, 409, 409), _NEVER),
}

_OF_BIDDERS = ("bids:bidder-show", "bids:letter-file", "bids:acknowledgement", "bids:clarification")
OF_OFFERS = frozenset(
    name
    for name in MATRIX
    if name.startswith(
        ("bids:file-", "bids:offer", "bids:reply", "bids:load", "bids:enquiry-sign", *_OF_BIDDERS)
    )
)


def place(name, project, machine):
    """Return the parts of an address; the rows it needs are made once a project."""
    if name in ("bids:enquiry-list", "bids:enquiry-new"):
        return [project.pk]
    if name.startswith("bids:bidding-"):
        return [] if name == "bids:bidding-list" else _bidding(name, project, machine)
    enquiry = Enquiry.objects.filter(project=project).first()
    if enquiry is None:
        enquiry = drafted(project, issue=issued_for_enquiry(project, machine))
        if name in OF_OFFERS:
            opened_with(enquiry)
    if name not in OF_OFFERS:
        one = {
            "bids:requirement-edit": lambda: [enquiry.requirements.first().pk],
            "bids:form-file": lambda: ["technical"],
            "bids:clause-edit": lambda: ["2.1"],
            "bids:paper-file": lambda: ["responsibility"],
            "bids:evaluation-report": lambda: ["pdf"],
        }.get(name, list)
        return [project.pk, enquiry.pk, *one()]
    offer = enquiry.bidders.first().offers.first()
    envelope = offer.envelopes.first()
    last = {
        "bids:file-receive": lambda: [enquiry.bidders.first().pk],
        "bids:bidder-show": lambda: [enquiry.bidders.first().pk],
        "bids:letter-file": lambda: [enquiry.bidders.first().pk],
        "bids:acknowledgement-enter": lambda: [enquiry.bidders.first().pk, 0],
        "bids:clarification-enter": lambda: [_asked(enquiry)],
        "bids:file-show": lambda: [envelope.pk],
        "bids:file-late": lambda: [envelope.pk],
        "bids:file-read": lambda: [envelope.pk],
        "bids:offers-open": lambda: ["technical"],
        "bids:enquiry-sign": lambda: ["decided"],
        "bids:offer-show": lambda: [offer.pk],
        "bids:reply-show": lambda: [offer.pk, "SIG-05"],
        "bids:load-show": lambda: [offer.pk, "training"],
    }.get(name, list)
    return [project.pk, enquiry.pk, *last()]


def _asked(enquiry):
    ask = {"requirement": "", "question": "Which?", "author": enquiry.created_by, "now": NOW}
    bidder = enquiry.bidders.first()
    return (bidder.clarifications.first() or clarification_ask(bidders=[bidder], **ask)[0]).pk


def _bidding(name, project, machine):
    bidder = Bidder.objects.filter(enquiry__project=project).first()
    if bidder is None:
        enquiry = drafted(project, issue=issued_for_enquiry(project, machine))
        (bidder,) = invited(enquiry)
        sent_out(enquiry)
        _asked(enquiry)
        bidder.people.set(User.objects.filter(memberships__project=project, memberships__role=Role.BIDDER))
    rest = {
        "bids:bidding-form": [0, "technical"],
        "bids:bidding-paper": [0, "responsibility"],
        "bids:bidding-answer": [1],
        "bids:bidding-acknowledge": [0],
    }
    return [bidder.code, *rest.get(name, ())]
