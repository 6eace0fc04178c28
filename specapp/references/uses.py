"""Where each criterion is used: by which rules, and how many setpoints rest on it, from recorded reads."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from specapp.domain.problems import InputErrors
from specapp.domain.proposal import Proposal
from specapp.projects.deciding.ground import project_ground
from specapp.projects.models import Machine, Project
from specapp.projects.worked import proposal_for

# A proposal takes some hundredths of a second; a page of a large project must not take minutes.
MOST_MACHINES = 20


@dataclass(slots=True)
class Use:
    """A criterion's use: rules that read it, setpoints it bears on, reasons that name it."""

    rules: set[str] = field(default_factory=set)
    setpoints: int = 0
    reasons: int = 0


@dataclass(frozen=True, slots=True)
class Counted:
    """The proposals that uses are counted over, out of how many; `unreadable` are tags left out."""

    proposals: tuple[tuple[Machine, Proposal], ...]
    total: int
    unreadable: tuple[str, ...] = ()

    @property
    def is_whole(self) -> bool:
        return len(self.proposals) == self.total


def counted_machines(project: Project, machine_id: int | None = None) -> Counted:
    """Return the proposals of a project's first machines by tag, or of one machine.

    Overrides of points are left out: they set values in place of rules and change no criterion.
    """
    rows = project.machines.all() if machine_id is None else project.machines.filter(pk=machine_id)
    ground = project_ground(project.pk)
    found, unreadable = [], []
    for machine in rows[:MOST_MACHINES]:
        try:
            found.append((machine, proposal_for(machine.description, ground)))
        except InputErrors:
            unreadable.append(machine.tag)
    total = len(found) + len(unreadable) if machine_id is not None else rows.count()
    return Counted(tuple(found), total, tuple(unreadable))


def criterion_uses(proposals: Iterable[Proposal]) -> Mapping[str, Use]:
    """Return the uses of every criterion that a rule read, over proposals."""
    uses: dict[str, Use] = {}
    for proposal in proposals:
        for reason in proposal.trace:
            for read in reason.criteria:
                use = uses.setdefault(read.key, Use())
                use.rules.add(reason.rule)
                use.reasons += 1
        for key in _of_setpoints(proposal):
            uses.setdefault(key, Use()).setpoints += 1
    return uses


def _of_setpoints(proposal: Proposal) -> Iterable[str]:
    """Yield each criterion once for each alarm and trip whose reasons read it."""
    seen: set[str] = set()
    for point in proposal.points:
        if point.voting_group in seen:
            continue
        seen.add(point.voting_group)
        for setpoint in (point.setpoints.alarm, point.setpoints.trip):
            if setpoint is not None:
                yield from {read.key for index in setpoint.trace for read in proposal.trace[index].criteria}


def rule_reads(proposals: Iterable[Proposal]) -> Mapping[str, tuple[str, ...]]:
    """Return the criteria that each rule read, in the order it first read them."""
    reads: dict[str, dict[str, None]] = {}
    for proposal in proposals:
        for reason in proposal.trace:
            reads.setdefault(reason.rule, {}).update(dict.fromkeys(read.key for read in reason.criteria))
    return {rule: tuple(keys) for rule, keys in reads.items()}
