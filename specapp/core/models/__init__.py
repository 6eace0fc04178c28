"""People, the record of what they did, and counts of attempts."""

from specapp.core.models.counting import CountedWindow
from specapp.core.models.people import User
from specapp.core.models.records import AppendOnlyError, AppendOnlyQuerySet, AuditEntry, AuditHead

__all__ = ["AppendOnlyError", "AppendOnlyQuerySet", "AuditEntry", "AuditHead", "CountedWindow", "User"]
