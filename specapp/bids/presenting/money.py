"""Amounts as pages and reports write them."""

OPEN = "open"


def money_text(value: float | None) -> str:
    """Return an amount in whole units, thousands apart; `open` where it cannot be said."""
    return OPEN if value is None else f"{value:,.0f}".replace(",", " ").replace("-", "−")
