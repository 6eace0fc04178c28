"""Revisions of a machine: frozen content, signatures over its checksum, what is on hold.

Rows of issued revisions are sealed by triggers of the database (migration 0002); nothing here is deleted.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.projects.models import Machine, Project
from specapp.revisions.models.settings import LONGEST_NUMBER, Purpose, Series

_USER = settings.AUTH_USER_MODEL
LONGEST_REASON = 500
LONGEST_TO = 300


class StoredFile(models.Model):
    """Bytes under their own SHA-256. In the database, so that a backup of it is whole and rows cannot lie."""

    sha256 = models.CharField(max_length=64, primary_key=True)
    size = models.PositiveIntegerField()
    content = models.BinaryField()

    def __str__(self) -> str:
        return self.sha256


class Issue(models.Model):
    """A package of one or more revisions sent together, with one numbered transmittal."""

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="issues")
    sequence = models.PositiveIntegerField()
    number = models.CharField(max_length=LONGEST_NUMBER)
    purpose = models.CharField(max_length=12, choices=Purpose)
    recipients = models.CharField(max_length=LONGEST_TO)
    note = models.CharField(max_length=LONGEST_REASON, blank=True)
    answer_by = models.DateField(null=True, blank=True)
    issued_at = models.DateTimeField()
    issued_on = models.DateField()
    issued_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    issued_by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["-sequence"]
        constraints = [
            models.UniqueConstraint(fields=["project", "sequence"], name="issue_sequence_once"),
            models.UniqueConstraint(fields=["project", "number"], name="issue_number_once"),
            models.CheckConstraint(condition=Q(purpose__in=Purpose.values), name="issue_purpose_known"),
        ]

    def __str__(self) -> str:
        return self.number


class State(models.TextChoices):
    CANDIDATE = "CANDIDATE", "candidate"
    ISSUED = "ISSUED", "issued"
    CANCELLED = "CANCELLED", "cancelled"


class Revision(models.Model):
    """One revision of a machine. `content` is what was frozen; signatures are given over its checksum.

    `basis` tells whether the machine has moved on since; `frozen_entry` is the entry of the record at which
    it was frozen. A number is used once, also where its revision is cancelled.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="revisions")
    purpose = models.CharField(max_length=12, choices=Purpose)
    series = models.CharField(max_length=7, choices=Series)
    sequence = models.PositiveIntegerField()
    label = models.CharField(max_length=8)
    state = models.CharField(max_length=9, choices=State, default=State.CANDIDATE)
    content = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    basis = models.CharField(max_length=64)
    machine_version = models.PositiveIntegerField()
    counts = models.JSONField(default=dict)
    frozen_at = models.DateTimeField()
    frozen_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    frozen_entry = models.BigIntegerField()
    issue = models.ForeignKey(
        Issue, on_delete=models.PROTECT, null=True, blank=True, related_name="revisions"
    )
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    cancelled_because = models.CharField(max_length=LONGEST_REASON, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["machine", "label"], name="revision_label_once"),
            models.UniqueConstraint(fields=["machine", "series", "sequence"], name="revision_sequence_once"),
            models.UniqueConstraint(
                fields=["machine"], condition=Q(state="CANDIDATE"), name="one_candidate_of_a_machine"
            ),
            models.CheckConstraint(
                condition=Q(state="ISSUED", issue__isnull=False) | (~Q(state="ISSUED") & Q(issue=None)),
                name="revision_issued_by_an_issue",
            ),
            models.CheckConstraint(
                condition=~Q(state="CANCELLED") | ~Q(cancelled_because=""), name="revision_cancelled_because"
            ),
            models.CheckConstraint(condition=Q(state__in=State.values), name="revision_state_known"),
        ]

    def __str__(self) -> str:
        return f"{self.machine} revision {self.label}"

    @property
    def checksum(self) -> str:
        return self.content_id


class Part(models.TextChoices):
    """What a person signs as."""

    PREPARED = "PREPARED", "prepared"
    CHECKED = "CHECKED", "checked"
    APPROVED = "APPROVED", "approved"


class Signature(models.Model):
    """A person's signature over a content checksum; void once that content is no longer the candidate's.

    `accepted` counts what was listed for acceptance: values from memory, placeholders, points not opened.
    """

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="signatures")
    part = models.CharField(max_length=8, choices=Part)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    checksum = models.CharField(max_length=64)
    accepted = models.JSONField(default=dict)
    signed_at = models.DateTimeField()
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_because = models.CharField(max_length=LONGEST_REASON, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["revision", "part"], condition=Q(voided_at=None), name="signature_once_a_part"
            ),
            models.UniqueConstraint(
                fields=["revision", "person"], condition=Q(voided_at=None), name="signature_once_a_person"
            ),
            models.CheckConstraint(condition=Q(part__in=Part.values), name="signature_part_known"),
        ]

    def __str__(self) -> str:
        return f"{self.get_part_display()} {self.person_name}"


class IssuedDocument(models.Model):
    """A document as it was issued: its bytes, number, title and the code printed on its sheets.

    The transmittal belongs to the issue alone and has no revision.
    """

    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, related_name="documents")
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="documents"
    )
    key = models.CharField(max_length=40)
    number = models.CharField(max_length=LONGEST_NUMBER)
    title = models.CharField(max_length=120)
    filename = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    code = models.CharField(max_length=8, unique=True)
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="documents")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["issue", "filename"], name="issued_filename_once"),
            models.UniqueConstraint(fields=["revision", "key"], name="issued_document_once"),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"


class HoldItem(models.Model):
    """Something issued with a hold: what it is, who settles it, by when. Released ones stay as history."""

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="holds")
    kind = models.CharField(max_length=20)
    key = models.CharField(max_length=300)
    text = models.CharField(max_length=600)
    owner = models.CharField(max_length=120)
    due_date = models.DateField()
    written_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField()
    released_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    released_at = models.DateTimeField(null=True, blank=True)
    released_because = models.CharField(max_length=LONGEST_REASON, blank=True)

    class Meta:
        ordering = ["due_date", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "kind", "key"], condition=Q(released_at=None), name="hold_once"
            ),
            models.CheckConstraint(condition=~Q(owner=""), name="hold_has_owner"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class PointOpened(models.Model):
    """A person has opened a point's sheet, at this version of the machine."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=200)
    person = models.ForeignKey(_USER, on_delete=models.CASCADE, related_name="+")
    machine_version = models.PositiveIntegerField()
    opened_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "machine_version", "key", "person"], name="point_opened_once"
            )
        ]

    def __str__(self) -> str:
        return self.key
