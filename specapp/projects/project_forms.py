"""Forms of a project and its members."""

from django import forms

from specapp.core.forms import Form, ModelForm
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.models import Project


class ProjectForm(ModelForm):
    class Meta:
        model = Project
        fields = ("name", "number", "client", "site", "page_size", "time_zone", "clients_read_drafts")
        labels = {
            "name": "Name",
            "time_zone": "Time zone",
            "page_size": "Paper",
            "clients_read_drafts": "Clients read drafts",
        }
        help_texts = {
            "time_zone": "By region and city, for example Europe/Oslo; dates and times follow it.",
            "page_size": "What its documents are printed on.",
            "clients_read_drafts": "Not ticked: clients read what is issued to them, and nothing else.",
        }

    def values(self) -> dict[str, str | bool]:
        return {name: self.cleaned_data[name] for name in self._meta.fields}


class MemberForm(Form):
    """Names a person who signs in here, by user name or address."""

    person = forms.CharField(label="User name or e-mail address", max_length=254)
    role = forms.ChoiceField(label="Role", choices=Role.choices, initial=Role.READER)

    def clean_person(self) -> User:
        typed = self.cleaned_data["person"].strip()
        field = "email__iexact" if "@" in typed else "username__iexact"
        person = User.objects.filter(is_active=True, **{field: typed}).first()
        if person is None:
            raise forms.ValidationError(
                f"Found {typed}; allowed is a person who signs in here.", code="unknown"
            )
        return person


class InvitationForm(Form):
    """A link for somebody who may not sign in here yet."""

    for_whom = forms.CharField(
        label="For whom", max_length=120, help_text="For your list of links; the person chooses a name."
    )
    role = forms.ChoiceField(label="Role", choices=Role.choices, initial=Role.READER)

    def __init__(self, *args, **kwargs) -> None:
        # Apart from the ids of the other form of its page.
        super().__init__(*args, auto_id="invitation_%s", **kwargs)
