"""What bad bids get: every problem at once, each at its place with what was found and what is allowed."""

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.domain.problems import InputErrors
from specapp.evaluation.reading import read_bids
from tests.evaluation.samples import PLAIN, bidder, bids


def lines(document):
    if isinstance(document, dict):
        document = json.dumps(document)
    with pytest.raises(InputErrors) as raised:
        read_bids(document)
    return [problem.line() for problem in raised.value.problems]


def changed(**settings):
    return bids(settings=settings)


def without(document, *place):
    holder = document
    for part in place[:-1]:
        holder = holder[part]
    del holder[place[-1]]
    return document


MONEY = "a number from 0 to 1,000,000,000,000"
ITEM = f'{MONEY}, "included", "by others" or null for not quoted'
BELOW = {"Measurement": 0.5, "Integrity": 0.5}

ONE_PROBLEM = {
    "another format": (bids(format="bids/2"), 'format: found "bids/2"; allowed: bids/1'),
    "no settings": (
        without(bids(), "settings"),
        "settings: found nothing; allowed: required: the rules of the evaluation, at least the currency",
    ),
    "settings as a list": (
        {**bids(), "settings": [1]},
        "settings: found [1]; allowed: an object with fields",
    ),
    "no currency": (
        changed(currency=None),
        "settings.currency: found nothing; allowed: required: the currency in which offers are compared",
    ),
    "a currency in small letters": (
        changed(currency="usd"),
        'settings.currency: found "usd"; allowed: a currency as three capital letters, like USD',
    ),
    "an unknown field": (
        bids(bidder(colour="red")),
        'bidders[0].colour (plain): found "red"; allowed: fields of bids/1 only (no field has this name)',
    ),
    "an unknown setting": (
        changed(late_percent=1),
        (
            "settings.late_percent: found 1; allowed: fields of bids/1 only "
            "(did you mean late_percent_per_week or inland_percent_of_cif?)"
        ),
    ),
    "no bidders": (
        {**bids(), "bidders": []},
        "bidders: found an empty list; allowed: required: at least one bidder",
    ),
    "a bidder that is a text": (
        {**bids(), "bidders": ["A"]},
        'bidders[0]: found "A"; allowed: an object with fields',
    ),
    "no name": (
        without(bids(), "bidders", 0, "name"),
        "bidders[0].name: found nothing; allowed: required: one line of 1 to 60 characters",
    ),
    "a blank name": (
        bids(bidder("  ")),
        'bidders[0].name: found "  "; allowed: one line of 1 to 60 characters',
    ),
    "two names alike": (
        bids(bidder("Ay"), bidder(" ay")),
        'bidders[1].name (ay): found " ay"; allowed: a name that no other bidder has (as bidders[0])',
    ),
    "a price of 0": (
        bids(bidder(fob=0)),
        "bidders[0].fob (plain): found 0; allowed: a number above 0, up to 1,000,000,000,000",
    ),
    "a negative tax": (bids(bidder(taxes=-1)), f"bidders[0].taxes (plain): found -1; allowed: {MONEY}"),
    "a price as a text": (
        bids(bidder(inland="5,000")),
        f'bidders[0].inland (plain): found "5,000"; allowed: {MONEY} (written without quotation marks)',
    ),
    "a price that is true": (
        bids(bidder(inland=True)),
        f"bidders[0].inland (plain): found true; allowed: {MONEY}",
    ),
    "an absurd price": (
        bids(bidder(inland=1e13)),
        f"bidders[0].inland (plain): found 10000000000000.0; allowed: {MONEY}",
    ),
    "not a number": (
        bids(bidder(inland=math.nan)),
        f"bidders[0].inland (plain): found NaN; allowed: {MONEY}",
    ),
    "infinite": (
        bids(bidder(inland=-math.inf)),
        f"bidders[0].inland (plain): found -Infinity; allowed: {MONEY}",
    ),
    "an integer of 400 digits": (
        bids(bidder(taxes=10**400)),
        f"bidders[0].taxes (plain): found a number of 401 characters; allowed: {MONEY}",
    ),
    "no price": (
        bids(bidder(fob=None)),
        "bidders[0].fob (plain): found nothing; allowed: required: a price above 0",
    ),
    "no price below the pass mark where the quotes of all count": (
        bids(bidder(fob=None, factors=BELOW)),
        "bidders[0].fob (plain): found nothing; allowed: required: a price above 0",
    ),
    "no price above the pass mark": (
        bids(bidder(fob=None), settings={"missing_items_from": "acceptable"}),
        (
            "bidders[0].fob (plain): found nothing; "
            "allowed: required: a price above 0; below the pass mark it may be left out"
        ),
    ),
    "no currency of a bidder": (
        bids(bidder(currency=None)),
        (
            "bidders[0].currency (plain): found nothing; "
            "allowed: required with a price: a currency as three capital letters, like USD"
        ),
    ),
    "corrections that take the price away": (
        bids(bidder(corrections=-100_000)),
        "bidders[0].corrections (plain): found -100000; allowed: a correction that leaves a price above 0",
    ),
    "a discount above 100": (
        bids(bidder(discount_percent=100.1)),
        "bidders[0].discount_percent (plain): found 100.1; allowed: a number from 0 to 100",
    ),
    "a negative discount": (
        bids(bidder(discount_percent=-0.1)),
        "bidders[0].discount_percent (plain): found -0.1; allowed: a number from 0 to 100",
    ),
    "a rate that is missing": (
        bids(bidder("A", currency="GBP"), bidder("B", currency="GBP")),
        (
            'settings.rates["GBP"]: found nothing; allowed: required: how many USD one GBP is '
            "(the currency of bidder A)"
        ),
    ),
    "a rate of 0": (
        changed(rates={"EUR": 0}),
        'settings.rates["EUR"]: found 0; allowed: a number from 1e-09 to 1,000,000,000',
    ),
    "a rate of the currency of comparison": (
        changed(rates={"USD": 1.1}),
        'settings.rates["USD"]: found 1.1; allowed: 1, or left out: offers are compared in this currency',
    ),
    "a rate of no currency": (
        changed(rates={"euro": 1.1}),
        (
            'settings.rates["euro"]: found the key "euro"; '
            "allowed: a currency as three capital letters, like USD"
        ),
    ),
    "a day that does not exist": (
        changed(rate_date="2026-02-30"),
        (
            'settings.rate_date: found "2026-02-30"; allowed: a date like 2026-10-01 '
            "(no calendar has this day)"
        ),
    ),
    "a date in another form": (
        changed(rate_date="1 Oct 2026"),
        'settings.rate_date: found "1 Oct 2026"; allowed: a date like 2026-10-01',
    ),
    "an unknown method": (
        changed(method="cheapest"),
        'settings.method: found "cheapest"; allowed: lowest_evaluated or weighted',
    ),
    "an unknown base of missing items": (
        changed(missing_items_from="none"),
        'settings.missing_items_from: found "none"; allowed: all or acceptable',
    ),
    "weights that do not sum to 100": (
        changed(weights={"technical": 70, "price": 40}),
        "settings.weights: found 70 and 40, a sum of 110; allowed: shares that sum to 100",
    ),
    "half of the weights": (
        changed(weights={"technical": 70}),
        "settings.weights.price: found nothing; allowed: required: a share from 0 to 100",
    ),
    "weighted without weights": (
        changed(method="weighted", weights=None),
        (
            "settings.weights: found nothing; "
            "allowed: required with the method weighted: the shares of technical and price"
        ),
    ),
    "alternative weights that do not sum to 100": (
        changed(alternative_weights=[[60, 40], [50, 49]]),
        "settings.alternative_weights[1]: found 50 and 49, a sum of 99; allowed: shares that sum to 100",
    ),
    "three alternative weights": (
        changed(alternative_weights=[[60, 40], [50, 25, 25]]),
        (
            "settings.alternative_weights[1]: found [50, 25, 25]; "
            "allowed: a list of two numbers, the shares of technical score and price"
        ),
    ),
    "a share that is no number": (
        changed(alternative_weights=[[60, math.nan]]),
        "settings.alternative_weights[0][1]: found NaN; allowed: a number from 0 to 100",
    ),
    "groups that sum to 99": (
        changed(groups={"Measurement": 59, "Integrity": 40}),
        "settings.groups: found a sum of 99; allowed: weights that sum to 100",
    ),
    "a weighting without groups": (
        bids(bidder(factors={}), settings={"groups": {}, "pass_mark": None, "method": "weighted"}),
        (
            "settings.groups: found an empty object; "
            "allowed: required where offers are scored or have a pass mark: weights that sum to 100"
        ),
    ),
    "a pass mark without groups": (
        bids(bidder(factors={}), settings={"groups": {}}),
        (
            "settings.groups: found an empty object; "
            "allowed: required where offers are scored or have a pass mark: weights that sum to 100"
        ),
    ),
    "a group without factor": (
        bids(bidder(factors={"Measurement": 1})),
        (
            'bidders[0].factors["Integrity"] (plain): found nothing; '
            "allowed: required: a number from 0 to 1 for every group"
        ),
    ),
    "a factor above 1": (
        bids(bidder(factors={"Measurement": 1.01, "Integrity": 0})),
        'bidders[0].factors["Measurement"] (plain): found 1.01; allowed: a number from 0 to 1',
    ),
    "a factor of no group": (
        bids(bidder(factors={"Measurement": 1, "Integrity": 1, "Integrty": 1})),
        (
            'bidders[0].factors["Integrty"] (plain): found another group; '
            "allowed: a group of settings.groups (did you mean Integrity?)"
        ),
    ),
    "an item that nobody asked for": (
        bids(bidder(items={"licences": 5})),
        (
            'bidders[0].items["licences"] (plain): found an item that is not listed; '
            "allowed: an item of the list items (did you mean licence?)"
        ),
    ),
    "an answer of other words": (
        bids(bidder(items={"licence": "free"})),
        f'bidders[0].items["licence"] (plain): found "free"; allowed: {ITEM}',
    ),
    "a negative item": (
        bids(bidder(items={"licence": -1})),
        f'bidders[0].items["licence"] (plain): found -1; allowed: {ITEM}',
    ),
    "an item twice": (
        bids(bidder(items={}), items=["licence", "spares", "Licence"]),
        'items[2]: found "Licence"; allowed: each item once (as items[0])',
    ),
    "an estimate of 0": (
        changed(estimates={"licence": 0}),
        'settings.estimates["licence"]: found 0; allowed: a number above 0, up to 1,000,000,000,000',
    ),
    "an estimate of nothing": (
        changed(estimates={"paint": 5}),
        ('settings.estimates["paint"]: found an item that is not listed; allowed: an item of the list items'),
    ),
    "weeks below 0": (
        bids(bidder(weeks=-1)),
        "bidders[0].weeks (plain): found -1; allowed: a number from 0 to 1,000",
    ),
    "items as an object": (
        {**bids(bidder(items={})), "items": {}},
        "items: found an empty object; allowed: a list",
    ),
}


@pytest.mark.parametrize(("document", "line"), ONE_PROBLEM.values(), ids=ONE_PROBLEM)
def test_one_problem_is_told_once_at_its_place(document, line):
    assert lines(document) == [line]


def test_the_plain_bids_have_no_problem():
    assert read_bids(json.dumps(bids())).bidders[0].name == "plain"


def test_every_problem_comes_at_once_in_the_order_of_the_document():
    document = bids(
        bidder("A", fob=-1, items={"licence": "free"}, factors={"Measurement": 2}),
        bidder("A", currency="EURO", discount_percent=200),
        settings={"rate_date": "soon", "groups": {"Measurement": 50, "Integrity": 40}, "colour": "red"},
    )
    assert [line.split(":")[0] for line in lines(document)] == [
        "settings.rate_date",
        "settings.groups",
        "settings.colour",
        "bidders[0].fob (A)",
        'bidders[0].items["licence"] (A)',
        'bidders[0].factors["Measurement"] (A)',
        'bidders[0].factors["Integrity"] (A)',
        "bidders[1].name (A)",
        "bidders[1].currency (A)",
        "bidders[1].discount_percent (A)",
    ]


def test_an_unreadable_weight_of_a_group_hides_no_missing_factor():
    document = bids(
        bidder(factors={"Integrity": 1}), settings={"groups": {"Measurement": "x", "Integrity": 40}}
    )
    assert [line.split(":")[0] for line in lines(document)] == [
        'settings.groups["Measurement"]',
        'bidders[0].factors["Measurement"] (plain)',
    ]


@pytest.mark.parametrize("fob", [None, 0])
def test_an_unreadable_score_leaves_open_whether_a_price_is_needed(fob):
    document = bids(
        bidder(fob=fob, factors={"Measurement": 2, "Integrity": 0}),
        settings={"missing_items_from": "acceptable"},
    )
    paths = [line.split(":")[0] for line in lines(document)]
    assert ("bidders[0].fob (plain)" in paths) == (fob == 0)


def test_below_the_pass_mark_no_price_is_needed_with_acceptable():
    document = bids(bidder(fob=None, factors=BELOW), settings={"missing_items_from": "acceptable"})
    assert read_bids(document).bidders[0].fob is None


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", "document: found nothing; allowed: an object with the fields of bids/1"),
        ("[]", "document: found an empty list; allowed: an object with the fields of bids/1"),
        ("3", "document: found 3; allowed: an object with the fields of bids/1"),
        (b"\xff", "document: found a byte that is not UTF-8 at position 0; allowed: JSON in UTF-8"),
        (b" " * 1_000_001, "document: found 1000001 bytes; allowed: at most 1000000 bytes"),
        ("[" * 300 + "]" * 300, "document: found nesting deeper than 24; allowed: at most 24 levels"),
        (
            '{"a":' * 5000 + "1" + "}" * 5000,
            "document: found nesting deeper than 24; allowed: at most 24 levels",
        ),
    ],
    ids=["empty", "list", "number", "not UTF-8", "too large", "deep list", "deep object"],
)
def test_the_whole_document(text, line):
    assert lines(text) == [line]


def test_text_that_is_not_json():
    (line,) = lines('{"settings": ')
    assert line.startswith("document: found text that is not JSON at line 1")


def test_a_key_twice_is_told():
    text = json.dumps(bids()).replace('"weeks": 20', '"weeks": 20, "weeks": 30')
    assert lines(text) == ['bidders[0].weeks (plain): found the key "weeks" twice; allowed: each key once']


@pytest.mark.parametrize("name", ["a\nb", "\u202eb", "x" * 61])
def test_names_are_one_printable_line(name):
    (line,) = lines(bids(bidder(name)))
    assert line.startswith("bidders[0].name")
    assert line.isprintable()


def places(value, place=()):
    yield place
    rows = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in rows:
        yield from places(item, (*place, key))


def full_document():
    return bids(PLAIN, settings={"alternative_weights": [[60, 40]], "estimates": {"licence": 9}})


ALL_PLACES = [place for place in places(full_document()) if place]
JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)


def problems_of(document):
    try:
        read_bids(document)
    except InputErrors as error:
        return error.problems
    return None


@settings(deadline=None)
@given(place=st.sampled_from(ALL_PLACES), junk=JUNK)
def test_anything_anywhere_is_read_or_told(place, junk):
    document = full_document()
    holder = document
    for part in place[:-1]:
        holder = holder[part]
    holder[place[-1]] = junk
    told = problems_of(document)
    assert told is None or told
    assert all(problem.line().isprintable() for problem in told or ())


def test_more_groups_than_anybody_weighs_are_one_problem():
    document = bids(bidder(factors={}), settings={"groups": {f"group {number}": 1 for number in range(101)}})
    assert lines(document) == ["settings.groups: found 101 groups; allowed: at most 100 groups"]


def test_after_200_problems_the_rest_is_counted():
    told = lines(bids(bidder(items={f"unknown {number}": 1 for number in range(250)})))
    assert len(told) == 201
    assert told[199].startswith('bidders[0].items["unknown 199"] (plain): ')
    assert told[200] == "document: found 50 more problems; allowed: none (the first are listed)"
