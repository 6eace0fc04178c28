"""Offers: sealed files and their openings, what is in them, line by line, and who entered it."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.bids.models.enquiries import LONGEST_REASON, Amendment, Bidder, Enquiry

_USER = settings.AUTH_USER_MODEL
BASE = "base"


class Part(models.TextChoices):
    TECHNICAL = "TECHNICAL", "technical"
    PRICE = "PRICE", "price"


class Offer(models.Model):
    """An offer of a bidder: its base offer or an alternative, A1 and on."""

    bidder = models.ForeignKey(Bidder, on_delete=models.CASCADE, related_name="offers")
    label = models.CharField(max_length=4, default=BASE)

    class Meta:
        ordering = ["bidder__name", "pk"]
        constraints = [models.UniqueConstraint(fields=["bidder", "label"], name="offer_label_once")]

    def __str__(self) -> str:
        return self.bidder.name if self.label == BASE else f"{self.bidder.name} {self.label}"


class Envelope(models.Model):
    """A file as it arrived, sealed: before opening only time, size and checksum are told.

    Kept apart from every other file of the project, and never served before `opened_at`. A late one
    stays sealed until somebody decides with a reason.
    """

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="envelopes")
    amendment = models.ForeignKey(Amendment, on_delete=models.PROTECT, related_name="+")
    part = models.CharField(max_length=9, choices=Part)
    version = models.PositiveIntegerField()
    name = models.CharField(max_length=120)
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    received_at = models.DateTimeField()
    received_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    on_behalf = models.BooleanField()
    is_late = models.BooleanField()
    late_accepted = models.BooleanField(null=True, blank=True)
    late_reason = models.CharField(max_length=LONGEST_REASON, blank=True)
    late_decided_at = models.DateTimeField(null=True, blank=True)
    late_decided_by = models.ForeignKey(
        _USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    opened_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["offer", "part", "version"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "part", "version"], name="envelope_version_once"),
            models.CheckConstraint(condition=Q(part__in=Part.values), name="envelope_part_known"),
            models.CheckConstraint(
                condition=Q(late_accepted=None) | ~Q(late_reason=""), name="late_decided_with_reason"
            ),
            models.CheckConstraint(
                condition=Q(is_late=False) | Q(opened_at=None) | Q(late_accepted=True),
                name="late_opened_only_when_accepted",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.offer}, {self.get_part_display()} version {self.version}"


class Opening(models.Model):
    """The opening of one part of all offers: begun by one person, done when enough have given a password."""

    enquiry = models.ForeignKey(Enquiry, on_delete=models.PROTECT, related_name="openings")
    part = models.CharField(max_length=9, choices=Part)
    begun_at = models.DateTimeField()
    opened_at = models.DateTimeField(null=True, blank=True)
    needed = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["enquiry", "part"], name="part_opened_once"),
            models.CheckConstraint(condition=Q(needed__in=(1, 2)), name="opening_by_one_or_two"),
        ]

    def __str__(self) -> str:
        return f"{self.enquiry}: {self.get_part_display()} opening"


class OpeningPerson(models.Model):
    """A person who opened, with a password; the two are not the same."""

    opening = models.ForeignKey(Opening, on_delete=models.PROTECT, related_name="people")
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["opening", "person"], name="opened_once_a_person")]

    def __str__(self) -> str:
        return self.person_name


class OfferContent(models.Model):
    """What was read from an opened form, as it was answered there: the bidder's own words and figures."""

    envelope = models.OneToOneField(Envelope, on_delete=models.PROTECT, related_name="read")
    content = models.JSONField()
    read_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"content of {self.envelope}"


class Transcription(models.Model):
    """A reply entered on a bidder's behalf, with the file and page it stands on; apart from its own."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="transcriptions")
    requirement = models.CharField(max_length=80)
    claim = models.CharField(max_length=16, blank=True)
    offered = models.CharField(max_length=300, blank=True)
    remark = models.CharField(max_length=600, blank=True)
    file = models.CharField(max_length=160)
    page = models.CharField(max_length=40)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["requirement"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "requirement"], name="transcribed_once"),
            models.CheckConstraint(condition=~Q(file="") & ~Q(page=""), name="transcribed_with_evidence"),
        ]

    def __str__(self) -> str:
        return f"{self.offer}: {self.requirement}"


class Clarification(models.Model):
    """A question to one bidder; numbered for that bidder alone. `scope` joins the same question to all."""

    bidder = models.ForeignKey(Bidder, on_delete=models.CASCADE, related_name="clarifications")
    number = models.PositiveIntegerField()
    requirement = models.CharField(max_length=80, blank=True)
    question = models.CharField(max_length=2000)
    scope = models.CharField(max_length=22, blank=True)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    answer = models.CharField(max_length=4000, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    evidence = models.CharField(max_length=200, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["bidder", "number"]
        constraints = [models.UniqueConstraint(fields=["bidder", "number"], name="clarification_number_once")]

    def __str__(self) -> str:
        return f"{self.bidder}, clarification {self.number}"


class Decision(models.Model):
    """What a person decides about one reply. `agreed` is the figure that counts; others are one's own.

    Where it differs from what the check proposed, a reason stands with it.
    """

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="decisions")
    requirement = models.CharField(max_length=80)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    agreed = models.BooleanField()
    standing = models.CharField(max_length=14)
    proposed = models.CharField(max_length=14)
    reason = models.CharField(max_length=LONGEST_REASON, blank=True)
    at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["requirement", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["offer", "requirement"], condition=Q(agreed=True), name="agreed_once"
            ),
            models.UniqueConstraint(
                fields=["offer", "requirement", "person"],
                condition=Q(agreed=False),
                name="decided_once_a_person",
            ),
            models.CheckConstraint(
                condition=Q(standing=models.F("proposed")) | ~Q(reason=""), name="differs_with_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.offer}: {self.requirement} {self.standing}"


class StageSignature(models.Model):
    """A person's signature under a step: technical decisions, recommendation, award."""

    enquiry = models.ForeignKey(Enquiry, on_delete=models.PROTECT, related_name="signatures")
    stage = models.CharField(max_length=12)
    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    text = models.CharField(max_length=2000, blank=True)
    checksum = models.CharField(max_length=64)
    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    person_name = models.CharField(max_length=200)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["enquiry", "stage"], name="stage_signed_once")]

    def __str__(self) -> str:
        return f"{self.enquiry}: {self.stage}"
