"""The two files of an offer, as records: the technical one without prices, the price one without words."""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum
from typing import Any, cast

import msgspec

from specapp.domain.problems import InputErrors, Problem
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.offer_form import (
    BY_OTHERS,
    INCLUDED,
    NOT_QUOTED,
    PRICE,
    PRICED,
    TECHNICAL,
    TERMS,
    price_sheets,
    technical_sheets,
)
from specapp.evaluation.offer_reading import Form, FormRow, read_form
from specapp.evaluation.replies.failure_data import FIELDS
from specapp.evaluation.replies.offer import (
    Claim,
    Deviation,
    OfferedDevice,
    OfferedItem,
    Reply,
    TechnicalOffer,
)
from specapp.evaluation.scalars import is_currency

_NAMED = 3  # unpriced lines told by name


class PriceLine(msgspec.Struct, frozen=True):
    """A line with a unit price; None is not quoted, which is not zero."""

    key: str
    description: str
    quantity: float
    unit_price: float | None

    @property
    def total(self) -> float | None:
        return None if self.unit_price is None else self.unit_price * self.quantity


class PriceOffer(msgspec.Struct, frozen=True):
    """A price offer in its own currency. An item is a price, "included", "by others" or None."""

    currency: str
    supply: tuple[PriceLine, ...]
    spares: tuple[PriceLine, ...]
    items: Mapping[str, float | str | None]
    options: tuple[PriceLine, ...]
    two_year_spares: tuple[PriceLine, ...]
    terms: Mapping[str, float | str | None]

    @property
    def fob(self) -> float | None:
        """The supply with the spares asked for; None where any of its lines has no price."""
        totals = [line.total for line in (*self.supply, *self.spares)]
        return None if None in totals or not totals else fsum(cast(list[float], totals))

    @property
    def unpriced(self) -> tuple[str, ...]:
        return tuple(line.description for line in (*self.supply, *self.spares) if line.unit_price is None)


def read_technical(data: bytes, sheet: EnquirySheet) -> TechnicalOffer:
    """Return a technical offer. Raises `InputErrors` with every problem, each at its cell."""
    form = read_form(
        data, TECHNICAL, sheet.reference, sheet.amendment, technical_sheets(sheet), refuse_prices=True
    )
    return TechnicalOffer(
        replies=tuple(_reply(row) for row in form.rows["requirements"]),
        items=tuple(item for row in form.rows["bill"] if (item := _item(row)) is not None),
        devices=tuple(
            OfferedDevice(
                row.key.partition(":")[2],
                {name: _text(row, name) for name in FIELDS},
                _text(row, "marking"),
                row.place,
            )
            for row in form.rows["failure data"]
        ),
        deviations=tuple(
            Deviation(_text(row, "requirement"), _text(row, "text"), _text(row, "reason"), row.place)
            for row in form.rows["deviations"]
            if _text(row, "text") or _text(row, "requirement")
        ),
    )


def _text(row: FormRow, name: str) -> str:
    value = row.values.get(name)
    return "" if value is None else str(value)


def _figure(row: FormRow, name: str) -> float | None:
    value = row.values.get(name)
    return float(value) if isinstance(value, int | float) else None


def _reply(row: FormRow) -> Reply:
    claim = cast(Claim, _text(row, "claim"))
    return Reply(
        row.key, claim, _text(row, "offered"), _text(row, "evidence"), _text(row, "remark"), row.place
    )


def _item(row: FormRow) -> OfferedItem | None:
    kind, _, key = row.key.partition(":")
    quantity = _figure(row, "quantity")
    if kind == "extra" and not _text(row, "description"):
        return None
    if kind == "item" and quantity is None and not _text(row, "type_text"):
        return None
    return OfferedItem(
        key if kind == "item" else "",
        _text(row, "description"),
        quantity,
        _figure(row, "spares"),
        _text(row, "type_text"),
        _text(row, "remark"),
        row.place,
    )


def read_price(data: bytes, sheet: EnquirySheet) -> PriceOffer:
    """Return a price offer. Raises `InputErrors` with every problem, each at its cell."""
    form = read_form(data, PRICE, sheet.reference, sheet.amendment, price_sheets(sheet), refuse_prices=False)
    problems: list[Problem] = []
    terms = _terms(form, problems)
    items = {row.key.partition(":")[2]: _state(row, problems) for row in form.rows["services"]}
    if problems:
        raise InputErrors(problems)
    lines = [(row.key, _line(row)) for row in form.rows["prices"]]
    return PriceOffer(
        currency=str(terms["currency"]),
        supply=tuple(line for key, line in lines if key.startswith("supply:")),
        spares=tuple(line for key, line in lines if key.startswith("spare:")),
        items=items,
        options=tuple(_line(row) for row in form.rows["options"] if _text(row, "description")),
        two_year_spares=tuple(
            _line(row) for row in form.rows["two-year spares"] if _text(row, "description")
        ),
        terms=terms,
    )


def _line(row: FormRow) -> PriceLine:
    quantity = _figure(row, "quantity")
    return PriceLine(
        row.key.partition(":")[2],
        _text(row, "description"),
        1.0 if quantity is None else quantity,
        _figure(row, "price"),
    )


def _terms(form: Form, problems: list[Problem]) -> dict[str, float | str | None]:
    kinds = {key: kind for key, _, kind in TERMS}
    terms: dict[str, float | str | None] = {}
    for row in form.rows["terms"]:
        key = row.key.partition(":")[2]
        terms[key] = _figure(row, "number") if kinds[key] == "number" else _text(row, "text")
        if key == "currency" and not is_currency(str(terms[key])):
            problems.append(
                Problem(row.place, _text(row, "text") or "nothing", "three capital letters, like USD")
            )
        if key.endswith("_percent") and (_figure(row, "number") or 0) > 100:
            problems.append(Problem(row.place, f"{_figure(row, 'number'):g}", "a percentage from 0 to 100"))
    return terms


def _state(row: FormRow, problems: list[Problem]) -> float | str | None:
    state, price = _text(row, "state"), _figure(row, "price")
    if state in (INCLUDED, BY_OTHERS, NOT_QUOTED) and price:
        problems.append(Problem(row.place, f"{state} and a price of {price:g}", "one of the two"))
    if state == PRICED and price is None:
        problems.append(Problem(row.place, "price without a figure", "the price, or another state"))
    if state in (INCLUDED, BY_OTHERS):
        return state
    return None if state == NOT_QUOTED else price


def bidder_document(
    name: str,
    price: PriceOffer | None,
    *,
    weeks: float | None,
    factors: Mapping[str, float],
    rates: Mapping[str, float],
    currency: str,
    loads: Mapping[str, Mapping[str, Any]] | None = None,
    unpriced_because: str = "no opened price",
) -> dict[str, Any]:
    """Return a bidder of bids/1; item prices in the currency of comparison, as that format has them.

    `loads` are decided loads by item, in that currency; `unpriced_because` says why there is no price at all.
    An offer with a line of the supply or its spares unpriced has no price either, and names the line.

    Raises KeyError where the offer's currency has no rate.
    """
    bidder: dict[str, Any] = {"name": name, "weeks": weeks, "factors": dict(factors)}
    if price is None or price.fob is None:
        unpriced = () if price is None else price.unpriced
        more = f" and {len(unpriced) - _NAMED} more" if len(unpriced) > _NAMED else ""
        lines = f"no price for {', '.join(line[:60] for line in unpriced[:_NAMED])}{more}"
        bidder["unpriced_because"] = lines if unpriced else unpriced_because
        return bidder
    rate = 1.0 if price.currency == currency else rates[price.currency]
    bidder |= {
        "currency": price.currency,
        "fob": price.fob,
        "discount_percent": price.terms.get("discount_percent") or 0,
        "advance_percent": price.terms.get("advance_percent"),
        "items": {
            key: value * rate if isinstance(value, float) else value for key, value in price.items.items()
        },
    }
    if loads:
        bidder["decided_loads"] = dict(loads)
    for part in ("taxes", "freight_insurance", "inland"):
        bidder[part] = price.terms.get(part)
    return bidder
