"""The record as pages and files: of one project, or of what was done outside of any."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils import timezone

from specapp.core.forms import Form, IsoDateField
from specapp.core.models import AuditEntry
from specapp.core.record_words import action_words, data_lines, data_text
from specapp.documents.schedules import Schedule

ENTRIES_ON_A_PAGE = 50
# Beyond these a day has no beginning in every time zone.
_DAYS = [
    MinValueValidator(date(2000, 1, 1), "Allowed: from 2000-01-01."),
    MaxValueValidator(date(2199, 12, 31), "Allowed: to 2199-12-31."),
]
_HEADINGS = ("Entry", "When", "Who", "Action", "Object", "Object number", "Name", "Content", "Digest")


class RecordForm(Form):
    """What of the record is asked for; an empty field leaves nothing out."""

    person = forms.ChoiceField(label="Person", required=False)
    action = forms.ChoiceField(label="What was done", required=False)
    about = forms.CharField(label="Name of the object", required=False, max_length=100)
    first = IsoDateField(label="From", required=False, help_text="", validators=_DAYS)
    last = IsoDateField(label="To", required=False, help_text="", validators=_DAYS)

    def __init__(self, query: QueryDict, entries: QuerySet[AuditEntry]) -> None:
        super().__init__(query)
        people = entries.order_by("actor_name").values_list("actor_name", flat=True).distinct()
        actions = entries.order_by("action").values_list("action", flat=True).distinct()
        self.fields["person"].choices = [("", "everybody"), *((name, name) for name in people)]
        self.fields["action"].choices = [
            ("", "everything"),
            *((name, action_words(name)) for name in actions),
        ]


@dataclass(frozen=True, slots=True)
class EntryRow:
    """An entry as a page shows it."""

    entry: AuditEntry
    what: str
    lines: list[str]


def _entries(project_id: int | None) -> QuerySet[AuditEntry]:
    return AuditEntry.objects.filter(project_id=project_id)


def _chosen(entries: QuerySet[AuditEntry], form: RecordForm) -> QuerySet[AuditEntry]:
    """Return the entries asked for; a field that could not be read says so and leaves nothing out."""
    form.is_valid()
    told = form.cleaned_data
    if told.get("person"):
        entries = entries.filter(actor_name=told["person"])
    if told.get("action"):
        entries = entries.filter(action=told["action"])
    if told.get("about"):
        entries = entries.filter(object_name__icontains=told["about"])
    if told.get("first"):
        entries = entries.filter(at__gte=_midnight(told["first"]))
    if told.get("last"):
        entries = entries.filter(at__lt=_midnight(told["last"] + timedelta(days=1)))
    return entries


def _midnight(day: date) -> datetime:
    """Return the beginning of a day in the time zone in force, the project's."""
    return timezone.make_aware(datetime.combine(day, time.min))


def record_page(project_id: int | None, query: QueryDict) -> dict[str, Any]:
    """Return the context of a page of the record, the latest entry first."""
    entries = _entries(project_id)
    form = RecordForm(query, entries)
    page = Paginator(_chosen(entries, form).order_by("-pk"), ENTRIES_ON_A_PAGE).get_page(
        query.get("page", "")
    )
    kept = query.copy()
    kept.pop("page", None)
    return {
        "form": form,
        "page": page,
        "rows": [EntryRow(entry, action_words(entry.action), data_lines(entry.data)) for entry in page],
        "kept": kept.urlencode(),
    }


def record_schedule(project_id: int | None, query: QueryDict) -> Schedule:
    """Return the entries asked for, the earliest first, with the whole of what each holds."""
    entries = _entries(project_id)
    rows = [
        (
            entry.pk,
            timezone.localtime(entry.at).isoformat(timespec="seconds"),
            entry.actor_name,
            entry.action,
            entry.object_type,
            entry.object_id,
            entry.object_name,
            data_text(entry.data),
            entry.digest,
        )
        for entry in _chosen(entries, RecordForm(query, entries)).order_by("pk").iterator(chunk_size=2000)
    ]
    return Schedule("Record", _HEADINGS, rows)
