"""Making, finding and using links that are good once."""

from datetime import datetime
from hmac import compare_digest
from typing import TypeVar

from django.conf import settings
from django.db.models import QuerySet
from django.utils.crypto import salted_hmac

from specapp.core.models import OneUseLink

Link = TypeVar("Link", bound=OneUseLink)
_SALT = "specapp.core.links"
_MAC_LENGTH = 43
_MOST_DIGITS = 18


def link_token(row: OneUseLink) -> str:
    """Return what stands in the address for this link."""
    return f"{row.pk}-{_mac(row)}"


def link_find(rows: QuerySet[Link], token: str) -> Link | None:
    """Return the link of a token, open or not; nothing where the token was not made here."""
    number, _, mac = token.partition("-")
    if not (number.isascii() and number.isdecimal()) or len(number) > _MOST_DIGITS:
        return None
    row = rows.filter(pk=int(number)).first()
    return row if row is not None and compare_digest(_mac(row).encode(), mac.encode()[:200]) else None


def link_is_open(row: OneUseLink, now: datetime) -> bool:
    return row.used_at is None and row.withdrawn_at is None and now < row.expires_at


def link_take(row: OneUseLink, now: datetime) -> bool:
    """Use a link up; False where somebody else has a moment ago. Call it inside the change it allows."""
    unused = type(row)._default_manager.filter(pk=row.pk, used_at=None, withdrawn_at=None, expires_at__gt=now)
    return unused.update(used_at=now) == 1


def _mac(row: OneUseLink) -> str:
    content = f"{row._meta.label_lower}:{row.pk}:{row.nonce}"
    return salted_hmac(_SALT, content, secret=settings.SECRET_KEY, algorithm="sha256").hexdigest()[
        :_MAC_LENGTH
    ]
