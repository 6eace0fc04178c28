"""Joining a project by a link that an owner hands over, and passwords that an owner may help with.

The caller has made sure that the author may manage the project.
"""

from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet

from specapp.core.audit import entry_append
from specapp.core.links import link_is_open
from specapp.core.models import PasswordLink, User
from specapp.core.people import LinkClosed, person_add
from specapp.core.roles import RIGHTS, Right, Role
from specapp.projects.models import Invitation, Membership, Project

INVITATION_LASTS = timedelta(days=14)


class AlreadyMember(Exception):
    """The person has a role in the project; a link changes none."""

    def __init__(self, membership: Membership) -> None:
        super().__init__(str(membership))
        self.membership = membership


@transaction.atomic
def invitation_make(
    *, project: Project, role: Role, for_whom: str, author: User, now: datetime
) -> Invitation:
    """Make a link by which one person joins the project in this role."""
    row = Invitation(
        project=project,
        role=role,
        for_whom=for_whom.strip(),
        made_by=author,
        made_at=now,
        expires_at=now + INVITATION_LASTS,
    )
    row.full_clean()
    row.save()
    _record("member.invite", row, author, now)
    return row


@transaction.atomic
def invitation_withdraw(*, invitation: Invitation, author: User, now: datetime) -> bool:
    """Close a link that nobody has used; False where somebody has."""
    rows = Invitation.objects.filter(pk=invitation.pk, used_at=None, withdrawn_at=None)
    if not rows.update(withdrawn_at=now):
        return False
    _record("invitation.withdraw", invitation, author, now)
    return True


def invitation_is_open(invitation: Invitation, now: datetime) -> bool:
    """Tell whether a link still lets somebody in: its maker must still be able to name members."""
    if not link_is_open(invitation, now) or not invitation.made_by.is_active:
        return False
    maker = Membership.objects.filter(project=invitation.project, user=invitation.made_by).first()
    return maker is not None and Right.MANAGE_PROJECT in RIGHTS[Role(maker.role)]


@transaction.atomic
def invitation_accept(*, invitation: Invitation, person: User, now: datetime) -> Membership:
    """Let a person join by a link. Raises `LinkClosed`, and `AlreadyMember`, which leaves the link open."""
    held = Membership.objects.filter(project=invitation.project, user=person).first()
    if held is not None:
        raise AlreadyMember(held)
    # Used up before the role is given: of two who come at once, one is let in.
    unused = Invitation.objects.filter(pk=invitation.pk, used_at=None, withdrawn_at=None)
    if not invitation_is_open(invitation, now) or not unused.update(used_at=now, used_by=person):
        raise LinkClosed
    membership = Membership.objects.create(
        project=invitation.project, user=person, role=Role(invitation.role)
    )
    _record("member.join", invitation, person, now, user=person.pk)
    return membership


@transaction.atomic
def invitation_accept_anew(
    *, invitation: Invitation, username: str, name: str, email: str, password: str, now: datetime
) -> User:
    """Make an account by a link and join. Raises `LinkClosed`, and then no account is made."""
    person = person_add(
        author=invitation.made_by, now=now, username=username, name=name, email=email, password=password
    )
    invitation_accept(invitation=invitation, person=person, now=now)
    return person


def open_invitations(project: Project, now: datetime) -> list[Invitation]:
    """Return the invitations of a project that may still be used or were not withdrawn by hand."""
    rows = project.invitations.filter(used_at=None, withdrawn_at=None, expires_at__gt=now)
    return [row for row in rows.select_related("made_by", "project") if invitation_is_open(row, now)]


def helped_with_password(owner: User, members: QuerySet[Membership]) -> set[int]:
    """Return whose passwords an owner may help with: of people who are only in projects of this owner.

    Whoever has the link becomes the person; it must open nothing that the owner could not open anyway.
    """
    owned = set(Membership.objects.filter(user=owner, role=Role.OWNER).values_list("project", flat=True))
    elsewhere = set(
        Membership.objects.filter(user__in=members.values("user"))
        .exclude(project__in=owned)
        .values_list("user", flat=True)
    )
    people = User.objects.filter(pk__in=members.values("user"), is_active=True, is_superuser=False)
    if not owner.can_start_projects:
        people = people.filter(may_start_projects=False)
    return set(people.exclude(pk=owner.pk).values_list("pk", flat=True)) - elsewhere


def open_password_links(owner: User, members: QuerySet[Membership], now: datetime) -> dict[int, PasswordLink]:
    """Return the links for passwords that an owner has made and nobody has used, by person."""
    rows = PasswordLink.objects.filter(
        made_by=owner,
        person__in=members.values("user"),
        used_at=None,
        withdrawn_at=None,
        expires_at__gt=now,
    )
    return {row.person_id: row for row in rows}


def _record(action: str, invitation: Invitation, author: User, now: datetime, **data: object) -> None:
    entry_append(
        author=author,
        action=action,
        subject=invitation,
        now=now,
        project_id=invitation.project_id,
        data={"role": invitation.role, **data},
    )
