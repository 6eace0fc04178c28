"""Telling people by mail: one digest a day, and at once only that a signature or an answer is asked."""

import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from smtplib import SMTPException

from specapp.core.mail.sending import mail_text, mail_to
from specapp.core.mail.waiting import Waiting, waiting_for
from specapp.core.models import ToldAsk, User

_LOG = logging.getLogger("specapp.mail")
_A_DAY = timedelta(days=1)
# A timer that runs a few minutes early today must not lose the day.
_AT_LEAST_BETWEEN = timedelta(hours=20)
_KEPT = timedelta(days=400)


@dataclass(frozen=True, slots=True)
class Sent:
    """How many mails went out, and to how many people none could be sent."""

    mails: int
    failed: int


def digests_send(now: datetime) -> Sent:
    """Send each person who wants it what is new since the last digest and what waits."""
    people = User.objects.filter(wants_digest=True)
    due = (each for each in _reached(people) if _is_due(each, now))

    def told(person: User) -> bool:
        since = person.digest_sent_at or now - _A_DAY
        items = waiting_for(person, since, now)
        is_sent = _mail(person, "What waits for you", "New since the last digest, or still waiting:", items)
        User.objects.filter(pk=person.pk).update(digest_sent_at=now)
        return is_sent

    return _each(due, told)


def asks_send(now: datetime) -> Sent:
    """Send each person who wants it what he or she is asked to sign or answer and was not told of yet."""
    ToldAsk.objects.filter(told_at__lt=now - _KEPT).delete()

    def told(person: User) -> bool:
        asks = [item for item in waiting_for(person, now, now) if item.ask]
        known = set(ToldAsk.objects.filter(person=person).values_list("key", flat=True))
        fresh = [item for item in asks if item.ask not in known]
        if not _mail(person, "You are asked to sign or answer", "You are asked for:", fresh):
            return False
        ToldAsk.objects.bulk_create(
            [ToldAsk(person=person, key=item.ask, told_at=now) for item in fresh], ignore_conflicts=True
        )
        return True

    return _each(_reached(User.objects.filter(wants_asks=True)), told)


def _reached(people) -> Iterator[User]:
    return people.filter(is_active=True).exclude(email="").order_by("pk").iterator(chunk_size=500)


def _is_due(person: User, now: datetime) -> bool:
    return person.digest_sent_at is None or now - person.digest_sent_at >= _AT_LEAST_BETWEEN


def _mail(person: User, subject: str, opening: str, items: list[Waiting]) -> bool:
    """Send a mail where there is something to tell."""
    if not items:
        return False
    mail_to(person, subject, mail_text(opening, items)).send()
    return True


def _each(people: Iterator[User], told: Callable[[User], bool]) -> Sent:
    mails = failed = 0
    for person in people:
        try:
            mails += told(person)
        except (OSError, SMTPException):
            # One address that is refused must not keep the others from their mail.
            _LOG.exception("Mail to person %s could not be sent.", person.pk)
            failed += 1
    return Sent(mails, failed)
