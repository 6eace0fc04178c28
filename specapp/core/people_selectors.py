"""What the pages of people and accounts read."""

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet

from specapp.core.models import AuditEntry, User

PEOPLE_ON_A_PAGE = 100
_PASSWORD_ACTIONS = ("password.change", "password.by_link")


def people_page(asked: str, page: str) -> Page:
    """Return people by name, those who sign in first."""
    rows: QuerySet[User] = User.objects.all()
    if asked:
        rows = rows.filter(
            Q(name__icontains=asked) | Q(username__icontains=asked) | Q(email__icontains=asked)
        )
    return Paginator(rows.order_by("-is_active", "name", "username"), PEOPLE_ON_A_PAGE).get_page(page)


def password_history(person: User) -> AuditEntry | None:
    """Return how and when a person's password was set last."""
    own = AuditEntry.objects.filter(object_type=User._meta.label_lower, object_id=person.pk)
    return own.filter(action__in=_PASSWORD_ACTIONS).order_by("-pk").first()
