"""What a run of the bench is told: of which state, which functions and scenarios, seed, device properties."""

from collections.abc import Sequence
from typing import Any

from django import forms

from specapp.bench.functions import functions_of
from specapp.bench.scenarios.registry import SCENARIOS
from specapp.bench.settings import SettingError, settings_of, told_settings
from specapp.core.forms import Form
from specapp.domain.proposal import Proposal
from specapp.revisions.models import Revision

WORKING = "working"
LARGEST_SEED = 2_147_483_647
_PROPERTY = "property_"


class StateForm(Form):
    """Which state of the machine is tried; chosen first, for the functions are that state's."""

    of = forms.ChoiceField(label="State")

    def __init__(self, *args: Any, revisions: Sequence[Revision], version: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        named = [(str(row.pk), f"revision {row.label}, {row.get_state_display()}") for row in revisions]
        self.fields["of"].choices = [(WORKING, f"working, v{version}"), *named]  # type: ignore[attr-defined]


class RunForm(Form):
    """What is tried on the state chosen. Nothing ticked of a list means all of it."""

    seed = forms.IntegerField(
        label="Seed of the noise",
        min_value=1,
        max_value=LARGEST_SEED,
        initial=1,
        help_text="The same seed gives the same signals.",
    )
    functions = forms.MultipleChoiceField(
        label="Functions", required=False, widget=forms.CheckboxSelectMultiple, help_text="None ticked: all."
    )
    scenarios = forms.MultipleChoiceField(
        label="Scenarios", required=False, widget=forms.CheckboxSelectMultiple, help_text="None ticked: all."
    )

    def __init__(self, *args: Any, proposal: Proposal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._proposal = proposal
        functions = [(each.key, f"{each.key}: {each.title}") for each in functions_of(proposal)]
        self.fields["functions"].choices = functions  # type: ignore[attr-defined]
        self.fields["scenarios"].choices = [(each.key, each.title) for each in SCENARIOS]  # type: ignore[attr-defined]
        for name, (words, unit, least, most) in told_settings().items():
            self.fields[_PROPERTY + name] = forms.FloatField(
                label=words if unit == "1" else f"{words}, {unit}",
                required=False,
                min_value=least,
                max_value=most,
            )

    @property
    def properties(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith(_PROPERTY)]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        cleaned["told"] = {
            name.removeprefix(_PROPERTY): value
            for name, value in cleaned.items()
            if name.startswith(_PROPERTY) and value is not None
        }
        try:
            settings_of(self._proposal, cleaned["told"])
        except SettingError as error:
            self.add_error(None, list(error.problems))
        return cleaned
