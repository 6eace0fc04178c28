"""The form of a machine's description: the four facts first, everything else folded in groups."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from specapp.domain.problems import Problem
from specapp.projects.describing.entries import Entry, Group, Row, RowBlock, entry_id
from specapp.projects.describing.fields import DESCRIPTION, WAS, FieldSpec, RowsSpec, fact_words
from specapp.projects.describing.typed import CLASSIFICATION, Reading, Typed, row_count

FACTS = ("tag", "service_class", "stage_count", "bull_gear.speed")
AREA = (
    CLASSIFICATION,
    "hazardous_area.gas_group",
    "hazardous_area.temperature_class",
    "hazardous_area.area_gases",
)
GROUPS = (
    ("Name and service", ("trains", "title", "service", "site", "criticality", "setting_units", "gases")),
    ("Bull gear", ("bull_gear.",)),
    ("Driver", ("driver.",)),
    (
        "Casing and surroundings",
        ("support", "split_line", "ambient.", "hazardous_area.equipment_protection_level"),
    ),
    ("Measuring chain and installation", ("installation.",)),
    ("Trips", ("safety.",)),
    ("Who supplies what", ("scope.",)),
)
PINION_FACTS = ("name", "speed", "teeth", "stages")
PINION_GROUPS = (
    ("Bearings and axial location", (
        "journal_diameter", "diametral_clearance", "axial_location", "axial_float", "babbitt",
        "impeller_axial_clearance", "probe_looks_toward",
    )),
    ("Probes and shaft", (
        "probe_location", "probe_target_diameter", "shaft_material", "probe_side_clearance",
        "probe_tip_spacing", "track_width", "measured_runout", "baseline_vibration", "seal", "seal_pressure",
    )),
    ("Stages, place and speeds", (
        "maker_name", "role", "stage_sides", "impeller_blades", "diffuser_vanes", "expander_stages",
        "position_angle", "centre_distance", "trip_speed", "first_critical_speed", "amplification_factor",
        "setpoint_multiplier",
    )),
)  # fmt: skip
DEVICE_FACTS = ("key",)
DEVICE_GROUPS = (
    ("Failure data", (
        "dangerous_undetected_per_h", "dangerous_detected_per_h", "safe_detected_per_h",
        "safe_undetected_per_h", "component_type", "beta", "beta_detected", "repair_time",
        "restoration_time", "failure_data_source",
    )),
    ("Intrinsic safety, as apparatus in the field", ("ui_v", "ii_ma", "pi_w", "ci_nf", "li_uh")),
    ("Intrinsic safety, as associated apparatus", (
        "uo_v", "io_ma", "po_w", "co_nf", "lo_mh", "lo_ro_uh_per_ohm",
    )),
    ("Loop", (
        "minimum_voltage_v", "current_ma", "output_resistance_ohm", "series_resistance_ohm",
        "supply_minimum_v", "scale",
    )),
    ("Marking and air temperature", ("marking", "ambient_minimum", "ambient_maximum")),
)  # fmt: skip
# The fields of a row that stand in sight, and the groups that the others are folded in.
_ROW_GROUPS = {"pinions": (PINION_FACTS, PINION_GROUPS), "devices": (DEVICE_FACTS, DEVICE_GROUPS)}
# Problems of a whole group that have no field of their own stand at the field people would look at.
_STANDS_AT = {
    "hazardous_area": CLASSIFICATION,
    "hazardous_area.zone": CLASSIFICATION,
    "hazardous_area.division": CLASSIFICATION,
    "bull_gear": "bull_gear.speed",
    "driver": "driver.kind",
}
_PATH = re.compile(r"[a-z_]+(?:\.[a-z_]+)+")
_ITEM = re.compile(r"^(.*)\[\d+\]$")


@dataclass(slots=True)
class SummaryLine:
    """One line of the summary above the form; `target` is the id of the field it leads to."""

    label: str
    text: str
    target: str


def fact_entry_id(path: str) -> str:
    """Return the id of the field in which a fact of a stored description is told; empty where it has none."""
    name, _, leaf = re.sub(r"\[\d+\]", "", path).partition(".")
    table = re.match(r"devices\b|criteria\b", path)
    if table is not None:
        return entry_id(table[0])
    known = path in DESCRIPTION.fields or (name in DESCRIPTION.rows and leaf in DESCRIPTION.rows[name].fields)
    return entry_id(path) if known else ""


def problem_text(problem: Problem, spec: FieldSpec | None = None) -> str:
    """Return what was found and what is allowed, in the words of the form."""
    allowed = _in_form_words(problem.allowed)
    if spec is not None and spec.choices:
        *first, last = [word for _, word in spec.choices]
        allowed = f"{', '.join(first)} or {last}"
    message = _in_form_words(problem.message)
    message = f" {message[0].upper()}{message[1:]}." if message else ""
    return f"Found {problem.found}; allowed: {allowed}.{message}"


def _in_form_words(text: str) -> str:
    """Return a message with the names of fields in place of their paths."""
    return _PATH.sub(
        lambda match: fact_words(match[0], {}) if match[0] in DESCRIPTION.fields else match[0], text
    )


class DescriptionForm:
    """What the page shows for typed contents, problems and a version saved meanwhile."""

    def __init__(
        self,
        typed: Typed,
        *,
        reading: Reading | None = None,
        problems: Iterable[Problem] = (),
        theirs: Typed | None = None,
    ) -> None:
        self._typed = typed
        self._theirs = theirs
        self._errors: dict[str, list[str]] = {}
        self.summary: list[SummaryLine] = []
        for problem in problems:
            self._place(problem, reading.rows if reading else {})
        self.facts = [self._entry(name, DESCRIPTION.fields[name]) for name in FACTS]
        self.area = [self._entry(name, DESCRIPTION.fields[name]) for name in AREA]
        self.pinions = self._rows(DESCRIPTION.rows["pinions"])
        self.groups = [Group(title, self._matching(starts)) for title, starts in GROUPS]
        self.tables = [self._rows(rows) for rows in DESCRIPTION.rows.values() if rows.is_table]

    def _place(self, problem: Problem, row_names: Mapping[str, str]) -> None:
        name = problem.path
        for of_document, of_form in row_names.items():
            if name == of_document or name.startswith(f"{of_document}."):
                name = of_form + name[len(of_document) :]
                break
        if (match := _ITEM.match(name)) and match[1] not in DESCRIPTION.rows:
            name = match[1]  # an item of a list typed in one field
        if (
            (match := _ITEM.match(name))
            and match[1] in DESCRIPTION.rows
            and DESCRIPTION.rows[match[1]].is_table
        ):
            name = f"{name}.key"
        name = _STANDS_AT.get(name, name)
        label, known = self._label(name)
        text = problem_text(problem, DESCRIPTION.fields.get(name))
        target = entry_id(name) if known else entry_id(name.split(".")[0].split("[")[0])
        self.summary.append(SummaryLine(label, text, target))
        self._errors.setdefault(name, []).append(text)

    def _label(self, name: str) -> tuple[str, bool]:
        if name in DESCRIPTION.fields:
            return DESCRIPTION.fields[name].label, True
        match = re.fullmatch(r"([a-z_]+)\[(\d+)\](?:\.(.+))?", name)
        if match and match[1] in DESCRIPTION.rows:
            rows = DESCRIPTION.rows[match[1]]
            title = _row_title(rows, int(match[2]), self._typed)
            spec = rows.fields.get(match[3] or "")
            return (
                (f"{title}, {spec.label[0].lower()}{spec.label[1:]}", True)
                if spec
                else (title, match[3] is None)
            )
        if name in DESCRIPTION.rows:
            return DESCRIPTION.rows[name].label, True
        return name, False

    def _entry(self, name: str, spec: FieldSpec) -> Entry:
        value = self._typed.get(name, "")
        theirs = None
        if self._theirs is not None and self._theirs.get(name, "") != value:
            theirs = self._theirs.get(name, "")
        return Entry(name, spec, value, self._errors.get(name, []), theirs)

    def _matching(self, starts: tuple[str, ...]) -> list[Entry]:
        return [
            self._entry(name, spec)
            for name, spec in DESCRIPTION.fields.items()
            if name not in FACTS
            and any(name == start or (start[-1] == "." and name.startswith(start)) for start in starts)
        ]

    def _rows(self, rows: RowsSpec) -> RowBlock:
        return RowBlock(
            rows,
            [self._row(rows, number) for number in range(row_count(self._typed, rows))],
            self._errors.get(rows.name, []),
        )

    def _row(self, rows: RowsSpec, number: int) -> Row:
        name = f"{rows.name}[{number}]"

        def entries(leaves: Iterable[str]) -> list[Entry]:
            return [self._entry(f"{name}.{leaf}", rows.fields[leaf]) for leaf in leaves]

        facts, folded = _ROW_GROUPS.get(rows.name, (tuple(rows.fields), ()))
        groups = [Group(title, entries(leaves)) for title, leaves in folded]
        shown = entries(facts)
        title, errors = _row_title(rows, number, self._typed), self._errors.get(name, [])
        return Row(number, name, title, shown, groups, errors, self._typed.get(f"{name}.{WAS}", ""))

    @property
    def differs_from_theirs(self) -> list[dict[str, Any]]:
        """The fields in which this form and the version saved meanwhile differ, in any row of either."""
        if self._theirs is None:
            return []
        names = [*self._typed, *(name for name in self._theirs if name not in self._typed)]
        return [
            {
                "label": self._label(name)[0],
                "mine": self._typed.get(name, ""),
                "theirs": self._theirs.get(name, ""),
            }
            for name in names
            if self._typed.get(name, "") != self._theirs.get(name, "") and not name.endswith(f".{WAS}")
        ]


def _row_title(rows: RowsSpec, number: int, typed: Typed) -> str:
    if rows.name == "pinions":
        return f"Pinion {typed.get(f'pinions[{number}].name') or f'P{number + 1}'}"
    if rows.name == "devices" and (key := typed.get(f"devices[{number}].key")):
        return dict(rows.fields["key"].choices).get(key, key).capitalize()
    return f"{rows.label}, line {number + 1}"
