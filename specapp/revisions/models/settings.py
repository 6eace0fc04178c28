"""How an owner numbers revisions, documents and transmittals, and what each purpose asks for."""

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q

from specapp.projects.models import Machine, Project

LONGEST_NUMBER = 80
LONGEST_PATTERN = 60


class Purpose(models.TextChoices):
    """What a revision is issued for."""

    REVIEW = "REVIEW", "review"
    APPROVAL = "APPROVAL", "approval"
    ENQUIRY = "ENQUIRY", "enquiry"
    CONSTRUCTION = "CONSTRUCTION", "construction"
    AS_BUILT = "AS_BUILT", "as built"


class Series(models.TextChoices):
    LETTERS = "LETTERS", "letters"
    NUMBERS = "NUMBERS", "numbers"


class Numbering(models.Model):
    """The owner's scheme of a project; without a row the defaults hold."""

    project = models.OneToOneField(Project, on_delete=models.CASCADE, related_name="numbering")
    first_letter = models.CharField(
        max_length=1, default="A", validators=[RegexValidator("^[A-Z]$", "Allowed: one letter from A to Z.")]
    )
    letters_left_out = models.CharField(
        max_length=10,
        default="IO",
        blank=True,
        validators=[RegexValidator("^[A-Z]*$", "Allowed: capital letters, such as IO.")],
    )
    first_number = models.PositiveSmallIntegerField(default=0)
    number_digits = models.PositiveSmallIntegerField(default=1)
    document_pattern = models.CharField(max_length=LONGEST_PATTERN, default="{project}-{machine}-{sequence}")
    transmittal_pattern = models.CharField(max_length=LONGEST_PATTERN, default="{project}-T-{sequence}")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(first_number__lte=100), name="numbering_first_number_small"),
            models.CheckConstraint(
                condition=Q(number_digits__gte=1, number_digits__lte=3), name="numbering_digits_few"
            ),
        ]

    def __str__(self) -> str:
        return f"numbering of {self.project}"


class PurposeRule(models.Model):
    """What one purpose asks for in a project: a series of revisions, signatures, the gate."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="purpose_rules")
    purpose = models.CharField(max_length=12, choices=Purpose)
    series = models.CharField(max_length=7, choices=Series)
    needs_checked = models.BooleanField()
    needs_approved = models.BooleanField()
    is_gated = models.BooleanField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["project", "purpose"], name="purpose_rule_once"),
            models.CheckConstraint(condition=Q(purpose__in=Purpose.values), name="purpose_known"),
            models.CheckConstraint(condition=Q(series__in=Series.values), name="series_known"),
        ]

    def __str__(self) -> str:
        return self.get_purpose_display()


class RegisterEntry(models.Model):
    """The owner's number of one document of a machine, by pattern or by hand.

    `key` is that of the registry of documents; `title` replaces the document's own when it is not empty.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="+")
    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="register")
    key = models.CharField(max_length=40)
    number = models.CharField(max_length=LONGEST_NUMBER)
    title = models.CharField(max_length=120, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["machine", "key"], name="register_entry_once"),
            models.UniqueConstraint(
                fields=["project", "number"],
                name="document_number_once",
                violation_error_message="Another document of this project has this number.",
            ),
            models.CheckConstraint(condition=~Q(number=""), name="document_number_there"),
        ]

    def __str__(self) -> str:
        return self.number
