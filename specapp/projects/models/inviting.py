"""Invitations into a project, as links that its owner hands over."""

from django.conf import settings
from django.db import models

from specapp.core.models import OneUseLink
from specapp.core.roles import Role
from specapp.projects.models.projects import Project


class Invitation(OneUseLink):
    """Lets one person join a project in one role, with an account made on the way or one there was."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=12, choices=Role)
    for_whom = models.CharField("for whom", max_length=120)
    used_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="invitation_role_known"),
            models.CheckConstraint(
                condition=models.Q(used_at=None, used_by=None)
                | models.Q(used_at__isnull=False, used_by__isnull=False),
                name="invitation_used_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.for_whom} as {self.get_role_display()}"
