"""What a bidder's people do, and what is entered for it: acknowledging, declining, who acts for whom."""

from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from specapp.bids.errors import Refused
from specapp.bids.models import Acknowledgement, Amendment, Bidder, Declining, Enquiry, Stage
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.models import Membership

ANSWERED_UNTIL = (Stage.ISSUED, Stage.OPENED, Stage.DECIDED, Stage.PRICED)


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


def may_decline(bidder: Bidder, now: datetime) -> bool:
    """Tell whether declining, or taking it back, is still possible: until the closing time."""
    last = bidder.enquiry.amendments.last()
    return bidder.enquiry.stage == Stage.ISSUED and last is not None and now < last.closes_at


@transaction.atomic
def enquiry_decline(*, bidder: Bidder, reason: str, author: User, now: datetime) -> Declining:
    """Record that a bidder makes no offer, and why.

    Raises `Refused` after the closing time, twice, without a reason, and where files of it are here: an
    offer that was sent is not made undone by a word.
    """
    _locked_open(bidder, now)
    if bidder.declined is not None:
        raise Refused("You have declined already.")
    if bidder.offers.exists():
        raise Refused("Files of your offer are here: an offer is not declined once it is sent.")
    if not reason.strip():
        raise Refused("Say why.")
    return _said(bidder, True, reason.strip(), author, now)


@transaction.atomic
def decline_take_back(*, bidder: Bidder, author: User, now: datetime) -> Declining:
    """Record that a bidder makes an offer after all. Raises `Refused` after closing, or where it does."""
    _locked_open(bidder, now)
    if bidder.declined is None:
        raise Refused("You have not declined.")
    return _said(bidder, False, "", author, now)


def _locked_open(bidder: Bidder, now: datetime) -> None:
    """Lock the enquiry, as receiving a file does. Raises `Refused` where nothing is declined any more."""
    bidder.enquiry.stage = Enquiry.objects.select_for_update().get(pk=bidder.enquiry_id).stage
    if not may_decline(bidder, now):
        raise Refused("The closing time has passed or the enquiry has ended: nothing is declined any more.")


def _said(bidder: Bidder, declines: bool, reason: str, author: User, now: datetime) -> Declining:
    row = Declining(
        bidder=bidder,
        declines=declines,
        reason=reason,
        at=now,
        by=author,
        by_name=author.get_full_name()[:200],
    )
    row.full_clean()
    row.save()
    action = "bidder.decline" if declines else "bidder.decline_taken_back"
    _record(bidder, author, action, now, {"reason": reason} if declines else {})
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
