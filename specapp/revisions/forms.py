"""Forms of revisions, holds, issues and numbers."""

from typing import Any

from django import forms

from specapp.core.forms import Form, IsoDateField, ModelForm
from specapp.projects.models import Project
from specapp.revisions.distribution_forms import AddressedField
from specapp.revisions.models import LONGEST_REASON, LONGEST_TO, Numbering, Purpose, Series
from specapp.revisions.models.settings import LONGEST_NUMBER
from specapp.revisions.numbering import DOCUMENT_FIELDS, TRANSMITTAL_FIELDS, pattern_problem
from specapp.revisions.services.numbering import Asks


def one_line(text: str) -> str:
    if any(ord(char) < 32 for char in text):
        raise forms.ValidationError("Allowed: text on one line.")
    return text


class OneLine(forms.CharField):
    default_validators = [one_line]


class CancelForm(Form):
    reason = OneLine(label="Why it is given up", max_length=LONGEST_REASON)


class HoldForm(Form):
    owner = OneLine(label="Who settles it", max_length=120)
    due_date = IsoDateField(label="By")


class ReleaseForm(Form):
    reason = OneLine(label="Why it is released", max_length=LONGEST_REASON)


class IssueForm(Form):
    recipients = OneLine(
        label="To",
        max_length=LONGEST_TO,
        required=False,
        help_text="Names or companies, as the transmittal prints them to everybody who gets it. Left out, it "
        "prints the distribution chosen below.",
    )
    answer_by = IsoDateField(label="Answer by", required=False)
    note = OneLine(label="Note", max_length=LONGEST_REASON, required=False)
    distribution = AddressedField(
        label="Distribution",
        help_text="Who of the project reads this issue here and confirms that it arrived. A role is whoever "
        "holds it, also later. More can be added when it is issued; nobody is taken off.",
    )

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["distribution"].offer(project)


class RegisterForm(Form):
    number = OneLine(label="Number", max_length=LONGEST_NUMBER, help_text="As the owner's register has it.")
    title = OneLine(
        label="Title", max_length=120, required=False, help_text="Empty: the document's own title."
    )


class SignForm(Form):
    password = forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class FindForm(Form):
    code = forms.CharField(
        label="Code on the sheet", max_length=20, help_text="Eight letters and figures, such as 7KQ2-M4TD."
    )


class NumberingForm(ModelForm):
    class Meta:
        model = Numbering
        fields = (
            "first_letter",
            "letters_left_out",
            "first_number",
            "number_digits",
            "document_pattern",
            "transmittal_pattern",
        )
        labels = {
            "first_letter": "Letters begin with",
            "letters_left_out": "Letters left out",
            "first_number": "Numbers begin with",
            "number_digits": "Figures at least",
            "document_pattern": "Document numbers",
            "transmittal_pattern": "Transmittal numbers",
        }
        help_texts = {
            "letters_left_out": "Those that are read as figures, such as IO.",
            "number_digits": "2 writes 01, 02.",
            "document_pattern": "Text with {project}, {machine}, {document}, {sequence}.",
            "transmittal_pattern": "Text with {project} and {sequence}.",
        }

    def clean_first_letter(self) -> str:
        return self.cleaned_data["first_letter"].upper()

    def clean_letters_left_out(self) -> str:
        return self.cleaned_data["letters_left_out"].upper()

    def clean_first_number(self) -> int:
        return self._between("first_number", 0, 100)

    def clean_number_digits(self) -> int:
        return self._between("number_digits", 1, 3)

    def _between(self, name: str, low: int, high: int) -> int:
        value = self.cleaned_data[name]
        if not low <= value <= high:
            raise forms.ValidationError(f"Found {value}; allowed: {low} to {high}.")
        return value

    def clean_document_pattern(self) -> str:
        return self._pattern("document_pattern", DOCUMENT_FIELDS)

    def clean_transmittal_pattern(self) -> str:
        return self._pattern("transmittal_pattern", TRANSMITTAL_FIELDS)

    def _pattern(self, name: str, allowed: frozenset[str]) -> str:
        pattern = one_line(self.cleaned_data[name])
        if problem := pattern_problem(pattern, allowed):
            raise forms.ValidationError(problem)
        return pattern

    def values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self._meta.fields}


class AsksForm(Form):
    """What one purpose asks for; one of these for each purpose, told apart by the prefix."""

    series = forms.ChoiceField(label="Series", choices=Series.choices)
    needs_checked = forms.BooleanField(label="Checked", required=False)
    needs_approved = forms.BooleanField(label="Approved", required=False)
    is_gated = forms.BooleanField(label="Everything settled or on hold", required=False)

    def __init__(self, purpose: str, asks: Asks, data: Any = None) -> None:
        initial = {name: getattr(asks, name) for name in self.base_fields}
        super().__init__(data, prefix=purpose.lower(), initial=initial)
        self.purpose = purpose
        self.title = Purpose(purpose).label
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = f"{self.title}: {field.label}"

    def asks(self) -> Asks:
        return Asks(**self.cleaned_data)
