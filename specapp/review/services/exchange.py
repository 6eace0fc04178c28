"""Bringing comments in: staged first, looked at, then landed whole; what has landed before stays as it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import Problem
from specapp.projects.models import Machine
from specapp.review.errors import NotNow
from specapp.review.exchange_reading import COMMENT, NOTICE, REPLY, Brought
from specapp.review.models import Comment, Entry, Origin, ReplyCode, StagedReview
from specapp.review.services.comments import Place, Said, Source, comment_add, comment_reply
from specapp.revisions.models import Revision


@dataclass(slots=True)
class Landed:
    """How many replies and comments landed, how many were here before, and what could not land."""

    replies: int = 0
    comments: int = 0
    known: int = 0
    refused: int = 0


@transaction.atomic
def exchange_stage(
    *, machine: Machine, found: Brought, name: str, author: User, now: datetime
) -> StagedReview:
    """Keep what a file brings until its bringer has looked at it; a later file takes its place."""
    problems = [[problem.path, problem.found, problem.allowed] for problem in found.problems]
    staged, _ = StagedReview.objects.update_or_create(
        machine=machine,
        person=author,
        defaults={
            "name": name[:200],
            "lines": found.lines,
            "problems": problems,
            "brought_at": now,
        },
    )
    return staged


def staged_problems(staged: StagedReview) -> list[Problem]:
    return [Problem(path, found, allowed) for path, found, allowed in staged.problems]


@transaction.atomic
def exchange_drop(*, machine: Machine, author: User) -> None:
    StagedReview.objects.filter(machine=machine, person=author).delete()


@transaction.atomic
def exchange_land(
    *, staged: StagedReview, codes: Sequence[ReplyCode], may_answer: bool, author: User, now: datetime
) -> Landed:
    """Land what was staged. The same reply or comment lands once, however often it is brought.

    Raises `NotNow` where something else was staged meanwhile, or it has landed already.
    """
    # One at a time for a machine: two people may bring the same file.
    Machine.objects.select_for_update(of=("self",)).only("pk").get(pk=staged.machine_id)
    row = StagedReview.objects.select_for_update(of=("self",)).filter(pk=staged.pk).first()
    if row is None or row.brought_at != staged.brought_at:
        raise NotNow("This has landed already, or another file has taken its place.")
    landing = _Landing(staged.machine, codes if may_answer else (), author, now)
    for line in row.lines:
        landing.line(line)
    row.delete()
    done = landing.done
    entry_append(
        author=author,
        action="review.bring",
        subject=staged.machine,
        now=now,
        project_id=staged.machine.project_id,
        data={
            "of_machine": staged.machine.pk,
            "file": row.name,
            "replies": done.replies,
            "comments": done.comments,
            "known": done.known,
            "refused": done.refused,
        },
    )
    return done


class _Landing:
    def __init__(self, machine: Machine, codes: Sequence[ReplyCode], author: User, now: datetime) -> None:
        self.done = Landed()
        self._machine, self._author, self._now = machine, author, now
        self._codes = {code.code: code for code in codes}
        self._revisions: dict[int, Revision] = {
            row.pk: row for row in Revision.objects.filter(machine=machine)
        }

    def line(self, line: dict[str, Any]) -> None:
        if line["kind"] == REPLY:
            comment = Comment.objects.filter(machine=self._machine, uid=line["uid"]).first()
            if comment is None:
                self.done.refused += 1
            else:
                self._reply(comment, line, Origin.WORKBOOK, self._codes.get(line["code"]))
        elif line["kind"] == COMMENT:
            comment = self._comment(line)
            for reply in line["replies"]:
                self._reply(comment, reply, line["origin"], None)
        else:
            assert line["kind"] == NOTICE

    def _reply(self, comment: Comment, line: dict[str, Any], origin: str, code: ReplyCode | None) -> None:
        if Entry.objects.filter(comment=comment, origin_id=line["origin_id"]).exists():
            self.done.known += 1
            return
        if line.get("code") and code is None:
            # The project's codes, or the person's role, have changed since the file was looked at.
            self.done.refused += 1
            return
        try:
            comment_reply(
                comment=comment,
                expected_version=None,
                text=line["text"],
                code=code,
                author=self._author,
                now=self._now,
                source=Source(origin, line["origin_id"], line["person"]),
            )
        except NotNow:
            self.done.refused += 1
        else:
            self.done.replies += 1

    def _comment(self, line: dict[str, Any]) -> Comment:
        known = Comment.objects.filter(machine=self._machine, origin_id=line["origin_id"]).first()
        if known is not None:
            self.done.known += 1
            return known
        self.done.comments += 1
        return comment_add(
            machine=self._machine,
            place=Place(**line["place"]),
            said=Said(
                text=line["text"],
                category=line["category"],
                discipline=line["discipline"],
                audience=line["audience"],
                due_date=date.fromisoformat(line["due"]) if line["due"] else None,
                proposed=line["proposed"],
                proposed_text=line["proposed_text"],
            ),
            author=self._author,
            now=self._now,
            source=Source(line["origin"], line["origin_id"], line["person"]),
            on=self._revisions.get(line["revision"]),
        )
