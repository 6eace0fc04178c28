"""Making, reading and withdrawing tokens."""

import hashlib
import secrets
from datetime import date, datetime, timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from specapp.api.models import ApiToken
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors, Problem
from specapp.projects.access import Access
from specapp.projects.models import Project

MOST_OF_A_PERSON = 20
_SECRET_BYTES = 32
_SHOWN = 6
# Often enough to see what still runs, seldom enough not to write with every request.
_USE_NOTED_EVERY = timedelta(minutes=1)


def _digest(secret: str) -> str:
    # 256 random bits cannot be guessed, so a quick digest protects them as well as a slow one.
    return hashlib.sha256(secret.encode()).hexdigest()


@transaction.atomic
def token_create(
    *, project: Project, name: str, ends_on: date | None, author: User, now: datetime
) -> tuple[ApiToken, str]:
    """Make a token of the author's for a project and return it with its secret, which is kept nowhere.

    Raises `InputErrors`, and `ValidationError` where a row cannot be stored.
    """
    held = ApiToken.objects.filter(project=project, person=author, withdrawn_at=None).count()
    if held >= MOST_OF_A_PERSON:
        raise InputErrors([Problem("tokens", str(held), f"at most {MOST_OF_A_PERSON} of one person")])
    secret = secrets.token_urlsafe(_SECRET_BYTES)
    token = ApiToken(
        project=project,
        person=author,
        name=name,
        start=secret[:_SHOWN],
        digest=_digest(secret),
        made_at=now,
        ends_on=ends_on,
    )
    token.full_clean()
    token.save()
    entry_append(
        author=author,
        action="token.create",
        subject=token,
        now=now,
        project_id=project.pk,
        data={"start": token.start, "ends_on": ends_on},
    )
    return token, secret


@transaction.atomic
def token_withdraw(*, token: ApiToken, author: User, now: datetime) -> None:
    """Make a token useless from this moment; its row stays. Withdrawing twice changes nothing."""
    row = ApiToken.objects.select_for_update().get(pk=token.pk)
    if row.withdrawn_at is not None:
        return
    row.withdrawn_at, row.withdrawn_by = now, author
    row.save(update_fields=["withdrawn_at", "withdrawn_by"])
    entry_append(
        author=author,
        action="token.withdraw",
        subject=row,
        now=now,
        project_id=row.project_id,
        data={"start": row.start, "of": row.person_id},
    )


def token_of(secret: str, now: datetime) -> ApiToken | None:
    """Return the token of a secret where it may be used now, and note its use."""
    rows = ApiToken.objects.select_related("person", "project")
    token = rows.filter(digest=_digest(secret), withdrawn_at=None, person__is_active=True).first()
    if token is None or has_ended(token, now):
        return None
    if token.last_used_at is None or now - token.last_used_at >= _USE_NOTED_EVERY:
        ApiToken.objects.filter(pk=token.pk).update(last_used_at=now)
    return token


def has_ended(token: ApiToken, now: datetime) -> bool:
    """Tell whether a token's last day is over."""
    return token.ends_on is not None and timezone.localdate(now) > token.ends_on


def tokens_shown(access: Access, person: User) -> list[ApiToken]:
    """Return a person's own tokens of a project; whoever manages the project sees everybody's."""
    rows = ApiToken.objects.filter(project=access.project).select_related("person", "withdrawn_by")
    mine = Q(person=person)
    return list(rows if access.may(Right.MANAGE_PROJECT) else rows.filter(mine))
