"""Forms of checklists."""

from django import forms

from specapp.bench.checklists import ChecklistItem
from specapp.commissioning.models import LONGEST_REMARK, ChecklistEntry, Result, Stage
from specapp.commissioning.quantities import LONGEST, number_in, symbol_of
from specapp.commissioning.services.checklists import verdict_of
from specapp.core.forms import Form
from specapp.domain.quantities import QuantityError, typed_number
from specapp.revisions.forms import OneLine
from specapp.revisions.models import Revision

_BY_NUMBER = "BY_NUMBER"


class MakeForm(Form):
    stage = forms.ChoiceField(label="For the", choices=Stage)
    revision = forms.ModelChoiceField(
        label="Made from",
        queryset=Revision.objects.none(),
        required=False,
        empty_label="the machine as it stands",
    )

    def __init__(self, *args, revisions, trains=(), **kwargs) -> None:
        super().__init__(*args, **kwargs)
        if trains:
            choices = [(train, train) for train in trains]
            self.fields["train"] = forms.ChoiceField(label="Train", choices=choices)
        self.fields["revision"].queryset = revisions
        self.fields["revision"].label_from_instance = lambda row: f"issued revision {row.label}"


class NumberField(forms.CharField):
    """A number in a unit; another unit of the same kind may be named."""

    def __init__(self, *, unit: str, **kwargs) -> None:
        self.unit = unit
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(max_length=LONGEST, **kwargs)

    def to_python(self, value):
        text = super().to_python(value)
        if not text:
            return None
        try:
            return number_in(text, self.unit)
        except QuantityError as error:
            symbol = symbol_of(self.unit)
            raise forms.ValidationError(
                f"Found {text[:40]!r}; allowed: a number, in {symbol} unless another unit is named. "
                f"{error.message[:1].upper()}{error.message[1:]}."
            ) from error

    def run_validators(self, value) -> None:
        if isinstance(value, str):
            super().run_validators(value)


class EntryForm(Form):
    """What came of one item. A number judges itself; a person may still fail what its number passes."""

    as_found = NumberField(unit="", label="As found", required=False)
    as_left = NumberField(unit="", label="As left", required=False)
    result = forms.ChoiceField(label="Result", widget=forms.RadioSelect)
    remark = OneLine(label="Remark", max_length=LONGEST_REMARK, required=False)
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=10**6)

    def __init__(self, *args, item: ChecklistItem, standing: ChecklistEntry | None, **kwargs) -> None:
        kwargs.setdefault("initial", _initial(item, standing))
        super().__init__(*args, **kwargs)
        self.item = item
        if item.entry == "number":
            for name in ("as_found", "as_left"):
                self.fields[name].unit = item.unit
                self.fields[name].label += f", {symbol_of(item.unit)}"
            self.fields["as_left"].help_text = "Only where it was adjusted."
            self.fields["result"].choices = [
                (_BY_NUMBER, "by its number"),
                (Result.FAIL, "fail for another reason"),
                (Result.NOT_APPLICABLE, "does not apply"),
            ]
        else:
            del self.fields["as_found"], self.fields["as_left"]
            self.fields["result"].choices = Result.choices

    def told(self) -> dict[str, object]:
        """Return the arguments of `entry_write`."""
        data = self.cleaned_data
        found, left = data.get("as_found"), data.get("as_left")
        result = data["result"]
        if result == _BY_NUMBER:
            result = verdict_of(self.item, found, left) or Result.PASS
        if result == Result.NOT_APPLICABLE:
            found = left = None
        return {
            "result": result,
            "as_found": found,
            "as_left": left,
            "remark": data["remark"],
            "seen": data["seen"],
        }


def _initial(item: ChecklistItem, standing: ChecklistEntry | None) -> dict[str, object]:
    if standing is None:
        return {"seen": 0} | ({"result": _BY_NUMBER} if item.entry == "number" else {})
    by_number = verdict_of(item, standing.as_found, standing.as_left)
    result = _BY_NUMBER if by_number == standing.result else standing.result
    return {
        "seen": standing.sequence,
        "result": result,
        "remark": standing.remark,
        "as_found": "" if standing.as_found is None else typed_number(standing.as_found),
        "as_left": "" if standing.as_left is None else typed_number(standing.as_left),
    }
