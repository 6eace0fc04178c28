"""evaluation/1: what an evaluation of bids answers. Money in the currency of comparison, scores 0 to 100."""

from __future__ import annotations

import hashlib
from typing import Any, Final, Literal

import msgspec

FORMAT: Final = "evaluation/1"

# quoted: as the bidder says; included: in another price of the offer; percentage: a share of the settings
# in place of a quote; highest_quote and estimate: the load for an item that was not quoted; decided: a
# person's load in place of that one; rule: lateness and advance payment; not_applied: no rule of the settings
# asks for it; open: cannot be said.
Basis = Literal[
    "quoted",
    "included",
    "percentage",
    "highest_quote",
    "estimate",
    "decided",
    "rule",
    "sum",
    "not_applied",
    "open",
]
FILLED_IN: frozenset[Basis] = frozenset({"percentage", "highest_quote", "estimate", "decided"})
LEFT_OUT: frozenset[Basis] = frozenset({"highest_quote", "estimate", "decided", "open"})


class ByRule(msgspec.Struct, frozen=True, gc=False):
    """What the rules alone would load in place of a decided load; null where they leave it open."""

    amount: float | None
    how: str


class Reason(msgspec.Struct, frozen=True, gc=False, omit_defaults=True):
    """Where a number comes from, in one word and in words; beside a decided one what the rules say."""

    basis: Basis
    how: str
    by_rule: ByRule | None = None


class Reasons(msgspec.Struct, frozen=True, gc=False):
    """The reasons beside `lines` and `items`, under the same names."""

    lines: dict[str, Reason] = {}
    items: dict[str, Reason] = {}


class BidderResult(msgspec.Struct, frozen=True, gc=False):
    """One offer: `lines` sum to `evaluated`, `items` to the line items; null where a value is open."""

    name: str
    lines: dict[str, float | None]
    items: dict[str, float | None]
    as_read: float | None
    evaluated: float | None
    technical: float | None
    passes: bool
    ranked: bool
    unranked_because: str | None
    reasons: Reasons


class Row(msgspec.Struct, frozen=True, gc=False):
    """A place in a ranking. Equal scores share the better place and the next ones are left out: 1, 1, 3."""

    name: str
    combined: float
    rank: int
    tied_with: tuple[str, ...] = ()


class Ranking(msgspec.Struct, frozen=True, gc=False):
    """The ranked offers at one pair of shares of technical score and price [percent]."""

    weights: tuple[float, float]
    rows: tuple[Row, ...]


class OpenPoint(msgspec.Struct, frozen=True, gc=False):
    """What must be known before a number can be said: for which offer, and whom to ask."""

    key: str
    needs: str
    text: str
    ask: Literal["supplier", "purchaser"]
    bidder: str | None = None


class Evaluation(msgspec.Struct, frozen=True, gc=False, kw_only=True):
    """The answer, with the rules it rests on; `lowest` is the price the price scores are relative to."""

    format: Literal["evaluation/1"] = FORMAT
    currency: str
    rates: dict[str, float]
    rate_date: str | None
    method: Literal["lowest_evaluated", "weighted"]
    missing_items_from: Literal["all", "acceptable"]
    pass_mark: float | None
    lowest: float | None
    bidders: tuple[BidderResult, ...]
    rankings: tuple[Ranking, ...]
    flips: tuple[str, ...]
    open_points: tuple[OpenPoint, ...]


def evaluation_bytes(evaluation: Evaluation, *, indent: bool = False) -> bytes:
    """Return the JSON document, UTF-8, the same bytes for the same evaluation."""
    document = msgspec.json.encode(evaluation)
    return msgspec.json.format(document, indent=2) if indent else document


def evaluation_json(evaluation: Evaluation) -> dict[str, Any]:
    """Return the document as plain dictionaries and lists."""
    document: dict[str, Any] = msgspec.json.decode(evaluation_bytes(evaluation))
    return document


def figures_checksum(evaluation: Evaluation) -> str:
    """Return a SHA-256 over every amount, score and place, to the hundredth, and over no words.

    The same figures give the same checksum, however the reasons beside them are put.
    """
    document = [
        [
            [
                each.name,
                _hundredths(each.lines),
                _hundredths(each.items),
                _hundredths({"score": each.technical}),
            ]
            for each in evaluation.bidders
        ],
        [[[row.name, row.rank] for row in ranked.rows] for ranked in evaluation.rankings],
    ]
    return hashlib.sha256(msgspec.json.encode(document)).hexdigest()


def _hundredths(values: dict[str, float | None]) -> list[tuple[str, int | None]]:
    return [(name, None if value is None else round(value * 100)) for name, value in values.items()]
