"""What goes in and out of the interface, as types: they are checked, and described in its own document."""

from datetime import date, datetime
from typing import Annotated, Any, Literal

from ninja import Schema
from pydantic import AfterValidator, ConfigDict, Field, FiniteFloat

from specapp.domain.scalars import bad_character
from specapp.review.models import LONGEST_TEXT, Audience, Category, Discipline
from specapp.review.models.comments import LONGEST_KEY, LONGEST_VALUE
from specapp.review.places import VALUE_FIELDS

_LARGEST_VERSION = 2_000_000_000
_LARGEST_MM = 5000
_AUDIENCES = f"Who reads it besides the project's own people: {', '.join(Audience.values)}."


def _one_line(text: str) -> str:
    if bad_character(text) is not None:
        raise ValueError("one line of printable characters")
    return text


def _several_lines(text: str) -> str:
    for line in text.replace("\r\n", "\n").replace("\t", " ").split("\n"):
        if bad_character(line) is not None:
            raise ValueError("lines of printable characters")
    return text


Line = Annotated[str, AfterValidator(_one_line)]
Lines = Annotated[str, AfterValidator(_several_lines)]
Version = Annotated[int, Field(ge=1, le=_LARGEST_VERSION, description="The version that was read.")]
Millimetres = Annotated[FiniteFloat, Field(ge=0, le=_LARGEST_MM)]
CategoryName = Literal[tuple(Category.values)]  # type: ignore[valid-type]
DisciplineName = Literal[tuple(Discipline.values)]  # type: ignore[valid-type]
FieldName = Literal[tuple(VALUE_FIELDS)]  # type: ignore[valid-type]


class Wanted(Schema):
    """A body: what it does not know it refuses, so that a misspelt field is not lost."""

    model_config = ConfigDict(extra="forbid", str_strip_whitespace=True)


class ProblemOut(Schema):
    path: str
    found: str
    allowed: str
    name: str | None = None
    message: str | None = None


class Problems(Schema):
    """Everything that was refused, all at once."""

    problems: list[ProblemOut]


class TokenOut(Schema):
    name: str
    person: str
    project_id: int
    project: str
    role: str
    rights: list[str]
    ends_on: date | None


class MachineRow(Schema):
    """A machine in a list; `counts` is null until its proposal has been worked out by this rulebook."""

    id: int
    tag: str
    version: int
    service_class: str
    counts: dict[str, int] | None
    updated_at: datetime
    updated_by: str


class MachineOut(MachineRow):
    description: dict[str, Any] = Field(description="machine/1, as it was entered.")
    description_sha256: str


class Listed(Schema):
    """One page of a list; `page` counts from 1."""

    count: int
    page: int
    pages: int


class MachineList(Listed):
    machines: list[MachineRow]


class SignatureOut(Schema):
    part: str
    person: str
    sha256: str
    signed_at: datetime
    voided_at: datetime | None
    voided_because: str


class RevisionOut(Schema):
    """A revision; `sha256` is the checksum of its content, over which it is signed."""

    id: int
    label: str
    state: str
    purpose: str
    sha256: str
    machine_version: int
    counts: dict[str, int]
    frozen_at: datetime
    frozen_by: str
    issue: str | None
    issued_on: date | None
    superseded_by: str | None


class IssuedDocumentOut(Schema):
    id: int
    key: str
    number: str
    title: str
    filename: str
    media_type: str
    sha256: str
    code: str
    revision: str | None
    issue: str
    issued_on: date
    is_superseded: bool
    superseded_by: str | None


class RevisionWhole(RevisionOut):
    signatures: list[SignatureOut]
    documents: list[IssuedDocumentOut]


class RevisionList(Schema):
    revisions: list[RevisionOut]


class IssuedDocumentList(Schema):
    documents: list[IssuedDocumentOut]


class WorkingDocumentOut(Schema):
    """A document that can be printed from the machine as it stands: working, not issued."""

    key: str
    title: str
    filename: str
    media_type: str


class WorkingDocumentList(Schema):
    documents: list[WorkingDocumentOut]


class Spot(Wanted):
    """A point or frame on a drawing, in millimetres of its sheet from the upper left."""

    drawing: Annotated[Line, Field(min_length=1, max_length=60)]
    x_mm: Millimetres
    y_mm: Millimetres
    width_mm: Millimetres | None = None
    height_mm: Millimetres | None = None


class CommentIn(Wanted):
    """A comment. Without `item` it is about the whole document; `value` is what `field` should be."""

    text: Annotated[Lines, Field(min_length=1, max_length=LONGEST_TEXT)]
    category: CategoryName = Category.MINOR.value
    discipline: DisciplineName = Discipline.INSTRUMENTS.value
    audience: Annotated[Line, Field(max_length=20, description=_AUDIENCES)]
    due_date: date | None = None
    item: Annotated[Line, Field(max_length=LONGEST_KEY)] = ""
    field: FieldName | None = None
    value: Annotated[Line, Field(max_length=LONGEST_VALUE)] = ""
    spot: Spot | None = None


class ReplyIn(Wanted):
    """A reply; `code` is one of the project's reply codes, for whoever answers comments."""

    version: Version
    text: Annotated[Lines, Field(min_length=1, max_length=LONGEST_TEXT)]
    code: Annotated[Line, Field(max_length=8)] | None = None


class EntryOut(Schema):
    step: str
    text: str
    code: str
    code_meaning: str
    by: str
    at: datetime


class AttachmentOut(Schema):
    id: int
    name: str
    size: int
    sha256: str


class SpotOut(Schema):
    drawing: str
    x_mm: float
    y_mm: float
    width_mm: float | None
    height_mm: float | None


class CommentOut(Schema):
    number: int
    version: int
    state: str
    text: str
    category: str
    discipline: str
    audience: str
    due_date: date | None
    item: str
    field: str
    spot: SpotOut | None
    proposed: Any = Field(description="The proposed value in the machine's setting units, null for none.")
    proposed_as_written: str
    is_adopted: bool
    by: str
    at: datetime
    entries: list[EntryOut]
    attachments: list[AttachmentOut]


class CommentList(Listed):
    comments: list[CommentOut]
