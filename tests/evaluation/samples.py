"""Bids to change in one place: invented bidders, every rule of the settings set."""

from copy import deepcopy

from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.reading import read_bids

SETTINGS = {
    "currency": "USD",
    "rates": {"EUR": 1.1},
    "rate_date": "2026-10-01",
    "freight_insurance_percent_of_fob": 11,
    "inland_percent_of_cif": 1.5,
    "late_percent_per_week": 0.5,
    "late_weeks_cap": None,
    "needed_weeks": 20,
    "advance_allowed_percent": 10,
    "interest_percent_per_year": 8,
    "missing_items_from": "all",
    "estimates": {},
    "method": "lowest_evaluated",
    "pass_mark": 75,
    "weights": {"technical": 70, "price": 30},
    "alternative_weights": [],
    "groups": {"Measurement": 60, "Integrity": 40},
}

# Nothing is added to this offer: quoted in the currency of comparison, complete, in time, no advance.
PLAIN = {
    "name": "plain",
    "currency": "USD",
    "fob": 100_000,
    "discount_percent": 0,
    "corrections": 0,
    "taxes": 0,
    "freight_insurance": 0,
    "inland": 0,
    "items": {"factory test": 0, "licence": 0},
    "weeks": 20,
    "advance_percent": 0,
    "factors": {"Measurement": 1, "Integrity": 1},
}


def bids(*bidders, settings=None, items=("factory test", "licence"), **others):
    """Return a document of bids/1; without bidders, with the plain one."""
    return {
        "format": "bids/1",
        "settings": {**deepcopy(SETTINGS), **(settings or {})},
        "items": list(items),
        "bidders": [deepcopy(each) for each in (bidders or (PLAIN,))],
        **others,
    }


def bidder(name="plain", **changes):
    return {**deepcopy(PLAIN), "name": name, **changes}


def evaluated(*bidders, **settings):
    """Return the evaluation of bidders under changed settings."""
    return evaluate(read_bids(bids(*bidders, settings=settings)))


def result(evaluation, name):
    return next(each for each in evaluation.bidders if each.name == name)


def order(evaluation, number=0):
    """Return the names of a ranking from the best down."""
    return [row.name for row in evaluation.rankings[number].rows]
