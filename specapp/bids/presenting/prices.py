"""What stands beside the evaluated price: the parts of the supply, what is listed apart, every assumption."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from specapp.bids.comparing import Compared
from specapp.bids.sheets import METHODS
from specapp.evaluation.amounts import amount_text
from specapp.evaluation.bids import Bids, Settings
from specapp.evaluation.evaluation import Evaluation
from specapp.evaluation.offers_read import PriceLine, PriceOffer
from specapp.evaluation.price_parts import SupplyParts, supply_parts
from specapp.evaluation.ranking import share_text
from specapp.evaluation.requirements.requirement import group_title

_FROZEN = "rules frozen before closing"
_PRACTICE = "common practice"
_TERMS = ("price_basis", "payment", "price_validity")


@dataclass(frozen=True, slots=True)
class Listed:
    """A line that an offer lists apart: in no total, in no ranking."""

    offer: str
    what: str
    quantity: str
    unit_price: str
    total: str
    compared: str


@dataclass(frozen=True, slots=True)
class Assumption:
    """One thing the evaluated prices rest on, and whose word it is."""

    what: str
    value: str
    source: str


def parts_of(found: Compared) -> dict[str, SupplyParts]:
    """Return what the supply of each priced offer is made of, by its name."""
    told = {
        name: supply_parts(price, found.rates[price.currency])
        for name, price in _priced(found)
        if price.currency in found.rates
    }
    return {name: parts for name, parts in told.items() if parts is not None}


def options(found: Compared) -> list[Listed]:
    """Return the options of every offer."""
    return [line for name, price in _priced(found) for line in _listed(found, name, price, price.options)]


def two_year_spares(found: Compared) -> list[Listed]:
    """Return the spares for two years of every offer."""
    return [
        line for name, price in _priced(found) for line in _listed(found, name, price, price.two_year_spares)
    ]


def terms_told(found: Compared) -> list[tuple[str, str, str, str]]:
    """Return offer, price basis, payment and validity, as the bidder words them; not where it says none."""
    return [
        (name, *(str(price.terms.get(key) or "–") for key in _TERMS))
        for name, price in _priced(found)
        if any(price.terms.get(key) for key in _TERMS)
    ]


def _priced(found: Compared) -> Iterator[tuple[str, PriceOffer]]:
    for each in found.offers:
        price = found.prices.get(each.offer.pk)
        if price is not None:
            yield str(each.offer), price


def _listed(found: Compared, name: str, price: PriceOffer, lines: tuple[PriceLine, ...]) -> Iterator[Listed]:
    rate = found.rates.get(price.currency)
    for line in lines:
        own = None if line.unit_price is None else f"{amount_text(line.unit_price)} {price.currency}"
        total = None if line.total is None else f"{amount_text(line.total)} {price.currency}"
        compared = None if line.total is None or rate is None else line.total * rate
        yield Listed(
            name,
            line.description,
            f"{line.quantity:g}",
            own or "no price",
            total or "no price",
            "–" if compared is None else amount_text(compared),
        )


def assumptions(bids: Bids, evaluation: Evaluation) -> list[Assumption]:
    """Return everything that the evaluated prices and the ranking rest on, each with its source."""
    rules = chain(
        *(told(bids.settings) for told in (_money_rules, _loading_rules, _time_rules, _scoring_rules))
    )
    return [*(Assumption(*rule) for rule in rules), *_decided(evaluation)]


def _decided(evaluation: Evaluation) -> Iterator[Assumption]:
    for each in evaluation.bidders:
        for item, reason in each.reasons.items.items():
            if reason.by_rule is not None:
                was = amount_text(reason.by_rule.amount)
                value = f"{amount_text(each.items[item])} in place of {was}"
                yield Assumption(f"{item} of {each.name}", value, reason.how)


# What is assumed, what is taken, and the source.
_Rule = tuple[str, str, str]


def _money_rules(settings: Settings) -> Iterator[_Rule]:
    rates = [f"1 {code} is {rate:g} {settings.currency}" for code, rate in settings.rates.items()]
    day = f", of {settings.rate_date}" if settings.rate_date else ", day not stated"
    yield "Currency of comparison", settings.currency, _FROZEN
    yield "Rates of exchange", f"{', '.join(rates)}{day}" if rates else "none", _FROZEN
    yield "Arithmetic", "totals are unit price times quantity, worked out here; none corrected", _PRACTICE
    yield "Discounts", "as quoted, off the supply and the spares asked for", _PRACTICE
    yield "Taxes and duties", "as quoted; open where one offer names them and another does not", _PRACTICE
    yield "Spares asked for", "in the comparison, with the supply", _PRACTICE
    yield "Spares for two years, options", "listed apart, not in the comparison", _PRACTICE


def _loading_rules(settings: Settings) -> Iterator[_Rule]:
    freight, inland = settings.freight_insurance_percent_of_fob, settings.inland_percent_of_cif
    none = "no rule: open where another offer has it"
    yield (
        "Freight and insurance not quoted",
        none if freight is None else f"{freight:g} % of the supply",
        _FROZEN,
    )
    yield (
        "Inland transport not quoted",
        none if inland is None else f"{inland:g} % of supply, freight and insurance",
        _FROZEN,
    )
    whose = "every priced offer" if settings.missing_items_from == "all" else "acceptable offers"
    yield "Item not quoted or left to others", f"the highest quote of the others among {whose}", _FROZEN
    estimates = ", ".join(f"{item} {amount_text(amount)}" for item, amount in settings.estimates.items())
    yield "Item that nobody quoted", f"the estimate: {estimates}" if estimates else "open, never 0", _FROZEN


def _time_rules(settings: Settings) -> Iterator[_Rule]:
    late, needed, cap = settings.late_percent_per_week, settings.needed_weeks, settings.late_weeks_cap
    counts = "does not count"
    if late and needed is not None:
        most = "" if cap is None else f", at most {cap:g} weeks"
        counts = f"{late:g} % of the supply a week beyond {needed:g} weeks{most}"
    yield "Late delivery", counts, _FROZEN
    yearly = settings.interest_percent_per_year
    allowed = settings.advance_allowed_percent or 0.0
    yield (
        "Advance payment",
        f"{yearly:g} % a year on what is beyond {allowed:g} %, over the delivery time"
        if yearly
        else "bears no interest",
        _FROZEN,
    )


def _scoring_rules(settings: Settings) -> Iterator[_Rule]:
    method = METHODS[settings.method]
    if settings.method == "weighted" and settings.weights is not None:
        method += f", {share_text((settings.weights.technical, settings.weights.price))}"
    yield "Method", method, _FROZEN
    yield "Pass mark", "none" if settings.pass_mark is None else f"{settings.pass_mark:g} of 100", _FROZEN
    weights = ", ".join(f"{group_title(key)} {weight:.3g}" for key, weight in settings.groups.items())
    yield "Weights of the groups", weights or "none", _FROZEN
