"""bids/1: the rules of an evaluation and what each bidder offers, as frozen types.

Money is a plain float: of a bidder in the bidder's currency, items and estimates in `settings.currency`.
What was not told is None: not quoted is not zero, and the evaluation says what it does about it.

`specapp.evaluation.reading.read_bids` makes these from JSON and checks fields against each other; what it
returns always has the required fields, which is why they are typed as given here.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from specapp.domain.scalars import Table, Text, problem
from specapp.evaluation.scalars import CalendarDate, Currency, Item, ItemAnswer, Number

FORMAT: Final = "bids/1"

LARGEST_AMOUNT = 1e12
Amount = Annotated[float, Number(0, LARGEST_AMOUNT)]
Price = Annotated[float, Number(0, LARGEST_AMOUNT, above=True)]
Correction = Annotated[float, Number(-LARGEST_AMOUNT, LARGEST_AMOUNT)]
Rate = Annotated[float, Number(1e-9, 1e9)]
Percent = Annotated[float, Number(0, 100)]
YearlyPercent = Annotated[float, Number(0, 1000)]
Weeks = Annotated[float, Number(0, 1000)]
Factor = Annotated[float, Number(0, 1)]
Answer = Annotated[ItemAnswer, Item(Number(0, LARGEST_AMOUNT))]
CurrencyCode = Annotated[str, Currency()]
MissingItemsFrom = Literal["all", "acceptable"]
Method = Literal["lowest_evaluated", "weighted"]


def _pair(raw: object) -> object:
    if not isinstance(raw, list | tuple) or len(raw) != 2:
        raise problem("a list of two numbers, the shares of technical score and price")
    return raw


Shares = Annotated[tuple[Percent, Percent], BeforeValidator(_pair)]

# A required field still has a default so that one pass finds every other problem too; reading reports
# it as missing.
_REQUIRED: Any = None


class _Told(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", hide_input_in_errors=True)


class Weights(_Told):
    """The shares of technical score and price in the combined score [percent]; together 100."""

    technical: Percent = _REQUIRED
    price: Percent = _REQUIRED


class Settings(_Told):
    """The rules of the evaluation. A rule that is not told (None) is not applied."""

    currency: CurrencyCode = _REQUIRED
    rates: Annotated[Mapping[str, Rate], AfterValidator(Table)] = Field(default_factory=Table)
    rate_date: Annotated[str, CalendarDate()] | None = None
    freight_insurance_percent_of_fob: Percent | None = None
    inland_percent_of_cif: Percent | None = None
    late_percent_per_week: Percent | None = None
    late_weeks_cap: Weeks | None = None
    needed_weeks: Weeks | None = None
    advance_allowed_percent: Percent | None = None
    interest_percent_per_year: YearlyPercent | None = None
    missing_items_from: MissingItemsFrom = "all"
    estimates: Annotated[Mapping[str, Price], AfterValidator(Table)] = Field(default_factory=Table)
    method: Method = "lowest_evaluated"
    pass_mark: Percent | None = None
    weights: Weights | None = None
    alternative_weights: Annotated[tuple[Shares, ...], Field(max_length=20)] = ()
    groups: Annotated[Mapping[str, Percent], AfterValidator(Table)] = Field(default_factory=Table)


class DecidedLoad(_Told):
    """What a person decides that an item counts which the offer left out, in place of the rule.

    `amount` is in `settings.currency` and at least 0: a load never lowers a price. `by` says who and when.
    """

    amount: Amount = _REQUIRED
    reason: Annotated[str, Text(500, 1)] = _REQUIRED
    by: Annotated[str, Text(240)] = ""


class Bidder(_Told):
    """One offer. A bidder below the pass mark may come without prices where those are left unopened.

    `unpriced_because` says why another one has none either: it stands without a place until that is settled.
    """

    name: Annotated[str, Text(60, 1)] = _REQUIRED
    currency: CurrencyCode | None = None
    fob: Price | None = None
    unpriced_because: Annotated[str, Text(400, 1)] | None = None
    discount_percent: Percent = 0.0
    corrections: Correction = 0.0
    taxes: Amount | None = None
    freight_insurance: Amount | None = None
    inland: Amount | None = None
    items: Annotated[Mapping[str, Answer], AfterValidator(Table)] = Field(default_factory=Table)
    decided_loads: Annotated[Mapping[str, DecidedLoad], AfterValidator(Table)] = Field(default_factory=Table)
    weeks: Weeks | None = None
    advance_percent: Percent | None = None
    factors: Annotated[Mapping[str, Factor], AfterValidator(Table)] = Field(default_factory=Table)


class Bids(_Told):
    """Everything an evaluation needs: its rules, the items every bidder was asked for, the offers."""

    format: Literal["bids/1"] = FORMAT
    settings: Settings = _REQUIRED
    items: Annotated[tuple[Annotated[str, Text(80, 1)], ...], Field(max_length=1000)] = ()
    bidders: Annotated[tuple[Bidder, ...], Field(max_length=200)] = ()
