from django import forms
from django.contrib.auth.forms import AuthenticationForm

from specapp.core.field_messages import tell
from specapp.domain.problems import shown


class _Telling(forms.BaseForm):
    """Says of every field that cannot be taken what was found and what is allowed."""

    def full_clean(self) -> None:
        if self.is_bound:
            for name, field in self.fields.items():
                tell(field, self._found(name, field))
        super().full_clean()

    def _found(self, name: str, field: forms.Field) -> str:
        """Return what was typed as a message may repeat it: never a password."""
        typed = field.widget.value_from_datadict(self.data, self.files, self.add_prefix(name))
        if isinstance(typed, str) and not isinstance(field.widget, forms.PasswordInput):
            return shown(typed)
        return "something else"


class Form(_Telling, forms.Form):
    """The form that every form of this project is made from."""


class ModelForm(_Telling, forms.ModelForm):
    """The same for a form that is made from a model."""


class SignInForm(_Telling, AuthenticationForm):
    error_messages = {
        "invalid_login": "This name and password do not belong together. Capitals count in the password.",
        "inactive": "This person no longer signs in here.",
    }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "User name or e-mail address"
        self.fields["username"].max_length = 254


class IsoDateField(forms.DateField):
    """A date as it is written everywhere here, 2026-03-31: 03/04 would be read in two ways."""

    default_error_messages = {"invalid": "Allowed: a date such as 2026-03-31."}

    def __init__(self, **kwargs) -> None:
        kwargs.setdefault("help_text", "For example 2026-03-31.")
        widget = forms.DateInput(format="%Y-%m-%d")
        super().__init__(input_formats=["%Y-%m-%d"], widget=widget, **kwargs)
