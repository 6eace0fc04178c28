from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from specapp.core.forms import Form, IsoDateField
from specapp.domain.scalars import bad_character


class TokenForm(Form):
    name = forms.CharField(
        label="Name", max_length=60, help_text="What will use it, for example nightly export."
    )
    ends_on = IsoDateField(
        label="Last day", required=False, help_text="For example 2026-12-31; empty: until it is withdrawn."
    )

    def clean_name(self) -> str:
        name = self.cleaned_data["name"]
        if bad_character(name) is not None:
            raise ValidationError("Allowed: one line of printable characters.")
        return name

    def clean_ends_on(self):
        day = self.cleaned_data["ends_on"]
        if day is not None and day < timezone.localdate():
            raise ValidationError(f"Found {day.isoformat()}; allowed: today or later.")
        return day
