"""What an enquiry asks beside its requirements: clauses, priced items, spares, vendor documents; added ones.

Everything changes with a reason until the closing, and goes out with the next issue. The caller has made
sure that the author may do it (`specapp.bids.access`).
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

import msgspec
from django.db import transaction
from django.db.models import Max

from specapp.bids.models import Enquiry, Requirement
from specapp.bids.services.enquiring import changeable
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import InputErrors, Problem
from specapp.evaluation.requirements.criterion import Criterion, criterion_problems
from specapp.evaluation.requirements.requirement import Requirement as Asked

ADDED = "OWN"


@transaction.atomic
def contents_change(
    *, enquiry: Enquiry, version: int, changed: Mapping[str, Any], reason: str, author: User, now: datetime
) -> Enquiry:
    """Change parts of the terms that say what is asked. Raises `Refused`, `InputErrors` without a reason."""
    row = changeable(enquiry, version, now)
    if not reason.strip():
        raise InputErrors([Problem("reason", "nothing", "why it is changed")])
    row.terms = {**row.terms, **changed}
    row.version += 1
    row.save(update_fields=["terms", "version"])
    _record(row, author, "enquiry.contents", now, {"changed": sorted(changed), "reason": reason.strip()})
    return row


@transaction.atomic
def requirement_add(
    *,
    enquiry: Enquiry,
    version: int,
    told: Mapping[str, Any],
    criterion: Criterion,
    reason: str,
    author: User,
    now: datetime,
) -> Requirement:
    """Add a requirement that the machines do not ask by themselves, with a reason and an id of its own."""
    row = changeable(enquiry, version, now)
    if not reason.strip():
        raise InputErrors([Problem("reason", "nothing", "why it is added")])
    problems = criterion_problems(criterion)
    if problems:
        raise InputErrors(
            [Problem("criterion", text, "a criterion that can be checked") for text in problems]
        )
    # Numbers are never used again, for an amendment may have gone out with one.
    number = row.requirements.filter(key__startswith=f"{ADDED}-").count() + 1
    asked = Asked(
        id=f"{ADDED}-{number:02d}",
        group=told["group"],
        title=told["title"],
        text=told["text"],
        criterion=criterion,
        weight=told["weight"],
        knock_out=told["knock_out"],
        source="",
        status="project",
    )
    last = row.requirements.aggregate(last=Max("position"))["last"] or 0
    requirement = Requirement(
        enquiry=row,
        key=asked.id,
        position=last + 1,
        made=None,
        current=msgspec.to_builtins(asked),
        reason=reason.strip(),
        changed_by=author,
        changed_at=now,
    )
    requirement.full_clean()
    requirement.save()
    row.version += 1
    row.save(update_fields=["version"])
    _record(
        row,
        author,
        "enquiry.requirement",
        now,
        {"requirement": asked.id, "reason": reason.strip(), "added": True},
    )
    return requirement


def _record(enquiry: Enquiry, author: User, action: str, now: datetime, data: dict[str, Any]) -> None:
    entry_append(
        author=author, action=action, subject=enquiry, now=now, project_id=enquiry.project_id, data=data
    )
