"""Trains: several identical machines under one description, each tested by itself."""

from specapp.domain.proposal import Proposal


def trains_of(proposal: Proposal) -> tuple[str, ...]:
    """Return the names of the trains, none for a single machine."""
    return tuple(str(train) for train in proposal.machine.get("trains") or ())


def tags_in(proposal: Proposal, train: str) -> dict[str, str]:
    """Return the tag in a train by the tag without one; empty for a single machine."""
    if not train:
        return {}
    return {point.tag: point.tags.get(train, point.tag) for point in proposal.points}
