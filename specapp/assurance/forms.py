"""What is typed on the pages of trips and area."""

from typing import Any

from django import forms

from specapp.catalogue import gases
from specapp.core.forms import Form, IsoDateField
from specapp.kernel.area_classes import DIVISION_GROUPS, ZONE_GROUPS, level_for_zone

_MOST_REASON = 500
_ZONE_CLASSES = ("T1", "T2", "T3", "T4", "T5", "T6")
_DIVISION_CLASSES = ("T2A", "T2B", "T2C", "T2D", "T3A", "T3B", "T3C", "T4A")
# Votes that can be built with the two probes of a bearing.
VOTES = {
    "1oo1": "1oo1: one probe trips",
    "1oo2": "1oo2: either probe trips",
    "2oo2": "2oo2: both must ask",
    "trip_with_alarm": "trip together with the other probe's alarm",
}


class VotingForm(Form):
    """The purchaser's decision on the vote of the radial pairs."""

    voting = forms.ChoiceField(label="Vote of the radial pairs", choices=[("", "choose"), *VOTES.items()])
    reason = forms.CharField(
        label="Reason",
        max_length=_MOST_REASON,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What weighs more here, a missed trip or a false one, and why.",
    )
    decided_by = forms.CharField(label="Decided by", max_length=80, help_text="For the purchaser.")
    dated = IsoDateField(label="On")


AREAS = {
    "zone 0": "zone 0 (level Ga)",
    "zone 1": "zone 1 (level Gb)",
    "zone 2": "zone 2 (level Gc)",
    "Ga": "level Ga, asked outright",
    "Gb": "level Gb, asked outright",
    "Gc": "level Gc, asked outright",
    "Division 1": "division 1",
    "Division 2": "division 2",
}


def asked_level(area: str) -> str:
    """Return the level that an area of the form asks for, or its division."""
    return level_for_zone(int(area[-1])) if area.startswith("zone") else area


class MarkingForm(Form):
    """A marking and an area to hold it against."""

    marking = forms.CharField(
        label="Marking",
        max_length=300,
        strip=False,
        help_text=(
            "As it stands on the label, for example Ex ia IIC T4 Ga, or "
            "Class I, Division 2, Groups B, C, D, T4."
        ),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )
    area = forms.ChoiceField(label="Area", choices=list(AREAS.items()))
    group = forms.ChoiceField(
        label="Gas group",
        required=False,
        choices=[("", "by the gases")]
        + [(each, each) for each in (*ZONE_GROUPS[:2], "IIB+H2", ZONE_GROUPS[2])]
        + [(each, f"{each} (divisions)") for each in reversed(DIVISION_GROUPS)],
    )
    gas = forms.CharField(
        label="Gases",
        required=False,
        max_length=400,
        help_text="Names or CAS numbers, with commas between them; the most severe counts.",
    )
    temperature_class = forms.ChoiceField(
        label="Temperature class",
        required=False,
        choices=[("", "by the gases")]
        + [(each, each) for each in _ZONE_CLASSES]
        + [(each, f"{each} (divisions)") for each in _DIVISION_CLASSES],
    )
    coldest = forms.FloatField(
        label="Lowest air temperature, °C", required=False, min_value=-100, max_value=150
    )
    hottest = forms.FloatField(
        label="Highest air temperature, °C", required=False, min_value=-100, max_value=150
    )

    def clean_gas(self) -> list[gases.Gas]:
        found, unknown = [], []
        for name in filter(None, (part.strip() for part in self.cleaned_data["gas"].split(","))):
            try:
                found.append(gases.find(name))
            except gases.UnknownGas as error:
                unknown.append(str(error))
        if unknown:
            raise forms.ValidationError(unknown)
        if found and not any(gas.flammable for gas in found):
            raise forms.ValidationError("None of these gases burns: allowed is at least one flammable gas.")
        return found

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        low, high = told.get("coldest"), told.get("hottest")
        if low is not None and high is not None and low > high:
            self.add_error("coldest", f"Found {low:g} °C; allowed: at most the highest, {high:g} °C.")
        in_divisions = str(told.get("area", "")).startswith("Division")
        group = told.get("group", "")
        if group and (group in DIVISION_GROUPS) != in_divisions:
            named = "A to D with a division" if in_divisions else "IIA to IIC with a zone or a level"
            self.add_error("group", f"Found {group}; allowed: {named}.")
        if told.get("temperature_class") in _DIVISION_CLASSES and not in_divisions:
            self.add_error(
                "temperature_class", f"Found {told['temperature_class']}; allowed: T1 to T6 with a zone."
            )
        if "gas" in told and not group and not told["gas"] and "group" not in self.errors:
            self.add_error("group", "Nothing found; allowed: a group, or gases that give it.")
        return told
