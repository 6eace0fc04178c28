"""Sign-in by user name or by e-mail address."""

from django.contrib.auth.backends import ModelBackend

from specapp.core.models import User


class NameOrEmailBackend(ModelBackend):
    """User names are without "@", so what was typed is either the one or the other."""

    def authenticate(self, request, username=None, password=None, **kwargs):
        if username is None or password is None:
            return None
        field = "email__iexact" if "@" in username else "username__iexact"
        try:
            user = User.objects.get(**{field: username.strip()})
        except User.DoesNotExist:
            # The same work as for a known name, so that the time taken does not tell which names exist.
            User().set_password(password)
            return None
        if user.check_password(password) and self.user_can_authenticate(user):
            return user
        return None
