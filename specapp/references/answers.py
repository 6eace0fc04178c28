"""Answers of a returned sheet held against the machine: what each would set, and what cannot be taken.

Nothing here takes effect by itself: chosen answers are adopted as values of the description with their
source, and as maker's values of setpoints.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db import transaction

from specapp.core.models import User
from specapp.documents.asking import fact_path, questions
from specapp.domain.problems import InputErrors, Problem
from specapp.domain.proposal import Proposal
from specapp.projects.deciding.setpoint_values import (
    GivenValue,
    Provenance,
    given_value,
    setpoint_values_write,
)
from specapp.projects.describing.fields import DESCRIPTION, fact_words
from specapp.projects.describing.form import problem_text
from specapp.projects.describing.typed import typed_of
from specapp.projects.models import Machine, SetpointState
from specapp.projects.worked import Ground, proposal_for
from specapp.references.errors import NothingChosen
from specapp.references.returned_sheet import Answer, ReturnedSheet
from specapp.references.sourcing import Origin, description_save, field_name, with_values
from specapp.rulebook.fact_names import pinion_names

_SAME_SPEED = 0.001  # speed and tooth numbers of one shaft agree as closely
FACT, SETPOINT, WORDS = "fact", "setpoint", "words"


@dataclass(frozen=True, slots=True)
class SheetSource:
    """Whose answers these are: the sheet as the register knows it."""

    document: str
    revision: str
    person: str
    dated: date


@dataclass(frozen=True, slots=True)
class Line:
    """One answer as it would be taken: `name` is the form's field, `given` the setpoint it sets.

    `problem` says why it cannot be taken; `was` and `now` are the value before and after.
    """

    answer: Answer
    kind: str
    what: str
    was: str
    now: str
    origin: Origin
    name: str = ""
    given: GivenValue | None = None
    problem: str = ""

    @property
    def key(self) -> str:
        return self.answer.key

    @property
    def can_be_taken(self) -> bool:
        return not self.problem and self.kind != WORDS


@dataclass(frozen=True, slots=True)
class Answers:
    """Every answer of a sheet; `after` is the proposal with those chosen that can be taken."""

    lines: tuple[Line, ...]
    after: Proposal | None
    chosen: frozenset[str]


def answers_of(
    sheet: ReturnedSheet,
    source: SheetSource,
    machine: Machine,
    proposal: Proposal,
    ground: Ground,
    chosen: Collection[str] | None = None,
) -> Answers:
    """Return what the answers would set; `chosen` are keys, None for all that can be taken.

    Answers that the description refuses, each by itself or together, say so at their cell.
    """
    moved = _moved_shafts(sheet, proposal)
    lines = [_line(answer, source, machine, proposal) for answer in sheet.answers]
    lines = [replace(line, problem=line.problem or moved.get(_shaft_of(line.key), "")) for line in lines]
    wanted = {line.key for line in lines} if chosen is None else set(chosen)
    after = None
    # Each round finds the answers that the others stand against; the last has none left to refuse.
    for _ in range(len(lines) + 1):
        facts = [line for line in lines if line.kind == FACT and line.key in wanted and line.can_be_taken]
        try:
            after = proposal_for(described_with(machine.description, facts), ground)
        except InputErrors as errors:
            refused = _refused(facts, errors.problems)
            lines = [replace(line, problem=refused.get(line.key, line.problem)) for line in lines]
        else:
            break
    taken = frozenset(line.key for line in lines if line.key in wanted and line.can_be_taken)
    return Answers(tuple(lines), after, taken)


def described_with(description: Mapping[str, Any], facts: Iterable[Line]) -> dict[str, Any]:
    """Return a description with the facts of answers and their sources."""
    lines = list(facts)
    return with_values(
        description,
        {line.name: line.answer.answer for line in lines},
        {line.name: line.origin for line in lines},
    )


@transaction.atomic
def answers_adopt(
    *,
    machine: Machine,
    expected_version: int,
    answers: Answers,
    source: SheetSource,
    author: User,
    now: datetime,
) -> int:
    """Take over the chosen answers; return how many.

    Raises `NothingChosen` where none can be taken, and `StaleVersion` where the machine has changed.
    """
    chosen = [line for line in answers.lines if line.key in answers.chosen]
    if not chosen:
        raise NothingChosen
    by_origin: dict[tuple[str, str], list[GivenValue]] = {}
    for line in chosen:
        if line.given is not None:
            by_origin.setdefault((line.origin.document, line.origin.revision), []).append(line.given)
    for (document, revision), values in by_origin.items():
        setpoint_values_write(
            machine=machine,
            expected_version=expected_version,
            values=values,
            provenance=Provenance(
                SetpointState.MAKERS, document, revision, source.person, source.dated, "answer to a question"
            ),
            author=author,
            now=now,
        )
    facts = [line for line in chosen if line.kind == FACT]
    if facts:
        description = described_with(machine.description, facts)
        description_save(machine, description, expected_version, author, now)
    return len(chosen)


def _moved_shafts(sheet: ReturnedSheet, proposal: Proposal) -> dict[str, str]:
    """Return why answers about a shaft are refused: it is not the one that was asked about."""
    now = {shaft.name: shaft.speed.value for shaft in proposal.shafts if shaft.speed is not None}
    return {
        name: f"{name} turned at {asked:g} r/min when this was asked and at {now[name]:g} r/min now"
        for name, asked in sheet.shaft_speeds_rpm.items()
        if name in now and abs(now[name] - asked) > _SAME_SPEED * asked
    }


def _shaft_of(key: str) -> str:
    """Return the shaft of a question: P2 of "fact:pinions[P2].teeth", P1 of "setpoint:P1/axial:trip"."""
    kind, _, rest = key.partition(":")
    if kind == SETPOINT:
        return rest.partition("/")[0]
    owner = rest.partition(".")[0]
    named = {"bull_gear": "BG", "driver": "M"}
    return named.get(owner) or owner.removeprefix("pinions[").removesuffix("]")


def _line(answer: Answer, source: SheetSource, machine: Machine, proposal: Proposal) -> Line:
    own = Origin(source.document, source.revision, f"question {answer.number}", "quoted")
    origin = Origin(answer.document, answer.revision, answer.page, "quoted") if answer.document else own
    kind = answer.key.partition(":")[0]
    if kind == FACT:
        return _fact(answer, origin, machine)
    if kind == SETPOINT:
        return _setpoint(answer, origin, proposal)
    asked = next((each for each in questions(proposal) if each.key == answer.key), None)
    what = asked.text if asked else "a question that is not open any more"
    return Line(answer, WORDS, what, "", answer.answer, origin)


def _fact(answer: Answer, origin: Origin, machine: Machine) -> Line:
    path = fact_path(answer.key, pinion_names(machine.description))
    name = field_name(path) if path else ""
    is_known = name in DESCRIPTION.fields or name.startswith("pinions[")
    if path is None or not is_known:
        what = answer.key.partition(":")[2]
        return Line(
            answer, FACT, what, "", answer.answer, origin,
            problem="the description has no such pinion or field any more",
        )  # fmt: skip
    was = typed_of(machine.description).get(name, "")
    return Line(answer, FACT, fact_words(path, machine.description), was, answer.answer, origin, name)


def _setpoint(answer: Answer, origin: Origin, proposal: Proposal) -> Line:
    _, item, level = [*answer.key.split(":"), "", ""][:3]
    what = f"{level} of {item}"
    try:
        given = given_value(proposal, item, level, answer.answer)
    except InputErrors as errors:
        told = "; ".join(f"found {each.found}, allowed: {each.allowed}" for each in errors.problems)
        return Line(answer, SETPOINT, what, "", answer.answer, origin, problem=told)
    point = next(point for point in proposal.points if point.voting_group == item)
    present = point.setpoints.alarm if level == "alarm" else point.setpoints.trip
    was = "" if present is None or present.value is None else f"{present.value:g} {present.unit}"
    return Line(answer, SETPOINT, what, was, f"{given.value:g} {given.unit}", origin, given=given)


def _refused(facts: Iterable[Line], problems: Iterable[Problem]) -> dict[str, str]:
    """Return why answers are refused, by key; where a problem names none of them, all give way."""
    lines = list(facts)
    refused: dict[str, str] = {}
    for problem in problems:
        for line in lines:
            of_list = problem.path.startswith(f"{line.name}[")
            if of_list or problem.path in (line.name, f'sources["{line.name}"]'):
                leaf = line.name.rpartition("].")[2]
                spec = DESCRIPTION.fields.get(line.name) or DESCRIPTION.rows["pinions"].fields.get(leaf)
                refused[line.key] = problem_text(problem, spec)
    if refused or not lines:
        return refused
    text = "; ".join(f"{each.path}: {problem_text(each)}" for each in problems)
    return {line.key: f"not together with the description: {text}" for line in lines}
