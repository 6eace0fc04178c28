"""What would turn the ranking: each assumption of an evaluation moved alone, and who leads then.

Only assumptions are moved: loads for what nobody quoted, rates of exchange, the rule of loading, the shares
of technical score and price, decisions that differ from what the check proposed, and who takes part. What a
bidder quoted is never moved. Every line is an evaluation of its own, so that nothing here can say other
than it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

import msgspec

from specapp.evaluation.bids import Bidder, Bids, Weights
from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.evaluation import FILLED_IN, BidderResult, Evaluation
from specapp.evaluation.ranking import share_text

_RATE_MOVED: Final = 10.0  # percent either way
_SHARES: Final = ((0.0, 100.0), (30.0, 70.0), (50.0, 50.0), (70.0, 30.0))


class Dispute(NamedTuple):
    """A decision that differs from what the check proposed, and the group factors as the check has them."""

    bidder: str
    what: str
    factors: Mapping[str, float]


class Sensitivity(msgspec.Struct, frozen=True):
    """One assumption moved: what, how, and who leads with it. `turns` where that is another than now."""

    kind: str
    what: str
    moved: str
    leads: str
    turns: bool
    margin: float | None


def leader(evaluation: Evaluation) -> str:
    """Return who leads the ranking of the method, several where they tie, empty where none is ranked."""
    rows = evaluation.rankings[0].rows if evaluation.rankings else ()
    return " and ".join(row.name for row in rows if row.rank == 1)


def margin(evaluation: Evaluation) -> float | None:
    """Return how much dearer the second of the ranking is than the first; None without two of them."""
    rows = evaluation.rankings[0].rows if evaluation.rankings else ()
    if len(rows) < 2:
        return None
    prices = {each.name: each.evaluated for each in evaluation.bidders}
    first, second = prices[rows[0].name], prices[rows[1].name]
    return None if first is None or second is None else second - first


def sensitivities(bids: Bids, disputes: Sequence[Dispute] = ()) -> tuple[Sensitivity, ...]:
    """Return every assumption moved alone, those that turn the lead first."""
    base = evaluate(bids)
    now = leader(base)

    def line(kind: str, what: str, moved: str, other: Bids) -> Sensitivity:
        found = evaluate(other)
        leads = leader(found)
        return Sensitivity(kind, what, moved, leads, leads != now, margin(found))

    lines = [
        line(kind, what, moved, other)
        for moves in (_loads(bids, base), _rates(bids), _rules(bids), _shares(bids), _without(bids, base))
        for kind, what, moved, other in moves
    ]
    lines += [
        line("decision", f"{each.bidder}: {each.what}", "as the check proposed", _with_factors(bids, each))
        for each in disputes
    ]
    return tuple(sorted(lines, key=lambda each: not each.turns))


Move = tuple[str, str, str, Bids]


def _loads(bids: Bids, base: Evaluation) -> Iterator[Move]:
    """Move each load for an item that was not quoted to nothing and to twice as much."""
    for result in base.bidders:
        for item in _loaded(result):
            load = result.items[item] or 0.0
            for moved, amount in (("costs nothing", 0.0), ("costs twice the load", 2 * load)):
                yield (
                    "load",
                    f"{item} of {result.name}, not quoted",
                    moved,
                    _replaced(bids, result.name, items={item: amount}),
                )


def _loaded(result: BidderResult) -> list[str]:
    return [name for name, reason in result.reasons.items.items() if reason.basis in FILLED_IN]


def _rates(bids: Bids) -> Iterator[Move]:
    used = {each.currency for each in bids.bidders if each.fob is not None}
    for currency, rate in bids.settings.rates.items():
        if currency not in used:
            continue
        for sign in (-1, 1):
            moved = rate * (1 + sign * _RATE_MOVED / 100)
            rates = {**bids.settings.rates, currency: moved}
            words = f"{_RATE_MOVED:g} percent {'dearer' if sign > 0 else 'cheaper'}, {moved:.4g}"
            yield "rate", f"rate of {currency}", words, _settings(bids, rates=rates)


def _rules(bids: Bids) -> Iterator[Move]:
    if bids.settings.pass_mark is None:
        return
    other = "acceptable" if bids.settings.missing_items_from == "all" else "all"
    words = "acceptable offers alone" if other == "acceptable" else "all offers"
    yield "rule", "loads for what was not quoted", f"from {words}", _settings(bids, missing_items_from=other)


def _shares(bids: Bids) -> Iterator[Move]:
    if not bids.settings.groups:
        return
    for technical, price in _SHARES:
        yield (
            "weighting",
            "technical score and price",
            share_text((technical, price)),
            _settings(bids, method="weighted", weights=Weights(technical=technical, price=price)),
        )


def _without(bids: Bids, base: Evaluation) -> Iterator[Move]:
    for result in base.bidders:
        if result.ranked:
            rest = tuple(each for each in bids.bidders if each.name != result.name)
            yield "taking part", result.name, "left out", bids.model_copy(update={"bidders": rest})


def _settings(bids: Bids, **changes: object) -> Bids:
    return bids.model_copy(update={"settings": bids.settings.model_copy(update=changes)})


def _replaced(bids: Bids, name: str, *, items: Mapping[str, float]) -> Bids:
    def changed(bidder: Bidder) -> Bidder:
        return bidder.model_copy(update={"items": {**bidder.items, **items}})

    return bids.model_copy(
        update={"bidders": tuple(changed(each) if each.name == name else each for each in bids.bidders)}
    )


def _with_factors(bids: Bids, dispute: Dispute) -> Bids:
    return bids.model_copy(
        update={
            "bidders": tuple(
                each.model_copy(update={"factors": dict(dispute.factors)})
                if each.name == dispute.bidder
                else each
                for each in bids.bidders
            )
        }
    )
