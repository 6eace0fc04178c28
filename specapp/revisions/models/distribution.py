"""To whom an issue was sent, and who has said that it arrived.

Rows are added and never changed: triggers of the database hold them (migration 0004).
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.core.roles import Role
from specapp.revisions.models.revisions import Issue

_USER = settings.AUTH_USER_MODEL

# Roles that an issue may be sent to as a whole. Bidders have pages of their own, under an enquiry.
SENT_TO = (Role.MAKER, Role.CLIENT, Role.READER)


class Recipient(models.Model):
    """A line of an issue's distribution list: one person, or everybody who holds a role in the project.

    A line that is not of the issue's own moment was added later.
    """

    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, related_name="distribution")
    role = models.CharField(max_length=12, choices=[(role.value, role.label) for role in SENT_TO], blank=True)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    person_name = models.CharField(max_length=200, blank=True)
    sent_at = models.DateTimeField()
    sent_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    sent_by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["issue", "person"], condition=Q(role=""), name="issue_sent_once_to_a_person"
            ),
            models.UniqueConstraint(
                fields=["issue", "role"], condition=~Q(role=""), name="issue_sent_once_to_a_role"
            ),
            models.CheckConstraint(
                condition=Q(role="", person__isnull=False) | Q(role__in=SENT_TO, person=None),
                name="recipient_person_or_role",
            ),
        ]

    def __str__(self) -> str:
        return self.person_name or f"everybody who is {self.get_role_display()}"


class Receipt(models.Model):
    """A person has said that an issue arrived; `role` is the one held at that moment."""

    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, related_name="receipts")
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    role = models.CharField(max_length=12, choices=Role)
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["issue", "person"], name="issue_received_once_a_person")
        ]

    def __str__(self) -> str:
        return f"received by {self.person_name}"
