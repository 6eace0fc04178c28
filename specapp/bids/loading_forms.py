"""Forms for what an item counts that an offer left out."""

from typing import Any

from django import forms

from specapp.bids.models import LONGEST_REASON
from specapp.core.forms import Form
from specapp.evaluation.bids import LARGEST_AMOUNT
from specapp.revisions.forms import OneLine


class LoadForm(Form):
    """An amount in place of the rule's; a currency that the frozen rules have a rate for."""

    amount = forms.FloatField(
        label="It counts", min_value=0, max_value=LARGEST_AMOUNT, help_text="From 0: a load lowers no price."
    )
    currency = forms.ChoiceField(label="Currency")
    reason = OneLine(label="Why", max_length=LONGEST_REASON)

    def __init__(self, *args: Any, currencies: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["currency"].choices = [(each, each) for each in currencies]


class RuleForm(Form):
    """Back to the rule."""

    reason = OneLine(label="Why", max_length=LONGEST_REASON)
