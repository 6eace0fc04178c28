"""Amounts of money in words: whole units, thousands apart."""

from __future__ import annotations

from typing import Final

OPEN: Final = "open"


def amount_text(amount: float | None) -> str:
    """Return an amount; `open` where it cannot be said."""
    return OPEN if amount is None else f"{amount:,.0f}".replace(",", " ").replace("-", "−")
