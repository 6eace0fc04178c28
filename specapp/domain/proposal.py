"""proposal/1: what the rules engine answers.

Every class here is a frozen record whose field names are the JSON names of the
document, so that the document is written by one call and nothing is spelled twice. Two shapes
of explanation occur: points and process protection carry their reasons in full (``because``),
everything else points into the proposal's one ``trace`` list by index (``trace``).

Units are those of the contract: speeds rpm, frequencies Hz, lengths mm (shaft vibration um),
velocity mm/s, acceleration g, temperature degC, delay s, run m, power kW. Ranges and setpoints
are in the machine's setting units (um, mm, mm/s, degC or mil, mil, in/s, degF).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

FORMAT = "proposal/1"


class Record(msgspec.Struct, frozen=True, gc=False):
    """An immutable record of a proposal.

    A proposal is some thousands of small records. A frozen dataclass sets each field through
    `object.__setattr__` and costs nine times as much to build; collecting them is pointless, since
    records never form cycles.
    """


class Measure(Record, frozen=True):
    """A number with the unit it is stated in."""

    value: float
    unit: str


class CriterionRead(Record, frozen=True):
    """A criterion as a rule read it: its value in force and, if overridden, by what reason."""

    key: str
    value: float | str
    unit: str
    status: str
    override: Mapping[str, Any] | None


class Reason(Record, frozen=True):
    """Why something is as it is: the rule, the facts and criteria it read, their source."""

    rule: str
    text: str
    source: str
    edition: str
    status: str
    reads: Mapping[str, Any]
    criteria: tuple[CriterionRead, ...]


class GoverningDocument(Record, frozen=True):
    standard: str
    part: str | None
    edition: str
    role: str
    status: str
    note: str


class Assumption(Record, frozen=True):
    """A value taken because none was told. ``changes`` names what another value may change."""

    field: str
    value: Any
    because: str
    changes: tuple[str, ...]
    weight: int
    trace: tuple[int, ...]


class OpenPoint(Record, frozen=True):
    """Something nobody has settled. ``ask`` is one of maker, owner, purchaser, supplier."""

    key: str
    needs: str
    text: str
    ask: str
    trace: tuple[int, ...]


class ShaftLine(Record, frozen=True):
    name: str
    maker_name: str | None
    kind: str
    speed: Measure | None
    rotation_frequency: Measure | None
    ratio: float | None
    acceptance_limit: Measure | None
    stages: tuple[int, ...]


class FrequencyLine(Record, frozen=True):
    shaft: str
    kind: str
    order: float | None
    frequency: Measure
    text: str
    trace: tuple[int, ...]


class Transducer(Record, frozen=True):
    type: str
    tip: Measure | None
    system_length: Measure | None
    scale: str | None
    band: str | None
    text: str


class Range(Record, frozen=True):
    low: Measure
    high: Measure
    detection: str


class Candidate(Record, frozen=True):
    """One way to reach a setpoint; ``value`` is None where an input is missing (``needs``)."""

    criterion: str
    value: float | None
    unit: str
    needs: str | None


class Setpoint(Record, frozen=True):
    """An alarm or a trip.

    ``value`` is the rounded setting in ``unit``; ``low`` the signed low side of a two-sided
    setpoint; ``status`` one of proposed, hold, placeholder. Voting, latching and the answer to a
    circuit fault belong to trips.
    """

    value: float | None
    unit: str
    unrounded: float | None
    delay: Measure | None
    governed_by: str
    status: str
    low: float | None
    milliamps: float | None
    milliamps_low: float | None
    volts: float | None
    volts_low: float | None
    candidates: tuple[Candidate, ...]
    trace: tuple[int, ...]
    voting: str | None = None
    voting_group: str | None = None
    latched: bool | None = None
    on_circuit_fault: str | None = None


class Setpoints(Record, frozen=True):
    alarm: Setpoint | None
    trip: Setpoint | None


class Reading(Record, frozen=True):
    """A second reading of the same transducer; never a second point."""

    quantity: str
    range: Range | None
    setpoints: Setpoints
    text: str


class Installation(Record, frozen=True):
    zone: int | None
    division: int | None
    equipment_protection_level: str | None
    protection: str | None
    required_marking: str | None
    location: str
    loaded_direction: Measure | None
    junction_box: str | None
    frequency_group: str | None
    notes: tuple[str, ...]


class Multiplier(Record, frozen=True):
    """The setpoint multiplier of a radial group while starting: factor, arming, end."""

    factor: float
    armed_by: str
    time_out: Measure
    trace: tuple[int, ...]


class Point(Record, frozen=True):
    key: str
    tag: str
    tags: Mapping[str, str]
    title: str
    quantity: str
    shaft: str
    bearing: str | None
    stage: int | None
    direction: str | None
    angle: Measure | None
    transducer: Transducer
    chain: str
    range: Range | None
    setpoints: Setpoints
    multiplier: Multiplier | None
    further_readings: tuple[Reading, ...]
    voting_group: str
    installation: Installation
    supplied_by: Mapping[str, str]
    because: tuple[Reason, ...]


class Check(Record, frozen=True):
    """The answer of one check: pass, caution, fail or not_evaluated (then ``needs``)."""

    check: str
    subject: str
    result: str
    measured: Measure | None
    limit: Measure | None
    text: str
    remedies: tuple[str, ...]
    needs: str | None
    trace: tuple[int, ...]


class JunctionBox(Record, frozen=True):
    key: str
    points: tuple[str, ...]
    positions: int
    purpose: str
    casing: str
    side: int | None
    terminals: int
    spare_terminals: int


class RackChannel(Record, frozen=True):
    channel: int
    fault_group: int
    point: str | None


class RackModule(Record, frozen=True):
    slot: int
    kind: str
    channels: tuple[RackChannel, ...]


class Rack(Record, frozen=True):
    key: str
    modules: tuple[RackModule, ...]
    spare_channels: int
    free_slots: int
    power_supplies: int


class Relay(Record, frozen=True):
    key: str
    purpose: str
    normally: str
    latched: bool
    rack: str | None
    causes: tuple[str, ...]
    text: str
    trace: tuple[int, ...]


class Interface(Record, frozen=True):
    key: str
    kind: str
    between: tuple[str, str]
    direction: str
    text: str


class Architecture(Record, frozen=True):
    """Boxes, racks, relays, cables, interfaces. A cable is a mapping with from, to, kind, length, points."""

    junction_boxes: tuple[JunctionBox, ...]
    racks: tuple[Rack, ...]
    relays: tuple[Relay, ...]
    power_supplies: int
    cables: tuple[Mapping[str, Any], ...]
    interfaces: tuple[Interface, ...]
    notes: tuple[str, ...]


class CauseAndEffect(Record, frozen=True):
    cause: str
    level: str
    effects: tuple[str, ...]
    delay: Measure | None
    voting: str | None
    setting: str
    acts_in: str
    relay: str | None
    points: tuple[str, ...]
    note: str
    trace: tuple[int, ...]


class ProcessProtection(Record, frozen=True):
    key: str
    text: str
    alarm: str | None
    trip: str | None
    voting: str | None
    acts_in: str
    because: tuple[Reason, ...]


class BillLine(Record, frozen=True):
    """``quantity`` counts all trains; ``spares`` are loose spares once for all trains, never inside it."""

    item: str
    description: str
    quantity: int
    spares: int
    unit: str
    supplied_by: str
    points: tuple[str, ...]
    trace: tuple[int, ...]


class Responsibility(Record, frozen=True):
    link: str
    owner: str
    assumed: bool
    text: str


class ReconciliationLine(Record, frozen=True):
    statement: str
    left: Any
    right: Any
    holds: bool


class Conflict(Record, frozen=True):
    """Two rules that give one item different values; both are shown and neither is hidden."""

    item: str
    field: str
    rules: tuple[str, ...]
    values: tuple[Any, ...]


class AppliedOverride(Record, frozen=True):
    """An override as it stands in a proposal.

    ``state``: in force; confirm again (the rule's value or the speed has changed since, see ``note``);
    item gone (nothing in this proposal goes by that key).
    """

    item: str
    field: str
    value: Any
    rule_value: Any
    reason: str
    author: str
    at: str
    state: str
    note: str


class RuleOutcome(Record, frozen=True):
    """How a rule ended: applied, not applicable, or undecided (naming the missing input)."""

    rule: str
    title: str
    outcome: str
    needs: tuple[str, ...]


class Verdict(Record, frozen=True):
    """The proposal in five lines, in the order a reader wants them."""

    proposed: str
    fails: str
    needs_you: str
    next_fact: str
    standing: str
    values_to_confirm: int


class Proposal(Record, frozen=True):
    format: str
    machine: Mapping[str, Any]
    rulebook_version: str
    criteria_digest: str
    verdict: Verdict
    governing: tuple[GoverningDocument, ...]
    assumptions: tuple[Assumption, ...]
    open_points: tuple[OpenPoint, ...]
    shafts: tuple[ShaftLine, ...]
    frequencies: tuple[FrequencyLine, ...]
    points: tuple[Point, ...]
    checks: tuple[Check, ...]
    architecture: Architecture
    safety_functions: tuple[Mapping[str, Any], ...]
    cause_and_effect: tuple[CauseAndEffect, ...]
    process_protection: tuple[ProcessProtection, ...]
    bill_of_materials: tuple[BillLine, ...]
    responsibility: tuple[Responsibility, ...]
    reconciliation: tuple[ReconciliationLine, ...]
    conflicts: tuple[Conflict, ...]
    overrides: tuple[AppliedOverride, ...]
    criteria: tuple[Mapping[str, Any], ...]
    rules: tuple[RuleOutcome, ...]
    cautions: tuple[str, ...]
    trace: tuple[Reason, ...] = ()


def proposal_bytes(proposal: Proposal, *, indent: bool = False) -> bytes:
    """Return the JSON document, UTF-8, the same bytes for the same proposal."""
    document = msgspec.json.encode(proposal)
    return msgspec.json.format(document, indent=2) if indent else document


def proposal_json(proposal: Proposal) -> dict[str, Any]:
    """Return the document as plain dictionaries and lists."""
    document: dict[str, Any] = msgspec.json.decode(proposal_bytes(proposal))
    return document
