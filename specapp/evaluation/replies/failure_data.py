"""Offered failure data: read into `devices` of machine/1, and what the trips come to with them.

The calculation itself is that of the specification (IEC 61508-6 annex B, low demand): the caller describes
the machine with the offered devices, asks for its proposal, and hands the trips back to `reliability_found`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, Final

import msgspec

from specapp.domain.devices import RATES
from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.evaluation.replies.clarifying import question
from specapp.evaluation.replies.offer import Judgement, OfferedDevice
from specapp.evaluation.requirements.requirement import Requirement

SHARES: Final = ("beta", "beta_detected")
TYPE: Final = "component_type"
SOURCE: Final = "failure_data_source"
FIELDS: Final = (*RATES, TYPE, *SHARES, SOURCE)


class DeviceData(msgspec.Struct, frozen=True):
    """Failure data that could be read, by device and field of machine/1, and what could not."""

    devices: Mapping[str, Mapping[str, Any]]
    problems: tuple[str, ...]


class TripAnswer(msgspec.Struct, frozen=True):
    """What one trip comes to: its probability, and the part of it that the bidder answers for.

    ``pfd_of_others`` comes from devices by others, on placeholder data where nobody has told better.
    """

    machine: str
    key: str
    title: str
    limit_pfd: float
    pfd: float
    pfd_offered: float
    pfd_of_others: float
    valid: bool


def device_data(asked: Sequence[str], offered: Iterable[OfferedDevice]) -> DeviceData:
    """Return the failure data of the devices asked; a device with any problem is left out as a whole."""
    devices: dict[str, dict[str, Any]] = {}
    problems: list[str] = []
    given = {each.device: each for each in offered}
    for name in asked:
        words = name.replace("_", " ")
        told = given.get(name)
        if told is None or not any(told.values.values()):
            problems.append(f"No failure data for: {words}.")
            continue
        read, wrong = _read(told, words)
        if wrong:
            problems += wrong
        else:
            devices[name] = read
    return DeviceData(devices, tuple(problems))


def _read(told: OfferedDevice, words: str) -> tuple[dict[str, Any], list[str]]:
    read: dict[str, Any] = {}
    wrong: list[str] = []
    for field in FIELDS:
        text = told.values.get(field, "").strip()
        if not text:
            wrong.append(f"{words}: {field.replace('_', ' ')} is missing.")
            continue
        try:
            read[field] = _field(field, text)
        except QuantityError as error:
            wrong.append(f"{words}: {field.replace('_', ' ')} “{text[:60]}”: {error.message}.")
    rates = [read[name] for name in RATES if name in read]
    if len(rates) == len(RATES) and not sum(rates):
        wrong.append(f"{words}: every rate is zero; no device never fails.")
    return read, wrong


def _field(field: str, text: str) -> float | str:
    if field in RATES:
        rate = parse_quantity(text, "rate", "1/h")
        if not 0 <= rate <= 0.01:
            raise QuantityError("a rate from 0 to 0.01 1/h is needed")
        return rate
    if field in SHARES:
        is_percent = text.endswith("%")
        share = parse_quantity(text.rstrip("% "), "ratio", "1") / (100 if is_percent else 1)
        if not 0 <= share <= 1:
            raise QuantityError("a share from 0 to 1, or in percent, is needed")
        return share
    if field == TYPE:
        letter = text.upper().removeprefix("TYPE").strip()
        if letter not in ("A", "B"):
            raise QuantityError("type A or B is needed")
        return letter
    if len(text) > 200:
        raise QuantityError("longer than 200 characters")
    return text


def trip_answers(
    machine: str, safety_functions: Iterable[Mapping[str, Any]], of_others: Collection[str]
) -> list[TripAnswer]:
    """Return the trips with a target of a proposal; `of_others` names the stages that others supply."""
    answers = []
    for function in safety_functions:
        if not function.get("target") or not function.get("limit_pfd"):
            continue
        others = sum(stage["pfd_avg"] for stage in function["stages"] if stage["stage"] in of_others)
        pfd = function["pfd_avg"]
        answers.append(
            TripAnswer(
                machine,
                function["key"],
                function["title"],
                function["limit_pfd"],
                pfd,
                pfd - others,
                others,
                function["validity"]["state"] != "refused",
            )
        )
    return answers


def reliability_found(requirement: Requirement, data: DeviceData, trips: Sequence[TripAnswer]) -> Judgement:
    """Return what the offered failure data come to over all trips.

    Data that are missing or unreadable leave it open. A trip whose offered part alone is above its limit is
    a deviation; one that is above only with the part of others is a comment.
    """
    if data.problems:
        return Judgement(
            requirement.id,
            "no reply",
            ("Not compliant until clarified.", *data.problems),
            question(requirement, None, " ".join(data.problems)),
            until_clarified=True,
        )
    over = [trip for trip in trips if not trip.valid or trip.pfd_offered >= trip.limit_pfd]
    if over:
        return Judgement(requirement.id, "deviate", tuple(_line(trip) for trip in over))
    with_others = [trip for trip in trips if trip.pfd >= trip.limit_pfd]
    if with_others:
        return Judgement(
            requirement.id,
            "with comment",
            tuple(f"{_line(trip)} Reached only if the part of others is smaller." for trip in with_others),
        )
    worst = max(trips, key=lambda trip: trip.pfd / trip.limit_pfd, default=None)
    if worst is None:
        return Judgement(requirement.id, "comply", ("No trip has a target.",))
    reason = f"{len(trips)} of {len(trips)} trips reach their target; the closest: {_line(worst)}"
    return Judgement(requirement.id, "comply", (reason,))


def _line(trip: TripAnswer) -> str:
    if not trip.valid:
        return f"{trip.machine} {trip.title}: the formula does not hold for such rates."
    return (
        f"{trip.machine} {trip.title}: {trip.pfd_offered:.2g} offered, {trip.pfd_of_others:.2g} of others, "
        f"limit {trip.limit_pfd:.2g}."
    )
