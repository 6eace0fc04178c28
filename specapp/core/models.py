"""People, and the record of what they did."""

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower


class User(AbstractUser):
    """A person who signs in, by user name or by e-mail address."""

    first_name = None
    last_name = None
    # Without "@", so that nobody can take another person's address for a user name.
    username = models.CharField(
        "user name",
        max_length=150,
        unique=True,
        validators=[
            UnicodeUsernameValidator(),
            RegexValidator(
                "@", "A user name has no @; sign-in by e-mail address works besides it.", inverse_match=True
            ),
        ],
        error_messages={"unique": "Someone else has this user name."},
    )
    name = models.CharField(max_length=200, blank=True)
    email = models.EmailField("e-mail address", blank=True)
    may_start_projects = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                condition=~Q(email=""),
                name="user_email_unique",
                violation_error_message="Someone else has this e-mail address.",
            )
        ]

    def __str__(self) -> str:
        return self.get_full_name()

    def get_full_name(self) -> str:
        return self.name or self.username

    def get_short_name(self) -> str:
        return self.get_full_name()

    @property
    def can_start_projects(self) -> bool:
        """Tell whether this person may start projects; whoever runs the installation always may."""
        return self.may_start_projects or self.is_superuser


class AppendOnlyError(RuntimeError):
    """Raised when code tries to change or delete an audit entry."""


class AppendOnlyQuerySet(models.QuerySet):
    def update(self, **kwargs):
        raise AppendOnlyError("Audit entries are never changed.")

    def delete(self):
        raise AppendOnlyError("Audit entries are never deleted.")


class AuditEntry(models.Model):
    """One thing that was done. Each entry carries the digest of the one before, so a gap shows."""

    at = models.DateTimeField(db_index=True)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    actor_name = models.CharField(max_length=200)
    action = models.CharField(max_length=60)
    object_type = models.CharField(max_length=60)
    object_id = models.BigIntegerField(null=True)
    object_name = models.CharField(max_length=200)
    # A plain number, because a project may go and its record may not.
    project_id = models.BigIntegerField(null=True, db_index=True)
    data = models.JSONField(default=dict)
    previous_digest = models.CharField(max_length=64)
    digest = models.CharField(max_length=64, unique=True)

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "audit entries"

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.actor_name} {self.action} {self.object_name}"

    def save(self, *args, **kwargs):
        if self.pk is not None:
            raise AppendOnlyError("Audit entries are never changed.")
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        raise AppendOnlyError("Audit entries are never deleted.")


class AuditHead(models.Model):
    """The one row that is locked while an entry is added, and holds the digest of the last entry."""

    digest = models.CharField(max_length=64)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="audit_head_single")]

    def __str__(self) -> str:
        return self.digest
