"""Mail, where it is set up: plain text, counts and links."""

import logging
from collections.abc import Sequence
from smtplib import SMTPException
from threading import Thread

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse

from specapp.core.mail.waiting import Waiting
from specapp.core.models import User

_LOG = logging.getLogger("specapp.mail")


def address_of(path: str) -> str:
    """Return a page's address as it is written in a mail or at the console."""
    return settings.PUBLIC_ADDRESS.rstrip("/") + path


def mail_text(opening: str, items: Sequence[Waiting]) -> str:
    lines = [opening, ""]
    for item in items:
        lines += [f"- {item.in_words()}", f"  {address_of(item.path)}"]
    account = address_of(reverse("core:account"))
    lines += [
        "",
        "Sign in to read them; a mail names no values.",
        f"To get fewer mails or none: {account}",
        "",
    ]
    return "\n".join(lines)


def mail_to(person: User, subject: str, text: str) -> EmailMessage:
    headers = {"Auto-Submitted": "auto-generated"}
    return EmailMessage(subject, text, settings.DEFAULT_FROM_EMAIL, [person.email], headers=headers)


def password_link_mail(person: User, token: str) -> None:
    """Mail a link for a password beside the request, so that its time does not tell who has an account."""
    link = address_of(reverse("core:password-link", args=[token]))
    text = (
        "Somebody has asked for a new password for your account of the monitoring specification.\n"
        f"To set one, within a day:\n\n{link}\n\n"
        "If it was not you, leave this mail alone: your password stays as it is.\n"
    )
    message = mail_to(person, "Setting your password", text)
    if settings.MAIL_BESIDE_REQUEST:
        Thread(target=_send, args=(message, person.pk), daemon=True).start()
    else:
        _send(message, person.pk)


def _send(message: EmailMessage, person_id: int) -> None:
    """Send one; whoever asked cannot be told of a failure, so the log is."""
    try:
        message.send()
    except (OSError, SMTPException):
        _LOG.exception("Mail to person %s could not be sent.", person_id)
