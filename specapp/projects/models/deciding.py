"""What people decide about a machine or a project: kept with reason, author and time, never rewritten.

Undoing or withdrawing marks a row; the row itself stays as the history of the value.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from specapp.domain.overrides import ALLOWED, MOST_REASON
from specapp.projects.models.projects import Machine, Project

_USER = settings.AUTH_USER_MODEL
_OVERRIDE_FIELDS = {name: name for name in ALLOWED}
LONGEST_KEY = 200


class Override(models.Model):
    """A value set in place of a rule's; it remembers the rule's value and the shaft speed it was set against.

    `item` is a voting group or a point key, `value` and `rule_value` plain JSON values in the machine's
    setting units. `moved_from` and `moved_from_place` (counted from 1) tell the item and the pinion's place
    it was written for while the pinion stands elsewhere or goes by another name.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="overrides")
    item = models.CharField(max_length=LONGEST_KEY)
    field = models.CharField(max_length=10, choices=_OVERRIDE_FIELDS)
    value = models.JSONField()
    reason = models.CharField(max_length=MOST_REASON)
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    rule_value = models.JSONField(null=True, blank=True)
    speed_rpm = models.FloatField(null=True, blank=True)
    moved_from = models.CharField(max_length=LONGEST_KEY, blank=True)
    moved_from_place = models.PositiveSmallIntegerField(null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "item", "field"],
                condition=Q(undone_at=None),
                name="override_once_in_force",
            ),
            models.CheckConstraint(
                condition=Q(undone_at=None, undone_by=None)
                | Q(undone_at__isnull=False, undone_by__isnull=False),
                name="override_undone_by_someone",
            ),
            models.CheckConstraint(condition=Q(field__in=list(ALLOWED)), name="override_field_known"),
            models.CheckConstraint(condition=~Q(reason=""), name="override_has_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.field} of {self.item}"


class ProjectCriterion(models.Model):
    """The owner's value for a criterion, over the default, for every machine of a project."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="criteria")
    key = models.CharField(max_length=LONGEST_KEY)
    value = models.FloatField()
    reason = models.CharField(max_length=500)
    source = models.CharField(max_length=500, blank=True)
    dated = models.DateField(null=True, blank=True)
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["key", "pk"]
        verbose_name_plural = "project criteria"
        constraints = [
            models.UniqueConstraint(
                fields=["project", "key"],
                condition=Q(withdrawn_at=None),
                name="project_criterion_once_in_force",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="project_criterion_has_reason"),
        ]

    def __str__(self) -> str:
        return self.key


class CriterionConfirmation(models.Model):
    """A reviewer has held a value recalled from memory against a licensed copy.

    It speaks of `value` as it was then; another value in force is not confirmed by it.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="confirmations")
    key = models.CharField(max_length=LONGEST_KEY)
    value = models.FloatField()
    edition = models.CharField(max_length=200)
    on = models.DateField()
    by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["key", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["project", "key", "by"],
                condition=Q(withdrawn_at=None),
                name="confirmation_once_a_person",
            ),
            models.CheckConstraint(condition=~Q(edition=""), name="confirmation_names_edition"),
        ]

    def __str__(self) -> str:
        return f"{self.key}, {self.edition}"


class SetpointState(models.TextChoices):
    """How far a setpoint has come on its way from the desk to the machine."""

    PRELIMINARY = "PRELIMINARY", "preliminary"
    MAKERS = "MAKERS", "maker's value"
    ACCEPTED = "ACCEPTED", "accepted"
    AS_LEFT = "AS_LEFT", "as left"


class SetpointLevel(models.TextChoices):
    ALARM = "alarm", "alarm"
    TRIP = "trip", "trip"


class SetpointValue(models.Model):
    """A value that a document or a person gives for a setpoint; it stands beside the rule's, moving nothing.

    `item` is a voting group, or a point that votes alone; `low` is the signed low side of a two-sided one.
    The last row of a state that is not withdrawn is the one that counts.
    """

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="setpoint_values")
    item = models.CharField(max_length=LONGEST_KEY)
    level = models.CharField(max_length=5, choices=SetpointLevel)
    value = models.FloatField()
    low = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=8)
    state = models.CharField(max_length=12, choices=SetpointState)
    document = models.CharField(max_length=120)
    revision = models.CharField(max_length=40, blank=True)
    person = models.CharField(max_length=120)
    dated = models.DateField()
    note = models.CharField(max_length=500, blank=True)
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["machine", "item", "level"], name="setpoint_value_of_item")]
        constraints = [
            models.CheckConstraint(
                condition=Q(level__in=SetpointLevel.values), name="setpoint_value_level_known"
            ),
            models.CheckConstraint(
                condition=Q(state__in=SetpointState.values), name="setpoint_value_state_known"
            ),
            models.CheckConstraint(
                condition=Q(low=None) | Q(low__lt=F("value")), name="setpoint_value_low_below"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_state_display()} {self.level} of {self.item}"

    @property
    def as_reason(self) -> str:
        """Where the value comes from, as the reason of an override that adopts it."""
        revision = f" rev {self.revision}" if self.revision else ""
        return f"{self.get_state_display()}, {self.document}{revision}, {self.person}, {self.dated}"


class DescriptionDraft(models.Model):
    """What a person has typed into a description and not saved: one of a person for each machine.

    `version` is the machine's version the typing began from, 0 for a machine that is not saved yet.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="drafts")
    machine = models.ForeignKey(
        Machine, on_delete=models.CASCADE, null=True, blank=True, related_name="drafts"
    )
    person = models.ForeignKey(_USER, on_delete=models.CASCADE, related_name="+")
    typed = models.JSONField()
    version = models.PositiveIntegerField()
    typed_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["machine", "person"], name="draft_once_a_person"),
            models.UniqueConstraint(
                fields=["project", "person"],
                condition=Q(machine=None),
                name="draft_of_a_new_machine_once_a_person",
            ),
        ]

    def __str__(self) -> str:
        return f"entries of {self.person} for {self.machine or 'a new machine'}"
