"""Forms of what an enquiry asks: clauses, priced items and spares, vendor documents, added requirements."""

from collections.abc import Sequence
from typing import Any

from django import forms

from specapp.bids.models import LONGEST_REASON
from specapp.core.forms import Form
from specapp.evaluation.enquiry import PricedItem, VendorDocument
from specapp.evaluation.requirements.criterion import NUMBER, Criterion
from specapp.evaluation.requirements.requirement import GROUPS, BillItem
from specapp.revisions.forms import OneLine

MOST_ROWS = 60
PURPOSES = [(each, each) for each in ("for approval", "for information")]
KINDS = [
    ("yes", "yes"),
    ("document", "a document, by file and page"),
    ("stated", "a statement that a person judges"),
    ("at_least", "a figure, at least"),
    ("at_most", "a figure, at most"),
    ("one_of", "one of a list"),
]
_WEEKS = {"min_value": 0, "max_value": 300}


class _WithReason(Form):
    """Rows by key, each kept or struck, one more added; why is asked last."""

    def _reason_last(self) -> None:
        self.fields["reason"] = OneLine(label="Why", max_length=LONGEST_REASON)


class ClauseForm(Form):
    """The words of one clause; none leaves it out and its number unused."""

    text = forms.CharField(
        label="Clause",
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Without words the clause is left out; its number is not used again.",
    )
    reason = OneLine(label="Why", max_length=LONGEST_REASON)


class DocumentsForm(_WithReason):
    """Weeks of each vendor document; struck ones go, one may be added."""

    def __init__(self, *args: Any, documents: Sequence[VendorDocument], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.documents = documents
        for each in documents:
            self.fields[f"weeks_{each.key}"] = forms.IntegerField(
                label=f"Weeks of {each.title}", initial=each.weeks, **_WEEKS
            )
            self.fields[f"strike_{each.key}"] = forms.BooleanField(
                label=f"Strike {each.title}", required=False
            )
        self.fields["new_title"] = OneLine(label="One more document", max_length=160, required=False)
        self.fields["new_weeks"] = forms.IntegerField(label="Weeks after order", required=False, **_WEEKS)
        self.fields["new_purpose"] = forms.ChoiceField(label="Purpose", choices=PURPOSES, required=False)
        self._reason_last()

    def rows(self) -> list[tuple[Any, ...]]:
        return [(each, self[f"weeks_{each.key}"], self[f"strike_{each.key}"]) for each in self.documents]

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if told.get("new_title") and told.get("new_weeks") is None and "new_weeks" not in self.errors:
            self.add_error("new_weeks", "Allowed: weeks after order, 0 for with the offer.")
        if told.get("new_title") and len(self.documents) >= MOST_ROWS:
            self.add_error("new_title", f"Allowed: at most {MOST_ROWS} documents.")
        return told

    def changed(self) -> list[dict[str, Any]]:
        told = self.cleaned_data
        kept = [
            {
                "key": each.key,
                "title": each.title,
                "weeks": told[f"weeks_{each.key}"],
                "purpose": each.purpose,
            }
            for each in self.documents
            if not told[f"strike_{each.key}"]
        ]
        if told["new_title"]:
            added = {"title": told["new_title"], "weeks": told["new_weeks"]}
            key = _free_key("own_document", [each.key for each in self.documents])
            kept.append({"key": key, **added, "purpose": told["new_purpose"] or PURPOSES[0][0]})
        return kept


class ItemsForm(_WithReason):
    """Items priced beside the supply, and how many spares of each line are mandatory."""

    def __init__(
        self, *args: Any, items: Sequence[PricedItem], bill: Sequence[BillItem], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.items, self.bill = items, bill
        for each in items:
            self.fields[f"title_{each.key}"] = OneLine(
                label=f"Item {each.title}", max_length=160, initial=each.title
            )
            self.fields[f"strike_{each.key}"] = forms.BooleanField(
                label=f"Strike {each.title}", required=False
            )
        self.fields["new_title"] = OneLine(label="One more item", max_length=160, required=False)
        for each in bill:
            self.fields[f"spares_{each.key}"] = forms.IntegerField(
                label=f"Mandatory spares of {each.description}",
                initial=each.spares,
                min_value=0,
                max_value=10_000,
            )
        self._reason_last()

    def item_rows(self) -> list[tuple[Any, ...]]:
        return [(each, self[f"title_{each.key}"], self[f"strike_{each.key}"]) for each in self.items]

    def spare_rows(self) -> list[tuple[Any, ...]]:
        return [(each, self[f"spares_{each.key}"]) for each in self.bill]

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if told.get("new_title") and len(self.items) >= MOST_ROWS:
            self.add_error("new_title", f"Allowed: at most {MOST_ROWS} items.")
        return told

    def changed(self) -> dict[str, Any]:
        told = self.cleaned_data
        items = [
            {"key": each.key, "title": told[f"title_{each.key}"]}
            for each in self.items
            if not told[f"strike_{each.key}"]
        ]
        if told["new_title"]:
            key = _free_key("own_item", [each.key for each in self.items])
            items.append({"key": key, "title": told["new_title"]})
        spares = {each.key: told[f"spares_{each.key}"] for each in self.bill}
        return {"items": items, "spares": spares}


def _free_key(stem: str, taken: Sequence[str]) -> str:
    numbers = [int(each.rpartition("_")[2]) for each in taken if each.startswith(f"{stem}_")]
    return f"{stem}_{max(numbers, default=0) + 1}"


class AddForm(Form):
    """A requirement of the project's own."""

    group = forms.ChoiceField(label="Group", choices=[(key, title) for key, (title, *_) in GROUPS.items()])
    title = OneLine(label="Title", max_length=160)
    text = forms.CharField(label="Requirement", max_length=800, widget=forms.Textarea(attrs={"rows": 3}))
    kind = forms.ChoiceField(label="What counts as an answer", choices=KINDS)
    limit = forms.FloatField(label="Figure", required=False)
    unit = OneLine(label="Its unit, in words", max_length=20, required=False)
    choices = forms.CharField(
        label="List",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line.",
    )
    weight = forms.FloatField(label="Weight in its group", min_value=0, max_value=100, initial=1)
    knock_out = forms.BooleanField(label="Must be met (knock-out)", required=False)
    reason = OneLine(label="Why", max_length=LONGEST_REASON)

    def criterion(self) -> Criterion:
        told = self.cleaned_data
        kind, limit = told["kind"], told["limit"]
        if kind in ("at_least", "at_most"):
            side = {"low": limit} if kind == "at_least" else {"high": limit}
            return Criterion(kind, quantity=NUMBER, unit=told["unit"], **side)
        lines = tuple(line.strip() for line in told["choices"].splitlines() if line.strip())
        return Criterion(kind, choices=lines if kind == "one_of" else ())
