"""Forms of enquiries and offers."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils import timezone

from specapp.bids.models import LONGEST_REASON, Enquiry, Part
from specapp.bids.services.receiving import ALTERNATIVES
from specapp.bids.sheets import METHODS
from specapp.core.forms import Form, IsoDateField
from specapp.domain.problems import InputErrors
from specapp.evaluation.reading import read_bids
from specapp.evaluation.replies.offer import CLAIMS, FACTORS
from specapp.evaluation.requirements.criterion import NUMERIC
from specapp.evaluation.requirements.requirement import GROUPS
from specapp.revisions.forms import OneLine, SignForm
from specapp.revisions.models import Issue, Purpose

OWNERS = (
    ("machine_maker", "machine maker"),
    ("system_supplier", "system supplier"),
    ("installer", "installer"),
)
_PERCENT = {"required": False, "min_value": 0, "max_value": 100}


class PasswordForm(SignForm):
    """A password, asked again."""


class EnquiryForm(Form):
    """A new enquiry about what was issued for enquiry."""

    issue = forms.ModelChoiceField(
        label="About", queryset=Issue.objects.none(), empty_label=None, help_text="A transmittal for enquiry."
    )
    reference = OneLine(label="Reference", max_length=40, help_text="For example ENQ-101.")
    title = OneLine(label="Title", max_length=160)
    owners = forms.MultipleChoiceField(
        label="Asked of the bidder: the scope of the",
        choices=OWNERS,
        widget=forms.CheckboxSelectMultiple,
        initial=["machine_maker", "system_supplier"],
    )
    needed_weeks = forms.FloatField(
        label="Delivery needed within, weeks", required=False, min_value=1, max_value=300
    )
    validity_days = forms.FloatField(label="Offer valid for, days", min_value=1, max_value=1000, initial=90)
    site_days = forms.FloatField(label="Days at site", min_value=0, max_value=1000, initial=5)

    def __init__(self, *args: Any, project: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["issue"].queryset = Issue.objects.filter(project=project, purpose=Purpose.ENQUIRY)

    def terms(self) -> dict[str, Any]:
        return {
            name: self.cleaned_data[name] for name in ("owners", "needed_weeks", "validity_days", "site_days")
        }


class TermsForm(Form):
    """How offers are compared and opened, and when the enquiry closes."""

    closes_on = IsoDateField(label="Closes on")
    closes_at = forms.RegexField(
        label="at",
        regex=r"^([01]\d|2[0-3]):[0-5]\d$",
        error_messages={"invalid": "Allowed: a time such as 14:30."},
    )
    method = forms.ChoiceField(label="Compared by", choices=list(METHODS.items()))
    pass_mark = forms.FloatField(label="Pass mark, of 100", **_PERCENT)
    technical_share = forms.FloatField(
        label="Share of the technical score, percent", help_text="Weighted comparison only.", **_PERCENT
    )
    currency = forms.RegexField(
        label="Currency of comparison",
        regex="^[A-Z]{3}$",
        error_messages={"invalid": "Allowed: three capitals, like USD."},
    )
    rates = forms.CharField(
        label="Exchange rates", required=False, max_length=400, help_text="For example EUR 1.10, GBP 1.28."
    )
    rate_date = IsoDateField(label="Rates of", required=False)
    freight_insurance_percent_of_fob = forms.FloatField(
        label="Freight and insurance not quoted, percent of FOB", **_PERCENT
    )
    inland_percent_of_cif = forms.FloatField(label="Inland not quoted, percent of CIF", **_PERCENT)
    late_percent_per_week = forms.FloatField(label="Late delivery, percent a week", **_PERCENT)
    advance_allowed_percent = forms.FloatField(label="Advance allowed, percent", **_PERCENT)
    interest_percent_per_year = forms.FloatField(label="Interest, percent a year", **_PERCENT)
    missing_items_from = forms.ChoiceField(
        label="Missing items take the highest quote of",
        choices=[("acceptable", "acceptable offers"), ("all", "all offers")],
    )
    discloses_weights = forms.BooleanField(label="Bidders are told the weights", required=False)
    one_person_opening = forms.BooleanField(
        label="One person may open (printed on the enquiry)", required=False
    )
    blind_evaluation = forms.BooleanField(label="Evaluators decide without seeing each other", required=False)

    def __init__(self, *args: Any, enquiry: Enquiry, groups: dict[str, float], **kwargs: Any) -> None:
        settings = enquiry.terms["settings"]
        closes = enquiry.closes_at and timezone.localtime(enquiry.closes_at)
        initial = {
            **settings,
            "technical_share": (settings.get("weights") or {}).get("technical", 70),
            "rates": ", ".join(f"{code} {rate:g}" for code, rate in (settings.get("rates") or {}).items()),
            "closes_on": closes and closes.date(),
            "closes_at": f"{closes:%H:%M}" if closes else "12:00",
            **{name: getattr(enquiry, name) for name in _FLAGS},
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.enquiry = enquiry
        for key, weight in groups.items():
            title = GROUPS[key][0] if key in GROUPS else key
            self.fields[f"group_{key}"] = forms.FloatField(
                label=f"Weight of {title[0].lower()}{title[1:]}",
                min_value=0,
                max_value=100,
                initial=round(weight, 2),
            )

    def clean(self) -> dict[str, Any]:
        told = super().clean()
        if self.errors:
            return told
        try:
            settings = self._settings(told)
        except ValueError:
            self.add_error("rates", "Allowed: pairs such as EUR 1.10, parted by commas.")
            return told
        if abs(sum(settings["groups"].values()) - 100) > _ROUNDING:
            self.add_error(
                None, f"The weights of the groups add up to {sum(settings['groups'].values()):g}, not 100."
            )
        # The rules are read by the calculation that uses them; what it refuses is told here.
        try:
            read_bids({"settings": settings, "bidders": [], "items": []})
        except InputErrors as errors:
            for problem in errors.problems:
                if problem.path != "bidders":
                    self.add_error(None, problem.line())
        told["settings"] = settings
        moment = datetime.combine(told["closes_on"], datetime.strptime(told["closes_at"], "%H:%M").time())  # noqa: DTZ007
        told["closes"] = timezone.make_aware(moment)
        return told

    def _settings(self, told: dict[str, Any]) -> dict[str, Any]:
        rates = dict(pair.split() for pair in told["rates"].split(",") if pair.strip())
        settings = {name: told[name] for name in _RULES if told[name] is not None}
        settings["rates"] = {code: float(rate) for code, rate in rates.items()}
        if told["rate_date"]:
            settings["rate_date"] = told["rate_date"].isoformat()
        if told["method"] == "weighted":
            share = 70.0 if told["technical_share"] is None else told["technical_share"]
            settings["weights"] = {"technical": share, "price": 100 - share}
        groups = {name[6:]: value for name, value in told.items() if name.startswith("group_")}
        total = sum(groups.values())
        # Weights are shown with two decimals: what is lost by that is no fault of whoever saves them.
        nearly = 0 < abs(total - 100) <= _ROUNDING
        settings["groups"] = {key: 100 * each / total for key, each in groups.items()} if nearly else groups
        return settings

    def fields_changed(self) -> dict[str, Any]:
        return {
            "closes_at": self.cleaned_data["closes"],
            **{name: self.cleaned_data[name] for name in _FLAGS},
        }


_ROUNDING = 0.05
_FLAGS = ("discloses_weights", "one_person_opening", "blind_evaluation")
_RULES = (
    "currency",
    "method",
    "pass_mark",
    "freight_insurance_percent_of_fob",
    "inland_percent_of_cif",
    "late_percent_per_week",
    "advance_allowed_percent",
    "interest_percent_per_year",
    "missing_items_from",
)


class RequirementForm(Form):
    """A requirement: its words, limits and weight; every change says why."""

    title = OneLine(label="Title", max_length=160)
    text = forms.CharField(label="Requirement", max_length=800, widget=forms.Textarea(attrs={"rows": 3}))
    weight = forms.FloatField(label="Weight in its group", min_value=0, max_value=100)
    knock_out = forms.BooleanField(label="Must be met (knock-out)", required=False)
    low = forms.FloatField(label="Lower limit", required=False)
    high = forms.FloatField(label="Upper limit", required=False)
    choices = forms.CharField(
        label="List",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line.",
    )
    is_left_out = forms.BooleanField(label="Leave this requirement out", required=False)
    reason = OneLine(label="Why", max_length=LONGEST_REASON)

    def __init__(self, *args: Any, current: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kind = current["criterion"]["kind"]
        if kind not in NUMERIC:
            del self.fields["low"], self.fields["high"]
        if kind != "one_of":
            del self.fields["choices"]

    def changed(self, current: dict[str, Any]) -> dict[str, Any]:
        told = self.cleaned_data
        criterion = dict(current["criterion"])
        criterion |= {name: told[name] for name in ("low", "high") if name in told}
        if "choices" in told:
            criterion["choices"] = [line.strip() for line in told["choices"].splitlines() if line.strip()]
        kept = ("title", "text", "weight", "knock_out", "is_left_out")
        return {**{name: told[name] for name in kept}, "criterion": criterion}


class BidderForm(Form):
    name = OneLine(label="Organisation", max_length=60)
    contact = OneLine(label="Contact", max_length=120, required=False)
    email = forms.EmailField(label="E-mail", required=False)


class IssueForm(Form):
    note = OneLine(label="What the amendment changes", max_length=LONGEST_REASON, required=False)


class FileForm(Form):
    """A file as it was received from a bidder."""

    label = forms.ChoiceField(label="Offer", choices=[(each, each) for each in ALTERNATIVES])
    part = forms.ChoiceField(label="Part", choices=Part.choices)
    file = forms.FileField(
        label="File", help_text="PDF, workbook (.xlsx without macros), CSV, PNG or JPEG, at most 20 MB."
    )


class LateForm(Form):
    accepted = forms.ChoiceField(
        label="Decision", choices=[("yes", "accept it"), ("no", "leave it unopened")]
    )
    reason = OneLine(label="Why", max_length=LONGEST_REASON)


class TranscribeForm(Form):
    """A reply entered on the bidder's behalf, with where it stands."""

    claim = forms.ChoiceField(
        label="Reply", required=False, choices=[("", "none"), *((each, each) for each in CLAIMS)]
    )
    offered = OneLine(label="Offered", max_length=300, required=False)
    remark = OneLine(label="Remark", max_length=600, required=False)
    file = OneLine(label="File", max_length=160)
    page = OneLine(label="Page", max_length=40)


class DecisionForm(Form):
    standing = forms.ChoiceField(label="Decided", choices=[(each, each) for each in FACTORS])
    reason = OneLine(label="Why, where it differs", max_length=LONGEST_REASON, required=False)
    agreed = forms.BooleanField(label="Agreed figure", required=False, initial=True)


class QuestionForm(Form):
    question = forms.CharField(label="Question", max_length=2000, widget=forms.Textarea(attrs={"rows": 5}))
    to_all = forms.BooleanField(label="The same question to every bidder", required=False)


class AnswerForm(Form):
    answer = forms.CharField(label="Answer", max_length=4000, widget=forms.Textarea(attrs={"rows": 3}))
    evidence = OneLine(label="File and page", max_length=200, required=False)
