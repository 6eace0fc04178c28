"""The record of what people did."""

from django.conf import settings
from django.db import models
from django.db.models import Q


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
