"""Every step in the life of a comment: whole or not at all, with a record of who did it.

The caller has made sure that the author may do it; who may close what is decided here, because it depends
on the comment.
"""

import secrets
from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256
from typing import Any

from django.db import transaction
from django.db.models import Max

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.projects.deciding.overrides import override_set
from specapp.projects.models import Machine
from specapp.review.attachments import MOST_OF_A_COMMENT, Paper
from specapp.review.errors import NotNow, StaleComment
from specapp.review.models import (
    LONGEST_REASON,
    LONGEST_TEXT,
    Attachment,
    Closes,
    Comment,
    Entry,
    Origin,
    ReplyCode,
    State,
    Step,
)
from specapp.review.models.comments import LONGEST_VALUE
from specapp.revisions.models import Revision


@dataclass(frozen=True, slots=True)
class Place:
    """What a comment belongs to; everything empty is the whole document. Lengths in mm of the drawing.

    `item_digest` and `value_then` are what stands there as the comment is written.
    """

    item: str = ""
    field: str = ""
    item_digest: str = ""
    value_then: str = ""
    note: str = ""
    scene: str = ""
    scene_digest: str = ""
    x_mm: float | None = None
    y_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Said:
    """What a comment says. `proposed` is a value as an override holds it, `proposed_text` as it was typed."""

    text: str
    category: str
    discipline: str
    audience: str
    due_date: date | None = None
    proposed: Any = None
    proposed_text: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a comment or reply comes from; `id` makes the same one recognised when it is brought again."""

    origin: str = Origin.PAGE
    id: str = ""
    person: str = ""


WRITTEN_HERE = Source()
# Rows that the caller has read, so that they need not be looked for again.
_NOT_TYPED = ["machine", "author", "proposed", "revision", "content", "carried_to", "adopted"]


@transaction.atomic
def comment_add(
    *,
    machine: Machine,
    place: Place,
    said: Said,
    author: User,
    now: datetime,
    paper: Paper | None = None,
    source: Source = WRITTEN_HERE,
    on: Revision | None = None,
) -> Comment:
    """Add a comment under the machine's next number, on a revision or on the working draft.

    Raises `InputErrors` for a text that cannot be kept.
    """
    text = _told(said.text, "text", LONGEST_TEXT)
    locked = (
        Machine.objects.select_for_update(of=("self",)).only("pk", "version", "project_id").get(pk=machine.pk)
    )
    last = Comment.objects.filter(machine=locked).aggregate(last=Max("number"))["last"] or 0
    comment = Comment(
        machine=machine,
        number=last + 1,
        uid=secrets.token_hex(8),
        machine_version=locked.version if on is None else on.machine_version,
        revision=on,
        content_id=None if on is None else on.content_id,
        item=place.item,
        field=place.field,
        item_digest=place.item_digest,
        value_then=place.value_then[:LONGEST_VALUE],
        place_note=place.note,
        scene=place.scene,
        scene_digest=place.scene_digest,
        x_mm=place.x_mm,
        y_mm=place.y_mm,
        width_mm=place.width_mm,
        height_mm=place.height_mm,
        text=text,
        category=said.category,
        discipline=said.discipline,
        audience=said.audience,
        due_date=said.due_date,
        proposed=said.proposed,
        proposed_text=said.proposed_text,
        origin=source.origin,
        origin_id=source.id,
        author=author,
        author_outside=source.person,
        written_at=now,
    )
    comment.clean_fields(exclude=_NOT_TYPED)
    comment.save(force_insert=True)
    if paper is not None:
        _attach(comment, paper, author, now)
    _record(
        "comment.add",
        comment,
        author,
        now,
        place=_as_data(place),
        text=text,
        said=_as_data(replace(said, text="")),
        **({} if on is None else {"revision": on.label}),
    )
    return comment


@transaction.atomic
def comment_change(
    *, comment: Comment, expected_version: int, said: Said, author: User, now: datetime
) -> Comment:
    """Change what a comment says, by whoever wrote it and before anyone has answered.

    Raises `NotNow`, `StaleComment` and `InputErrors`.
    """
    row = _locked(comment, expected_version)
    if row.author_id != author.pk:
        raise NotNow("Only whoever wrote a comment changes it; others answer it.")
    if row.state != State.OPEN or row.entries.exclude(step=Step.CHANGE).exists():
        raise NotNow("It is answered already: what was answered stays as it was written.")
    text = _told(said.text, "text", LONGEST_TEXT)
    was = {"text": row.text, "category": row.category, "due": _plain(row.due_date), "audience": row.audience}
    row.text, row.category, row.discipline = text, said.category, said.discipline
    row.due_date, row.audience = said.due_date, said.audience
    row.clean_fields(exclude=_NOT_TYPED)
    Entry.objects.create(comment=row, step=Step.CHANGE, text=was["text"], author=author, written_at=now)
    return _saved(row, "comment.change", author, now, was=was, text=text)


@transaction.atomic
def comment_reply(
    *,
    comment: Comment,
    expected_version: int | None,
    text: str,
    code: ReplyCode | None,
    author: User,
    now: datetime,
    paper: Paper | None = None,
    source: Source = WRITTEN_HERE,
) -> Comment:
    """Add a reply; one with a code answers the comment, or closes it where the code says so.

    `expected_version` is None for a reply brought in a workbook. Raises `StaleComment`, `NotNow` for a
    closed comment, and `InputErrors` where nothing is written: every comment gets a written reply.
    """
    row = _locked(comment, expected_version)
    if row.state == State.CLOSED:
        raise NotNow("It is closed. Open it again, with a reason, to go on.")
    told = _told(text, "reply", LONGEST_TEXT)
    facts: dict[str, Any] = {}
    if code is not None:
        facts = {
            "code": code.code,
            "code_meaning": code.meaning,
            "may_proceed": code.may_proceed,
            "resubmit": code.resubmit,
            "closes": code.closes,
        }
        row.state = State.CLOSED if code.closes == Closes.REPLY else State.ANSWERED
    Entry.objects.create(
        comment=row,
        step=Step.REPLY,
        text=told,
        author=author,
        author_outside=source.person,
        written_at=now,
        origin_id=source.id,
        **facts,
    )
    if paper is not None:
        _attach(row, paper, author, now)
    return _saved(row, "comment.reply", author, now, text=told, **facts)


@transaction.atomic
def comment_close(
    *, comment: Comment, expected_version: int, reason: str, may_answer: bool, author: User, now: datetime
) -> Comment:
    """Close a comment: its commenter as he likes, whoever answers comments on behalf, with a reason.

    The lead needs none where the last reply's code says that the lead closes. Raises `NotNow`,
    `StaleComment` and `InputErrors`.
    """
    row = _locked(comment, expected_version)
    if row.state == State.CLOSED:
        raise NotNow("It is closed already.")
    is_own = row.author_id == author.pk and not row.author_outside
    if not is_own and not may_answer:
        raise NotNow("Only its commenter closes it, or whoever answers comments, with a reason.")
    last = row.entries.filter(step=Step.REPLY).exclude(code="").last()
    by_lead = last is not None and last.closes == Closes.LEAD
    on_behalf = not is_own and not by_lead
    told = _told(reason, "reason", LONGEST_REASON) if on_behalf else reason.strip()[:LONGEST_REASON]
    row.state = State.CLOSED
    Entry.objects.create(
        comment=row, step=Step.CLOSE, text=told, on_behalf=on_behalf, author=author, written_at=now
    )
    return _saved(row, "comment.close", author, now, reason=told, on_behalf=on_behalf)


@transaction.atomic
def comment_reopen(
    *, comment: Comment, expected_version: int, reason: str, author: User, now: datetime
) -> Comment:
    """Open an answered or closed comment again, with a reason."""
    row = _locked(comment, expected_version)
    if row.state == State.OPEN:
        raise NotNow("It is open already.")
    told = _told(reason, "reason", LONGEST_REASON)
    row.state = State.OPEN
    Entry.objects.create(comment=row, step=Step.REOPEN, text=told, author=author, written_at=now)
    return _saved(row, "comment.reopen", author, now, reason=told)


@transaction.atomic
def comment_adopt(
    *,
    comment: Comment,
    expected_version: int,
    machine_version: int,
    reason: str,
    author: User,
    now: datetime,
) -> Comment:
    """Set the value a comment proposes as an override; its reason names the comment, then `reason`.

    The reason is printed for every reader of the value, so what an internal comment says is not put into
    it unasked.

    The change is the adopter's, as every override is its author's. Raises `NotNow`, `StaleComment`, and
    what `override_set` raises: `StaleVersion`, `InputErrors`.
    """
    row = _locked(comment, expected_version)
    if row.proposed is None:
        raise NotNow("It proposes no value.")
    if row.state == State.CLOSED:
        raise NotNow("It is closed. Open it again, with a reason, to go on.")
    if row.adopted is not None and row.adopted.undone_at is None:
        raise NotNow("Its value is adopted already.")
    told = f"Comment {row.number}, {row.said_by}, {row.written_at:%Y-%m-%d}"
    if reason.strip():
        told = f"{told}: {' '.join(reason.split())}"
    row.adopted = override_set(
        machine=row.machine,
        expected_version=machine_version,
        item=row.item,
        field=row.field,
        value=row.proposed,
        reason=told if len(told) <= LONGEST_REASON else f"{told[: LONGEST_REASON - 2]} …",
        author=author,
        now=now,
    )
    Entry.objects.create(comment=row, step=Step.ADOPT, text=row.proposed_text, author=author, written_at=now)
    return _saved(row, "comment.adopt", author, now, override=row.adopted.pk, value=row.proposed)


@transaction.atomic
def comment_attach(*, comment: Comment, paper: Paper, author: User, now: datetime) -> Attachment:
    """Keep a paper with a comment. Raises `NotNow` where it is closed or has as many as it may."""
    row = Comment.objects.select_for_update(of=("self",)).get(pk=comment.pk)
    if row.state == State.CLOSED:
        raise NotNow("It is closed. Open it again, with a reason, to go on.")
    return _attach(row, paper, author, now)


def _attach(comment: Comment, paper: Paper, author: User, now: datetime) -> Attachment:
    if comment.attachments.count() >= MOST_OF_A_COMMENT:
        raise NotNow(f"A comment holds at most {MOST_OF_A_COMMENT} attachments.")
    row = Attachment.objects.create(
        comment=comment,
        name=paper.name,
        kind=paper.kind,
        size=len(paper.content),
        sha256=sha256(paper.content).hexdigest(),
        content=paper.content,
        author=author,
        added_at=now,
    )
    _record("comment.attach", comment, author, now, name=row.name, size=row.size, sha256=row.sha256)
    return row


def _locked(comment: Comment, expected_version: int | None) -> Comment:
    # Read with it only what never changes: after waiting for another, the rest would be that of before.
    row = (
        Comment.objects.select_for_update(of=("self",)).select_related("machine", "author").get(pk=comment.pk)
    )
    if expected_version is not None and row.version != expected_version:
        raise StaleComment(row)
    return row


def _saved(row: Comment, action: str, author: User, now: datetime, **data: Any) -> Comment:
    row.version += 1
    row.save()
    _record(action, row, author, now, **data)
    return row


def _told(text: str, name: str, longest: int) -> str:
    told = "".join(char for char in text.replace("\r\n", "\n") if char == "\n" or char >= " ").strip()
    if not told:
        raise InputErrors([Problem(name, NOTHING, "a text")])
    if len(told) > longest:
        raise InputErrors([Problem(name, shown(told), f"at most {longest} characters")])
    return told


def _as_data(record: Place | Said) -> dict[str, Any]:
    found = {name: getattr(record, name) for name in record.__slots__}
    return {name: _plain(value) for name, value in found.items() if value not in ("", None)}


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def _record(action: str, row: Comment, author: User, now: datetime, **data: Any) -> None:
    entry_append(
        author=author,
        action=action,
        subject=row,
        now=now,
        project_id=row.machine.project_id,
        # Not under the names by which a point's page finds its history: that page knows no audience.
        data={"of_machine": row.machine_id, "number": row.number, **data},
    )
