"""From what a bidder quoted to an evaluated price: each step a named line that says how it came about.

Silence never makes an offer cheaper: what a bidder left out is loaded by a rule of the settings, and where
there is none although it matters, the line is open and so is the evaluated price.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import fsum

from specapp.evaluation.bids import Bidder, Settings
from specapp.evaluation.comparison_base import HighestQuotes, rate
from specapp.evaluation.evaluation import Basis, ByRule, OpenPoint, Reason
from specapp.evaluation.scalars import BY_OTHERS, INCLUDED, ItemAnswer

_WEEKS_A_YEAR = 52
_QUOTED = Reason("quoted", "quoted")
_INCLUDED = Reason("included", "included in the offer")


def money(amount: float) -> str:
    """Return an amount for reading, to the cent."""
    return f"{amount:,.2f}"


@dataclass(slots=True)
class Price:
    """The lines of one offer, in the currency of comparison, as they come about."""

    lines: dict[str, float | None] = field(default_factory=dict)
    items: dict[str, float | None] = field(default_factory=dict)
    line_reasons: dict[str, Reason] = field(default_factory=dict)
    item_reasons: dict[str, Reason] = field(default_factory=dict)
    open_points: list[OpenPoint] = field(default_factory=list)
    quoted: list[float] = field(default_factory=list)

    def line(self, name: str, value: float | None, basis: Basis, how: str) -> float | None:
        self.lines[name] = value
        self.line_reasons[name] = Reason(basis, how)
        return value

    def quote(self, name: str, value: float, how: str) -> float:
        self.quoted.append(value)
        self.line(name, value, "quoted", how)
        return value

    @property
    def as_read(self) -> float:
        """The price without any load: fob, and whatever else was quoted."""
        return fsum(self.quoted)

    @property
    def evaluated(self) -> float | None:
        """The sum of all lines; None where one is open."""
        known = [value for value in self.lines.values() if value is not None]
        return fsum(known) if len(known) == len(self.lines) else None


@dataclass(frozen=True, slots=True)
class Normalising:
    """The rules and the base of comparison, the same for every bidder."""

    settings: Settings
    items: tuple[str, ...]
    item_quotes: HighestQuotes
    part_quotes: HighestQuotes

    def price(self, bidder: Bidder) -> Price:
        """Return the lines of an offer that has a price."""
        price = Price()
        fob = self._fob(bidder, price)
        self._taxes(bidder, price)
        freight = self._share(bidder, price, "freight_insurance", "fob", fob)
        carried = None if freight is None else fob + freight
        self._share(bidder, price, "inland", "fob and freight and insurance", carried)
        self._items(bidder, price)
        self._late(bidder, price, fob)
        self._interest(bidder, price, fob)
        return price

    def _fob(self, bidder: Bidder, price: Price) -> float:
        assert bidder.fob is not None
        told = (bidder.fob + bidder.corrections) * (1 - bidder.discount_percent / 100)
        fob = told * rate(bidder, self.settings)
        how = f"{money(bidder.fob)} {bidder.currency}"
        if bidder.corrections:
            sign = "less" if bidder.corrections < 0 else "plus"
            how = f"{how} {sign} corrections of {money(abs(bidder.corrections))}"
        if bidder.discount_percent:
            how = f"{how}, less {bidder.discount_percent:g} % discount"
        return price.quote("fob", fob, how + self._at_rate(bidder))

    def _at_rate(self, bidder: Bidder) -> str:
        if bidder.currency == self.settings.currency:
            return ""
        when = f" of {self.settings.rate_date}" if self.settings.rate_date else ""
        used = rate(bidder, self.settings)
        return f", at the rate{when}: 1 {bidder.currency} is {used:.10g} {self.settings.currency}"

    def _quoted(self, bidder: Bidder, price: Price, name: str) -> float | None:
        amount: float | None = getattr(bidder, name)
        if amount is None:
            return None
        how = f"quoted: {money(amount)} {bidder.currency}{self._at_rate(bidder)}"
        return price.quote(name, amount * rate(bidder, self.settings), how)

    def _taxes(self, bidder: Bidder, price: Price) -> None:
        if self._quoted(bidder, price, "taxes") is None:
            self._unquoted(bidder, price, "taxes", "the taxes in the offer, 0 where there are none")

    def _share(
        self, bidder: Bidder, price: Price, name: str, of_what: str, base: float | None
    ) -> float | None:
        """Add a part that is loaded as a percentage of `base` where it was not quoted."""
        quoted = self._quoted(bidder, price, name)
        if quoted is not None:
            return quoted
        of = "fob" if name == "freight_insurance" else "cif"
        rule = f"{name}_percent_of_{of}"
        percent: float | None = getattr(self.settings, rule)
        if percent is None:
            return self._unquoted(bidder, price, name, f"a quote, or settings.{rule}")
        if base is None:
            return price.line(name, None, "open", f"not quoted: {percent:g} % of {of_what}, which is open")
        how = f"not quoted: {percent:g} % of {of_what}, {money(base)}"
        return price.line(name, percent / 100 * base, "percentage", how)

    def _unquoted(self, bidder: Bidder, price: Price, name: str, remedy: str) -> float | None:
        """Add a part that was not quoted and has no rule: nothing where nobody else has it, else open."""
        other = self.part_quotes.of_others(name, bidder.name)
        if other is None:
            return price.line(name, 0.0, "not_applied", "not quoted; no other offer has it, no rule adds it")
        words = name.replace("_", " and ")
        text = f"{bidder.name} did not quote {words}, {other.name} did. Needed: {remedy}."
        price.open_points.append(_open(bidder, name, name, text))
        return price.line(name, None, "open", f"not quoted, while {other.name} did and no rule loads it")

    def _items(self, bidder: Bidder, price: Price) -> None:
        answers = dict(bidder.items)
        missing, loads = 0, 0
        for item in self.items:
            answer = answers.get(item)
            if answer is None or answer == BY_OTHERS:
                value, reason = self._load(bidder, price, item, answer)
                missing += value is None
                loads += value is not None
            elif answer == INCLUDED:
                value, reason = 0.0, _INCLUDED
            else:
                value, reason = answer, _QUOTED
                price.quoted.append(answer)
            price.items[item] = value
            price.item_reasons[item] = reason
        count = f"{len(self.items)} item{'s' if len(self.items) != 1 else ''}"
        if not self.items:
            price.line("items", 0.0, "not_applied", "no items were asked for")
        elif missing:
            price.line("items", None, "open", f"the sum of {count}, {missing} of them open")
        else:
            total = fsum(value for value in price.items.values() if value is not None)
            loaded = f", {loads} of them loaded" if loads else ""
            price.line("items", total, "sum", f"the sum of {count}{loaded}")

    def _load(
        self, bidder: Bidder, price: Price, item: str, answer: ItemAnswer | None
    ) -> tuple[float | None, Reason]:
        """Return what an item without a price of its own counts, and why: as decided, else by the rules."""
        said = "left to others" if answer == BY_OTHERS else "not quoted"
        value, reason = self._load_by_rule(bidder, item, said)
        decided = bidder.decided_loads.get(item)
        if decided is not None:
            by = f" by {decided.by}" if decided.by else ""
            how = f"{said}; decided{by}: {decided.reason}"
            return decided.amount, Reason("decided", how, ByRule(value, reason.how))
        if value is None:
            text = (
                f'{bidder.name}: the item "{item}" is {said}, and there is neither a quote of another bidder '
                "nor an estimate to load it with. Needed: a price, or an estimate in the settings."
            )
            needs = f'settings.estimates["{item}"]'
            price.open_points.append(_open(bidder, f"items/{item}", needs, text))
        return value, reason

    def _load_by_rule(self, bidder: Bidder, item: str, said: str) -> tuple[float | None, Reason]:
        highest = self.item_quotes.of_others(item, bidder.name)
        if highest is not None:
            acceptable = self.settings.missing_items_from == "acceptable"
            others = "the other acceptable offers" if acceptable else "the other offers"
            how = f"{said}: the highest quote of {others}, by {highest.name}"
            return highest.amount, Reason("highest_quote", how)
        estimate = self.settings.estimates.get(item)
        if estimate is not None:
            return estimate, Reason("estimate", f"{said}, and nobody else quoted it: the estimate")
        return None, Reason("open", f"{said}; nobody else quoted it and there is no estimate")

    def _late(self, bidder: Bidder, price: Price, fob: float) -> None:
        settings = self.settings
        percent, needed, cap = settings.late_percent_per_week, settings.needed_weeks, settings.late_weeks_cap
        if not percent or needed is None:
            missing = "no percentage a week" if not percent else "no needed delivery time"
            price.line("late", 0.0, "not_applied", f"{missing} in the settings")
        elif bidder.weeks is None:
            price.line("late", None, "open", f"no delivery time in the offer; {needed:g} weeks are needed")
            text = f"{bidder.name} states no delivery time; {needed:g} weeks are needed and lateness counts."
            price.open_points.append(_open(bidder, "late", "weeks", text))
        elif bidder.weeks <= needed:
            price.line("late", 0.0, "rule", f"{bidder.weeks:g} weeks, in the {needed:g} that are needed")
        else:
            weeks = bidder.weeks - needed
            how = f"{weeks:.10g} weeks late ({bidder.weeks:g}, needed {needed:g})"
            if cap is not None and weeks > cap:
                weeks = cap
                how = f"{how}, counted as at most {cap:g}"
            how = f"{how}, {percent:g} % of fob a week"
            price.line("late", percent / 100 * weeks * fob, "rule", how)

    def _interest(self, bidder: Bidder, price: Price, fob: float) -> None:
        yearly = self.settings.interest_percent_per_year
        allowed = self.settings.advance_allowed_percent or 0.0
        if not yearly:
            price.line("interest", 0.0, "not_applied", "no interest in the settings")
            return
        if bidder.advance_percent is None:
            self._interest_open(bidder, price, "advance_percent", "no terms of advance payment")
            return
        advance = f"an advance of {bidder.advance_percent:g} %, {allowed:g} % allowed"
        excess = bidder.advance_percent - allowed
        if excess <= 0:
            price.line("interest", 0.0, "rule", advance)
        elif bidder.weeks is None:
            self._interest_open(bidder, price, "weeks", "no delivery time")
        else:
            value = excess / 100 * fob * yearly / 100 * bidder.weeks / _WEEKS_A_YEAR
            how = f"{advance}: {yearly:g} % a year on {excess:.10g} % of fob for {bidder.weeks:g} of 52 weeks"
            price.line("interest", value, "rule", how)

    def _interest_open(self, bidder: Bidder, price: Price, needs: str, what: str) -> None:
        price.line("interest", None, "open", f"{what} in the offer, and an advance bears interest")
        text = f"{bidder.name} states {what}; an advance above what is allowed bears interest."
        price.open_points.append(_open(bidder, "interest", needs, text))


def _open(bidder: Bidder, key: str, needs: str, text: str) -> OpenPoint:
    return OpenPoint(f"{bidder.name}/{key}", needs, text, "supplier", bidder.name)
