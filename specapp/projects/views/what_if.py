"""The panel beside a description: what its proposal would be, and what saving would change."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from specapp.domain.problems import InputErrors, Problem
from specapp.domain.proposal import Proposal, Verdict
from specapp.projects.access import Access
from specapp.projects.deciding.carrying import carried_ground, pinion_orders
from specapp.projects.deciding.ground import machine_ground, project_ground
from specapp.projects.describing.form import DescriptionForm, SummaryLine
from specapp.projects.describing.typed import Reading, Typed, pinions_were
from specapp.projects.models import Machine
from specapp.projects.presenting.changes import WhatIf, sides_what_if
from specapp.projects.presenting.figures import Display
from specapp.projects.worked import Ground, compared_side, proposal_for
from specapp.rulebook.comparison import ComparedSide
from specapp.rulebook.fact_names import pinion_names
from specapp.rulebook.followed_pinions import PinionsWere


@dataclass(frozen=True, slots=True)
class Panel:
    """`problems` where the entries cannot be read yet; `changes` is None for a machine not saved yet."""

    verdict: Verdict | None
    changes: WhatIf | None
    problems: tuple[SummaryLine, ...] = ()


def ground_of(access: Access, machine: Machine | None) -> Ground:
    """Return what a proposal rests on besides what is typed."""
    return project_ground(access.project.pk) if machine is None else machine_ground(machine)


def typed_ground(ground: Ground, machine: Machine | None, typed: Typed, reading: Reading) -> Ground:
    """Return the ground of what is typed: a machine's overrides follow its pinions."""
    if machine is None:
        return ground
    orders = pinion_orders(machine.description, reading.document, pinions_were(typed, reading))
    return carried_ground(ground, orders)


def problems_of(reading: Reading, ground: Ground) -> list[Problem]:
    """Return everything wrong with what is typed."""
    try:
        proposal_for(reading.document, ground)
    except InputErrors as errors:
        return [*reading.problems, *errors.problems]
    return list(reading.problems)


def panel_of(
    access: Access, machine: Machine | None, typed: Typed, reading: Reading, display: Display
) -> Panel:
    """Return the panel for what is typed."""
    saved_ground = ground_of(access, machine)
    ground = typed_ground(saved_ground, machine, typed, reading)
    problems = list(reading.problems)
    try:
        after = proposal_for(reading.document, ground)
    except InputErrors as errors:
        problems += errors.problems
    if problems:
        return Panel(None, None, tuple(DescriptionForm(typed, reading=reading, problems=problems).summary))
    if machine is None:
        return Panel(after.verdict, None)
    try:
        before = compared_side(machine.description, saved_ground)
    except InputErrors:  # what was saved under earlier rules cannot be read: there is nothing to compare
        return Panel(after.verdict, None)
    pinions = PinionsWere(
        pinion_names(before.proposal.machine),
        pinion_names(after.machine),
        _places(pinions_were(typed, reading), before.proposal),
    )
    if not pinions.is_unmoved:
        before = _told_by_pinion(before, pinions)
    return Panel(after.verdict, sides_what_if(before, ComparedSide(after), display))


def _places(were: Sequence[int | None], saved: Proposal) -> tuple[int | None, ...]:
    """Return the places that pinions had among those saved; a browser may send any number."""
    count = len(pinion_names(saved.machine))
    return tuple(place if place is not None and place < count else None for place in were)


@lru_cache(maxsize=8)
def _told_by_pinion(side: ComparedSide, pinions: PinionsWere) -> ComparedSide:
    """Return what is saved, told as its pinions are typed; every look after a move asks for it again."""
    return ComparedSide(side.proposal, pinions)
