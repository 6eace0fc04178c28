"""Choosing whom an issue goes to: roles and members of the project, never a bidder."""

from typing import Any

from django import forms

from specapp.core.forms import Form
from specapp.core.roles import Role
from specapp.projects.models import Membership, Project
from specapp.revisions.models import SENT_TO, Issue
from specapp.revisions.selectors import sent_before
from specapp.revisions.services.distributing import Addressed

_WHO = {
    Role.MAKER: "Every maker of the project",
    Role.CLIENT: "Every client of the project",
    Role.READER: "Every reader of the project",
}


class AddressedField(forms.MultipleChoiceField):
    """Roles and members as tick boxes; gives back `Addressed`."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)
        self._addressed: dict[str, Addressed] = {}

    def offer(self, project: Project, issue: Issue | None = None) -> None:
        """Offer everybody of a project to whom an issue has not been sent: roles, then people.

        Of a new issue each says what he has that the candidates would replace.
        """
        had = {} if issue else sent_before(project)
        lines = list(issue.distribution.all()) if issue else []
        roles, people = {line.role for line in lines}, {line.person_id for line in lines}
        members = Membership.objects.filter(project=project, user__is_active=True).exclude(role=Role.BIDDER)
        members = members.select_related("user").order_by("user__name", "user__username")
        unnamed = [row for row in members if row.user_id not in people and row.role not in roles]
        named = sorted(unnamed, key=_place)
        offered = [
            (f"role-{role.value}", _told(_WHO[role], had.get((role, None))), Addressed(role=role))
            for role in SENT_TO
            if role not in roles
        ]
        for row in named:
            text = _told(f"{row.user}, {row.get_role_display()}", had.get(("", row.user_id)))
            offered.append((f"person-{row.user_id}", text, Addressed(person=row.user)))
        # A dictionary of this form's own: fields of a form's class are copied flat.
        self._addressed = {value: addressed for value, _, addressed in offered}
        self.choices = [(value, text) for value, text, _ in offered]

    def clean(self, value: Any) -> tuple[Addressed, ...]:
        return tuple(self._addressed[each] for each in super().clean(value))


def _told(who: str, had: list[str] | None) -> str:
    return f"{who}, was sent {', '.join(had)}" if had else who


def _place(membership: Membership) -> int:
    role = Role(membership.role)
    return SENT_TO.index(role) if role in SENT_TO else len(SENT_TO)


class DistributeForm(Form):
    """Sends an issue to more people."""

    distribution = AddressedField(
        label="Send also to", help_text="They are shown this issue here; what was issued stays as it is."
    )

    def __init__(self, *args: Any, issue: Issue, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["distribution"].offer(issue.project, issue)

    @property
    def has_choices(self) -> bool:
        return bool(self.fields["distribution"].choices)
