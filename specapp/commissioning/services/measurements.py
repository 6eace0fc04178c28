"""Records of what was measured: judged when they are written down, never changed."""

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import msgspec
from django.db import IntegrityError, transaction

from specapp.bench.measuring.baseline import BASELINE, CRITERIA
from specapp.bench.measuring.probes import CURVE, curve_limits
from specapp.bench.measuring.records import Facts, Judgement, Kind, Subject
from specapp.bench.measuring.registry import subject_of
from specapp.commissioning.errors import Refused
from specapp.commissioning.models import Measurement
from specapp.commissioning.services.trains import tags_in
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.display import with_unit
from specapp.domain.machine import MachineDescription
from specapp.domain.proposal import Proposal, Setpoint
from specapp.projects.deciding.ground import machine_ground, machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.projects.models import Machine, Override
from specapp.projects.worked import described, proposal_for

_BULL_GEAR = "BG"
_AGAINST_TODAY, _ANOTHER = "Against the alarm of today", "another, to be adopted or left"


def judgement_of(row: Measurement) -> Judgement:
    return msgspec.convert(row.judged, Judgement)


def machine_subject(machine: Machine, kind: Kind, key: str) -> Subject | None:
    """Return what a record of a kind is about, with what the description says of its shaft."""
    subject = subject_of(machine_proposal(machine), kind, key)
    if subject is None or not subject.points:
        return subject
    ground = machine_ground(machine)
    shaft = _shaft(described(machine.description, ground), subject.point.shaft)
    facts = Facts(getattr(shaft, "probe_looks_toward", None), getattr(shaft, "axial_float", None))
    return replace(subject, facts=facts)


@transaction.atomic
def measurement_write(
    *,
    machine: Machine,
    kind: Kind,
    subject: Subject,
    data: Mapping[str, Any],
    condition: str,
    train: str = "",
    measured_on: date,
    instrument: str,
    remark: str,
    corrects: Measurement | None,
    author: User,
    now: datetime,
) -> Measurement:
    """Write down a record with its verdict.

    Raises `KernelError` for a number that cannot be, `Refused` for a day to come, a correction without a
    remark, or of a record that was corrected already.
    """
    if measured_on > now.date():
        raise Refused(f"Found {measured_on.isoformat()}; allowed is a day up to today.")
    if corrects is not None and not remark:
        raise Refused("A correction needs a remark that says why.")
    judged = kind.judge(subject, data)
    if kind is BASELINE:
        judged = _with_refined(judged, machine, subject, data)
    tags = tags_in(subject.proposal, train)
    row = Measurement(
        machine=machine,
        kind=kind.key,
        item=subject.key,
        tags=", ".join(tags.get(point.tag, point.tag) for point in subject.points)[:300],
        train=train,
        condition=condition,
        data=dict(data),
        limits=curve_limits(subject) if kind is CURVE else {},
        judged=msgspec.to_builtins(judged),
        basis=f"working, v{machine.version}",
        instrument=instrument,
        remark=remark,
        measured_on=measured_on,
        corrects=corrects,
        person=author,
        person_name=author.get_full_name()[:200],
        entered_at=now,
    )
    row.full_clean(validate_constraints=False, validate_unique=False)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        raise Refused("This record was corrected already: correct the later one.") from error
    entry_append(
        author=author,
        action="measurement.write",
        subject=row,
        now=now,
        project_id=machine.project_id,
        data={
            "machine": machine.pk,
            "kind": kind.key,
            "item": subject.key,
            "condition": condition,
            "train": train,
            "passes": judged.passes,
            "data": dict(data),
            "corrects": corrects.pk if corrects else None,
        },
    )
    return row


def refined_alarm(machine: Machine, subject: Subject, data: Mapping[str, Any]) -> Setpoint | None:
    """Return the alarm of a group as the rules propose it with a baseline in the description."""
    quantity, unit = subject.point.quantity, subject.point.setpoints.alarm.unit
    description = deepcopy(dict(machine.description))
    told = f"{data['baseline']!r} {unit}"
    if quantity == "casing_vibration":
        description["bull_gear"] = {**(description.get("bull_gear") or {}), "casing_baseline": told}
    else:
        ground = machine_ground(machine)
        place = _place(described(machine.description, ground), subject.point.shaft)
        if place is None:
            return None
        _set_baseline(description, place, told)
    proposal = proposal_for(description, machine_ground(machine).without_override(subject.key, "alarm"))
    return _alarm(proposal, subject.key)


def _alarm(proposal: Proposal, key: str) -> Setpoint | None:
    return next((p.setpoints.alarm for p in proposal.points if p.voting_group == key), None)


def _set_baseline(description: dict[str, Any], place: int, told: str) -> None:
    if place < 0:
        description["bull_gear"] = {**(description.get("bull_gear") or {}), "baseline_vibration": told}
    else:
        description["pinions"][place] = {**description["pinions"][place], "baseline_vibration": told}


def _place(machine: MachineDescription, shaft: str) -> int | None:
    """Return which pinion a shaft is, -1 for the bull gear, None for any other."""
    if shaft == _BULL_GEAR:
        return -1
    names = [told.name or f"P{index + 1}" for index, told in enumerate(machine.pinions)]
    return names.index(shaft) if shaft in names else None


def _shaft(machine: MachineDescription, shaft: str) -> Any:
    place = _place(machine, shaft)
    if place is None:
        return None
    return machine.bull_gear if place < 0 else machine.pinions[place]


def _with_refined(
    judged: Judgement, machine: Machine, subject: Subject, data: Mapping[str, Any]
) -> Judgement:
    alarm = refined_alarm(machine, subject, data)
    if alarm is None or alarm.value is None:
        results = (("Alarm by this baseline", "none: no criterion makes one for this shaft"),)
        return msgspec.structs.replace(judged, results=results)
    candidates = tuple(
        (f"Candidate {each.criterion}", with_unit(each.value, each.unit, digits=4))
        for each in alarm.candidates
        if each.value is not None
    )
    today = subject.point.setpoints.alarm
    same = today is not None and today.value == alarm.value
    results = (
        ("Alarm by this baseline", with_unit(alarm.value, alarm.unit)),
        (_AGAINST_TODAY, "the same" if same else _ANOTHER),
        ("Governed by", alarm.governed_by),
        *candidates,
    )
    return msgspec.structs.replace(judged, results=results)


def moves_alarm(judged: Judgement) -> bool:
    """Tell whether a baseline gave another alarm than the one that stood when it was written down."""
    return dict(judged.results).get(_AGAINST_TODAY) == _ANOTHER


def baseline_adopt(
    *, row: Measurement, subject: Subject, expected_version: int, author: User, now: datetime
) -> Override:
    """Set the alarm that a baseline gives, as an override that names the record.

    Raises `Refused` where the record is no baseline, fails, was corrected or gives no alarm; `InputErrors`
    and `StaleVersion` as `override_set`.
    """
    if row.kind != BASELINE.key or Measurement.objects.filter(corrects=row).exists():
        raise Refused("Only the last record of a baseline can be adopted.")
    if not judgement_of(row).passes:
        raise Refused("This baseline does not pass: it moves no alarm.")
    alarm = refined_alarm(row.machine, subject, row.data)
    if alarm is None or alarm.value is None:
        raise Refused("This baseline gives no alarm.")
    today = _alarm(machine_proposal(row.machine), row.item)
    if today is not None and today.value == alarm.value:
        raise Refused("The alarm stands at this value already: there is nothing to set.")
    rule = CRITERIA[subject.point.quantity]
    told = with_unit(row.data["baseline"], alarm.unit)
    reason = f"Baseline {told}, {row.measured_on}, by {row.person_name}, record {row.pk}, {rule}"
    return override_set(
        machine=row.machine,
        expected_version=expected_version,
        item=row.item,
        field="alarm",
        value=alarm.value,
        reason=reason,
        author=author,
        now=now,
    )
