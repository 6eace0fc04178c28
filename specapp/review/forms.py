"""Forms of the review. They read what was typed; services say what is wrong with the rest."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from django import forms
from django.forms.utils import flatatt
from django.utils.choices import BaseChoiceIterator
from django.utils.safestring import SafeString

from specapp.core.forms import Form, IsoDateField
from specapp.core.markup import escape
from specapp.domain.overrides import override_of
from specapp.domain.problems import InputErrors
from specapp.domain.proposal import Proposal
from specapp.drawings.review_marks import Mark, inside, place_of
from specapp.projects.deciding.items import item_of, typed_value
from specapp.review.attachments import paper_of
from specapp.review.models import (
    LONGEST_TEXT,
    Category,
    Discipline,
)
from specapp.review.models.comments import LONGEST_VALUE
from specapp.review.places import (
    VALUE_FIELDS,
    Places,
    item_digest,
    settable_key,
    sheet_of,
    takes_value,
    value_text,
)
from specapp.review.services.comments import Place, Said

_WHOLE = "The whole document"
_SMALLEST_FRAME_MM = 1.0


class ItemChoices(BaseChoiceIterator):
    """The items of a proposal as choices by group; of an iterator Django makes no second list."""

    def __init__(self, places: Places) -> None:
        self._places = places

    def __iter__(self) -> Iterator[tuple[str, Any]]:
        yield "", _WHOLE
        for each in self._places.choices:
            yield each.title, list(each.items)


class ItemSelect(forms.Select):
    """A choice among some hundred items, written by joining strings: a template a line takes too long."""

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        chosen = "" if value is None else str(value)

        def options(pairs: Any) -> str:
            return "".join(
                f'<option value="{escape(key)}"{" selected" if key == chosen else ""}>{escape(text)}</option>'
                for key, text in pairs
            )

        inside = "".join(
            f'<optgroup label="{escape(key)}">{options(text)}</optgroup>'
            if isinstance(text, list)
            else options([(key, text)])
            for key, text in self.choices
        )
        told = flatatt(self.build_attrs(self.attrs, {**(attrs or {}), "name": name}))
        return SafeString(f"<select{told}>{inside}</select>")


class CommentForm(Form):
    """A comment and what it belongs to. `proposal` is None for people who may not read the draft."""

    item = forms.ChoiceField(label="Item", required=False, widget=ItemSelect)
    field = forms.ChoiceField(
        label="Field",
        required=False,
        choices=[("", "the item itself"), *((name, name) for name in VALUE_FIELDS)],
    )
    value = forms.CharField(
        label="Proposed value",
        required=False,
        max_length=LONGEST_VALUE,
        help_text="For the field named above, in the machine's setting units unless another unit is named.",
    )
    text = forms.CharField(label="Comment", max_length=LONGEST_TEXT, widget=forms.Textarea(attrs={"rows": 4}))
    category = forms.ChoiceField(label="Category", choices=Category.choices, initial=Category.MINOR)
    discipline = forms.ChoiceField(
        label="Discipline", choices=Discipline.choices, initial=Discipline.INSTRUMENTS
    )
    audience = forms.ChoiceField(label="For", choices=(), help_text="Besides the project's own people.")
    due_date = IsoDateField(label="Answer due", required=False)
    attachment = forms.FileField(
        label="Attachment",
        required=False,
        help_text="PDF, picture, workbook or text, at most 5 MB.",
    )
    scene = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)
    x_mm = forms.FloatField(label="From the left, mm", required=False, min_value=0, max_value=5000)
    y_mm = forms.FloatField(label="From the top, mm", required=False, min_value=0, max_value=5000)
    width_mm = forms.FloatField(label="Frame width, mm", required=False, min_value=0, max_value=5000)
    height_mm = forms.FloatField(label="Frame height, mm", required=False, min_value=0, max_value=5000)

    ABOUT = ("item", "field", "value")
    SAYS = ("text", "category", "discipline", "audience")
    MORE = ("due_date", "attachment")
    ON_DRAWING = ("x_mm", "y_mm", "width_mm", "height_mm")

    def __init__(
        self,
        *args: Any,
        audiences: list[tuple[str, str]],
        proposal: Proposal | None,
        places: Places | None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.proposal, self.places = proposal, places
        self.fields["audience"].choices = audiences
        if places is None:
            for name in (*self.ABOUT, *self.ON_DRAWING, "scene"):
                del self.fields[name]
        else:
            self.fields["item"].choices = ItemChoices(places)

    def about(self):
        return [self[name] for name in self.ABOUT if name in self.fields]

    def says(self):
        return [self[name] for name in self.SAYS]

    def more(self):
        return [self[name] for name in self.MORE]

    def more_has_errors(self) -> bool:
        return any(name in self.errors for name in self.MORE)

    def place_has_errors(self) -> bool:
        return any(name in self.errors for name in self.ON_DRAWING)

    def on_drawing(self):
        return [self[name] for name in self.ON_DRAWING if name in self.fields]

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if upload := told.get("attachment"):
            self._told_by("attachment", lambda: paper_of(upload.name, upload.read()), told, "paper")
        if self.places is None:
            return told
        if (told.get("x_mm") is None) != (told.get("y_mm") is None):
            self.add_error("x_mm", "Allowed: both distances, or neither.")
        item, name, text = told.get("item", ""), told.get("field", ""), told.get("value", "").strip()
        if text and not name:
            self.add_error("field", "A proposed value needs its field.")
        if name and not item:
            self.add_error("item", "A field needs its item.")
        elif name and not takes_value(self.places, item, name):
            self.add_error("field", f"This item has no {name} of its own.")
        elif name and text:
            key = settable_key(self.places, item, name)
            self._told_by("value", lambda: proposed_value(self.proposal, key, name, text), told, "proposed")
        return told

    def _told_by(self, name: str, read: Any, told: dict[str, Any], kept: str) -> None:
        try:
            told[kept] = read()
        except InputErrors as errors:
            for problem in errors.problems:
                self.add_error(name, f"Found {problem.found}; allowed: {problem.allowed}.")

    def said(self) -> Said:
        told = self.cleaned_data
        return Said(
            text=told["text"],
            category=told["category"],
            discipline=told["discipline"],
            audience=told["audience"],
            due_date=told["due_date"],
            proposed=told.get("proposed"),
            proposed_text=told.get("value", "").strip(),
        )

    def place(self) -> Place:
        """Return what the comment belongs to, on the drawing it was written beside."""
        told = self.cleaned_data
        if self.places is None:
            return Place()
        item, name = told["item"], told["field"]
        key = settable_key(self.places, item, name) if name else item
        place = Place(
            item=key,
            field=name,
            item_digest=item_digest(self.places, key) if key else "",
            value_then=value_text(self.proposal, key, name) if name else "",
        )
        return place_on(self.proposal, place, told)


def place_on(proposal: Proposal, place: Place, told: dict[str, Any]) -> Place:
    """Return a place with where it stands on a drawing: as told, else where the drawing shows the item."""
    try:
        sheet = sheet_of(proposal, told.get("scene") or "")
    except KeyError:
        return place
    scene = sheet.scene
    x, y = told.get("x_mm"), told.get("y_mm")
    if x is None or y is None:
        found = place_of(scene, place.item) if place.item else None
        if found is None:
            return place
        x, y = found
    mark = inside(scene, Mark(0, x, y, told.get("width_mm") or 0.0, told.get("height_mm") or 0.0))
    is_frame = min(mark.width, mark.height) >= _SMALLEST_FRAME_MM
    return replace(
        place,
        scene=told["scene"],
        scene_digest=sheet.digest,
        x_mm=round(mark.x, 2),
        y_mm=round(mark.y, 2),
        width_mm=round(mark.width, 2) if is_frame else None,
        height_mm=round(mark.height, 2) if is_frame else None,
    )


def proposed_value(proposal: Proposal, item: str, name: str, text: str) -> Any:
    """Return a proposed value as an override would hold it. Raises `InputErrors`."""
    raw: Any = text if name != "struck" else "true"
    value = typed_value(item_of(proposal, item, name), raw)
    return override_of({"item": item, "field": name, "value": value, "reason": "-"}, author="", at="").value
