from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm


class SignInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": "This name and password do not belong together. Capitals count in the password.",
        "inactive": "This person no longer signs in here.",
    }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "User name or e-mail address"
        self.fields["username"].max_length = 254


class PasswordForm(PasswordChangeForm):
    pass
