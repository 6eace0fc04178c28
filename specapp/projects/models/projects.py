"""Projects, their members and their machines."""

import zoneinfo

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.functions import Upper

from specapp.core.roles import Role


class PageSize(models.TextChoices):
    A4 = "A4", "A4"
    A3 = "A3", "A3"
    LETTER = "LETTER", "Letter"
    TABLOID = "TABLOID", "Tabloid"


def validate_time_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(
            f"Found {name!r}; allowed is a time zone by region and city, such as Europe/Oslo, or UTC."
        )


class Project(models.Model):
    """A job for one site: who works on it, and how its papers are printed."""

    name = models.CharField(max_length=120)
    number = models.CharField("project number", max_length=40, blank=True)
    client = models.CharField(max_length=120, blank=True)
    site = models.CharField(max_length=120, blank=True)
    page_size = models.CharField(max_length=10, choices=PageSize, default=PageSize.A4)
    time_zone = models.CharField(max_length=64, default="UTC", validators=[validate_time_zone])
    clients_read_drafts = models.BooleanField(default=False)
    is_invented = models.BooleanField(
        default=False, help_text="A demonstration: plant, people and tags are invented."
    )
    created_at = models.DateTimeField()
    members = models.ManyToManyField(settings.AUTH_USER_MODEL, through="Membership", related_name="projects")

    class Meta:
        ordering = ["name", "pk"]

    @property
    def file_name(self) -> str:
        """What files about the project are named after."""
        return self.number or self.name

    def __str__(self) -> str:
        return f"{self.number} {self.name}".strip()


class Membership(models.Model):
    """One person's one role in one project."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=12, choices=Role)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["project", "user"], name="membership_once"),
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="membership_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.user} as {self.get_role_display()}"


class Machine(models.Model):
    """A machine as its engineer described it. Everything else about it is worked out from that."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="machines")
    tag = models.CharField(max_length=40)
    description = models.JSONField()
    description_checksum = models.CharField(max_length=64, db_index=True)
    version = models.PositiveIntegerField(default=1)
    # What the lists show of the proposal, and by which engine and criteria it was counted.
    counts = models.JSONField(default=dict)
    counted_by = models.CharField(max_length=64)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    updated_at = models.DateTimeField()
    updated_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["tag", "pk"]
        constraints = [
            models.UniqueConstraint(
                "project",
                Upper("tag"),
                name="machine_tag_once_in_project",
                violation_error_message="Another machine of this project has this tag.",
            ),
        ]

    def __str__(self) -> str:
        return self.tag
