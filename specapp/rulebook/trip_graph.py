"""The way of a trip as a graph, from each sensor to what stops the machine, and what walking it finds.

A graph holds what a trip passes on its way: nodes are devices (or a place that is none), edges are how one
hands the trip to the next. Walking it answers what no list does: which legs of a vote meet in one module
before they are voted, and whether any part of the way is a network.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

SIGNAL: Final = "signal"
HARD_WIRED: Final = "hard-wired trip"
DATA_LINK: Final = "data link"
BETWEEN_RACKS: Final = "between racks"
# Ways on which a trip waits for a message to arrive.
NETWORKS: Final = frozenset({DATA_LINK, BETWEEN_RACKS})


@dataclass(frozen=True, slots=True)
class Node:
    """Something a trip passes. ``voted`` is false from the vote on, for what all legs share by design."""

    key: str
    device: str
    voted: bool


@dataclass(frozen=True, slots=True)
class TripWay:
    """All a trip passes from one tip to what stops the machine, and the kinds of way between."""

    nodes: tuple[str, ...]
    kinds: tuple[str, ...]


@dataclass(slots=True)
class TripGraph:
    """Nodes by key, and from each node the ways on, in the order they were added."""

    nodes: dict[str, Node] = field(default_factory=dict)
    ways: dict[str, dict[str, str]] = field(default_factory=dict)

    def add(self, chain: Sequence[Node], kinds: Sequence[str]) -> None:
        """Add the nodes of a chain and the ways between them; what is known already is met again."""
        for node in chain:
            self.nodes.setdefault(node.key, node)
        for (start, end), kind in zip(pairwise(chain), kinds, strict=True):
            self.ways.setdefault(start.key, {})[end.key] = kind

    def walk(self, tip: str, final: str) -> tuple[TripWay, ...]:
        """Return every way from a tip to a final element, without walking in circles."""
        found: list[TripWay] = []
        waiting: list[tuple[tuple[str, ...], tuple[str, ...]]] = [((tip,), ())]
        while waiting:
            nodes, kinds = waiting.pop()
            here = nodes[-1]
            if here == final:
                found.append(TripWay(nodes, kinds))
                continue
            for following, kind in reversed(self.ways.get(here, {}).items()):
                if following not in nodes:
                    waiting.append(((*nodes, following), (*kinds, kind)))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class WalkFindings:
    """What walking the ways of one voting group found.

    ``legs`` are the nodes of each leg up to the vote that no other leg passes; ``shared`` those that two or
    more legs pass before they are voted; ``common`` what follows the vote, in order of passing;
    ``networks`` the stretches that are a network, as "start to end"; ``unreached`` tips with no way at all.
    """

    legs: tuple[tuple[str, ...], ...]
    shared: tuple[str, ...]
    common: tuple[str, ...]
    networks: tuple[str, ...]
    unreached: tuple[str, ...]


def walk_group(graph: TripGraph, tips: Sequence[str], finals: Iterable[str]) -> WalkFindings:
    """Return what the ways from the tips of a voting group to its final elements have in common."""
    finals = tuple(finals)
    passed: list[dict[str, None]] = []
    common: dict[str, None] = {}
    networks: dict[str, None] = {}
    unreached: list[str] = []
    for tip in tips:
        own: dict[str, None] = {}
        for final in finals:
            ways = graph.walk(tip, final)
            if not ways:
                unreached.append(tip)
            for way in ways:
                for (start, end), kind in zip(pairwise(way.nodes), way.kinds, strict=True):
                    if kind in NETWORKS:
                        networks[f"{start} to {end}"] = None
                for key in way.nodes:
                    (own if graph.nodes[key].voted else common)[key] = None
        passed.append(own)
    counts = _passes(passed)
    shared = tuple(key for key, count in counts.items() if count > 1)
    legs = tuple(tuple(key for key in own if counts[key] == 1) for own in passed)
    return WalkFindings(legs, shared, tuple(common), tuple(networks), tuple(dict.fromkeys(unreached)))


def _passes(passed: Sequence[Mapping[str, None]]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for own in passed:
        for key in own:
            counts[key] = counts.get(key, 0) + 1
    return counts
