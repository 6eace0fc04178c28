"""Requirements of an enquiry, made from one or several proposals and the table of what is asked."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources
from typing import Any, Final

from specapp.domain.display import number_text
from specapp.evaluation.requirements.criterion import AreaNeed, Criterion
from specapp.evaluation.requirements.facts import Asked, Fact, facts_of
from specapp.evaluation.requirements.requirement import BillItem, Requirement, RequirementSet
from specapp.evaluation.requirements.supplied import bill_of, devices_of, ranges_of, trips_of

COMMON_PRACTICE: Final = "common practice"
_WEAKEST: Final = ("published", "from memory", COMMON_PRACTICE)
_LIMITS: Final = ("low", "high", "trip")


class _Missing(KeyError):
    """A fact that a requirement needs and the machines do not have."""


@cache
def table() -> tuple[Mapping[str, Any], ...]:
    """Return the rows of `data/requirements.toml`."""
    text = (
        resources.files("specapp.evaluation.requirements")
        .joinpath("data/requirements.toml")
        .read_text("utf-8")
    )
    return tuple(tomllib.loads(text)["requirement"])


@cache
def requirement_giving(figure: str) -> str:
    """Return the id of the requirement whose reply gives a figure of the evaluation, like delivery_weeks.

    The table declares it as `figure`; an id never changes, so that this holds for enquiries issued before.
    Raises KeyError for a figure that no requirement gives.
    """
    return {row["figure"]: str(row["id"]) for row in table() if "figure" in row}[figure]


def requirements_of(asked: Asked) -> RequirementSet:
    """Return what is asked of every bidder. Raises ValueError without a proposal."""
    if not asked.proposals:
        raise ValueError("an enquiry is about at least one machine")
    facts = facts_of(asked)
    bill = bill_of(asked)
    trips = trips_of(asked)
    devices = tuple(sorted({device for each in trips for device in devices_of(asked, each)}))
    told: dict[str, Fact] = {**facts, "devices": ", ".join(word.replace("_", " ") for word in devices)}
    requirements: list[Requirement] = []
    open_points: list[str] = []
    for row in table():
        if "link" in row and not asked.asks(row["link"]):
            continue
        if "when" in row and not told.get(row["when"]):
            continue
        try:
            requirements += _made(row, told, asked, bill)
        except _Missing as missing:
            open_points.append(
                f"{row['id']} {row['title']}: {missing.args[0]} is not settled by the machines."
            )
    return RequirementSet(
        machines=tuple(str(proposal.machine["tag"]) for proposal in asked.proposals),
        owners=asked.owners,
        requirements=tuple(requirements),
        bill=bill,
        trips=trips,
        devices=devices,
        open_points=tuple(open_points),
    )


def _made(
    row: Mapping[str, Any], facts: Mapping[str, Fact], asked: Asked, bill: tuple[BillItem, ...]
) -> Iterator[Requirement]:
    each = row.get("each")
    if each == "bill":
        for item in bill:
            yield _requirement(row, _bill_facts(item, facts), asked, f"/{item.key}", item.description)
    elif each == "ranges":
        for number, span in enumerate(ranges_of(asked), start=1):
            yield _requirement(
                row, {**facts, **span}, asked, f"/{number}", f"{span['quantity']}, {span['range']}"
            )
    else:
        yield _requirement(row, facts, asked)


def _bill_facts(item: BillItem, facts: Mapping[str, Fact]) -> dict[str, Fact]:
    unit = "pieces" if item.unit == "piece" and item.quantity != 1 else item.unit
    return {
        **facts,
        "item": item.description,
        "count": str(item.quantity),
        "unit": unit,
        "item.count": float(item.quantity),
        "item.unit": unit,
    }


def _requirement(
    row: Mapping[str, Any], facts: Mapping[str, Fact], asked: Asked, suffix: str = "", title: str = ""
) -> Requirement:
    source, status = _basis(row, asked)
    reads: list[str] = []
    return Requirement(
        id=row["id"] + suffix,
        group=row["id"][:3],
        title=f"{row['title']}: {title}" if title else row["title"],
        text=row["text"].format_map(_Words(facts, reads)),
        criterion=_criterion(row, facts),
        weight=float(row["weight"]),
        knock_out=bool(row.get("knock_out", False)),
        source=source,
        status=status,
        reads=tuple(dict.fromkeys(reads)),
    )


class _Words(dict[str, str]):
    """Facts as words of a text, noting which were read."""

    def __init__(self, facts: Mapping[str, Fact], reads: list[str]) -> None:
        super().__init__()
        self._facts, self._reads = facts, reads

    def __missing__(self, name: str) -> str:
        value = _told(self._facts, name)
        self._reads.append(name)
        if isinstance(value, tuple):
            return ", ".join(str(each) for each in value)
        if isinstance(value, float | int) and not isinstance(value, bool):
            return number_text(value)
        return str(value)


def _told(facts: Mapping[str, Fact], name: str) -> Fact:
    value = facts.get(name)
    if value is None:
        raise _Missing(name.replace("_", " "))
    return value


def _criterion(row: Mapping[str, Any], facts: Mapping[str, Fact]) -> Criterion:
    limits: dict[str, float | None] = {}
    for name in _LIMITS:
        told = row.get(name)
        value = _told(facts, told) if isinstance(told, str) else told
        limits[name] = None if value is None else float(value)  # type: ignore[arg-type]
    choices = row.get("choices", ())
    chosen = _told(facts, choices) if isinstance(choices, str) else tuple(choices)
    areas = _told(facts, row["areas"]) if "areas" in row else ()
    assert isinstance(chosen, tuple)
    assert isinstance(areas, tuple)
    return Criterion(
        kind=row["kind"],
        quantity=_word(row.get("quantity", ""), facts),
        unit=_word(row.get("unit", ""), facts),
        low=limits["low"],
        high=limits["high"],
        trip=limits["trip"],
        choices=tuple(str(each) for each in chosen),
        needs_all=bool(row.get("needs_all", False)),
        areas=tuple(each for each in areas if isinstance(each, AreaNeed)),
    )


def _word(text: str, facts: Mapping[str, Fact]) -> str:
    return str(_told(facts, text)) if text.startswith("item.") else text


def _basis(row: Mapping[str, Any], asked: Asked) -> tuple[str, str]:
    """Return source and status: the row's own, or those of its criteria, the weakest status of them."""
    if "criteria" not in row:
        return row.get("source", ""), row.get("status", COMMON_PRACTICE)
    used = {
        criterion["key"]: criterion
        for proposal in asked.proposals
        for criterion in proposal.criteria
        if criterion["key"] in row["criteria"]
    }
    if not used:
        return "", COMMON_PRACTICE
    sources = dict.fromkeys(
        f"{each['source']}, {each['edition']}" for each in used.values() if each.get("source")
    )
    status = max((each["status"] for each in used.values()), key=_WEAKEST.index)
    return "; ".join(sources), status
