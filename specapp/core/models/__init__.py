"""People, links that are good once, the record of what was done, counts of attempts, what was mailed."""

from specapp.core.models.counting import CountedWindow
from specapp.core.models.links import OneUseLink, PasswordLink
from specapp.core.models.mail import ToldAsk
from specapp.core.models.people import User
from specapp.core.models.records import AppendOnlyError, AppendOnlyQuerySet, AuditEntry, AuditHead

__all__ = [
    "AppendOnlyError",
    "AppendOnlyQuerySet",
    "AuditEntry",
    "AuditHead",
    "CountedWindow",
    "OneUseLink",
    "PasswordLink",
    "ToldAsk",
    "User",
]
