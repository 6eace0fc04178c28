"""Forms of rounds and reply codes."""

from typing import Any

from django import forms
from django.db.models import F, OuterRef, QuerySet, Subquery

from specapp.core.forms import Form, IsoDateField
from specapp.core.models import User
from specapp.core.roles import RIGHTS, Right, Role
from specapp.projects.models import Project
from specapp.review.audience import is_outside
from specapp.review.codes import MOST_CODES
from specapp.review.models import LONGEST_REASON, LONGEST_TEXT, Answer, Closes, ReplyCode, Round


def one_line(text: str) -> str:
    if any(ord(char) < 32 for char in text):
        raise forms.ValidationError("Allowed: text on one line.")
    return text


class PersonField(forms.ModelChoiceField):
    def label_from_instance(self, person: User) -> str:
        return f"{person}, {Role(person.role).label}"


class PeopleField(forms.ModelMultipleChoiceField):
    def label_from_instance(self, person: User) -> str:
        if person.role is None:
            return f"{person}, no longer in the project"
        outside = " (another company)" if is_outside(Role(person.role)) else ""
        return f"{person}, {Role(person.role).label}{outside}"


class RoundForm(Form):
    """A review to be asked for: what of, of whom, by when."""

    purpose = forms.CharField(
        label="For",
        max_length=80,
        help_text="For example inter-discipline check.",
        validators=[one_line],
    )
    revision = forms.ChoiceField(label="Of", required=False)
    due_date = IsoDateField(label="Answers due")
    lead = PersonField(label="Lead, who consolidates", queryset=User.objects.none())
    reviewers = PeopleField(
        label="Reviewers",
        queryset=User.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Allowed: at least one person."},
    )

    def __init__(self, *args: Any, project: Project, stands: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["revision"].choices = stands
        for name, right in (("lead", Right.ANSWER_COMMENTS), ("reviewers", Right.COMMENT)):
            roles = [role for role, rights in RIGHTS.items() if right in rights]
            self.fields[name].queryset = _members(project, roles)


class ChangeForm(Form):
    """What changes in a review that is asked for already."""

    due_date = IsoDateField(label="Answers due")
    add = PeopleField(
        label="Ask also",
        queryset=User.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    excuse = PeopleField(
        label="Excuse",
        help_text="Only who has not answered yet; an answer stands.",
        queryset=User.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    reason = forms.CharField(
        label="Reason",
        help_text="Everybody who is asked reads it.",
        max_length=LONGEST_REASON,
        validators=[one_line],
    )

    def __init__(self, *args: Any, review: Round, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        project = review.machine.project
        asked = [row for row in review.reviewers.all() if row.excused_at is None]
        roles = [role for role, rights in RIGHTS.items() if Right.COMMENT in rights]
        self.fields["add"].queryset = _members(project, roles).exclude(
            pk__in=[row.person_id for row in asked]
        )
        silent = [row.person_id for row in asked if not row.answer]
        self.fields["excuse"].queryset = _asked(project, silent)


def _asked(project: Project, people: list[int]) -> QuerySet[User]:
    """Return people with their role in the project, empty for whoever has left it."""
    role = project.memberships.filter(user=OuterRef("pk")).values("role")[:1]
    return User.objects.filter(pk__in=people).annotate(role=Subquery(role)).order_by("name", "username")


def _members(project: Project, roles: list[Role]) -> QuerySet[User]:
    people = User.objects.filter(is_active=True, memberships__project=project, memberships__role__in=roles)
    return people.annotate(role=F("memberships__role")).order_by("name", "username")


class AnswerForm(Form):
    answer = forms.ChoiceField(label="Answer", choices=Answer.choices, widget=forms.RadioSelect)
    note = forms.CharField(label="Note", max_length=LONGEST_REASON, required=False, validators=[one_line])


class OutcomeForm(Form):
    outcome = forms.CharField(
        label="Outcome", max_length=LONGEST_TEXT, widget=forms.Textarea(attrs={"rows": 4})
    )
    code = forms.ChoiceField(label="Code")

    def __init__(self, *args: Any, codes: list[ReplyCode], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.codes = {code.code: code for code in codes}
        self.fields["code"].choices = [("", "choose one"), *((c.code, code_text(c)) for c in codes)]


def code_text(code: ReplyCode) -> str:
    """Return a reply code with the facts it maps to."""
    proceed = "may proceed" if code.may_proceed else "may not proceed"
    again = ", resubmit" if code.resubmit else ""
    return f"{code.code}: {code.meaning}; {proceed}{again}"


class CodeForm(Form):
    """One line of the reply codes; a line without code and meaning is left out."""

    code = forms.CharField(max_length=8, required=False, validators=[one_line])
    meaning = forms.CharField(max_length=80, required=False, validators=[one_line])
    may_proceed = forms.BooleanField(required=False)
    resubmit = forms.BooleanField(required=False)
    closes = forms.ChoiceField(choices=Closes.choices)

    @property
    def says_something(self) -> bool:
        told = self.cleaned_data
        return bool(told.get("code") or told.get("meaning"))


CodeFormSet = forms.formset_factory(CodeForm, extra=0, max_num=MOST_CODES, absolute_max=MOST_CODES)
