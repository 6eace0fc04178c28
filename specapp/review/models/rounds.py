"""Who is asked to review, what each has answered, what each has looked at, and what is being brought in."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.projects.models import Machine
from specapp.review.models.comments import LONGEST_KEY, LONGEST_REASON, LONGEST_TEXT
from specapp.revisions.models import Revision

_USER = settings.AUTH_USER_MODEL


class Round(models.Model):
    """A review asked for: the reviewers named, the day by which they answer, the lead who consolidates.

    `revision` is what is to be reviewed, None for the working draft.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="review_rounds")
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="review_rounds"
    )
    purpose = models.CharField(max_length=80)
    machine_version = models.PositiveIntegerField()
    due_date = models.DateField()
    lead = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    opened_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    outcome = models.CharField(max_length=LONGEST_TEXT, blank=True)
    code = models.CharField(max_length=8, blank=True)
    code_meaning = models.CharField(max_length=80, blank=True)
    may_proceed = models.BooleanField(null=True, blank=True)
    resubmit = models.BooleanField(null=True, blank=True)
    consolidated_by = models.ForeignKey(
        _USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    consolidated_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.purpose


class Answer(models.TextChoices):
    COMMENTS = "COMMENTS", "comments given"
    NO_COMMENT = "NO_COMMENT", "no comment"


class Reviewer(models.Model):
    """A person named for a round, and the answer given; empty until then.

    Whoever is excused stays in the list, is asked for nothing and has answered nothing.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="reviewers")
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    answer = models.CharField(max_length=10, choices=Answer, blank=True)
    note = models.CharField(max_length=LONGEST_REASON, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    excused_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["round", "person"], name="reviewer_once"),
            models.CheckConstraint(
                condition=Q(answer="", answered_at=None) | (~Q(answer="") & Q(answered_at__isnull=False)),
                name="reviewer_answer_dated",
            ),
            models.CheckConstraint(
                condition=Q(excused_at=None) | Q(answer=""), name="reviewer_excused_without_answer"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.round}"


class RoundChange(models.Model):
    """What its lead changed in a round after asking, and why; read by everybody it concerns.

    `due_was` and `due_is` are None where the day stayed. `added` and `excused` hold people's keys: each is
    among the round's reviewers.
    """

    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="changes")
    due_was = models.DateField(null=True, blank=True)
    due_is = models.DateField(null=True, blank=True)
    added = models.JSONField(default=list, blank=True)
    excused = models.JSONField(default=list, blank=True)
    reason = models.CharField(max_length=LONGEST_REASON)
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="round_change_with_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.round} changed"


class Look(models.Model):
    """A person has looked at an item; `digest` is what the item said then, so that a change shows."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="looks")
    person = models.ForeignKey(_USER, on_delete=models.CASCADE, related_name="+")
    item = models.CharField(max_length=LONGEST_KEY)
    digest = models.CharField(max_length=16)
    looked_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["machine", "person", "item"], name="look_once")]

    def __str__(self) -> str:
        return f"{self.item} seen by {self.person}"


class StagedReview(models.Model):
    """Comments a person has brought in a workbook or a returned copy and not yet confirmed."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(_USER, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(max_length=200)
    lines = models.JSONField()
    problems = models.JSONField(default=list)
    brought_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["machine", "person"], name="staged_review_once")]

    def __str__(self) -> str:
        return self.name
