"""The criteria a proposal was made with, for what is tested against it."""

from __future__ import annotations

from collections.abc import Mapping

from specapp.criteria.loader import load_defaults
from specapp.domain.proposal import Proposal

__all__ = ["StoredCriteria"]


class StoredCriteria:
    """Criteria of the proposal; one that it did not read has the project's default."""

    def __init__(self, proposal: Proposal) -> None:
        self._stored = {str(row["key"]): float(row["value"]) for row in proposal.criteria if _is_number(row)}

    def __getitem__(self, key: str) -> float:
        found = self._stored.get(key)
        return load_defaults().value(key) if found is None else found


def _is_number(row: Mapping[str, object]) -> bool:
    return isinstance(row["value"], (int, float))
