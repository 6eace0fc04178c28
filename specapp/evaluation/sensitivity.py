"""What would turn the ranking: each assumption of an evaluation moved alone, and who leads then.

Only assumptions are moved: loads for what nobody quoted, rates of exchange, the rule of loading, the shares
of technical score and price, decisions that differ from what the check proposed, and who takes part. What a
bidder quoted is never moved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, NamedTuple

import msgspec

from specapp.evaluation.amounts import amount_text
from specapp.evaluation.bids import Bids
from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.evaluation import FILLED_IN, BidderResult, Evaluation
from specapp.evaluation.ranking import Candidate, ranking, share_text, weightings

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
    lines = [
        Sensitivity(kind, what, moved, leads, leads != now, ahead)
        for kind, what, moved, (leads, ahead) in _moves(bids, base, disputes)
    ]
    return tuple(sorted(lines, key=lambda each: not each.turns))


# Kind, what, how it is moved, and who then leads by how much.
Moved = tuple[str, str, str, tuple[str, float | None]]


def _moves(bids: Bids, base: Evaluation, disputes: Sequence[Dispute]) -> Iterator[Moved]:
    yield from _loads(bids, base)
    yield from _decided(bids, base)
    for kind, what, moved, other in (*_rates(bids), *_rules(bids), *_without(bids, base)):
        found = evaluate(other)
        yield kind, what, moved, (leader(found), margin(found))
    yield from _shares(bids, base)
    for each in disputes:
        found = evaluate(_with_factors(bids, each))
        moved = "as the check proposed"
        yield "decision", f"{each.bidder}: {each.what}", moved, (leader(found), margin(found))


def _ranked(
    bids: Bids, base: Evaluation, prices: Mapping[str, float | None], weights: tuple[float, float]
) -> tuple[str, float | None]:
    """Return who leads with other evaluated prices of some (None: open), everything else as it is."""
    own = {each.name: prices.get(each.name, each.evaluated) for each in base.bidders}
    everybody = bids.settings.missing_items_from == "all"
    lowest = min(
        (
            price
            for each in base.bidders
            if (each.passes or everybody) and (price := own[each.name]) is not None
        ),
        default=None,
    )
    candidates = [
        Candidate(each.name, price, each.technical)
        for each in base.bidders
        if each.ranked and (price := own[each.name]) is not None
    ]
    rows = ranking(candidates, weights, lowest).rows
    leads = " and ".join(row.name for row in rows if row.rank == 1)
    if len(rows) < 2:
        return leads, None
    first, second = own[rows[0].name], own[rows[1].name]
    return leads, None if first is None or second is None else second - first


def _loads(bids: Bids, base: Evaluation) -> Iterator[Moved]:
    """Move each load for an item that was not quoted to nothing and to twice as much; it alone."""
    weights = weightings(bids.settings)[0]
    for result in base.bidders:
        if result.evaluated is None:
            continue
        for item in _loaded(result):
            load = result.items[item] or 0.0
            for moved, price in (
                ("costs nothing", result.evaluated - load),
                ("costs twice the load", result.evaluated + load),
            ):
                decided = result.reasons.items[item].basis == "decided"
                what = f"{item} of {result.name}, not quoted{', as decided' if decided else ''}"
                yield "load", what, moved, _ranked(bids, base, {result.name: price}, weights)


def _decided(bids: Bids, base: Evaluation) -> Iterator[Moved]:
    """Take each load that a person decided back to what the rules say, which may be nothing certain."""
    weights = weightings(bids.settings)[0]
    for result in base.bidders:
        for item, reason in result.reasons.items.items():
            if reason.by_rule is None:
                continue
            amount, own = reason.by_rule.amount, result.evaluated
            load = result.items[item] or 0.0
            price = None if amount is None or own is None else own - load + amount
            moved = f"as the rules load it: {amount_text(amount)}"
            what = f"{item} of {result.name}, decided at {amount_text(load)}"
            yield "decision", what, moved, _ranked(bids, base, {result.name: price}, weights)


def _loaded(result: BidderResult) -> list[str]:
    return [name for name, reason in result.reasons.items.items() if reason.basis in FILLED_IN]


Move = tuple[str, str, str, Bids]


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


def _shares(bids: Bids, base: Evaluation) -> Iterator[Moved]:
    if not bids.settings.groups:
        return
    for shares in _SHARES:
        found = _ranked(bids, base, {}, shares)
        yield "weighting", "technical score and price", share_text(shares), found


def _without(bids: Bids, base: Evaluation) -> Iterator[Move]:
    for result in base.bidders:
        if result.ranked:
            rest = tuple(each for each in bids.bidders if each.name != result.name)
            yield "taking part", result.name, "left out", bids.model_copy(update={"bidders": rest})


def _settings(bids: Bids, **changes: object) -> Bids:
    return bids.model_copy(update={"settings": bids.settings.model_copy(update=changes)})


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
