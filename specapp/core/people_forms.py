"""Forms of accounts, passwords and people."""

from typing import Any

from django import forms
from django.contrib.auth.password_validation import password_validators_help_text_html, validate_password

from specapp.core.forms import Form
from specapp.core.models import User

_MAIL_TAKEN = "Someone else has this e-mail address."


def _password_field(label: str, autocomplete: str, **more: Any) -> forms.CharField:
    # Never stripped: a blank at an end is part of a password.
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, strip=False, max_length=1000, widget=widget, **more)


class NewPassword(Form):
    """A new password, typed twice and held to the installation's rules for its person."""

    new_password = _password_field(
        "New password", "new-password", help_text=password_validators_help_text_html()
    )
    again = _password_field("The same again", "new-password")

    def __init__(self, *args: Any, person: User | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def person_meant(self) -> User | None:
        return self.person

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        first, second = told.get("new_password"), told.get("again")
        if first and second and first != second:
            self.add_error("again", "This is not the password above.")
        elif first:
            try:
                validate_password(first, self.person_meant())
            except forms.ValidationError as error:
                self.add_error("new_password", error)
        return told


class ChangePassword(NewPassword):
    """A new password from somebody who knows the one in use."""

    field_order = ("old_password", "new_password", "again")
    old_password = _password_field("Your password now", "current-password")

    def clean_old_password(self) -> str:
        typed = self.cleaned_data["old_password"]
        if not self.person.check_password(typed):
            raise forms.ValidationError("This is not your password.")
        return typed


class NewAccount(NewPassword):
    """A person who makes an account by an invitation."""

    field_order = ("username", "name", "email", "new_password", "again")
    username = forms.CharField(label="User name", max_length=150, help_text="Short, without @.")
    name = forms.CharField(label="Your name", max_length=200, help_text="As it is to stand on documents.")
    email = forms.EmailField(label="E-mail address", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].widget.attrs["autocomplete"] = "username"
        self.fields["name"].widget.attrs["autocomplete"] = "name"
        self.fields["email"].widget.attrs["autocomplete"] = "email"

    def person_meant(self) -> User:
        told = self.cleaned_data
        return User(username=told.get("username", ""), name=told.get("name", ""), email=told.get("email", ""))

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        _hold_to_model(self, self.person_meant())
        return told


class PersonForm(Form):
    """A person added by whoever looks after the installation."""

    username = forms.CharField(label="User name", max_length=150, help_text="Short, without @.")
    name = forms.CharField(label="Name", max_length=200, help_text="As it is to stand on documents.")
    email = forms.EmailField(label="E-mail address", required=False)
    may_start_projects = forms.BooleanField(label="May start projects", required=False)

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        person = User(
            username=told.get("username", ""), name=told.get("name", ""), email=told.get("email", "")
        )
        _hold_to_model(self, person)
        return told


def _hold_to_model(form: forms.Form, person: User) -> None:
    """Add what the person's row itself would refuse, to the fields it is about."""
    told = [name for name in ("username", "name", "email") if name in form.cleaned_data]
    if "username" in told and User.objects.filter(username__iexact=person.username).exists():
        form.add_error("username", "Someone else has this user name.")
        told.remove("username")
    if person.email and User.objects.filter(email__iexact=person.email).exists():
        form.add_error("email", _MAIL_TAKEN)
        told.remove("email")
    left_out = [field.name for field in User._meta.fields if field.name not in told]
    try:
        person.clean_fields(exclude=left_out)
    except forms.ValidationError as error:
        for name, problems in error.error_dict.items():
            form.add_error(name, problems)


class AccountForm(Form):
    """What a person says of himself or herself; another address needs the password, as links go there."""

    name = forms.CharField(label="Name", max_length=200, help_text="As it stands on documents from now on.")
    email = forms.EmailField(label="E-mail address", required=False)
    password = _password_field(
        "Your password", "current-password", required=False, help_text="Only to change the e-mail address."
    )
    wants_digest = forms.BooleanField(label="Mail me once a day what is new and what waits", required=False)
    wants_asks = forms.BooleanField(
        label="Mail me at once when a signature or an answer is asked of me", required=False
    )

    def __init__(self, *args: Any, person: User, has_mail: bool, **kwargs: Any) -> None:
        kwargs.setdefault(
            "initial", {name: getattr(person, name) for name in self.base_fields if name != "password"}
        )
        super().__init__(*args, **kwargs)
        self.person = person
        for name in ("wants_digest", "wants_asks"):
            # Nothing to choose where nothing is mailed; what was chosen before stays.
            self.fields[name].disabled = not has_mail

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        email = told.get("email", "")
        if email != self.person.email and "email" in told:
            if User.objects.filter(email__iexact=email).exclude(pk=self.person.pk).exists() and email:
                self.add_error("email", _MAIL_TAKEN)
            if not self.person.check_password(told.get("password", "")):
                self.add_error("password", "Another e-mail address needs your password.")
        return told


class ForgottenForm(Form):
    person = forms.CharField(label="User name or e-mail address", max_length=254)
