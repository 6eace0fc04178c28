"""Forms of an enquiry's life: moving its closing time, giving it up, questions and answers."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils import timezone

from specapp.bids.models import LONGEST_REASON, Bidder
from specapp.core.forms import Form, IsoDateField
from specapp.revisions.forms import OneLine


class ExtendForm(Form):
    """A later closing time, in the project's zone, and what bidders are told."""

    closes_on = IsoDateField(label="Closes on")
    closes_at = forms.RegexField(
        label="at",
        regex=r"^([01]\d|2[0-3]):[0-5]\d$",
        error_messages={"invalid": "Allowed: a time such as 14:30."},
    )
    note = OneLine(
        label="What bidders are told",
        max_length=LONGEST_REASON,
        help_text="For example: The closing time is moved by one week.",
    )

    def moment(self) -> datetime:
        told = self.cleaned_data
        clock = datetime.strptime(told["closes_at"], "%H:%M").time()  # noqa: DTZ007
        return timezone.make_aware(datetime.combine(told["closes_on"], clock))


class CancelForm(Form):
    reason = OneLine(
        label="Why",
        max_length=LONGEST_REASON,
        help_text="Kept inside: bidders are told that it is cancelled, not why.",
    )


class AskForm(Form):
    """A question to one organisation, or the same one to all."""

    bidder = forms.ModelChoiceField(
        label="To", queryset=Bidder.objects.none(), required=False, empty_label="every organisation"
    )
    requirement = OneLine(label="About requirement", max_length=80, required=False)
    question = forms.CharField(label="Question", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, bidders: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["bidder"].queryset = bidders


class EnteredAnswerForm(Form):
    """An answer that came another way, with where it stands."""

    answer = forms.CharField(label="Answer", max_length=4000, widget=forms.Textarea(attrs={"rows": 3}))
    evidence = OneLine(label="Known from", max_length=200, help_text="For example its letter and page.")
