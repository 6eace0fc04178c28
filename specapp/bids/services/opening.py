"""The opening of offers by two persons with their passwords, or by one where the enquiry says so."""

from datetime import datetime

from django.db import transaction

from specapp.bids.comparing import acceptable_offers
from specapp.bids.errors import Refused
from specapp.bids.models import Enquiry, Envelope, Opening, OpeningPerson, Part, Stage
from specapp.bids.services.passwords import password_check
from specapp.core.audit import entry_append
from specapp.core.models import User

_BEFORE = {Part.TECHNICAL: Stage.ISSUED, Part.PRICE: Stage.DECIDED}
_AFTER = {Part.TECHNICAL: Stage.OPENED, Part.PRICE: Stage.PRICED}


def cannot_open(enquiry: Enquiry, part: str, person: User, now: datetime) -> str:
    """Return what stands in the way of this person's opening; empty where nothing does."""
    if enquiry.stage != _BEFORE[Part(part)]:
        return (
            f"The enquiry is {enquiry.get_stage_display()}: {Part(part).label} offers are not to be opened."
        )
    last = enquiry.amendments.last()
    if last is None or now < last.closes_at:
        return "Nothing is opened before the closing time."
    if OpeningPerson.objects.filter(opening__enquiry=enquiry, opening__part=part, person=person).exists():
        return "You have opened already: a second person is needed."
    return ""


def opening_confirm(*, enquiry: Enquiry, part: str, person: User, password: str, now: datetime) -> Opening:
    """Take a person's part in an opening; with the last one needed, the files are opened.

    Raises `Refused` before the closing time, out of turn, for a wrong password, and for one person twice.
    """
    password_check(enquiry, person, password, f"opening {part}", now)
    with transaction.atomic():
        row = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
        problem = cannot_open(row, part, person, now)
        if problem:
            raise Refused(problem)
        opening, _ = Opening.objects.get_or_create(
            enquiry=row,
            part=part,
            defaults={"begun_at": now, "needed": 1 if row.one_person_opening else 2},
        )
        OpeningPerson.objects.create(
            opening=opening, person=person, person_name=person.get_full_name()[:200], at=now
        )
        given = opening.people.count()
        entry_append(
            author=person,
            action="offer.open",
            subject=row,
            now=now,
            project_id=row.project_id,
            data={"part": part, "persons": given, "needed": opening.needed},
        )
        if given >= opening.needed:
            _open(row, opening, now)
    return opening


def _open(enquiry: Enquiry, opening: Opening, now: datetime) -> None:
    """Open the files of a part; of prices only those of acceptable offers."""
    files = Envelope.objects.filter(offer__bidder__enquiry=enquiry, part=opening.part, opened_at=None)
    files = files.filter(is_late=False) | files.filter(late_accepted=True)
    if opening.part == Part.PRICE:
        files = files.filter(offer__in=[offer.pk for offer in acceptable_offers(enquiry)])
    files.update(opened_at=now)
    opening.opened_at = now
    opening.save(update_fields=["opened_at"])
    enquiry.stage = _AFTER[Part(opening.part)]
    enquiry.version += 1
    enquiry.save(update_fields=["stage", "version"])
