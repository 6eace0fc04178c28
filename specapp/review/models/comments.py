"""Comments on a machine's specification, what was answered to them, and the papers that came with them."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.projects.models import Machine, Override
from specapp.revisions.models import Revision, StoredFile

_USER = settings.AUTH_USER_MODEL
LONGEST_TEXT = 4000
LONGEST_REASON = 500
LONGEST_KEY = 200
LONGEST_VALUE = 60


class Category(models.TextChoices):
    """How much a comment weighs, as on the trade's comment sheets."""

    SAFETY = "SAFETY", "safety"
    BREACH = "BREACH", "specification breach"
    MAJOR = "MAJOR", "major"
    MINOR = "MINOR", "minor"
    CLARIFICATION = "CLARIFICATION", "clarification"
    EDITORIAL = "EDITORIAL", "editorial"


class Discipline(models.TextChoices):
    ROTATING = "ROTATING", "rotating equipment"
    INSTRUMENTS = "INSTRUMENTS", "instruments and control"
    ELECTRICAL = "ELECTRICAL", "electrical"
    PROCESS = "PROCESS", "process"
    SAFETY = "SAFETY", "functional safety"
    PURCHASING = "PURCHASING", "purchasing"
    OTHER = "OTHER", "other"


class Audience(models.TextChoices):
    """Who reads a comment besides the project's own people."""

    INTERNAL = "INTERNAL", "internal"
    CLIENT = "CLIENT", "client"
    MAKER = "MAKER", "maker"


class State(models.TextChoices):
    OPEN = "OPEN", "open"
    ANSWERED = "ANSWERED", "answered"
    CLOSED = "CLOSED", "closed"


class Origin(models.TextChoices):
    """How a comment reached the sheet."""

    PAGE = "PAGE", "written here"
    WORKBOOK = "WORKBOOK", "comment workbook"
    COPY = "COPY", "returned copy"


class Closes(models.TextChoices):
    """Who closes a comment that has a reply of some code."""

    COMMENTER = "COMMENTER", "the commenter"
    LEAD = "LEAD", "the lead"
    REPLY = "REPLY", "the reply itself"


class ReplyCode(models.Model):
    """One reply code of a project: its mark and meaning, mapped to the three facts that count."""

    project = models.ForeignKey("projects.Project", on_delete=models.CASCADE, related_name="reply_codes")
    place = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=8)
    meaning = models.CharField(max_length=80)
    may_proceed = models.BooleanField()
    resubmit = models.BooleanField()
    closes = models.CharField(max_length=10, choices=Closes)

    class Meta:
        ordering = ["place", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["project", "code"], name="reply_code_once"),
            models.CheckConstraint(condition=Q(closes__in=Closes.values), name="reply_code_closes_known"),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.meaning}"


class Comment(models.Model):
    """One numbered line of a machine's comment sheet.

    It belongs to the whole document (`item` empty), to an item of the proposal and perhaps a field of it,
    or to a point or frame of a drawing: `scene` names the drawing, `x_mm` and `y_mm` are millimetres of
    its sheet, a frame also has a size. `uid` names the comment outside, in workbooks. `proposed` is a plain
    JSON value as an override holds it.

    `revision` is what it was made on, None for the working draft; `content` is what that revision held
    then, since a candidate may be frozen again. `value_then` and `item_digest` are what stood at the item.
    """

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="comments")
    number = models.PositiveIntegerField()
    uid = models.CharField(max_length=16, unique=True)
    machine_version = models.PositiveIntegerField()
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="comments"
    )
    content = models.ForeignKey(StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    item = models.CharField(max_length=LONGEST_KEY, blank=True)
    field = models.CharField(max_length=40, blank=True)
    item_digest = models.CharField(max_length=16, blank=True)
    value_then = models.CharField(max_length=LONGEST_VALUE, blank=True)
    place_note = models.CharField(max_length=LONGEST_KEY, blank=True)
    scene = models.CharField(max_length=60, blank=True)
    scene_digest = models.CharField(max_length=16, blank=True)
    x_mm = models.FloatField(null=True, blank=True)
    y_mm = models.FloatField(null=True, blank=True)
    width_mm = models.FloatField(null=True, blank=True)
    height_mm = models.FloatField(null=True, blank=True)
    text = models.CharField(max_length=LONGEST_TEXT)
    category = models.CharField(max_length=14, choices=Category)
    discipline = models.CharField(max_length=12, choices=Discipline)
    due_date = models.DateField(null=True, blank=True)
    audience = models.CharField(max_length=8, choices=Audience)
    proposed = models.JSONField(null=True, blank=True)
    proposed_text = models.CharField(max_length=LONGEST_VALUE, blank=True)
    carried_to = models.ForeignKey(
        Revision, on_delete=models.PROTECT, null=True, blank=True, related_name="carried_comments"
    )
    adopted = models.ForeignKey(Override, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    state = models.CharField(max_length=8, choices=State, default=State.OPEN)
    origin = models.CharField(max_length=8, choices=Origin, default=Origin.PAGE)
    origin_id = models.CharField(max_length=64, blank=True)
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    author_outside = models.CharField(max_length=120, blank=True)
    written_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["machine", "number"], name="comment_number_once"),
            models.UniqueConstraint(
                fields=["machine", "origin_id"], condition=~Q(origin_id=""), name="comment_brought_once"
            ),
            models.CheckConstraint(condition=~Q(text=""), name="comment_says_something"),
            models.CheckConstraint(condition=Q(audience__in=Audience.values), name="comment_audience_known"),
            models.CheckConstraint(condition=Q(state__in=State.values), name="comment_state_known"),
            models.CheckConstraint(
                condition=Q(x_mm=None, y_mm=None) | Q(x_mm__isnull=False, y_mm__isnull=False),
                name="comment_place_whole",
            ),
        ]
        indexes = [
            models.Index(fields=["machine", "state", "number"], name="comment_by_state"),
            models.Index(fields=["machine", "item", "field"], name="comment_by_item"),
        ]

    def __str__(self) -> str:
        return f"comment {self.number}"

    @property
    def is_frame(self) -> bool:
        return bool(self.width_mm and self.height_mm)

    @property
    def said_by(self) -> str:
        """Who made the comment: the person outside, or the author's name."""
        return self.author_outside or str(self.author)


class Step(models.TextChoices):
    """What an entry in a comment's row did."""

    REPLY = "REPLY", "reply"
    CHANGE = "CHANGE", "changed"
    ADOPT = "ADOPT", "adopted"
    CLOSE = "CLOSE", "closed"
    REOPEN = "REOPEN", "opened again"
    CARRY = "CARRY", "carried"


class Entry(models.Model):
    """A reply or another step in a comment's row. A code's meaning and facts are kept as they were then."""

    comment = models.ForeignKey(Comment, on_delete=models.CASCADE, related_name="entries")
    step = models.CharField(max_length=8, choices=Step)
    text = models.CharField(max_length=LONGEST_TEXT, blank=True)
    code = models.CharField(max_length=8, blank=True)
    code_meaning = models.CharField(max_length=80, blank=True)
    may_proceed = models.BooleanField(null=True, blank=True)
    resubmit = models.BooleanField(null=True, blank=True)
    closes = models.CharField(max_length=10, choices=Closes, blank=True)
    on_behalf = models.BooleanField(default=False)
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    author_outside = models.CharField(max_length=120, blank=True)
    written_at = models.DateTimeField()
    origin_id = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["comment", "origin_id"], condition=~Q(origin_id=""), name="entry_brought_once"
            ),
            models.CheckConstraint(
                condition=~Q(step="CLOSE") | Q(on_behalf=False) | ~Q(text=""),
                name="entry_on_behalf_has_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_step_display()} by {self.said_by}"

    @property
    def said_by(self) -> str:
        return self.author_outside or str(self.author)


class Attachment(models.Model):
    """A paper that came with a comment; kept beside it, so that one checksum covers both."""

    comment = models.ForeignKey(Comment, on_delete=models.CASCADE, related_name="attachments")
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=20)
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    author = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="+")
    added_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name
