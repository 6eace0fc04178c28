"""Changes to people and their passwords, each with its entry in the record.

The caller has made sure that the author may do it. An entry never holds a password, a link or an address.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F

from specapp.core.audit import NOBODY, entry_append
from specapp.core.links import link_take
from specapp.core.models import PasswordLink, User

PASSWORD_LINK_LASTS = timedelta(hours=24)


class LastAdministrator(Exception):
    """Somebody must be able to look after the installation."""


class LinkClosed(Exception):
    """The link was used, withdrawn or has expired."""


@transaction.atomic
def person_add(
    *,
    author: User | None,
    now: datetime,
    username: str,
    name: str,
    email: str = "",
    password: str | None = None,
    is_administrator: bool = False,
    may_start_projects: bool = False,
) -> User:
    """Add a person; without a password nobody signs in as him or her until a link has set one."""
    person = User(
        username=username,
        name=name,
        email=email,
        is_superuser=is_administrator,
        may_start_projects=may_start_projects,
        date_joined=now,
    )
    person.set_password(password)
    person.full_clean()
    person.save()
    entry_append(
        author=author,
        action="person.add",
        subject=person,
        now=now,
        data={"administrator": is_administrator, "may_start_projects": may_start_projects},
    )
    return person


_ADMINISTERED = ("is_active", "is_superuser", "may_start_projects")


@transaction.atomic
def person_administer(*, person: User, author: User, now: datetime, changes: Mapping[str, bool]) -> User:
    """Change whether a person signs in, looks after the installation, or may start projects; at once.

    Raises `LastAdministrator` where nobody would be left to look after the installation.
    """
    stored = User.objects.select_for_update().get(pk=person.pk)
    changed = {
        name: [getattr(stored, name), changes[name]]
        for name in _ADMINISTERED
        if name in changes and getattr(stored, name) != changes[name]
    }
    if not changed:
        return stored
    for name, (_, value) in changed.items():
        setattr(stored, name, value)
    others = User.objects.filter(is_superuser=True, is_active=True).exclude(pk=stored.pk)
    if not (stored.is_active and stored.is_superuser) and not others.exists():
        raise LastAdministrator
    if "is_active" in changed:
        # Also when somebody comes back: what was open before stays closed.
        stored.session_epoch += 1
        _withdraw_links(stored, now)
        PasswordLink.objects.filter(made_by=stored, used_at=None, withdrawn_at=None).update(withdrawn_at=now)
    stored.save(update_fields=[*changed, "session_epoch"])
    entry_append(author=author, action="person.administer", subject=stored, now=now, data=changed)
    return stored


_OWN = ("name", "email", "wants_digest", "wants_asks")


@transaction.atomic
def account_change(*, person: User, now: datetime, fields: Mapping[str, Any]) -> None:
    """Change what a person says of himself or herself. The record names the fields, not an address."""
    stored = User.objects.select_for_update().get(pk=person.pk)
    changed = [name for name in _OWN if getattr(stored, name) != fields[name]]
    if not changed:
        return
    for name in changed:
        setattr(stored, name, fields[name])
    stored.full_clean()
    stored.save(update_fields=changed)
    if "email" in changed:
        # A link mailed to the address before is another person's by now, or may be.
        _withdraw_links(stored, now)
    entry_append(author=stored, action="account.change", subject=stored, now=now, data={"fields": changed})


@transaction.atomic
def sessions_end(*, person: User, author: User, now: datetime) -> User:
    """End every session of a person, wherever it is open."""
    User.objects.filter(pk=person.pk).update(session_epoch=F("session_epoch") + 1)
    person.refresh_from_db()
    entry_append(author=author, action="sessions.end", subject=person, now=now)
    return person


@transaction.atomic
def password_changed_by_owner(*, person: User, password: str, now: datetime) -> None:
    """Set a new password for a person who knew the old one; ends the other sessions and open links."""
    _set_password(person, password, now)
    entry_append(author=person, action="password.change", subject=person, now=now)


@transaction.atomic
def password_link_make(
    *, person: User, author: User | None, now: datetime, project_id: int | None = None, by_mail: bool = False
) -> PasswordLink:
    """Make a link by which a person sets a password; one is open at a time.

    Made by nobody at the console, or by mail at the request of somebody who is not signed in.
    """
    _withdraw_links(person, now)
    row = PasswordLink.objects.create(
        person=person, made_by=author, made_at=now, expires_at=now + PASSWORD_LINK_LASTS
    )
    who = {"by": NOBODY} if by_mail else {}
    entry_append(
        author=author,
        action="password.link",
        subject=person,
        now=now,
        project_id=project_id,
        data={"link": row.pk, "by_mail": by_mail},
        **who,
    )
    return row


@transaction.atomic
def password_link_use(*, link: PasswordLink, password: str, now: datetime) -> User:
    """Set the password by a link, and end every session. Raises `LinkClosed`."""
    person = User.objects.select_for_update().get(pk=link.person_id)
    if not person.is_active or not link_take(link, now):
        raise LinkClosed
    _set_password(person, password, now)
    maker = str(link.made_by) if link.made_by else ""
    entry_append(
        author=person,
        action="password.by_link",
        subject=person,
        now=now,
        data={"link": link.pk, "made_by": maker},
    )
    return person


def _set_password(person: User, password: str, now: datetime) -> None:
    person.set_password(password)
    person.session_epoch += 1
    person.save(update_fields=["password", "session_epoch"])
    _withdraw_links(person, now)


def _withdraw_links(person: User, now: datetime) -> None:
    PasswordLink.objects.filter(person=person, used_at=None, withdrawn_at=None).update(withdrawn_at=now)
