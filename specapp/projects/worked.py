"""Proposals of described machines. The last few are kept in memory: they are frozen and always the same."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Any

import msgspec

import specapp
from specapp.criteria.loader import CriteriaSet, load_defaults
from specapp.criteria.loader import Override as CriterionValue
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import Override
from specapp.domain.proposal import Proposal
from specapp.domain.reading import read_machine
from specapp.rulebook.comparison import ComparedSide
from specapp.rulebook.proposing import propose_description, reading_context
from specapp.rulebook.registry import RULEBOOK_VERSION

_KEPT_PROPOSALS = 32
_KEPT_SIDES = 8
# Whoever asks for what another thread is working out waits for it: after a start or a save, everybody who has
# the machine open asks at once, and each working out would make all of them late.
_WORKING = tuple(Lock() for _ in range(64))
# Everything a proposal follows from besides the description.
_ENGINE_PACKAGES = ("kernel", "domain", "criteria", "catalogue", "rulebook")


@dataclass(frozen=True, slots=True)
class Ground:
    """What a proposal rests on besides the description: the project's criteria and the overrides in force.

    `confirmed` are the values from memory that somebody held against a licensed copy: key, value, and by
    whom, when and which copy.
    """

    criteria: tuple[tuple[str, CriterionValue], ...] = ()
    overrides: tuple[Override, ...] = ()
    confirmed: tuple[tuple[str, float, str], ...] = ()

    def with_override(self, override: Override) -> "Ground":
        """Return the ground with an override in place of any of the same item and field."""
        others = self.without_override(override.item, override.field).overrides
        return replace(self, overrides=(*others, override))

    def without_override(self, item: str, field: str) -> "Ground":
        kept = (each for each in self.overrides if (each.item, each.field) != (item, field))
        return replace(self, overrides=tuple(kept))


BARE = Ground()


def description_checksum(description: Mapping[str, Any]) -> str:
    """Return the SHA-256 of a description as entered; the order of its fields does not matter."""
    return hashlib.sha256(msgspec.json.encode(description, order="sorted")).hexdigest()


@lru_cache(maxsize=1)
def engine_digest() -> str:
    """Return the rulebook's version with a digest of the engine's own files.

    The version alone would let stored counts outlive a corrected rule.
    """
    digest = hashlib.sha256()
    root = Path(specapp.__file__).parent
    for package in _ENGINE_PACKAGES:
        for path in sorted((root / package).rglob("*")):
            if path.suffix in {".py", ".toml"}:
                digest.update(path.relative_to(root).as_posix().encode())
                digest.update(path.read_bytes())
    return f"{RULEBOOK_VERSION}+{digest.hexdigest()[:24]}"


@lru_cache(maxsize=64)
def criteria_for(
    values: tuple[tuple[str, CriterionValue], ...], confirmed: tuple[tuple[str, float, str], ...] = ()
) -> CriteriaSet:
    """Return the default criteria, as confirmed, with a project's values over them."""
    told = {key: (value, by) for key, value, by in confirmed}
    return load_defaults().with_confirmed(told).with_overrides(dict(values), origin="project")


def described(description: Mapping[str, Any], ground: Ground = BARE) -> MachineDescription:
    """Return a description as read under a project's criteria; raises `InputErrors`."""
    return read_machine(
        msgspec.json.encode(description), reading_context(criteria_for(ground.criteria, ground.confirmed))
    )


def proposal_for(description: Mapping[str, Any], ground: Ground = BARE) -> Proposal:
    """Return the proposal of a description; raises `InputErrors` where it cannot be read."""
    return _proposal_once(msgspec.json.encode(description), ground)


def compared_side(description: Mapping[str, Any], ground: Ground = BARE) -> ComparedSide:
    """Return the proposal of a description made ready to be compared with many others."""
    return _side(msgspec.json.encode(description), ground)


@lru_cache(maxsize=_KEPT_SIDES)
def _side(document: bytes, ground: Ground) -> ComparedSide:
    return ComparedSide(_proposal_once(document, ground))


def _proposal_once(document: bytes, ground: Ground) -> Proposal:
    with _WORKING[hash((document, ground)) % len(_WORKING)]:
        return _proposal(document, ground)


@lru_cache(maxsize=_KEPT_PROPOSALS)
def _proposal(document: bytes, ground: Ground) -> Proposal:
    criteria = criteria_for(ground.criteria, ground.confirmed)
    machine = read_machine(document, reading_context(criteria))
    return propose_description(machine, criteria, ground.overrides)


def counts_of(proposal: Proposal) -> dict[str, int]:
    """Return what the lists of machines show of a proposal."""
    results = [check.result for check in proposal.checks]
    return {
        "points": len(proposal.points),
        "fails": results.count("fail"),
        "cautions": results.count("caution"),
        "open_points": len(proposal.open_points),
        "assumptions": len(proposal.assumptions),
        "to_confirm": proposal.verdict.values_to_confirm,
    }
