"""What the factory and the site test must show: every channel, delay, vote, fault and supply.

An item says what is done, what must come, and within which numbers; whoever tests writes beside it what came.
Keys are steady: the same proposal gives the same keys, so that entries survive a new revision of it.
"""

from __future__ import annotations

from specapp.bench.checklist_factory import factory_items
from specapp.bench.checklist_items import ChecklistItem, Stage
from specapp.bench.checklist_site import site_items
from specapp.domain.proposal import Proposal

__all__ = ["ChecklistItem", "Stage", "checklist"]


def checklist(proposal: Proposal, stage: Stage) -> tuple[ChecklistItem, ...]:
    """Return the items of a stage in the order of the work: channels, votes, starting, relays, supplies.

    Raises
    ------
    ValueError
        If the stage is neither "factory" nor "site".
    """
    if stage not in ("factory", "site"):
        raise ValueError(f"stage: found {stage!r}, allowed are factory and site")
    make = factory_items if stage == "factory" else site_items
    items = tuple(make(proposal))
    parts = list(dict.fromkeys(item.part for item in items))
    return tuple(sorted(items, key=lambda item: parts.index(item.part)))
