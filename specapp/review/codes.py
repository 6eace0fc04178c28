"""Reply codes of a project; common practice where its owner has set none."""

import json
from collections.abc import Sequence
from datetime import datetime
from hashlib import sha256

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.projects.models import Project
from specapp.review.errors import StaleCodes
from specapp.review.models import Closes, ReplyCode

MOST_CODES = 12
# Common practice: every scheme seen maps to these three facts.
_COMMON = (
    ("A", "agreed, incorporated", True, False, Closes.COMMENTER),
    ("P", "agreed in part", True, True, Closes.COMMENTER),
    ("N", "not agreed, for the reason given", False, True, Closes.COMMENTER),
    ("C", "clarified", True, False, Closes.COMMENTER),
    ("L", "in the next revision", True, True, Closes.LEAD),
)


def reply_codes(project: Project) -> list[ReplyCode]:
    """Return the reply codes of a project in their order; those of common practice are not stored."""
    stored = list(ReplyCode.objects.filter(project=project))
    if stored:
        return stored
    return [
        ReplyCode(
            project=project,
            place=place,
            code=code,
            meaning=meaning,
            may_proceed=proceed,
            resubmit=again,
            closes=closes,
        )
        for place, (code, meaning, proceed, again, closes) in enumerate(_COMMON)
    ]


def codes_checksum(codes: Sequence[ReplyCode]) -> str:
    """Return what a list of codes says as 16 characters, so that a form tells when it is old."""
    return sha256(json.dumps([_as_data(code) for code in codes]).encode()).hexdigest()[:16]


@transaction.atomic
def reply_codes_set(
    *,
    project: Project,
    codes: Sequence[ReplyCode],
    author: User,
    now: datetime,
    expected: str | None = None,
) -> list[ReplyCode]:
    """Replace a project's reply codes; replies given keep the meaning they had. None: common practice again.

    `expected` is the checksum of the codes that were shown. Raises `InputErrors` with every problem, and
    `StaleCodes` where others stand there now.
    """
    _check(codes)
    Project.objects.select_for_update().get(pk=project.pk)
    stored = reply_codes(project)
    if expected is not None and codes_checksum(stored) != expected:
        raise StaleCodes
    was = [_as_data(code) for code in stored]
    ReplyCode.objects.filter(project=project).delete()
    for place, code in enumerate(codes):
        code.pk, code.project, code.place = None, project, place
        code.full_clean()
        code.save()
    data = {"was": was, "is": [_as_data(code) for code in codes]}
    entry_append(
        author=author,
        action="reply_codes.set",
        subject=project,
        now=now,
        project_id=project.pk,
        data=data,
    )
    return list(codes)


def _check(codes: Sequence[ReplyCode]) -> None:
    problems = []
    seen: set[str] = set()
    if len(codes) > MOST_CODES:
        problems.append(Problem("codes", f"{len(codes)} codes", f"at most {MOST_CODES}"))
    for number, code in enumerate(codes, 1):
        if not 1 <= len(code.code) <= 8:
            problems.append(
                Problem(
                    f"line {number}, code", shown(code.code) if code.code else NOTHING, "1 to 8 characters"
                )
            )
        elif code.code.casefold() in seen:
            problems.append(Problem(f"line {number}, code", f"{code.code} a second time", "each code once"))
        seen.add(code.code.casefold())
        if not 1 <= len(code.meaning) <= 80:
            problems.append(
                Problem(
                    f"line {number}, meaning",
                    shown(code.meaning) if code.meaning else NOTHING,
                    "1 to 80 characters",
                )
            )
        if code.closes not in Closes.values:
            problems.append(Problem(f"line {number}, closes", shown(code.closes), ", ".join(Closes.labels)))
    if problems:
        raise InputErrors(problems)


def _as_data(code: ReplyCode) -> list[object]:
    return [code.code, code.meaning, code.may_proceed, code.resubmit, code.closes]
