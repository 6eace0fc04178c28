"""An enquiry: what is asked, how offers are compared, and each issue of it as it went out."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Upper

from specapp.projects.models import Project
from specapp.revisions.models import Issue, StoredFile

_USER = settings.AUTH_USER_MODEL
LONGEST_REASON = 500


class Stage(models.TextChoices):
    """Where an enquiry stands; each stage is entered once and in this order, or the enquiry is cancelled."""

    DRAFT = "DRAFT", "draft"
    ISSUED = "ISSUED", "issued"
    OPENED = "OPENED", "technical offers opened"
    DECIDED = "DECIDED", "technical decisions signed"
    PRICED = "PRICED", "prices opened"
    RECOMMENDED = "RECOMMENDED", "recommended"
    AWARDED = "AWARDED", "awarded"
    CANCELLED = "CANCELLED", "cancelled"


class Enquiry(models.Model):
    """An enquiry about the machines of one issue.

    `terms` are the rules of the comparison (bids/1 settings) and what is asked beside the machines: owners
    in scope, needed weeks, items, group weights. They are frozen when the enquiry closes; every amendment
    keeps those it went out with.
    """

    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="enquiries")
    issue = models.ForeignKey(Issue, on_delete=models.PROTECT, related_name="enquiries")
    reference = models.CharField(max_length=40)
    title = models.CharField(max_length=160)
    stage = models.CharField(max_length=12, choices=Stage, default=Stage.DRAFT)
    closes_at = models.DateTimeField(null=True, blank=True)
    terms = models.JSONField(default=dict)
    discloses_weights = models.BooleanField(default=False)
    one_person_opening = models.BooleanField(default=False)
    blind_evaluation = models.BooleanField(default=False)
    base = models.JSONField()
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                "project",
                Upper("reference"),
                name="enquiry_reference_once",
                violation_error_message="Another enquiry of this project has this reference.",
            ),
            models.CheckConstraint(condition=Q(stage__in=Stage.values), name="enquiry_stage_known"),
            models.CheckConstraint(
                condition=Q(stage__in=[Stage.DRAFT, Stage.CANCELLED]) | Q(closes_at__isnull=False),
                name="enquiry_closes",
            ),
        ]

    def __str__(self) -> str:
        return self.reference


class Requirement(models.Model):
    """A requirement as it stands: made from the machines (`made`), changed with a reason, or added.

    `made` is empty for one that was added. One that is left out keeps its row and its reason.
    """

    enquiry = models.ForeignKey(Enquiry, on_delete=models.CASCADE, related_name="requirements")
    key = models.CharField(max_length=80)
    position = models.PositiveIntegerField()
    made = models.JSONField(null=True, blank=True)
    current = models.JSONField()
    is_left_out = models.BooleanField(default=False)
    reason = models.CharField(max_length=LONGEST_REASON, blank=True)
    changed_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    changed_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["enquiry", "key"], name="enquiry_requirement_once"),
            models.CheckConstraint(
                condition=Q(changed_at=None) | ~Q(reason=""), name="requirement_changed_with_reason"
            ),
        ]

    def __str__(self) -> str:
        return self.key


class Amendment(models.Model):
    """The enquiry as it went out; number 0 is the first issue. Its sheet and forms are never changed."""

    enquiry = models.ForeignKey(Enquiry, on_delete=models.PROTECT, related_name="amendments")
    number = models.PositiveIntegerField()
    note = models.CharField(max_length=LONGEST_REASON, blank=True)
    closes_at = models.DateTimeField()
    terms = models.JSONField()
    sheet = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    technical_form = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    price_form = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    issued_by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["enquiry", "number"], name="amendment_number_once"),
        ]

    def __str__(self) -> str:
        return f"amendment {self.number}" if self.number else "first issue"


class Bidder(models.Model):
    """An organisation that is asked. It never learns that there is another.

    `code` names it in addresses of its own; it is random, so that it counts nobody.
    """

    enquiry = models.ForeignKey(Enquiry, on_delete=models.CASCADE, related_name="bidders")
    name = models.CharField(max_length=60)
    contact = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    code = models.CharField(max_length=22, unique=True)
    people = models.ManyToManyField(_USER, blank=True, related_name="bidding_for")
    invited_at = models.DateTimeField()
    invited_by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                "enquiry",
                Upper("name"),
                name="bidder_name_once",
                violation_error_message="This organisation is asked already.",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="bidder_has_name"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def declined(self) -> models.Model | None:
        """Return by what it has declined, None while it has not or has taken it back."""
        said = list(self.declinings.all())
        return said[-1] if said and said[-1].declines else None


class Acknowledgement(models.Model):
    """A bidder has said that it has received an amendment."""

    amendment = models.ForeignKey(Amendment, on_delete=models.CASCADE, related_name="acknowledgements")
    bidder = models.ForeignKey(Bidder, on_delete=models.CASCADE, related_name="acknowledgements")
    at = models.DateTimeField()
    by = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    evidence = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["amendment", "bidder"], name="amendment_acknowledged_once")
        ]

    def __str__(self) -> str:
        return f"{self.bidder}, {self.amendment}"
