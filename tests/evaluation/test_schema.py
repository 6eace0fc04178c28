"""The JSON Schema of bids/1 takes what reading takes, and refuses what a single field refuses."""

import pytest
from jsonschema import Draft202012Validator

from specapp.evaluation.schema import bids_schema
from tests.evaluation.samples import bidder, bids

SCHEMA = bids_schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def test_it_is_a_schema_of_bids():
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["title"] == "bids/1"


@pytest.mark.parametrize(
    "document",
    [
        bids(),
        bids(bidder(items={"licence": "by others", "factory test": None}, fob=None, currency=None)),
        bids(settings={"alternative_weights": [[60, 40]], "weights": None, "late_weeks_cap": 3}),
        {"settings": {"currency": "USD"}, "bidders": [{"name": "A"}]},
    ],
)
def test_it_takes_bids(document):
    VALIDATOR.validate(document)


@pytest.mark.parametrize(
    "document",
    [
        bids(format="bids/2"),
        bids(settings={"currency": None}),
        bids(settings={"alternative_weights": [[60]]}),
        bids(settings={"weights": {"technical": 70}}),
        bids(settings={"colour": "red"}),
        bids(bidder(fob=0)),
        bids(bidder(discount_percent=101)),
        bids(bidder(items={"licence": "free"})),
        bids(bidder(factors={"Measurement": 1.1})),
        {**bids(), "bidders": []},
    ],
)
def test_it_refuses_what_a_field_does_not_take(document):
    assert not VALIDATOR.is_valid(document)
