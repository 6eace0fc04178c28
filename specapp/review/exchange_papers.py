"""Comments as papers that go out: what the comment sheet and the comment workbook print."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from specapp.core.models import User
from specapp.core.roles import Right
from specapp.documents.clouds import clouded
from specapp.documents.comment_sheet import CommentLine, CommentSheet, MarkedDrawing
from specapp.documents.comment_workbook import Choices, Ticket
from specapp.documents.options import Options
from specapp.projects.models import PageSize
from specapp.review.clouding import clouding_of
from specapp.review.codes import reply_codes
from specapp.review.models import Audience, Category, Comment, Discipline, Entry, State, Step
from specapp.review.places import VALUE_FIELDS, scene_choices, scene_of
from specapp.review.presenting.drawing import marked_scene
from specapp.review.presenting.rows import STATE_SHAPES, day, is_overdue, made_on_text, where_text
from specapp.review.selectors import Filter, full
from specapp.review.views.common import Desk
from specapp.revisions.models import State as Stage
from specapp.revisions.services.numbering import purpose_words
from specapp.revisions.services.rendering import PAPER

MOST_PRINTED = 2000


@dataclass(frozen=True, slots=True)
class Outgoing:
    """Which comments go out, and to whom."""

    audience: str
    filter: Filter


def outgoing_comments(desk: Desk, person: User, wanted: Outgoing) -> QuerySet[Comment]:
    """Return the comments for an audience: the project's own people get all that the sender may read."""
    rows = wanted.filter.applied(desk.comments, person, desk.today, desk.keys_of(wanted.filter.item))
    return rows if wanted.audience == Audience.INTERNAL else rows.filter(audience=wanted.audience)


def comment_sheet_of(desk: Desk, person: User, wanted: Outgoing) -> CommentSheet:
    """Return the comments that go out, with the drawings they stand on."""
    rows = outgoing_comments(desk, person, wanted)
    comments = list(full(rows).select_related("adopted", "revision", "carried_to")[:MOST_PRINTED])
    count = len(comments) if len(comments) < MOST_PRINTED else rows.count()
    lines = {comment.pk: comment_line(comment, desk) for comment in comments}
    return CommentSheet(
        machine=desk.machine.tag,
        subject=subject_of(desk),
        audience=_audience_words(wanted.audience),
        selection=_selection(wanted.filter, len(comments), count),
        lines=tuple(lines.values()),
        drawings=_drawings(desk, wanted, comments, lines),
    )


def subject_of(desk: Desk) -> str:
    """Return what the comments lie beside, in words."""
    if desk.revision is not None:
        return f"revision {desk.revision.label}"
    return f"working draft v{desk.machine.version}" if desk.proposal is not None else "issued documents"


def sheet_options(desk: Desk, person: User) -> Options:
    """Return the title block of a comment sheet; its watermark says what the comments lie beside."""
    project = desk.access.project
    revision = desk.revision
    if revision is None:
        standing = "working draft, not issued" if desk.proposal is not None else "comments"
        watermark = "working" if desk.proposal is not None else "comments"
    elif revision.state == Stage.ISSUED:
        standing = f"revision {revision.label}, {purpose_words(revision.purpose)}"
        watermark = f"comments on issued revision {revision.label}"
    else:
        standing = f"{revision.get_state_display()} {revision.label}, not issued"
        watermark = f"{revision.get_state_display()}, not issued"
    return Options(
        page_size=PAPER[PageSize(project.page_size)],
        project=str(project),
        standing=f"invented, {standing}" if project.is_invented else standing,
        revision=revision.label if revision else "",
        issued_on=desk.today.isoformat(),
        prepared=person.get_full_name(),
        watermark=watermark,
    )


def ticket_of(desk: Desk, wanted: Outgoing, key: str) -> Ticket:
    return Ticket(
        machine=desk.machine.pk,
        revision=str(desk.revision.pk) if desk.revision else "",
        version=desk.machine.version,
        audience=wanted.audience,
        key=key,
    )


def choices_of(desk: Desk) -> Choices:
    codes = reply_codes(desk.access.project) if desk.access.may(Right.ANSWER_COMMENTS) else []
    return Choices(
        codes=[(code.code, code.meaning) for code in codes],
        fields=VALUE_FIELDS if desk.places is not None else (),
        categories=Category.labels,
        disciplines=Discipline.labels,
    )


def comment_line(comment: Comment, desk: Desk) -> CommentLine:
    where = ", ".join(part for part in (where_text(comment, desk.places), made_on_text(comment)) if part)
    entries = comment.entry_list
    codes = [entry.code for entry in entries if entry.code]
    late = ", overdue" if is_overdue(comment, desk.today) else ""
    return CommentLine(
        number=comment.number,
        uid=comment.uid,
        where=where,
        field=comment.field,
        category=comment.get_category_display(),
        discipline=comment.get_discipline_display(),
        due=comment.due_date.isoformat() if comment.due_date else "",
        by=comment.said_by,
        written=day(comment.written_at),
        text=comment.text,
        proposed=comment.proposed_text,
        replies=tuple(_entry_line(entry) for entry in entries),
        code=codes[-1] if codes and comment.state != State.OPEN else "",
        state=f"{STATE_SHAPES[State(comment.state)]} {comment.get_state_display()}{late}",
    )


def _entry_line(entry: Entry) -> str:
    what = entry.get_step_display()
    if entry.code:
        what = f"{what} {entry.code}, {entry.code_meaning}"
    if entry.on_behalf:
        what = f"{what} on behalf"
    text = f"was: {entry.text}" if entry.step == Step.CHANGE else entry.text
    head = f"{day(entry.written_at)} {entry.said_by}, {what}"
    return f"{head}: {text}" if text else head


def _drawings(
    desk: Desk, wanted: Outgoing, comments: Sequence[Comment], lines: dict[int, CommentLine]
) -> tuple[MarkedDrawing, ...]:
    """Return the drawings with clouds and marks; people outside get a drawing only of what was issued."""
    is_issued = desk.revision is not None and desk.revision.state == Stage.ISSUED
    if desk.proposal is None or (wanted.audience != Audience.INTERNAL and not is_issued):
        return ()
    against = clouding_of(desk.revision)
    found = []
    for name, _ in scene_choices(desk.proposal):
        on_it = [comment for comment in comments if comment.scene == name]
        if on_it:
            drawn = clouded(scene_of(desk.proposal, name), against.changes if against else None)
            scene = marked_scene(drawn, on_it)
            found.append(MarkedDrawing(scene, tuple(lines[comment.pk] for comment in on_it)))
    return tuple(found)


def _audience_words(audience: str) -> str:
    return "the project's own people" if audience == Audience.INTERNAL else f"the {Audience(audience).label}"


def _selection(wanted: Filter, printed: int, count: int) -> str:
    chosen: Iterable[str] = (
        State(wanted.state).label if wanted.state else "",
        Category(wanted.category).label if wanted.category else "",
        Discipline(wanted.discipline).label if wanted.discipline else "",
        "the sender's own" if wanted.mine else "",
        "overdue" if wanted.overdue else "",
        wanted.item,
    )
    told = ", ".join(part for part in chosen if part)
    text = f"Only: {told}." if told else "All of them."
    return f"{text} The first {printed} of {count}." if count > printed else text
