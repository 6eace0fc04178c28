"""What a comment workbook or a returned copy brings, as lines that a person looks at before they land.

A line is plain data, as it is staged: a reply to a comment, a new comment, or a notice to read first.
Every line of the first two kinds has an `origin_id`, by which the same one is known when it comes again.
"""

import hashlib
from dataclasses import dataclass, field
from typing import Any

from specapp.core.models import User
from specapp.core.roles import Right
from specapp.documents.annotation_places import Spotted, spotted
from specapp.documents.annotations import Remark, read_copy
from specapp.documents.comment_workbook_reading import ReturnedWorkbook, WorkbookComment, read_returned
from specapp.documents.place_index import places_in
from specapp.documents.registry import PDF
from specapp.documents.sheet_code import code_in
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown
from specapp.domain.proposal import Proposal
from specapp.review.audience import audiences_of
from specapp.review.codes import reply_codes
from specapp.review.forms import CommentForm, place_on
from specapp.review.models import Category, Comment, Discipline, Origin, State
from specapp.review.models.comments import LONGEST_KEY
from specapp.review.places import (
    Places,
    item_digest,
    places_of,
    scene_choices,
    scene_of,
    settable_key,
    takes_value,
    value_text,
)
from specapp.review.services.comments import Place
from specapp.review.views.common import Desk
from specapp.revisions.content import bytes_of, content_of
from specapp.revisions.models import IssuedDocument, Revision
from specapp.revisions.models import State as Stage
from specapp.revisions.selectors import replaced_by

REPLY, COMMENT, NOTICE = "reply", "comment", "notice"
_PREFIXES = ("", "relay/", "rack/", "box/")
_NEARLY_MM = 0.5
_FORM_CELLS = {"text": "comment", "value": "proposed value", "due_date": "due", "item": "where"}


@dataclass(slots=True)
class Brought:
    """What a file brings."""

    lines: list[dict[str, Any]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def notice(self, text: str) -> None:
        self.lines.append({"kind": NOTICE, "text": text})


@dataclass(frozen=True, slots=True)
class Kinds:
    """What remarks in a returned copy are taken as, since a remark says neither."""

    category: str
    discipline: str
    audience: str


def brought(desk: Desk, person: User, data: bytes, kinds: Kinds) -> Brought:
    """Return what a file brings. Raises `InputErrors` for one that brings nothing to this machine."""
    if data.startswith(b"PK"):
        return _of_workbook(desk, person, read_returned(data))
    if b"%PDF-" in data[:1024]:
        return _of_copy(desk, person, data, kinds)
    allowed = "the comment workbook (.xlsx) filled in, or a returned copy of an issued PDF"
    raise InputErrors([Problem(DOCUMENT, "a file of another kind", allowed)])


def origin_of(*parts: str) -> str:
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:40]


# Comment workbooks


def _of_workbook(desk: Desk, person: User, returned: ReturnedWorkbook) -> Brought:
    ticket = returned.ticket
    if ticket.machine != desk.machine.pk:
        allowed = f"the comment workbook of {desk.machine.tag}"
        raise InputErrors([Problem(DOCUMENT, "a comment workbook of another machine", allowed)])
    if ticket.audience not in dict(audiences_of(desk.access)):
        allowed = "a workbook for an audience that your role reaches"
        raise InputErrors([Problem(DOCUMENT, f"a workbook for {shown(ticket.audience)}", allowed)])
    found = Brought(problems=list(returned.problems))
    revision = _revision_of(desk, ticket.revision)
    if revision is not None:
        _flag_revision(found, revision, "This workbook")
    elif ticket.revision:
        found.notice(
            "This workbook is of a revision that is not of this machine; comments land on the draft."
        )
    elif desk.proposal is not None and ticket.version != desk.machine.version:
        found.notice(
            f"This workbook is of the working draft v{ticket.version}; it is v{desk.machine.version} now."
        )
    who = returned.person if returned.person != person.get_full_name() else ""
    _replies(found, desk, returned, who)
    proposal, places = _ground(desk, revision)
    for row in returned.comments:
        line = _row_line(found, desk, row, ticket.audience, proposal, places)
        if line is not None:
            line["revision"] = revision.pk if revision else None
            line["person"] = who
            line["origin_id"] = origin_of(ticket.key, row.row, who, *row.told.values())
            found.lines.append(line)
    return found


def _revision_of(desk: Desk, told: str) -> Revision | None:
    if not told.isdecimal() or len(told) > 12:
        return None
    rows = Revision.objects.filter(machine=desk.machine).select_related("issue", "replaced_by__issue")
    return rows.filter(pk=int(told)).first()


def _ground(desk: Desk, revision: Revision | None) -> tuple[Proposal | None, Places | None]:
    """Return the proposal that comments are on; none for people who may not read the draft."""
    if desk.proposal is None or revision is None or revision == desk.revision:
        return desk.proposal, desk.places
    proposal = content_of(revision.checksum).proposal
    return proposal, places_of(proposal)


def _flag_revision(found: Brought, revision: Revision, what: str) -> None:
    by = replaced_by(revision)
    if by is not None:
        day = f", {by.issue.issued_on.isoformat()}" if by.issue else ""
        found.notice(
            f"{what} is of revision {revision.label}, superseded by revision {by.label}{day}. "
            f"What it brings is kept as said of revision {revision.label}."
        )
    elif revision.state == Stage.CANCELLED:
        found.notice(f"{what} is of revision {revision.label}, which was cancelled.")


def _replies(found: Brought, desk: Desk, returned: ReturnedWorkbook, who: str) -> None:
    uids = [reply.uid for reply in returned.replies]
    rows = {row.uid: row for row in desk.comments.filter(uid__in=uids)}
    codes = {code.code: code for code in reply_codes(desk.access.project)}
    may_answer = desk.access.may(Right.ANSWER_COMMENTS)
    for reply in returned.replies:
        row = rows.get(reply.uid)
        if row is None:
            allowed = "a comment of this machine that you may read"
            found.problems.append(Problem(reply.cell, "a reply to no such comment", allowed))
            continue
        if reply.code and not may_answer:
            allowed = "no code: whoever answers comments gives one"
            found.problems.append(Problem(reply.code_cell, shown(reply.code), allowed))
            continue
        if reply.code and reply.code not in codes:
            found.problems.append(Problem(reply.code_cell, shown(reply.code), ", ".join(codes)))
            continue
        found.lines.append(
            {
                "kind": REPLY,
                "uid": row.uid,
                "number": row.number,
                "text": reply.text,
                "code": reply.code,
                "cell": reply.cell,
                "person": who,
                "origin_id": origin_of(row.uid, who, reply.text, reply.code),
            }
        )
    closed = {row.uid for row in rows.values() if row.state == State.CLOSED}
    known = _known_replies(desk, found)
    for line in [line for line in found.lines if line.get("uid") in closed]:
        if line["origin_id"] not in known:
            found.lines.remove(line)
            told = f"a reply to comment {line['number']}, which is closed"
            found.problems.append(Problem(line["cell"], told, "a comment that is not closed"))


def _known_replies(desk: Desk, found: Brought) -> set[str]:
    ids = [line["origin_id"] for line in found.lines if line["kind"] == REPLY]
    rows = desk.comments.filter(entries__origin_id__in=ids)
    return set(rows.values_list("entries__origin_id", flat=True))


def _row_line(
    found: Brought,
    desk: Desk,
    row: WorkbookComment,
    audience: str,
    proposal: Proposal | None,
    places: Places | None,
) -> dict[str, Any] | None:
    told = row.told
    problems: list[Problem] = []
    item = _item_named(places, told["where"])
    if item is None:
        allowed = "a tag or item of the document, or nothing for the whole of it"
        problems.append(Problem(row.cells["where"], shown(told["where"]), allowed))
    posted = {
        "item": item or "",
        "field": told["field"],
        "value": told["proposed value"],
        "text": told["comment"],
        "category": _value_of(problems, row, "category", Category, Category.MINOR),
        "discipline": _value_of(problems, row, "discipline", Discipline, Discipline.INSTRUMENTS),
        "audience": audience,
        "due_date": told["due"],
    }
    if places is None and told["proposed value"]:
        # Whoever may not read the draft cannot name a value of it; what he asks for is kept in words.
        posted["text"] = f"{told['comment']}\n{told['field']} {told['proposed value']}".strip()
    form = CommentForm(posted, audiences=audiences_of(desk.access), proposal=proposal, places=places)
    if not form.is_valid():
        for name, errors in form.errors.items():
            if name == "item" and item is None:
                continue
            cell = row.cells.get(_FORM_CELLS.get(name, name), row.cells["comment"])
            value = shown(posted.get(name, ""))
            problems.append(Problem(cell, value, " ".join(errors).removeprefix("Allowed: ")))
    if problems:
        found.problems += problems
        return None
    place, said = form.place(), form.said()
    if places is None:
        place = Place(note=told["where"][:LONGEST_KEY])
    return _comment_line(place, proposal, row.cells["comment"], Origin.WORKBOOK) | {
        "text": said.text,
        "category": said.category,
        "discipline": said.discipline,
        "audience": said.audience,
        "due": said.due_date.isoformat() if said.due_date else "",
        "proposed": said.proposed,
        "proposed_text": said.proposed_text,
    }


def _item_named(places: Places | None, text: str) -> str | None:
    """Return the key of what a cell names: key, tag or name; None where the document has no such item."""
    wanted = " ".join(text.split())
    if not wanted or places is None:
        return ""
    if wanted in places.names:
        return wanted
    if wanted in places.tags:
        return places.tags[wanted]
    folded = wanted.casefold()
    for key, name in places.names.items():
        if folded in (key.casefold(), name.casefold(), name.partition(",")[0].casefold()):
            return key
    return None


def _value_of(
    problems: list[Problem], row: WorkbookComment, name: str, kind: type[Category | Discipline], default: str
) -> str:
    text = row.told[name].strip()
    found = {label.casefold(): value for value, label in kind.choices}.get(text.casefold())
    if text and found is None:
        problems.append(Problem(row.cells[name], shown(text), ", ".join(kind.labels)))
    return found or default


# Returned copies


def _of_copy(desk: Desk, person: User, data: bytes, kinds: Kinds) -> Brought:
    code = code_in(data)
    rows = IssuedDocument.objects.filter(revision__machine=desk.machine, media_type=PDF)
    rows = rows.select_related("revision__issue", "revision__replaced_by__issue", "revision__machine")
    document = rows.filter(code=code).first() if code else None
    if document is None:
        allowed = f"a copy of a PDF that was issued for {desk.machine.tag}, with its sheet code in it"
        raise InputErrors([Problem(DOCUMENT, "a PDF of another origin", allowed)])
    sheets = places_in(bytes_of(document.file_id))
    copy = read_copy(data, len(sheets))
    found = Brought(problems=list(copy.problems))
    revision = document.revision
    _flag_revision(found, revision, "This copy")
    if not copy.remarks and not copy.problems:
        found.notice("There is no remark in this copy.")
    proposal = content_of(revision.checksum).proposal
    reading = _CopyReading(document, proposal, kinds)
    for remark in copy.remarks:
        found.lines.append(reading.line(remark, spotted(remark, sheets), person))
    return found


class _CopyReading:
    """Remarks of one copy as lines, against the proposal of the revision the copy is of."""

    def __init__(self, document: IssuedDocument, proposal: Proposal, kinds: Kinds) -> None:
        self._document = document
        self._proposal = proposal
        self._places = places_of(proposal)
        self._kinds = kinds
        self._scenes: dict[str, str] | None = None

    def line(self, remark: Remark, spot: Spotted, person: User) -> dict[str, Any]:
        code = self._document.code
        place = self._place(remark, spot)
        own = person.get_full_name()
        return _comment_line(place, self._proposal, f"sheet {remark.sheet}", Origin.COPY) | {
            "text": remark.text,
            "category": self._kinds.category,
            "discipline": self._kinds.discipline,
            "audience": self._kinds.audience,
            "due": "",
            "proposed": None,
            "proposed_text": "",
            "revision": self._document.revision_id,
            "person": remark.person if remark.person != own else "",
            "origin_id": f"{code}:{remark.id}",
            "replies": [
                {"origin_id": f"{code}:{key}", "person": who if who != own else "", "text": text}
                for key, who, text in remark.replies
            ],
        }

    def _place(self, remark: Remark, spot: Spotted) -> Place:
        item = self._known(spot.item)
        name = spot.field if spot.field and takes_value(self._places, item, spot.field) else ""
        key = settable_key(self._places, item, name) if name else item
        further = [each for each in map(self._known, spot.further) if each]
        parts = [self._document.title, f"sheet {remark.sheet}", remark.kind.lower()]
        if further:
            parts.append(f"also {', '.join(further)}")
        note = ", ".join(parts)
        place = Place(
            item=key,
            field=name,
            item_digest=item_digest(self._places, key) if key else "",
            value_then=value_text(self._proposal, key, name) if name else "",
            note=note if len(note) <= LONGEST_KEY else f"{note[: LONGEST_KEY - 1]}…",
        )
        return self._on_drawing(place, spot) if spot.scene else place

    def _known(self, item: str) -> str:
        """Return the key under which comments name an item; empty where it is none of theirs."""
        keys = (f"{prefix}{item}"[:LONGEST_KEY] for prefix in _PREFIXES)
        return next((key for key in keys if item and key in self._places.names), "")

    def _on_drawing(self, place: Place, spot: Spotted) -> Place:
        if self._scenes is None:
            names = [name for name, _ in scene_choices(self._proposal)]
            self._scenes = {scene_of(self._proposal, name).name: name for name in names}
        name = self._scenes.get(spot.scene)
        if name is None:
            return place
        scene = scene_of(self._proposal, name)
        told: dict[str, Any] = {"scene": name}
        # A sheet may hold a drawing in another width: then the mark stands at the item.
        sizes = zip((scene.width, scene.height), spot.scene_size, strict=True)
        if all(abs(own - printed) < _NEARLY_MM for own, printed in sizes):
            told |= {
                "x_mm": spot.x_mm,
                "y_mm": spot.y_mm,
                "width_mm": spot.width_mm,
                "height_mm": spot.height_mm,
            }
        return place_on(self._proposal, place, told)


def _comment_line(place: Place, proposal: Proposal | None, cell: str, origin: str) -> dict[str, Any]:
    names = places_of(proposal).names if proposal is not None else {}
    where = names.get(place.item, place.item) or ("" if place.scene else "whole document")
    parts = [where, place.field, place.note]
    return {
        "kind": COMMENT,
        "cell": cell,
        "origin": origin,
        "where": ", ".join(part for part in parts if part),
        "place": {name: getattr(place, name) for name in place.__slots__},
        "replies": [],
    }


def known_ids(desk: Desk, lines: list[dict[str, Any]]) -> set[str]:
    """Return which of the lines have landed before, by their ids."""
    ids = [line["origin_id"] for line in lines if line["kind"] != NOTICE]
    ids += [reply["origin_id"] for line in lines for reply in line.get("replies", ())]
    rows = Comment.objects.filter(machine=desk.machine)
    here = set(rows.filter(origin_id__in=ids).values_list("origin_id", flat=True))
    return here | set(rows.filter(entries__origin_id__in=ids).values_list("entries__origin_id", flat=True))
