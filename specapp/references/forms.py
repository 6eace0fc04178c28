"""Forms of the register, of sources and of returned sheets."""

from django import forms

from specapp.core.forms import Form, IsoDateField
from specapp.projects.models import Machine, Project
from specapp.references.models import LONGEST_NUMBER, LONGEST_REVISION, DocumentKind
from specapp.references.sourcing import STATES, Origin


class RevisionForm(Form):
    """A revision as it was received, with its file."""

    revision = forms.CharField(label="Revision", max_length=LONGEST_REVISION)
    dated = IsoDateField(label="Dated", required=False)
    received_on = IsoDateField(label="Received on")
    received_from = forms.CharField(label="Received from", max_length=120, required=False)
    received_by = forms.CharField(label="Received by", max_length=120)
    file = forms.FileField(
        label="File",
        required=False,
        help_text="PDF, PNG, JPEG, workbook (.xlsx without macros) or CSV, at most 20 MB.",
    )


class DocumentForm(RevisionForm):
    """A document and its first revision."""

    number = forms.CharField(label="Number", max_length=LONGEST_NUMBER, help_text="For example GA-118.")
    title = forms.CharField(label="Title", max_length=200, required=False)
    kind = forms.ChoiceField(label="Kind", choices=DocumentKind.choices)
    machine = forms.ModelChoiceField(
        label="About one machine", queryset=Machine.objects.none(), required=False, empty_label="all of them"
    )

    field_order = ("number", "title", "kind", "machine", *RevisionForm.base_fields)

    def __init__(self, *args, project: Project, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["machine"].queryset = project.machines.all()


class FileForm(Form):
    """One more file of a revision."""

    file = forms.FileField(label="File", help_text=RevisionForm.base_fields["file"].help_text)


class OriginForm(Form):
    """Where what is entered comes from; the service says what is wrong with it."""

    document = forms.CharField(label="Document", widget=forms.TextInput(attrs={"list": "register"}))
    revision = forms.CharField(label="Revision", required=False)
    page = forms.CharField(label="Page", required=False, help_text="Where a line names none of its own.")
    state = forms.ChoiceField(label="State", choices=[(state, state) for state in STATES])

    def origin(self) -> Origin:
        told = self.cleaned_data
        return Origin(told["document"], told["revision"], told["page"], told["state"])


class ReturnedForm(Form):
    """A sheet of questions that came back; what it says of itself need not be typed again."""

    file = forms.FileField(label="Filled workbook (.xlsx)")
    document = forms.CharField(label="Its number", max_length=LONGEST_NUMBER, required=False)
    revision = forms.CharField(label="Revision", max_length=LONGEST_REVISION, required=False)
    person = forms.CharField(label="Answered by", max_length=120, required=False)
    dated = IsoDateField(label="Dated", required=False)


class CriteriaPreviewForm(Form):
    """A file of the owner's values, to be looked at before it is set."""

    file = forms.FileField(label="File of criteria (TOML)")
