"""The register of reference documents: what a project's values are taken from, revision by revision."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Upper

from specapp.projects.models import Machine, Project
from specapp.references.files import LONGEST_NAME, FileKind

_USER = settings.AUTH_USER_MODEL
LONGEST_NUMBER = 120  # that of a source in a description
LONGEST_REVISION = 40


class DocumentKind(models.TextChoices):
    ARRANGEMENT = "ARRANGEMENT", "general arrangement drawing"
    DATA_SHEET = "DATA_SHEET", "data sheet"
    ROTOR = "ROTOR", "rotor or bearing report"
    SETPOINTS = "SETPOINTS", "setpoint list"
    SPECIFICATION = "SPECIFICATION", "specification"
    AREA = "AREA", "area classification"
    PIPING = "PIPING", "piping and instrument diagram"
    CERTIFICATE = "CERTIFICATE", "certificate"
    TEST = "TEST", "test or measurement record"
    ANSWERS = "ANSWERS", "questions, answered"
    LETTER = "LETTER", "letter or minutes"
    OTHER = "OTHER", "other"


def _stored_at(attachment: "Attachment", name: str) -> str:
    """Return where a file lies: by its content, so that no name of anybody's reaches the disk."""
    return f"references/{attachment.revision.document.project_id}/{attachment.sha256}.{attachment.kind}"


class ReferenceDocument(models.Model):
    """A document by its number, once in a project; `machine` where it is about one machine alone.

    Sources in descriptions name it by its number, whatever the capitals.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="reference_documents")
    # A machine may go and what was read of it stays in the project's register.
    machine = models.ForeignKey(
        Machine, on_delete=models.SET_NULL, null=True, blank=True, related_name="reference_documents"
    )
    number = models.CharField(max_length=LONGEST_NUMBER)
    title = models.CharField(max_length=200, blank=True)
    kind = models.CharField(max_length=16, choices=DocumentKind)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["number", "pk"]
        constraints = [
            models.UniqueConstraint(
                "project",
                Upper("number"),
                name="reference_document_number_once",
                violation_error_message="The project's register has a document of this number.",
            ),
            models.CheckConstraint(condition=~Q(number=""), name="reference_document_has_number"),
        ]

    def __str__(self) -> str:
        return self.number


class DocumentRevision(models.Model):
    """One revision as it was received. The one received last is the one that counts."""

    document = models.ForeignKey(ReferenceDocument, on_delete=models.CASCADE, related_name="revisions")
    revision = models.CharField(max_length=LONGEST_REVISION)
    dated = models.DateField(null=True, blank=True)
    received_on = models.DateField()
    received_by = models.CharField(max_length=120)
    received_from = models.CharField(max_length=120, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                "document",
                Upper("revision"),
                name="document_revision_once",
                violation_error_message="This document has this revision.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.document} rev {self.revision}" if self.revision else str(self.document)


class Attachment(models.Model):
    """A file of a revision, known by the digest of its content; never served but as a download."""

    revision = models.ForeignKey(DocumentRevision, on_delete=models.CASCADE, related_name="attachments")
    name = models.CharField(max_length=LONGEST_NAME)
    kind = models.CharField(max_length=5, choices=FileKind)
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    file = models.FileField(upload_to=_stored_at, max_length=200)
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["revision", "sha256"], name="attachment_once_a_revision"),
            models.CheckConstraint(condition=Q(size__gt=0), name="attachment_not_empty"),
        ]

    def __str__(self) -> str:
        return self.name


class SittingSource(models.Model):
    """Where everything a person enters for a machine comes from, until they say otherwise."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="+")
    person = models.ForeignKey(_USER, on_delete=models.CASCADE, related_name="+")
    document = models.CharField(max_length=LONGEST_NUMBER)
    revision = models.CharField(max_length=LONGEST_REVISION, blank=True)
    page = models.CharField(max_length=40, blank=True)
    state = models.CharField(max_length=10)
    begun_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["machine", "person"], name="sitting_once_a_person")]

    def __str__(self) -> str:
        return f"{self.document} rev {self.revision}" if self.revision else self.document
