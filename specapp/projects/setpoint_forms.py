"""Forms of values given for setpoints."""

from django import forms

from specapp.core.forms import Form, IsoDateField
from specapp.projects.deciding.setpoint_values import Provenance
from specapp.projects.models import SetpointState


class ProvenanceForm(Form):
    """Where values come from; the service says what is wrong with it, with everything else at once."""

    state = forms.ChoiceField(label="State", choices=SetpointState.choices, initial=SetpointState.MAKERS)
    document = forms.CharField(label="Document", required=False, help_text="For example VS-118.")
    revision = forms.CharField(label="Revision", required=False)
    person = forms.CharField(label="Given by", required=False, help_text="Who answers for the values.")
    dated = IsoDateField(label="Dated", required=False)
    note = forms.CharField(label="Note", required=False)

    # Asked for by the service, which tells everything that is missing at once.
    asked = ("document", "person", "dated", "value", "file")

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        for name in self.asked:
            if name in self.fields:
                self.fields[name].is_asked = True

    def provenance(self) -> Provenance:
        told = self.cleaned_data
        return Provenance(
            told["state"], told["document"], told["revision"], told["person"], told["dated"], told["note"]
        )


class ValueForm(ProvenanceForm):
    """One value of one setpoint."""

    value = forms.CharField(label="Value", required=False)
    low = forms.CharField(label="Low side, where it differs", required=False)
    # The key of the latest value of this setpoint that was shown with the form.
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=10**18, required=False)

    field_order = ("value", "low", *ProvenanceForm.base_fields)

    def __init__(self, *args, unit: str, is_axial: bool, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"].help_text = f"In {unit} unless another unit is named."
        if is_axial:
            self.fields["low"].help_text = "Negative; left out, it is the same on both sides."
        else:
            del self.fields["low"]


class ListForm(ProvenanceForm):
    """A maker's list of setpoints, by tag."""

    file = forms.FileField(label="List (workbook .xlsx or CSV)", required=False)

    field_order = ("file", *ProvenanceForm.base_fields)
