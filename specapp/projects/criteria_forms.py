"""Forms of a project's criteria."""

from django import forms

from specapp.core.forms import Form, IsoDateField
from specapp.criteria.criterion import Criterion
from specapp.criteria.loader import Override as CriterionValue
from specapp.projects.deciding.criteria import MOST_TEXT


class CriterionForm(Form):
    """The owner's value of one criterion."""

    value = forms.FloatField(label="Value", widget=forms.TextInput)
    reason = forms.CharField(label="Reason", max_length=MOST_TEXT)
    source = forms.CharField(label="Document", max_length=MOST_TEXT, required=False)
    dated = IsoDateField(label="Dated", required=False)
    row = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args, criterion: Criterion, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"].help_text = criterion.allowed()[0].upper() + criterion.allowed()[1:] + "."

    def criterion_value(self) -> CriterionValue:
        told = self.cleaned_data
        return CriterionValue(told["value"], told["reason"], told["source"], told["dated"])


class ConfirmationForm(Form):
    """Which copy a value from memory was held against, and when."""

    edition = forms.CharField(
        label="Standard and edition of the copy", max_length=200, help_text="Clause and table help the next."
    )
    on = IsoDateField(label="Looked at on")
