"""The form of a record, made from the fields of its kind."""

from collections.abc import Mapping
from typing import Any

from django import forms

from specapp.bench.measuring.records import Field, Kind, Subject
from specapp.commissioning.forms import NumberField
from specapp.commissioning.models import LONGEST_REMARK, Condition
from specapp.commissioning.quantities import symbol_of
from specapp.commissioning.readings import readings_of_file, readings_of_text
from specapp.commissioning.services.trains import trains_of
from specapp.core.forms import Form, IsoDateField
from specapp.domain.problems import InputErrors
from specapp.domain.quantities import typed_number
from specapp.revisions.forms import OneLine

_LONGEST_TEXT = 20_000


class MeasurementForm(Form):
    """Values of a kind, and by whom, when and with what they were taken."""

    condition = forms.ChoiceField(label="Taken", choices=Condition, widget=forms.RadioSelect)
    measured_on = IsoDateField(label="Day")
    instrument = OneLine(
        label="Instrument", max_length=120, required=False, help_text="With its number and calibration."
    )
    remark = OneLine(label="Remark", max_length=LONGEST_REMARK, required=False)

    def __init__(self, *args, kind: Kind, subject: Subject, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self._told = tuple(kind.fields(subject))
        for told in self._told:
            self.fields[told.name] = _field(told)
            if told.type == "readings":
                self.fields["file"] = forms.FileField(
                    label="Or a file (workbook .xlsx or CSV)",
                    required=False,
                    help_text="Columns gap and output, with a unit in brackets where it is not mm and V.",
                )
        trains = trains_of(subject.proposal)
        if trains:
            choices = [(train, train) for train in trains]
            self.fields["train"] = forms.ChoiceField(label="Train", choices=choices)
        self.order_fields(
            ["train", *(name for name in self.fields if name not in MeasurementForm.base_fields)]
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if "readings" in self.fields:
            self._read(data)
        return data

    def _read(self, data: dict[str, Any]) -> None:
        file, text = self.files.get("file"), self.data.get("readings", "").strip()
        if file is not None and text:
            self.add_error("file", "Found a file and typed readings; allowed is one of the two.")
            return
        if file is None and not text:
            if "readings" not in self.errors:
                self.add_error(
                    "readings", "Found nothing; allowed: at least five readings, typed or as a file."
                )
            return
        name = "readings" if file is None else "file"
        try:
            if file is None:
                data["readings"] = readings_of_text(text)
            else:
                data["readings"] = readings_of_file(file.name, file.size, file.read())
        except InputErrors as errors:
            for problem in errors.problems:
                more = f" {problem.message[:1].upper()}{problem.message[1:]}." if problem.message else ""
                self.add_error(
                    name, f"{problem.path}: found {problem.found}; allowed: {problem.allowed}.{more}"
                )

    def record(self) -> dict[str, Any]:
        """Return what was measured, by the names of the kind's fields; what was left out is None."""
        found = {told.name: self.cleaned_data.get(told.name) for told in self._told}
        return {name: None if value == "" else value for name, value in found.items()}


def _field(told: Field) -> forms.Field:
    common = {"label": told.label, "required": told.required, "help_text": told.help}
    if told.type == "choice":
        return forms.ChoiceField(
            choices=told.choices, widget=forms.RadioSelect, initial=told.initial or None, **common
        )
    if told.type == "line":
        return OneLine(max_length=200, **common)
    if told.type == "readings":
        area = forms.Textarea(attrs={"rows": 12, "spellcheck": "false"})
        return forms.CharField(max_length=_LONGEST_TEXT, widget=area, **{**common, "required": False})
    if told.unit:
        common["label"] += f", {symbol_of(told.unit)}"
    return NumberField(unit=told.unit, initial=told.initial or None, **common)


def typed(told: tuple[Field, ...], data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record as it would be typed again, for a correction."""
    found = {}
    for each in told:
        value = data.get(each.name)
        if value is None:
            continue
        if each.type == "readings":
            found[each.name] = "\n".join(f"{gap:g} {volts:g}" for gap, volts in value)
        else:
            found[each.name] = typed_number(value) if each.type == "number" else value
    return found
