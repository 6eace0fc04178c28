"""The technical score of an offer and whether it stays in the evaluation."""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum

# Sums of weights and scores at a mark are equal to it in spite of the last binary digits.
SCORE_TOLERANCE = 1e-9


def technical_score(groups: Mapping[str, float], factors: Mapping[str, float]) -> float | None:
    """Return the sum of group weight times factor, 0 to 100; None where there are no groups.

    `groups` are weights that sum to 100, `factors` go from 0 (nothing) to 1 (full marks), one a group.
    """
    if not groups:
        return None
    return fsum(weight * factors[name] for name, weight in groups.items())


def passes(technical: float | None, pass_mark: float | None) -> bool:
    """Tell whether an offer reaches the pass mark; at the mark it does, and without a mark every one does."""
    if pass_mark is None or technical is None:
        return True
    return technical >= pass_mark - SCORE_TOLERANCE
