"""What is to be asked of whom: open points, assumptions and setpoints to advise, as one numbered list.

Each question says why it is asked and what its answer would change, from the reasons that the rules
recorded. Its key names pinions by their names, so that an answer finds its pinion after they are reordered.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, Literal

from msgspec.structs import replace

from specapp.documents.wording import told
from specapp.domain.leaf_limits import choices_of, whole_of
from specapp.domain.machine_columns import Column, columns
from specapp.domain.proposal import Point, Proposal, Record, Setpoint
from specapp.kernel.units import KINDS
from specapp.rulebook.check_names import check_words
from specapp.rulebook.fact_names import fact_words, pinion_names, value_at
from specapp.rulebook.useful_facts import UsefulFact, useful_facts

Kind = Literal["fact", "setpoint", "words"]

ASKED: Final = {
    "maker": "machine maker",
    "owner": "owner",
    "purchaser": "purchaser",
    "supplier": "system supplier",
}
_ADVISED: Final = frozenset({"hold", "placeholder"})
# Who answers for an assumption; the longest beginning counts. Open points name whom to ask themselves.
_ANSWERS_FOR: Final = {
    "": "owner",
    "bull_gear": "maker",
    "pinions": "maker",
    "support": "maker",
    "split_line": "maker",
    "scope": "purchaser",
    "installation.chain": "purchaser",
    "installation.protection": "supplier",
    "installation.supply_voltage": "supplier",
    "installation.sample_rate": "supplier",
    "installation.pulse_input_limit": "supplier",
    "installation.notch": "maker",
    "devices": "supplier",
}
# Questions that the name of a field alone would put badly; {of} is " of P2" or " of the bull gear".
_ASKED_AS: Final = {
    "teeth": "The number of teeth{of}?",
    "babbitt": "The thickness of the thrust bearing's babbitt{of}?",
    "probe_looks_toward": "The side toward which the axial probes{of} look?",
    "impeller_axial_clearance": "The axial clearance at the impellers{of}?",
    "probe_side_clearance": "The free space beside the probe tips{of}?",
    "track_width": "The width of the probes' track{of}?",
    "radial_bearings": "The kind of the radial bearings{of}?",
    "thrust_bearing": "Is there a thrust bearing that locates the bull gear?",
    "stages": "Which stages are on the pinion{of}?",
    "driver.kind": "The kind of driver?",
    "ambient.maximum": "The highest ambient temperature?",
    "ambient.minimum": "The lowest ambient temperature?",
    "gases": "The handled gases, by name or CAS number?",
    "support": "The support of the machine?",
    "split_line": "The split line of the casing?",
    "installation.probe_to_box": "The run from a probe to its junction box?",
    "installation.fault_groups_independent": "Does no single failure take two fault groups of a module?",
    "safety.radial_trip_voting": "The vote of the radial trips?",
}
_PINION: Final = re.compile(r"pinions\[(\d+)\]")
_NAMED: Final = re.compile(r"pinions\[([^\]]+)\]")
MOST_CHANGES: Final = 4


class Question(Record, frozen=True):
    """One question. ``kind``: a fact of the description at ``path``, a setpoint, or something in words.

    ``unit`` is that of a bare number in the answer, ``units`` those that may be named instead;
    ``choices`` are the words an answer chooses from; ``item`` and ``level`` tell which setpoint.
    """

    number: int
    key: str
    kind: Kind
    ask: str
    text: str
    because: tuple[str, ...]
    changes: tuple[str, ...]
    taken: str
    path: str = ""
    item: str = ""
    level: str = ""
    unit: str = ""
    units: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    smallest: int | None = None
    largest: int | None = None


def questions(proposal: Proposal, ask: str = "") -> tuple[Question, ...]:
    """Return what is asked, numbered over everybody; with `ask` what is asked of that one."""
    found = [*_facts(proposal), *_setpoints(proposal), *_in_words(proposal)]
    order = list(ASKED)
    found.sort(key=lambda question: order.index(question.ask))
    numbered = (replace(question, number=number) for number, question in enumerate(found, start=1))
    return tuple(question for question in numbered if ask in ("", question.ask))


def fact_key(path: str, names: Sequence[str]) -> str:
    """Return the key of a question about a fact: its path with the pinion's name in place of its number."""
    return f"fact:{_PINION.sub(lambda match: f'pinions[{names[int(match[1])]}]', path)}"


def fact_path(key: str, names: Sequence[str]) -> str | None:
    """Return the path that a key asks about, None where no pinion has that name or no field that path."""
    text = key.removeprefix("fact:")
    named = _NAMED.match(text)
    if named is not None:
        if named[1] not in names:
            return None
        text = f"pinions[{list(names).index(named[1])}]{text[named.end() :]}"
    return text if text in columns() else None


def changes_text(question: Question) -> str:
    """Return the first few things an answer would change, and how many more there are."""
    more = len(question.changes) - MOST_CHANGES
    return "; ".join(question.changes[:MOST_CHANGES]) + (f"; and {more} more" if more > 0 else "")


def _facts(proposal: Proposal) -> Iterator[Question]:
    asked = {useful.path for useful in useful_facts(proposal) if useful.path in columns()}
    names = pinion_names(proposal.machine)
    for useful in useful_facts(proposal):
        if useful.path not in asked or _is_advised(useful, proposal):
            continue
        yield _fact(proposal, names, useful)
        for path in _told_together(useful.path, proposal.machine):
            if path not in asked:
                asked.add(path)
                because = f"Asked together with {useful.fact}."
                yield _question_of(proposal, names, path, (because,), useful.may_change)


def _is_advised(useful: UsefulFact, proposal: Proposal) -> bool:
    """Tell whether nothing but a setpoint's own value is asked for, which is a question of its own."""
    return (
        bool(useful.open_points)
        and all(key.startswith("setpoints/") for key in useful.open_points)
        and useful.assumption is None
        and value_at(proposal.machine, useful.path) is not None
    )


def _told_together(path: str, machine: Mapping[str, Any]) -> list[str]:
    """Return the facts that an answer is of little use without, where they are not told yet."""
    owner, _, last = path.rpartition(".")
    together: list[str] = []
    if last == "journal_diameter":
        together = [f"{owner}.diametral_clearance"]
    elif path in ("bull_gear.teeth", "bull_gear.rotation"):
        of_pinion = "teeth" if last == "teeth" else "position_angle"
        together = [f"pinions[{number}].{of_pinion}" for number in range(len(machine.get("pinions", ())))]
    return [each for each in together if value_at(machine, each) is None]


def _fact(proposal: Proposal, names: Sequence[str], useful: UsefulFact) -> Question:
    points = [
        point
        for point in proposal.open_points
        if point.needs == useful.path and not point.key.startswith("setpoints/")
    ]
    because = [point.text for point in points]
    if useful.assumption:
        because.append(useful.assumption)
    if useful.checks:
        because.append(f"Not checked until then: {'; '.join(_checks(useful.checks))}.")
    if not because:
        because = [f"Setpoints are not held against it: {', '.join(useful.candidates)}."]
    changes = useful.may_change or tuple(f"check {check}" for check in _checks(useful.checks))
    ask = next((point.ask for point in points), "")
    return _question_of(proposal, names, useful.path, because, changes, ask)


def _checks(named: Iterable[str]) -> list[str]:
    """Return checks ("probe.tip_spacing of P1/P1-1/radial") in words, those of the same subjects together."""
    subjects: dict[str, list[str]] = {}
    for check in named:
        name, _, subject = check.partition(" of ")
        subjects.setdefault(name, []).append(subject)
    names: dict[tuple[str, ...], list[str]] = {}
    for name, found in subjects.items():
        names.setdefault(tuple(found), []).append(check_words(name))
    return [f"{', '.join(checks)} of {', '.join(found)}" for found, checks in names.items()]


def _question_of(
    proposal: Proposal,
    names: Sequence[str],
    path: str,
    because: Iterable[str],
    changes: Iterable[str],
    ask: str = "",
) -> Question:
    assumed = next((each.value for each in proposal.assumptions if each.field == path), None)
    column = columns()[path]
    whole = whole_of(path)
    return Question(
        number=0,
        key=fact_key(path, names),
        kind="fact",
        ask=ask or _answers_for(path),
        text=_asked_as(path, names),
        because=tuple(dict.fromkeys(because)),
        changes=tuple(changes),
        taken="" if assumed is None else told(path, assumed, None),
        path=path,
        unit="" if column.quantity is None else column.quantity.unit,
        units=_units(column),
        choices=("yes", "no") if column.form == "truth" else choices_of(path),
        smallest=None if whole is None else whole.minimum,
        largest=None if whole is None else whole.maximum,
    )


def _asked_as(path: str, names: Sequence[str]) -> str:
    words = fact_words(path, names)
    pattern = _ASKED_AS.get(path) or _ASKED_AS.get(path.rpartition(".")[2])
    if pattern is None:
        return f"{words[0].upper()}{words[1:]}?"
    _, of, owner = words.partition(" of ")
    return pattern.format(of=f"{of}{owner}")


def _units(column: Column) -> tuple[str, ...]:
    if column.quantity is None:
        return ()
    return tuple(dict.fromkeys((column.quantity.unit, *KINDS[column.quantity.kind].units)))


def _answers_for(path: str) -> str:
    plain = _PINION.sub("pinions", path)
    beginnings = (start for start in _ANSWERS_FOR if f"{plain}.".startswith(f"{start}." if start else ""))
    return _ANSWERS_FOR[max(beginnings, key=len)]


def _setpoints(proposal: Proposal) -> Iterator[Question]:
    """Yield the setpoints that the maker is to advise: held, placeholders, and trips none is proposed for."""
    seen: set[str] = set()
    for point in proposal.points:
        if point.voting_group in seen:
            continue
        seen.add(point.voting_group)
        alarm, trip = point.setpoints.alarm, point.setpoints.trip
        if alarm is not None and alarm.status in _ADVISED:
            yield _setpoint(proposal, point, "alarm", alarm)
            if trip is None and point.quantity == "axial_position":
                yield _setpoint(proposal, point, "trip", None, alarm.unit)
        if trip is not None and trip.status in _ADVISED:
            yield _setpoint(proposal, point, "trip", trip)


def _setpoint(
    proposal: Proposal, point: Point, level: str, setpoint: Setpoint | None, unit: str = ""
) -> Question:
    if setpoint is None:
        because: tuple[str, ...] = ("No trip is proposed without the maker's value.",)
        taken = "none"
    else:
        unit = setpoint.unit
        texts = [proposal.trace[index].text for index in setpoint.trace[-1:]]
        because = (f"It stands as {setpoint.status}.", *texts)
        taken = "none" if setpoint.value is None else f"{setpoint.value:g} {unit}"
    return Question(
        number=0,
        key=f"setpoint:{point.voting_group}:{level}",
        kind="setpoint",
        ask="maker",
        text=f"The {level} of {point.voting_group} ({point.title})?",
        because=because,
        changes=(f"the {level} of {point.tag}",),
        taken=taken,
        item=point.voting_group,
        level=level,
        unit=unit,
        units=(unit,),
    )


def _in_words(proposal: Proposal) -> Iterator[Question]:
    """Yield what no single field of the description answers."""
    for point in proposal.open_points:
        if point.needs not in columns() and not point.key.startswith("setpoints/"):
            yield Question(
                number=0,
                key=f"words:{point.key}",
                kind="words",
                ask=point.ask,
                text=point.text,
                because=("Nothing in the description settles it yet.",),
                changes=(),
                taken="",
                path=point.needs,
            )
    settled = {point.needs for point in proposal.open_points}
    for item in proposal.assumptions:
        if item.field not in columns() and item.field not in settled:
            yield Question(
                number=0,
                key=f"words:{item.field}",
                kind="words",
                ask=_answers_for(item.field),
                text=f"Is this so? {item.because}",
                because=("It is assumed, since nothing was told.",),
                changes=item.changes,
                taken=told(item.field, item.value, None),
                path=item.field,
            )
