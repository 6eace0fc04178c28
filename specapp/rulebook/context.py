"""What rules read and what their results become while a proposal is being made.

`Shaft`, `Bearing` and `PointDraft` are the working forms; `engine` freezes them into the proposal.
Rules never change the context themselves: they yield items, and the engine accepts the items of one
rule whole or not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import msgspec

from specapp.criteria.loader import CriteriaSet, weakest_status
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import AppliedOverride, Override
from specapp.domain.proposal import (
    Assumption,
    BillLine,
    CauseAndEffect,
    Check,
    Conflict,
    CriterionRead,
    FrequencyLine,
    GoverningDocument,
    Interface,
    JunctionBox,
    Multiplier,
    OpenPoint,
    ProcessProtection,
    Rack,
    Range,
    Reading,
    Reason,
    ReconciliationLine,
    Record,
    Relay,
    Responsibility,
    Setpoint,
    Transducer,
)
from specapp.rulebook.registry import Rule
from specapp.rulebook.setting_units import SettingUnits
from specapp.rulebook.trace import Why

T = TypeVar("T")

# A rule and the keys of the criteria it read together: they share one citation.
Cited = tuple[str, tuple[str, ...]]
# Source, edition, weakest status and the record of each criterion.
Citation = tuple[str, str, str, tuple[CriterionRead, ...]]


class Bearing(msgspec.Struct):
    """A radial bearing: where it stands and what is beside it.

    ``key`` as in the contract (B1, P1-1, M2); ``side`` 1 faces the driver, 2 is away from it;
    ``stage`` the stage number of the impeller at this end, None at a blind end and off the pinions.
    """

    key: str
    shaft: Shaft
    side: int
    stage: int | None = None
    expander: bool = False
    stage_index: int | None = None


class Shaft(msgspec.Struct):
    """A shaft with every fact resolved that was told or is definite; None is: not told.

    ``path`` is its place in machine/1 ("bull_gear", "pinions[0]", "driver"). ``clearance_mm`` is the
    diametral clearance in force; ``clearance_assumed`` says that it came from the journal diameter.
    ``told`` is the model of machine/1 itself, for facts that only one rule reads.
    """

    key: str
    path: str
    kind: str  # bull_gear | pinion | driver
    told: Any
    speed_rpm: float | None
    ratio: float | None = None
    role: str = "driven"
    teeth: int | None = None
    fluid_film: bool = True
    journal_mm: float | None = None
    clearance_mm: float | None = None
    clearance_assumed: bool = False
    target_mm: float | None = None
    float_mm: float | None = None
    babbitt_mm: float | None = None
    thrust_bearing: bool = False
    axial_location: str | None = None
    looks_toward: str | None = None
    stages: tuple[int, ...] = ()
    bearings: list[Bearing] = msgspec.field(default_factory=list)
    acceptance_um: float | None = None

    def fact_path(self, name: str) -> str:
        """Return the machine/1 path of one of this shaft's facts."""
        return f"{self.path}.{name}"


class PointDraft(msgspec.Struct):
    """A measurement point while rules are still adding to it. Fields as in proposal/1.

    ``suffix`` is the last part of the key (Y, X, A, B, 1...), "" for a point without one;
    ``group`` its voting group; ``reasons`` indexes into the trace, some twice.
    """

    key: str
    title: str
    quantity: str
    shaft: Shaft
    group: str
    chain: str
    reasons: list[int]
    bearing: Bearing | None = None
    suffix: str = ""
    direction: str | None = None
    angle_deg: float | None = None
    transducer: Transducer | None = None
    range: Range | None = None
    alarm: Setpoint | None = None
    trip: Setpoint | None = None
    multiplier: Multiplier | None = None
    further_readings: tuple[Reading, ...] = ()
    tag: str = ""
    tags: Mapping[str, str] = msgspec.field(default_factory=dict)
    zone: int | None = None
    division: int | None = None
    equipment_protection_level: str | None = None
    protection: str | None = None
    required_marking: str | None = None
    location: str = ""
    loaded_direction_deg: float | None = None
    junction_box: str | None = None
    frequency_group: str | None = None
    notes: tuple[str, ...] = ()
    supplied_by: Mapping[str, str] = msgspec.field(default_factory=dict)


class Assign(Record, frozen=True):
    """A rule's values for fields of points; ``reason`` (a trace index) joins the reasons of each point.

    Points that share their values, as a bearing's probes mostly do, are assigned together. A second rule
    giving another value for the same field is a conflict unless it supersedes the first.
    """

    points: Sequence[PointDraft]
    values: Mapping[str, Any]
    reason: int | None = None


class Strike(Record, frozen=True):
    """A point taken out of the proposal by an override."""

    point: str


class Undecided(Record, frozen=True):
    """The rule could not decide for want of the fact at ``needs``."""

    needs: str


class Cable(Record, frozen=True):
    """A field cable; becomes the mapping with from and to that the contract names."""

    start: str
    end: str
    kind: str
    length_m: float | None
    points: tuple[str, ...]


@dataclass(slots=True)
class Context:
    """Everything known so far. Rules read it; only the engine writes it.

    ``groups``, ``quantities`` and ``quantity_groups`` are the points by voting group and by what they
    measure; the last two are there once every point is known. ``sole_givers`` are, by field of the
    points, the only rule that gave it values and to which; ``givers``, where several rules give a field
    values, the rule whose value stands at each point.
    """

    machine: MachineDescription
    criteria: CriteriaSet
    units: SettingUnits
    gases: Mapping[str, Any]
    overrides: Sequence[Override] = ()
    shafts: dict[str, Shaft] = field(default_factory=dict)
    bearings: dict[str, Bearing] = field(default_factory=dict)
    points: dict[str, PointDraft] = field(default_factory=dict)
    groups: dict[str, list[PointDraft]] = field(default_factory=dict)
    quantities: dict[str, list[PointDraft]] = field(default_factory=dict)
    quantity_groups: dict[str, list[list[PointDraft]]] = field(default_factory=dict)
    governing: list[GoverningDocument] = field(default_factory=list)
    assumptions: dict[str, Assumption] = field(default_factory=dict)
    open_points: dict[str, OpenPoint] = field(default_factory=dict)
    frequencies: list[FrequencyLine] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)
    junction_boxes: list[JunctionBox] = field(default_factory=list)
    racks: list[Rack] = field(default_factory=list)
    relays: list[Relay] = field(default_factory=list)
    cables: list[Cable] = field(default_factory=list)
    interfaces: list[Interface] = field(default_factory=list)
    architecture_notes: list[str] = field(default_factory=list)
    cause_and_effect: list[CauseAndEffect] = field(default_factory=list)
    process_protection: list[ProcessProtection] = field(default_factory=list)
    bill: list[BillLine] = field(default_factory=list)
    responsibility: list[Responsibility] = field(default_factory=list)
    reconciliation: list[ReconciliationLine] = field(default_factory=list)
    safety_functions: list[Mapping[str, Any]] = field(default_factory=list)
    conflicts: list[Conflict] = field(default_factory=list)
    applied_overrides: list[AppliedOverride] = field(default_factory=list)
    trace: list[Reason] = field(default_factory=list)
    cited: dict[Cited, Citation] = field(default_factory=dict)
    citations: dict[Cited, Citation] = field(default_factory=dict)
    sole_givers: dict[str, tuple[str, list[Sequence[PointDraft]]]] = field(default_factory=dict)
    givers: dict[str, dict[str, str]] = field(default_factory=dict)
    current_rule: Rule | None = None
    worked_out: dict[Callable[[Context], Any], Any] = field(default_factory=dict)

    def once(self, derive: Callable[[Context], T]) -> T:
        """Return what `derive` makes of this context, worked out for the first rule that asks.

        For what several late rules rest on and no rule after the first to ask changes any more.
        """
        if derive not in self.worked_out:
            self.worked_out[derive] = derive(self)
        found: T = self.worked_out[derive]
        return found

    def why(self) -> Why:
        """Return a fresh recorder for the rule that is running."""
        assert self.current_rule is not None, "a reason is only recorded while a rule runs"
        return Why(self, self.current_rule, self.criteria.values)

    def cite(self, rule: Rule, cited: Cited) -> Citation:
        """Return the citation of a rule together with the criteria it read, and note that it is used."""
        citation = self.citations.get(cited)
        if citation is None:
            citation = self.citations[cited] = self._citation(rule, cited[1])
        self.cited[cited] = citation
        return citation

    def _citation(self, rule: Rule, keys: tuple[str, ...]) -> Citation:
        used = [self.criteria.get(key) for key in keys]
        statuses = [criterion.status for criterion in used]
        if not used or rule.source:
            statuses.append(rule.status)
        sources = dict.fromkeys([rule.source] + [criterion.source for criterion in used])
        editions = dict.fromkeys([rule.edition] + [criterion.edition for criterion in used])
        source = "; ".join(text for text in sources if text) or "common practice"
        edition = "; ".join(text for text in editions if text)
        return source, edition, weakest_status(*statuses), tuple(criterion.read for criterion in used)

    @property
    def process(self) -> bool:
        """Whether the machine is in process service (API 617), not packaged air (API 672)."""
        return self.machine.service_class == "process"

    @property
    def criticality(self) -> str:
        """Return the criticality in force: told, or assumed by the service class."""
        return self.machine.criticality or ("critical" if self.process else "essential")

    def overrides_of(self, *fields: str) -> Iterator[Override]:
        """Yield the overrides of these fields, in the order they were written."""
        return (item for item in self.overrides if item.field in fields)

    def of_quantity(self, quantity: str) -> list[PointDraft]:
        """Return the points that measure `quantity`, in proposal order; known after the points."""
        return self.quantities.get(quantity, [])

    def groups_of(self, quantity: str) -> list[list[PointDraft]]:
        """Return the voting groups that measure `quantity`, in proposal order; known after the points."""
        return self.quantity_groups.get(quantity, [])
