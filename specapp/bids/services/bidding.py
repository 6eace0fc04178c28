"""What a bidder's people do, and what is entered for a bidder: acknowledging, who acts for whom."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from specapp.bids.errors import Refused
from specapp.bids.models import Acknowledgement, Amendment, Bidder
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.models import Membership


def assignable_people(bidder: Bidder) -> QuerySet[User]:
    """Return who may act for an organisation: bidders of the project who act for no other one anywhere."""
    members = Membership.objects.filter(project=bidder.enquiry.project_id, role=Role.BIDDER).values("user")
    of_others = Bidder.objects.exclude(name__iexact=bidder.name).values("people")
    return (
        User.objects.filter(pk__in=members, is_active=True)
        .exclude(pk__in=of_others.filter(people__isnull=False))
        .exclude(pk__in=bidder.people.values("pk"))
        .order_by("name", "pk")
    )


@transaction.atomic
def person_assign(*, bidder: Bidder, person: User, author: User, now: datetime) -> None:
    """Let a person act for an organisation. Raises `Refused` for one who may not, or acts for another."""
    if not assignable_people(bidder).filter(pk=person.pk).exists():
        raise Refused(
            "Choose a member of the project whose role is bidder and who acts for no other organisation."
        )
    bidder.people.add(person)
    _record(bidder, author, "bidder.assign", now, {"person": person.username})


@transaction.atomic
def person_withdraw(*, bidder: Bidder, person: User, author: User, now: datetime) -> None:
    """Let a person act for an organisation no longer."""
    if not bidder.people.filter(pk=person.pk).exists():
        raise Refused("This person does not act for this organisation.")
    bidder.people.remove(person)
    _record(bidder, author, "bidder.withdraw", now, {"person": person.username})


@transaction.atomic
def amendment_acknowledge(
    *, amendment: Amendment, bidder: Bidder, author: User, now: datetime, evidence: str = ""
) -> Acknowledgement:
    """Record that a bidder has received an amendment, once; entered for it, with how that is known."""
    if amendment.enquiry_id != bidder.enquiry_id:
        raise Refused("This is no amendment of this enquiry.")
    try:
        with transaction.atomic():
            row = Acknowledgement.objects.create(
                amendment=amendment, bidder=bidder, at=now, by=author, evidence=evidence.strip()
            )
    except IntegrityError as error:
        raise Refused("It is acknowledged already.") from error
    _record(bidder, author, "amendment.acknowledge", now, {"amendment": amendment.number})
    return row


def _record(bidder: Bidder, author: User, action: str, now: datetime, data: dict[str, object]) -> None:
    entry_append(
        author=author,
        action=action,
        subject=bidder,
        now=now,
        project_id=bidder.enquiry.project_id,
        data=data,
    )
