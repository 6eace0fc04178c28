"""Rows of the comment sheet as HTML: a page of a hundred is written by one function that joins strings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from urllib.parse import quote

from django.utils import timezone
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents.marks import FULL, HALF, OPEN
from specapp.documents.wording import NONE
from specapp.review.models import Attachment, Audience, Category, Comment, Discipline, Entry, State, Step
from specapp.review.places import Places, scene_title

STATE_SHAPES = {State.OPEN: OPEN, State.ANSWERED: HALF, State.CLOSED: FULL}
_CATEGORIES, _DISCIPLINES = dict(Category.choices), dict(Discipline.choices)
_AUDIENCES, _STATES, _STEPS = dict(Audience.choices), dict(State.choices), dict(Step.choices)
COLUMNS = ("No.", "Where", "Comment", "By", "Due", "State")


@dataclass(frozen=True, slots=True)
class Reading:
    """Who reads the rows, and what they need to know; `places` is None for who may not read the draft."""

    list_url: str
    points_url: str
    places: Places | None
    today: date
    stand: str = ""
    labels: Mapping[int, str] = field(default_factory=dict)
    against: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    changed_scenes: Mapping[str, str] = field(default_factory=dict)


def rows_html(comments: Iterable[Comment], reading: Reading) -> SafeString:
    return SafeString("".join(_row(comment, reading) for comment in comments))


def where_text(comment: Comment, places: Places | None) -> str:
    """Return what a comment belongs to, in words, for papers."""
    name = (places.names.get(comment.item) if places else None) or comment.item
    parts = [name or ("" if comment.scene else "whole document")]
    if comment.field:
        parts.append(comment.field)
    if comment.place_note:
        parts.append(comment.place_note)
    if comment.scene:
        parts.append(f"{scene_title(comment.scene)}, {comment.x_mm:g} / {comment.y_mm:g} mm")
    return ", ".join(part for part in parts if part)


def is_overdue(comment: Comment, today: date) -> bool:
    return comment.state == State.OPEN and comment.due_date is not None and comment.due_date < today


def day(moment: datetime) -> str:
    return f"{timezone.localtime(moment):%Y-%m-%d}"


def state_html(state: str) -> SafeString:
    shape = STATE_SHAPES[State(state)]
    return SafeString(f'<span class="state"><span aria-hidden="true">{shape}</span> {_STATES[state]}</span>')


def _row(comment: Comment, reading: Reading) -> str:
    late = is_overdue(comment, reading.today)
    due = comment.due_date.isoformat() if comment.due_date else NONE
    if late:
        due = f'<span class="needs-you">{due}<br>overdue</span>'
    number = comment.number
    own = f"{reading.list_url}{number}/"
    return (
        f'<tr id="c{number}"{" class=needs" if late else ""}>'
        f'<th scope="row"><a href="{own}" aria-label="Comment {number}">{number}</a></th>'
        f'<td class="where">{_where(comment, reading)}</td>'
        f'<td class="says">{comment_html(comment, reading)}</td>'
        f'<td>{escape(comment.said_by)}<br><small class="nowrap">{day(comment.written_at)}</small></td>'
        f'<td class="nowrap">{due}</td>'
        f"<td>{state_html(comment.state)}{_last_code(comment)}</td></tr>\n"
    )


def _where(comment: Comment, reading: Reading) -> str:
    parts = []
    places = reading.places
    if comment.item:
        name = (places.names.get(comment.item) if places else None) or comment.item
        point = places.points.get(comment.item) if places else None
        shown = escape(name.partition(",")[0])
        parts.append(f'<a href="{reading.points_url}{quote(point)}/">{shown}</a>' if point else shown)
        if places and comment.item not in places.names:
            parts.append('<small class="needs-you">no longer in the proposal</small>')
    elif not comment.scene:
        parts.append("Whole document")
    if comment.field:
        parts.append(escape(comment.field))
    if comment.place_note:
        parts.append(f"<small>{escape(comment.place_note)}</small>")
    if comment.scene:
        parts.append(_on_drawing(comment, reading))
    if made_on := made_on_text(comment, reading.labels):
        parts.append(f"<small>{escape(made_on)}</small>")
    return "<br>".join(parts)


def made_on_text(comment: Comment, labels: Mapping[int, str] | None = None) -> str:
    """Return on which revision a comment was made and to which it was carried, empty for the draft.

    `labels` are those of the machine's revisions; without them they are read with the comment.
    """

    def label(name: str) -> str:
        pk = getattr(comment, f"{name}_id")
        return labels.get(pk, "") if labels is not None else getattr(comment, name).label

    parts = [f"on revision {label('revision')}"] if comment.revision_id else []
    if comment.carried_to_id:
        parts.append(f"carried to {label('carried_to')}")
    return ", ".join(parts)


def _on_drawing(comment: Comment, reading: Reading) -> str:
    title = escape(scene_title(comment.scene))
    if reading.places is None:
        return f"<small>{title}</small>"
    now = reading.changed_scenes.get(comment.scene, comment.scene_digest)
    changed = "" if now == comment.scene_digest else ", drawing changed since"
    stand = f"&amp;{reading.stand}" if reading.stand else ""
    return (
        f'<small><a href="{reading.list_url}?on={quote(comment.scene)}{stand}">{title}</a>{changed}</small>'
    )


def comment_html(comment: Comment, reading: Reading) -> str:
    """Return what a comment says with everything in its row."""
    kind = f"{_CATEGORIES[comment.category]}, {_DISCIPLINES[comment.discipline]}"
    audience = "" if comment.audience == Audience.INTERNAL else f", for {_AUDIENCES[comment.audience]}"
    parts = [f"<small>{kind}{audience}</small>", f"<p>{_lines(comment.text)}</p>"]
    if comment.proposed_text:
        parts.append(_proposed(comment, reading))
    parts += [_paper(comment, paper, reading) for paper in comment.attachment_list]
    entries = comment.entry_list
    if entries:
        parts.append(f'<ol class="entries">{"".join(map(_entry, entries))}</ol>')
    return "".join(parts)


def _proposed(comment: Comment, reading: Reading) -> str:
    adopted = comment.adopted is not None and comment.adopted.undone_at is None
    against = reading.against.get(comment.number, ())
    said = ", adopted" if adopted else ""
    other = ""
    if against:
        numbers = ", ".join(f'<a href="{reading.list_url}{n}/">{n}</a>' for n in against)
        other = f' <span class="needs-you">contradicts {numbers}</span>'
    return (
        f'<p class="proposes">Proposes {escape(comment.field)} '
        f"<strong>{escape(comment.proposed_text)}</strong>{said}{other}</p>"
    )


def _paper(comment: Comment, paper: Attachment, reading: Reading) -> str:
    address = f"{reading.list_url}{comment.number}/attachments/{paper.pk}/"
    return (
        f'<p class="paper"><a href="{address}" download>{escape(paper.name)}</a> '
        f"<small>{max(1, round(paper.size / 1000))} kB</small></p>"
    )


def _entry(entry: Entry) -> str:
    what = _STEPS[entry.step]
    if entry.code:
        what = f"{what} {escape(entry.code)}, {escape(entry.code_meaning)}"
    if entry.on_behalf:
        what = f"{what} on behalf"
    text = f" {_lines(entry.text)}" if entry.text else ""
    if entry.step == Step.CHANGE:
        text = f" was: {_lines(entry.text)}"
    return f"<li><small>{day(entry.written_at)} {escape(entry.said_by)}, {what}</small>{text}</li>"


def _last_code(comment: Comment) -> str:
    coded = [entry for entry in comment.entry_list if entry.code]
    if not coded or comment.state == State.OPEN:
        return ""
    last = coded[-1]
    return f"<br><small>{escape(last.code)}: {code_facts(last.may_proceed, last.resubmit)}</small>"


def code_facts(may_proceed: bool | None, resubmit: bool | None) -> str:
    """Return the facts of a reply code in words."""
    return f"{'may' if may_proceed else 'may not'} proceed{', resubmit' if resubmit else ''}"


def _lines(text: str) -> str:
    return escape(text).replace("\n", "<br>")
