"""Forms of a bidder's own pages, and of those who enter for one."""

from django import forms

from specapp.bids.forms import AnswerForm, FileForm
from specapp.bids.models import LONGEST_REASON, Part
from specapp.bids.services.receiving import ALTERNATIVES
from specapp.core.forms import Form
from specapp.revisions.forms import OneLine

__all__ = ["AcknowledgeForm", "AnswerForm", "DeclineForm", "OwnAnswerForm", "OwnFileForm", "PeopleForm"]


class OwnFileForm(FileForm):
    """A file of one's own offer."""

    label = forms.ChoiceField(
        label="Offer",
        choices=[(each, "base offer" if at == 0 else each) for at, each in enumerate(ALTERNATIVES)],
        help_text="A1 to A3 are alternatives beside the base offer.",
    )
    part = forms.ChoiceField(
        label="Part",
        choices=[(Part.TECHNICAL, "technical, without any price"), (Part.PRICE, "price")],
    )


class OwnAnswerForm(Form):
    answer = forms.CharField(
        label="Answer",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="No price in an answer.",
    )
    evidence = OneLine(label="File and page", max_length=200, required=False)


class DeclineForm(Form):
    """Why no offer is made."""

    reason = forms.CharField(
        label="Why you make no offer",
        max_length=LONGEST_REASON,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="The purchaser reads it, no other bidder. It can be taken back until the closing time.",
    )


class AcknowledgeForm(Form):
    """How it is known that a bidder has received an amendment."""

    evidence = OneLine(label="Known from", max_length=200, help_text="For example its letter and date.")


class PeopleForm(Form):
    """Who reads and sends for an organisation: members of the project with the role of bidder."""

    person = forms.ModelChoiceField(label="Person", queryset=None, empty_label=None)

    def __init__(self, *args, people, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = people
