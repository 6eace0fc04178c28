"""What stands in the way of an issue for construction: solved, or on the hold list with owner and date."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from specapp.documents.wording import prose
from specapp.domain.proposal import Proposal
from specapp.revisions.models import HoldItem

FAIL, OPEN_POINT, VOTING, OVERRIDE = "fail", "open point", "voting", "override"
KINDS = {
    FAIL: "Fails",
    VOTING: "Undecided voting",
    OVERRIDE: "Overrides to be confirmed again",
    OPEN_POINT: "Open points",
}
_UNDECIDED_VOTING = "_voting"


@dataclass(frozen=True, slots=True)
class GateItem:
    """One thing that is not settled, with whom to ask where that is known."""

    kind: str
    key: str
    text: str
    ask: str = ""


@dataclass(frozen=True, slots=True)
class GateLine:
    """An unsettled thing and its hold, None where it has none."""

    item: GateItem
    hold: HoldItem | None


def gate_items(proposal: Proposal) -> list[GateItem]:
    """Return everything in a proposal that is not settled, fails first."""
    items = [
        GateItem(
            FAIL, f"{check.check} {check.subject}", f"{check.check}, {check.subject}: {prose(check.text)}"
        )
        for check in proposal.checks
        if check.result == "fail"
    ]
    held: dict[str, str] = {}
    for point in proposal.points:
        for level in ("alarm", "trip"):
            setpoint = getattr(point.setpoints, level)
            if setpoint is not None and setpoint.status == "hold":
                held[f"{point.voting_group} {level}"] = f"{level} of {point.voting_group} is held"
    items += [GateItem(FAIL, f"held {key}", text) for key, text in held.items()]
    items += [
        GateItem(FAIL, f"conflict {each.item} {each.field}", f"Rules disagree on {each.field} of {each.item}")
        for each in proposal.conflicts
    ]
    items += [
        GateItem(FAIL, f"count {line.statement}", f"Does not reconcile: {line.statement}")
        for line in proposal.reconciliation
        if not line.holds
    ]
    items += [
        GateItem(
            VOTING if point.key.endswith(_UNDECIDED_VOTING) else OPEN_POINT,
            point.key,
            prose(point.text),
            point.ask,
        )
        for point in proposal.open_points
    ]
    items += [
        GateItem(
            OVERRIDE,
            f"{each.item} {each.field}",
            f"{each.field} of {each.item}: {each.state}. {prose(each.note)}",
        )
        for each in proposal.overrides
        if each.state != "in force"
    ]
    order = list(KINDS)
    return sorted(items, key=lambda item: order.index(item.kind))


def gate_lines(proposal: Proposal, holds: Iterable[HoldItem]) -> list[GateLine]:
    """Return what is unsettled with its hold, what has no hold first within its kind."""
    by_key = hold_index(holds)
    lines = [GateLine(item, by_key.get((item.kind, item.key))) for item in gate_items(proposal)]
    order = list(KINDS)
    return sorted(lines, key=lambda line: (order.index(line.item.kind), line.hold is not None))


def hold_index(holds: Iterable[HoldItem]) -> Mapping[tuple[str, str], HoldItem]:
    return {(hold.kind, hold.key): hold for hold in holds}
