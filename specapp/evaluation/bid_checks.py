"""Checks between the fields of bids/1: sums of weights, rates of every currency, names that must agree."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from specapp.domain.findings import Findings, Location
from specapp.domain.model_reading import MOST_HINTS
from specapp.domain.problems import alternatives, shown
from specapp.evaluation.bids import Bidder, Bids, Settings
from specapp.evaluation.scalars import BY_OTHERS, Currency, is_currency
from specapp.evaluation.technical import passes, technical_score

_SUM_TOLERANCE = 1e-6
_MOST_GROUPS = 100


def check_bids(bids: Bids, findings: Findings) -> None:
    """Record what fields say about each other; what could not be read is not judged again."""
    settings: Settings | None = bids.settings
    if settings is None:
        findings.add(("settings",), "required: the rules of the evaluation, at least the currency")
        settings = Settings()
    elif settings.currency is None:
        findings.add(("settings", "currency"), "required: the currency in which offers are compared")
    _items(bids, findings)
    _groups(settings, findings)
    _weights(settings, findings)
    _rates(bids, settings, findings)
    if not bids.bidders:
        findings.add(("bidders",), "required: at least one bidder")
    _bidder_names(bids.bidders, findings)
    for index, bidder in enumerate(bids.bidders):
        _factors(index, bidder, settings, findings)
        _price(index, bidder, settings, findings)
        _decided_loads(index, bidder, findings)


def _repeated(names: Iterable[str | None]) -> Iterator[tuple[int, int]]:
    """Return the places of names that stood before, each with the place where they did."""
    seen: dict[str, int] = {}
    for index, name in enumerate(names):
        if name is None:
            continue
        first = seen.setdefault(name.casefold(), index)
        if first != index:
            yield index, first


def _items(bids: Bids, findings: Findings) -> None:
    for index, first in _repeated(bids.items):
        findings.add(("items", index), "each item once", message=f"as items[{first}]")
    told = findings.raw.get("items", [])
    if findings.wrong("items") or any(findings.wrong("items", i) for i in range(len(told))):
        return  # which items there are is not known
    items = set(bids.items)
    places: list[Location] = []
    if bids.settings is not None:
        places += [("settings", "estimates", name) for name in bids.settings.estimates]
    for index, bidder in enumerate(bids.bidders):
        places += [("bidders", index, "items", name) for name in bidder.items]
        places += [("bidders", index, "decided_loads", name) for name in bidder.decided_loads]
    for place in places:
        if place[-1] not in items:
            hint = _hint(str(place[-1]), bids.items, findings)
            findings.add(place, "an item of the list items", found="an item that is not listed", message=hint)


def _hint(name: str, known: Iterable[str], findings: Findings) -> str:
    close = alternatives(name, known) if len(findings.located) < MOST_HINTS else ""
    return f"did you mean {close}?" if close else ""


def _groups(settings: Settings, findings: Findings) -> None:
    place = ("settings", "groups")
    told = _told_groups(findings)
    if len(told) > _MOST_GROUPS:
        findings.add(place, f"at most {_MOST_GROUPS} groups", found=f"{len(told)} groups")
        return
    for name in told:
        if name != name.strip() or not 1 <= len(name) <= 80:
            findings.add((*place, name), "a group name of 1 to 80 characters without outer spaces")
    if any(findings.wrong(*place, name) for name in told):
        return
    total = sum(settings.groups.values())
    if settings.groups:
        if abs(total - 100) > _SUM_TOLERANCE:
            findings.add(place, "weights that sum to 100", found=f"a sum of {total:.10g}")
        return
    shares = [pair[0] for pair in settings.alternative_weights]
    if settings.weights is not None and settings.method == "weighted":
        shares.append(settings.weights.technical or 0.0)
    if settings.pass_mark or any(shares):
        findings.add(place, "required where offers are scored or have a pass mark: weights that sum to 100")


def _told_groups(findings: Findings) -> dict[str, object]:
    """Return the names of the groups, those too whose weight could not be read."""
    settings = findings.raw.get("settings")
    groups = settings.get("groups") if isinstance(settings, dict) else None
    return groups if isinstance(groups, dict) else {}


def _weights(settings: Settings, findings: Findings) -> None:
    place = ("settings", "weights")
    if settings.weights is not None:
        for field in ("technical", "price"):
            if getattr(settings.weights, field) is None:
                findings.add((*place, field), "required: a share from 0 to 100")
        if not findings.wrong(*place, "technical") and not findings.wrong(*place, "price"):
            _sum_to_100(place, settings.weights.technical, settings.weights.price, findings)
    elif settings.method == "weighted":
        findings.add(place, "required with the method weighted: the shares of technical and price")
    for index, pair in enumerate(settings.alternative_weights):
        _sum_to_100(("settings", "alternative_weights", index), *pair, findings)


def _sum_to_100(place: Location, technical: float, price: float, findings: Findings) -> None:
    if abs(technical + price - 100) > _SUM_TOLERANCE:
        found = f"{technical:g} and {price:g}, a sum of {technical + price:.10g}"
        findings.add(place, "shares that sum to 100", found=found)


def _rates(bids: Bids, settings: Settings, findings: Findings) -> None:
    place = ("settings", "rates")
    for code, rate in settings.rates.items():
        if not is_currency(code):
            findings.add((*place, code), Currency.range_text, found=f"the key {shown(code)}")
        elif code == settings.currency and rate != 1:
            findings.add((*place, code), "1, or left out: offers are compared in this currency")
    if settings.currency is None:
        return
    for bidder in bids.bidders:
        code = bidder.currency or settings.currency
        if code != settings.currency and code not in settings.rates:
            findings.add(
                (*place, code),
                f"required: how many {settings.currency} one {code} is",
                message=f"the currency of bidder {bidder.name}" if bidder.name else "",
            )


def _bidder_names(bidders: Sequence[Bidder], findings: Findings) -> None:
    for index, bidder in enumerate(bidders):
        if bidder.name is None:
            findings.add(("bidders", index, "name"), "required: one line of 1 to 60 characters")
    for index, first in _repeated(bidder.name for bidder in bidders):
        allowed = "a name that no other bidder has"
        findings.add(("bidders", index, "name"), allowed, message=f"as bidders[{first}]")


def _factors(index: int, bidder: Bidder, settings: Settings, findings: Findings) -> None:
    if findings.wrong("settings") or findings.raw.get("settings") is None:
        return
    groups = _told_groups(findings)
    if findings.wrong("settings", "groups") and not 0 < len(groups) <= _MOST_GROUPS:
        return  # which groups there are is not known
    place = ("bidders", index, "factors")
    for name in bidder.factors:
        if name not in groups:
            hint = _hint(name, groups, findings)
            findings.add((*place, name), "a group of settings.groups", found="another group", message=hint)
    for name in groups:
        if name not in bidder.factors:
            findings.add((*place, name), "required: a number from 0 to 1 for every group")


def _price(index: int, bidder: Bidder, settings: Settings, findings: Findings) -> None:
    place = ("bidders", index)
    if bidder.unpriced_because is not None:
        if bidder.fob is not None:
            findings.add((*place, "unpriced_because"), "left out where there is a price")
    elif bidder.fob is None and may_come_unpriced(bidder, settings) is False:
        _price_is_missing(index, settings, findings)
    if bidder.fob is None:
        return
    if bidder.currency is None:
        findings.add((*place, "currency"), f"required with a price: {Currency.range_text}")
    if bidder.fob + bidder.corrections <= 0:
        findings.add((*place, "corrections"), "a correction that leaves a price above 0")


def _decided_loads(index: int, bidder: Bidder, findings: Findings) -> None:
    for name, load in bidder.decided_loads.items():
        place = ("bidders", index, "decided_loads", name)
        if load.amount is None:
            findings.add((*place, "amount"), "required: a number from 0, what the item counts")
        if load.reason is None:
            findings.add((*place, "reason"), "required: one line of 1 to 500 characters, why")
        answer = bidder.items.get(name)
        if answer is not None and answer != BY_OTHERS:
            allowed = "a load only for an item that is not quoted: what a bidder quoted is never moved"
            findings.add(place, allowed, found="a load for an item of the offer")


def _price_is_missing(index: int, settings: Settings, findings: Findings) -> None:
    if findings.wrong("settings", "missing_items_from"):
        return
    unopened = (
        "; below the pass mark it may be left out" if settings.missing_items_from == "acceptable" else ""
    )
    findings.add(("bidders", index, "fob"), f"required: a price above 0{unopened}")


def may_come_unpriced(bidder: Bidder, settings: Settings) -> bool | None:
    """Tell whether an offer may come without prices; None where its score is not known."""
    if settings.missing_items_from != "acceptable" or settings.pass_mark is None:
        return False
    if not settings.groups or set(bidder.factors) != set(settings.groups):
        return None
    return not passes(technical_score(settings.groups, bidder.factors), settings.pass_mark)
