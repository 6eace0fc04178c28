"""Who gets what at the addresses of the review; the whole matrix is in tests/health/test_urls.py."""

from datetime import timedelta

from specapp.review.attachments import paper_of
from specapp.review.services.comments import comment_attach
from specapp.review.services.rounds import round_open
from tests.factories import NOW
from tests.review.commenting import commented
from tests.revisions.issuing import frozen

_SIGNED_IN = (302, 200, 200, 200, 200, 200)
_READING = (302, 404, 403, 200, 200, 200)
_WRITING = (302, 404, 403, 403, 422, 422)
_NEVER = (302, 405, 405, 405, 405, 405)

MATRIX = {
    "review:my-reviews": (_SIGNED_IN, _NEVER),
    "review:code-list": (_READING, (302, 404, 403, 403, 403, 422)),
    "review:comment-list": (_READING, _NEVER),
    "review:comment-new": ((302, 404, 403, 403, 200, 200), _WRITING),
    "review:comment-news": ((302, 404, 403, 302, 302, 302), _NEVER),
    "review:comment-show": (_READING, _WRITING),
    "review:attachment-show": (_READING, _NEVER),
    "review:exchange": (_READING, _WRITING),
    "review:exchange-file": (_READING, _NEVER),
    "review:item-comments": (_READING, _NEVER),
    "review:change-list": (_READING, _NEVER),
    "review:look-list": (_READING, (302, 404, 403, 403, 302, 302)),
    "review:round-list": (_READING, _WRITING),
    "review:round-show": (_READING, _WRITING),
    "review:comment-fates": (_READING, (302, 404, 403, 403, 302, 302)),
}


def place(name, project, machine):
    """Return the parts of an address, with the rows that it needs."""
    if name == "review:my-reviews":
        return []
    if name == "review:code-list":
        return [project.pk]
    of_machine = [project.pk, machine.pk]
    if name == "review:exchange-file":
        return [*of_machine, "pdf"]
    if name == "review:round-show":
        return [*of_machine, asked(machine).pk]
    if name == "review:comment-fates":
        held = machine.revisions.first() or frozen(machine, author=machine.created_by)
        return [*of_machine, held.pk]
    if name not in ("review:comment-show", "review:attachment-show"):
        return of_machine
    comment = commented(machine)
    if name == "review:comment-show":
        return [*of_machine, comment.number]
    paper = paper_of("a.txt", b"a")
    kept = comment_attach(comment=comment, paper=paper, author=comment.author, now=NOW)
    return [*of_machine, comment.number, kept.pk]


def asked(machine, reviewers=(), lead=None, now=NOW, **more):
    """Return a round of review; without reviewers it asks whoever described the machine."""
    given = {"purpose": "Inter-discipline check", "due_date": (now + timedelta(days=14)).date(), **more}
    return round_open(
        machine=machine,
        lead=lead or machine.created_by,
        reviewers=reviewers or [machine.created_by],
        author=machine.created_by,
        now=now,
        **given,
    )
