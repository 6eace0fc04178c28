"""People who sign in."""

from django.contrib.auth.models import AbstractUser
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.crypto import salted_hmac


class User(AbstractUser):
    """A person who signs in, by user name or by e-mail address."""

    first_name = None
    last_name = None
    # Without "@", so that nobody can take another person's address for a user name.
    username = models.CharField(
        "user name",
        max_length=150,
        unique=True,
        validators=[
            UnicodeUsernameValidator(),
            RegexValidator(
                "@", "A user name has no @; sign-in by e-mail address works besides it.", inverse_match=True
            ),
        ],
        error_messages={"unique": "Someone else has this user name."},
    )
    name = models.CharField(max_length=200, blank=True)
    email = models.EmailField("e-mail address", blank=True)
    may_start_projects = models.BooleanField(default=False)
    wants_digest = models.BooleanField("a digest once a day of what is new and what waits", default=True)
    wants_asks = models.BooleanField(
        "a mail at once when a signature or an answer is asked of you", default=True
    )
    digest_sent_at = models.DateTimeField(null=True, blank=True)
    # Raised to end every session of this person at once.
    session_epoch = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                condition=~Q(email=""),
                name="user_email_unique",
                violation_error_message="Someone else has this e-mail address.",
            )
        ]

    def __str__(self) -> str:
        return self.get_full_name()

    def get_full_name(self) -> str:
        return self.name or self.username

    def get_short_name(self) -> str:
        return self.get_full_name()

    @property
    def can_start_projects(self) -> bool:
        """Tell whether this person may start projects; whoever runs the installation always may."""
        return self.may_start_projects or self.is_superuser

    def get_session_auth_hash(self) -> str:
        """Return what a session must carry to go on; a changed password or epoch ends it."""
        return self._epoch_hash(super().get_session_auth_hash())

    def get_session_auth_fallback_hash(self):
        for fallback in super().get_session_auth_fallback_hash():
            yield self._epoch_hash(fallback)

    def _epoch_hash(self, password_hash: str) -> str:
        return salted_hmac("specapp.core.session_epoch", f"{self.session_epoch}:{password_hash}").hexdigest()
