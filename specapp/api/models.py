"""Tokens with which programs ask for a person, in one project."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.projects.models import Project

_USER = settings.AUTH_USER_MODEL


class ApiToken(models.Model):
    """A secret of which only the digest is kept. It may do what its person may do in its project, no more.

    `start` is the first characters of the secret, by which people tell their tokens apart.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="tokens")
    person = models.ForeignKey(_USER, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=60)
    start = models.CharField(max_length=6)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    ends_on = models.DateField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["project", "person", "name"],
                condition=Q(withdrawn_at=None),
                name="token_name_once_a_person",
                violation_error_message="You have a token of this name in this project.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="token_has_name"),
        ]

    def __str__(self) -> str:
        return self.name
