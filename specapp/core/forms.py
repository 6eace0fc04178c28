from django import forms
from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
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
