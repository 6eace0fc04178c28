"""Who gets what at the addresses of enquiries; the whole matrix is in tests/health/test_urls.py."""

from specapp.bids.models import Enquiry
from tests.bids.making import drafted, issued_for_enquiry, opened_with

# Price and judgement of offers are for those who buy: a reader of the project is told no.
_READING = (302, 404, 403, 403, 200, 200)
_WRITING = (302, 404, 403, 403, 422, 422)
_NEVER = (302, 405, 405, 405, 405, 405)

MATRIX = {
    "bids:enquiry-list": (_READING, _NEVER),
    "bids:enquiry-new": (_READING, _WRITING),
    "bids:enquiry-show": (_READING, _NEVER),
    "bids:terms-edit": (_READING, _WRITING),
    "bids:bidder-add": (_NEVER, _WRITING),
    "bids:enquiry-send": (_NEVER, (302, 404, 403, 403, 409, 409)),
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
}

_OF_OFFERS = frozenset(
    name
    for name in MATRIX
    if name.startswith(("bids:file-", "bids:offer", "bids:reply", "bids:enquiry-sign"))
)


def place(name, project, machine):
    """Return the parts of an address; the rows it needs are made once a project."""
    if name in ("bids:enquiry-list", "bids:enquiry-new"):
        return [project.pk]
    enquiry = Enquiry.objects.filter(project=project).first()
    if enquiry is None:
        enquiry = drafted(project, issue=issued_for_enquiry(project, machine))
        if name in _OF_OFFERS:
            opened_with(enquiry)
    if name not in _OF_OFFERS:
        one = {
            "bids:requirement-edit": lambda: [enquiry.requirements.first().pk],
            "bids:form-file": lambda: ["technical"],
            "bids:paper-file": lambda: ["responsibility"],
        }.get(name, list)
        return [project.pk, enquiry.pk, *one()]
    offer = enquiry.bidders.first().offers.first()
    envelope = offer.envelopes.first()
    last = {
        "bids:file-receive": lambda: [enquiry.bidders.first().pk],
        "bids:file-show": lambda: [envelope.pk],
        "bids:file-late": lambda: [envelope.pk],
        "bids:file-read": lambda: [envelope.pk],
        "bids:offers-open": lambda: ["technical"],
        "bids:enquiry-sign": lambda: ["decided"],
        "bids:offer-show": lambda: [offer.pk],
        "bids:reply-show": lambda: [offer.pk, "SIG-05"],
    }.get(name, list)
    return [project.pk, enquiry.pk, *last()]
