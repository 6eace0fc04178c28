"""Making an enquiry, changing what it asks, inviting, issuing and amending.

The caller has made sure that the author may do it (`specapp.bids.access`).
"""

from datetime import datetime
from secrets import token_urlsafe
from typing import Any
from zoneinfo import ZoneInfo

import msgspec
from django.db import IntegrityError, transaction

from specapp.bids.errors import Refused, Stale
from specapp.bids.models import Amendment, Bidder, Enquiry, Requirement, Stage
from specapp.bids.sheets import DEFAULT_TERMS, generated, sheet_of
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.documents.enquiry_workbook import price_form, technical_form
from specapp.domain.problems import InputErrors, Problem
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.requirements.criterion import criterion_problems
from specapp.evaluation.requirements.requirement import Requirement as Asked
from specapp.revisions.content import stored
from specapp.revisions.models import Issue, Purpose

CLOSED = "The enquiry has closed: what it asks and how it is compared do not change any more."


@transaction.atomic
def enquiry_create(
    *,
    issue: Issue,
    reference: str,
    title: str,
    author: User,
    now: datetime,
    terms: dict[str, Any] | None = None,
) -> Enquiry:
    """Make an enquiry about the machines of an issue, with its requirements. Raises `Refused`."""
    if issue.purpose != Purpose.ENQUIRY:
        raise Refused(
            f"Transmittal {issue.number} was issued for {issue.get_purpose_display()}, not for enquiry."
        )
    told = {**DEFAULT_TERMS, **(terms or {})}
    asked, scope = generated(issue, told)
    enquiry = Enquiry(
        project=issue.project,
        issue=issue,
        reference=reference.strip(),
        title=title.strip(),
        terms=told,
        base={
            "asked": msgspec.to_builtins(msgspec.structs.replace(asked, requirements=())),
            "scope": scope,
        },
        created_at=now,
        created_by=author,
    )
    try:
        with transaction.atomic():
            enquiry.save()
    except IntegrityError as error:
        raise Refused("Another enquiry of this project has this reference.") from error
    Requirement.objects.bulk_create(
        Requirement(
            enquiry=enquiry,
            key=each.id,
            position=position,
            made=(content := msgspec.to_builtins(each)),
            current=content,
        )
        for position, each in enumerate(asked.requirements, start=1)
    )
    _record(enquiry, author, "enquiry.create", now, {"reference": enquiry.reference, "issue": issue.number})
    return enquiry


def amendment_store(amendment: Amendment, sheet: EnquirySheet, author: User, now: datetime) -> Amendment:
    """Store an amendment with its sheet and the two forms made of it, for good."""
    amendment.sheet = stored(msgspec.json.encode(sheet))
    amendment.technical_form = stored(technical_form(sheet))
    amendment.price_form = stored(price_form(sheet))
    amendment.issued_at, amendment.issued_by = now, author
    amendment.issued_by_name = author.get_full_name()[:200]
    amendment.save(force_insert=True)
    return amendment


def _record(enquiry: Enquiry, author: User, action: str, now: datetime, data: dict[str, Any]) -> None:
    entry_append(
        author=author, action=action, subject=enquiry, now=now, project_id=enquiry.project_id, data=data
    )


def is_closed(enquiry: Enquiry, now: datetime) -> bool:
    """Tell whether nothing may change any more: closed by its time, or past being open."""
    if enquiry.stage == Stage.DRAFT:
        return False
    return enquiry.stage != Stage.ISSUED or (enquiry.closes_at is not None and now >= enquiry.closes_at)


def changeable(enquiry: Enquiry, version: int, now: datetime) -> Enquiry:
    """Return the locked row of an enquiry that may change. Raises `Refused` after closing, `Stale`."""
    row = Enquiry.objects.select_for_update().select_related("project").get(pk=enquiry.pk)
    last = row.amendments.last()
    if row.stage != Stage.DRAFT and (row.stage != Stage.ISSUED or (last and now >= last.closes_at)):
        raise Refused(CLOSED)
    if row.version != version:
        raise Stale("Somebody changed this enquiry meanwhile. Look at it again before you change it.")
    return row


@transaction.atomic
def terms_change(
    *,
    enquiry: Enquiry,
    version: int,
    terms: dict[str, Any],
    fields: dict[str, Any],
    author: User,
    now: datetime,
) -> Enquiry:
    """Change the rules of comparison, the closing time and the settings; they go out with the next issue."""
    row = changeable(enquiry, version, now)
    row.terms = {**row.terms, **terms}
    for name, value in fields.items():
        setattr(row, name, value)
    row.version += 1
    row.full_clean(exclude=["issue"])
    row.save()
    told = {name: str(value) for name, value in fields.items()}
    _record(row, author, "enquiry.terms", now, {"terms": terms, **told})
    return row


@transaction.atomic
def requirement_change(
    *,
    requirement: Requirement,
    version: int,
    changed: dict[str, Any],
    reason: str,
    author: User,
    now: datetime,
) -> Requirement:
    """Change a requirement with a reason. Raises `InputErrors` for one that could not be checked."""
    enquiry = Enquiry.objects.select_for_update().get(pk=requirement.enquiry_id)
    changeable(enquiry, enquiry.version, now)
    row = Requirement.objects.select_for_update().get(pk=requirement.pk)
    if row.version != version:
        raise Stale("Somebody changed this requirement meanwhile. Look at it again before you change it.")
    if not reason.strip():
        raise InputErrors([Problem("reason", "nothing", "why it is changed")])
    left_out = bool(changed.pop("is_left_out", row.is_left_out))
    content = {**row.current, **changed}
    asked = msgspec.convert(content, Asked, strict=False)
    problems = [
        Problem("criterion", text, "a criterion that can be checked")
        for text in criterion_problems(asked.criterion)
    ]
    if problems:
        raise InputErrors(problems)
    row.current = msgspec.to_builtins(asked)
    row.is_left_out = left_out
    row.reason, row.changed_by, row.changed_at = reason.strip(), author, now
    row.version += 1
    row.full_clean()
    row.save()
    Enquiry.objects.filter(pk=enquiry.pk).update(version=enquiry.version + 1)
    _record(
        enquiry,
        author,
        "enquiry.requirement",
        now,
        {"requirement": row.key, "reason": row.reason, "left_out": left_out},
    )
    return row


@transaction.atomic
def bidder_invite(
    *, enquiry: Enquiry, name: str, contact: str, email: str, author: User, now: datetime
) -> Bidder:
    """Ask an organisation. Raises `Refused` after closing or for a name asked already."""
    if is_closed(enquiry, now):
        raise Refused(CLOSED)
    bidder = Bidder(
        enquiry=enquiry,
        name=name.strip(),
        contact=contact.strip(),
        email=email.strip(),
        code=token_urlsafe(16),
        invited_at=now,
        invited_by=author,
    )
    bidder.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            bidder.save()
    except IntegrityError as error:
        raise Refused("This organisation is asked already.") from error
    _record(enquiry, author, "enquiry.invite", now, {"bidder": bidder.name})
    return bidder


@transaction.atomic
def enquiry_issue(*, enquiry: Enquiry, version: int, note: str, author: User, now: datetime) -> Amendment:
    """Issue the enquiry, or an amendment of it: sheet and both forms as they stand, kept for good.

    Raises `Refused` without a bidder, a requirement or a closing time to come, and for an amendment
    without a note of what changed.
    """
    row = changeable(enquiry, version, now)
    if row.closes_at is None or row.closes_at <= now:
        raise Refused("Set a closing time that is still to come.")
    if not row.bidders.exists():
        raise Refused("Name at least one organisation to be asked.")
    if not row.requirements.filter(is_left_out=False).exists():
        raise Refused("The enquiry asks nothing.")
    last = row.amendments.last()
    number = 0 if last is None else last.number + 1
    if number and not note.strip():
        raise Refused("Say in the note what the amendment changes.")
    sheet = sheet_of(row, number, now.astimezone(ZoneInfo(row.project.time_zone)).date().isoformat())
    going_out = Amendment(
        enquiry=row, number=number, note=note.strip(), closes_at=row.closes_at, terms=row.terms
    )
    amendment = amendment_store(going_out, sheet, author, now)
    row.stage = Stage.ISSUED
    row.version += 1
    row.save(update_fields=["stage", "version"])
    action = "enquiry.amend" if number else "enquiry.issue"
    _record(
        row, author, action, now, {"amendment": number, "sheet": amendment.sheet_id, "note": amendment.note}
    )
    return amendment
