"""Records of commissioning: written once, corrected by a later entry, never rewritten (migration 0002)."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.projects.models import Machine, SetpointValue
from specapp.revisions.models import Revision, StoredFile

_USER = settings.AUTH_USER_MODEL
LONGEST_REMARK = 500


class Stage(models.TextChoices):
    FACTORY = "factory", "factory test"
    SITE = "site", "site test"


class Result(models.TextChoices):
    PASS = "PASS", "pass"
    FAIL = "FAIL", "fail"
    NOT_APPLICABLE = "NOT_APPLICABLE", "does not apply"


class Part(models.TextChoices):
    TESTED = "TESTED", "tested"
    WITNESSED = "WITNESSED", "witnessed"


class Checklist(models.Model):
    """The tests of a stage as they were made from a machine's content at one time.

    `items` are those of `specapp.bench.checklists`, kept so that a later rulebook does not change a test
    that is under way; `content` is the revision/1 that they were made from, `basis` names it.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="checklists")
    stage = models.CharField(max_length=8, choices=Stage)
    train = models.CharField(max_length=10, blank=True, default="")
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    content = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    basis = models.CharField(max_length=80)
    items = models.JSONField()
    made_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [models.CheckConstraint(condition=Q(stage__in=Stage.values), name="stage_known")]

    def __str__(self) -> str:
        train = f" of train {self.train}" if self.train else ""
        return f"{self.get_stage_display()}{train}, {self.basis}"


class ChecklistEntry(models.Model):
    """What came of one item, in the item's unit. The entry with the highest sequence stands."""

    checklist = models.ForeignKey(Checklist, on_delete=models.PROTECT, related_name="entries")
    item_key = models.CharField(max_length=300)
    sequence = models.PositiveIntegerField()
    result = models.CharField(max_length=14, choices=Result)
    as_found = models.FloatField(null=True, blank=True)
    as_left = models.FloatField(null=True, blank=True)
    remark = models.CharField(max_length=LONGEST_REMARK, blank=True)
    is_correction = models.BooleanField(default=False)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["checklist", "item_key", "sequence"], name="checklist_entry_once"
            ),
            models.CheckConstraint(condition=Q(result__in=Result.values), name="checklist_result_known"),
        ]

    def __str__(self) -> str:
        return self.item_key


class ChecklistSignature(models.Model):
    """A person's signature over the items and every entry up to it."""

    checklist = models.ForeignKey(Checklist, on_delete=models.PROTECT, related_name="signatures")
    part = models.CharField(max_length=9, choices=Part)
    entry_count = models.PositiveIntegerField()
    checksum = models.CharField(max_length=64)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    signed_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["checklist", "part", "entry_count"], name="checklist_signature_once"
            ),
            models.CheckConstraint(condition=Q(part__in=Part.values), name="checklist_part_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_part_display()} by {self.person_name}"


class Condition(models.TextChoices):
    AS_FOUND = "AS_FOUND", "as found"
    AS_LEFT = "AS_LEFT", "as left"


class Measurement(models.Model):
    """One record of `specapp.bench.measuring`, as written down and as judged on that day.

    `data` is what was measured, in the units of the kind's fields; `limits` are the numbers it was judged
    by where a picture needs them; `judged` the verdict with its reason. `corrects` is the record that it
    stands in place of, which stays.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="measurements")
    kind = models.CharField(max_length=20)
    item = models.CharField(max_length=300)
    tags = models.CharField(max_length=300, blank=True)
    train = models.CharField(max_length=10, blank=True, default="")
    condition = models.CharField(max_length=8, choices=Condition)
    data = models.JSONField()
    limits = models.JSONField(default=dict, blank=True)
    judged = models.JSONField()
    basis = models.CharField(max_length=80)
    instrument = models.CharField(max_length=120, blank=True)
    remark = models.CharField(max_length=LONGEST_REMARK, blank=True)
    measured_on = models.DateField()
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    entered_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["machine", "kind", "item"], name="measurement_of_item")]
        constraints = [
            models.CheckConstraint(condition=Q(condition__in=Condition.values), name="condition_known")
        ]

    def __str__(self) -> str:
        return f"{self.kind.replace('_', ' ')} of {self.item}"


class LeftInTrain(models.Model):
    """In which of several identical machines a setpoint was left at a value; without a row, in all."""

    value = models.OneToOneField(
        SetpointValue, on_delete=models.CASCADE, primary_key=True, related_name="left_in"
    )
    train = models.CharField(max_length=10)

    def __str__(self) -> str:
        return f"train {self.train}"


class DifferenceReason(models.Model):
    """Why a setpoint was left other than specified. It explains these two values and no others.

    `train` is that of the value as left, empty where it was left so in every train.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="difference_reasons")
    train = models.CharField(max_length=10, blank=True, default="")
    item = models.CharField(max_length=300)
    level = models.CharField(max_length=5)
    specified = models.FloatField(null=True, blank=True)
    specified_low = models.FloatField(null=True, blank=True)
    left = models.FloatField()
    left_low = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=8)
    reason = models.CharField(max_length=LONGEST_REMARK)
    change_number = models.CharField(max_length=60, blank=True)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=~Q(reason=""), name="difference_has_reason")]

    def __str__(self) -> str:
        return f"{self.level} of {self.item}"
