"""Proposals of described machines. The last few are kept in memory: they are frozen and always the same."""

import hashlib
import json
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import specapp
from specapp.domain.proposal import Proposal
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.registry import RULEBOOK_VERSION

_KEPT_PROPOSALS = 16
# Everything a proposal follows from besides the description.
_ENGINE_PACKAGES = ("kernel", "domain", "criteria", "catalogue", "rulebook")


def description_checksum(description: Mapping[str, Any]) -> str:
    """Return the SHA-256 of a description as entered; the order of its fields does not matter."""
    return hashlib.sha256(json.dumps(description, sort_keys=True).encode()).hexdigest()


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


def proposal_for(description: Mapping[str, Any]) -> Proposal:
    """Return the proposal of a description; raises `InputErrors` where it cannot be read."""
    return _proposal(json.dumps(description))


@lru_cache(maxsize=_KEPT_PROPOSALS)
def _proposal(document: str) -> Proposal:
    return propose_document(document)


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
