"""The evaluation of bids: technical score, evaluated price, rankings and what is still open."""

from __future__ import annotations

from specapp.evaluation.bids import Bidder, Bids
from specapp.evaluation.comparison_base import highest_item_quotes, highest_part_quotes
from specapp.evaluation.evaluation import BidderResult, Evaluation, OpenPoint, Reasons
from specapp.evaluation.normalising import Normalising, Price
from specapp.evaluation.ranking import Candidate, flips, ranking, weightings
from specapp.evaluation.technical import passes, technical_score


def evaluate(bids: Bids) -> Evaluation:
    """Return the evaluation of bids that `read_bids` has checked.

    Loads for what a bidder left out and the lowest price come from every priced offer, or with
    `missing_items_from` acceptable from those that reach the pass mark. Nothing depends on the order of the
    bidders, and an evaluation without one of them is `evaluate` of the bids without it.
    """
    settings = bids.settings
    scores = {each.name: technical_score(settings.groups, each.factors) for each in bids.bidders}
    passing = {name: passes(score, settings.pass_mark) for name, score in scores.items()}
    compared = [
        each
        for each in bids.bidders
        if each.fob is not None and (settings.missing_items_from == "all" or passing[each.name])
    ]
    rules = Normalising(
        settings,
        bids.items,
        highest_item_quotes(compared),
        highest_part_quotes(compared, settings),
    )
    prices = {each.name: rules.price(each) for each in bids.bidders if each.fob is not None}
    results = tuple(
        _result(each, prices.get(each.name), scores[each.name], passing[each.name]) for each in bids.bidders
    )
    evaluated = {each.name: each.evaluated for each in results}
    lowest = min(
        (price for each in compared if (price := evaluated[each.name]) is not None),
        default=None,
    )
    candidates = [
        Candidate(each.name, each.evaluated, each.technical)
        for each in results
        if each.ranked and each.evaluated is not None
    ]
    rankings = tuple(ranking(candidates, weights, lowest) for weights in weightings(settings))
    return Evaluation(
        currency=settings.currency,
        rates=dict(settings.rates),
        rate_date=settings.rate_date,
        method=settings.method,
        missing_items_from=settings.missing_items_from,
        pass_mark=settings.pass_mark,
        lowest=lowest,
        bidders=results,
        rankings=rankings,
        flips=flips(rankings),
        open_points=_open_points(bids, prices, passing),
    )


def _result(bidder: Bidder, price: Price | None, technical: float | None, passing: bool) -> BidderResult:
    evaluated = price.evaluated if price is not None else None
    because = None
    if not passing:
        because = "below the pass mark"
    elif price is None and bidder.unpriced_because is not None:
        because = bidder.unpriced_because
    elif evaluated is None:
        because = "the evaluated price is open"
    return BidderResult(
        name=bidder.name,
        lines=price.lines if price is not None else {},
        items=price.items if price is not None else {},
        as_read=price.as_read if price is not None else None,
        evaluated=evaluated,
        technical=technical,
        passes=passing,
        ranked=because is None,
        unranked_because=because,
        reasons=Reasons(price.line_reasons, price.item_reasons) if price is not None else Reasons(),
    )


def _open_points(bids: Bids, prices: dict[str, Price], passing: dict[str, bool]) -> tuple[OpenPoint, ...]:
    """Return what is open, of the settings first, then offer by offer, those below the pass mark left out."""
    points = _settings_open_points(bids)
    for bidder in bids.bidders:
        if passing[bidder.name] and bidder.name in prices:
            points += prices[bidder.name].open_points
        elif passing[bidder.name] and bidder.unpriced_because is not None:
            text = f"{bidder.name} has no place: {bidder.unpriced_because}."
            points.append(OpenPoint(f"{bidder.name}/fob", "fob", text, "supplier", bidder.name))
    return tuple(points)


def _settings_open_points(bids: Bids) -> list[OpenPoint]:
    """Return rules that the settings leave incomplete although an offer needs them."""
    settings = bids.settings
    priced = [each for each in bids.bidders if each.fob is not None]
    points = []
    if settings.rate_date is None and any(each.currency != settings.currency for each in priced):
        points.append(_rule("rate_date", "The day of the exchange rates is not stated."))
    if settings.late_percent_per_week and settings.needed_weeks is None:
        text = "Lateness counts by the week, but the needed delivery time is not stated: nobody is late."
        points.append(_rule("needed_weeks", text))
    return points


def _rule(needs: str, text: str) -> OpenPoint:
    return OpenPoint(f"settings/{needs}", f"settings.{needs}", text, "purchaser")
