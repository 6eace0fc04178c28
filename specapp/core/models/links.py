"""Links that are good once: handed over by a person, so that nothing here needs mail."""

from django.conf import settings
from django.db import models
from django.utils.crypto import get_random_string

_USER = settings.AUTH_USER_MODEL
NONCE_LENGTH = 32


def new_nonce() -> str:
    return get_random_string(NONCE_LENGTH)


class OneUseLink(models.Model):
    """A link with its end: used, withdrawn or expired.

    The link itself is not stored: it is signed by the installation's secret over the row and its `nonce`,
    so that whoever reads the database or a copy of it cannot use it.
    """

    nonce = models.CharField(max_length=NONCE_LENGTH, default=new_nonce, editable=False)
    made_by = models.ForeignKey(_USER, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True


class PasswordLink(OneUseLink):
    """Lets a person set a password without the old one. Made at the console where nobody is named."""

    person = models.ForeignKey(_USER, on_delete=models.PROTECT, related_name="password_links")

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"password link for {self.person}"
