"""Forms of the as-built setpoints."""

from collections.abc import Sequence

from django import forms

from specapp.commissioning.models import LONGEST_REMARK
from specapp.commissioning.services.as_built import Left
from specapp.core.forms import Form, IsoDateField
from specapp.revisions.forms import OneLine


class LeftForm(Form):
    """A setpoint as left; the services say what is wrong with value and provenance, all at once."""

    value = forms.CharField(label="As left", required=False, max_length=80)
    low = forms.CharField(label="Low side, where it differs", required=False, max_length=80)
    document = OneLine(label="Read from", required=False, help_text="The printout or file of the monitor.")
    person = OneLine(label="Left by", required=False)
    dated = IsoDateField(label="Day", required=False)
    reason = OneLine(
        label="Why it differs from what was specified",
        max_length=LONGEST_REMARK,
        required=False,
        help_text="Left out, the difference stays open.",
    )
    change_number = OneLine(label="Number of the change", max_length=60, required=False)
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=10**18, required=False)

    def __init__(self, *args, unit: str, is_axial: bool, trains: Sequence[str] = (), **kwargs) -> None:
        super().__init__(*args, **kwargs)
        if trains:
            choices = [(train, train) for train in trains]
            self.fields["train"] = forms.ChoiceField(label="Train", choices=choices)
            self.order_fields(["train", *self.base_fields])
        self.fields["value"].help_text = f"In {unit} unless another unit is named."
        if not is_axial:
            del self.fields["low"]

    def told(self) -> Left:
        data = self.cleaned_data
        return Left(
            data["value"],
            data.get("low", ""),
            data["document"],
            data["person"],
            data["dated"],
            data["reason"],
            data["change_number"],
            data["seen"],
        )
