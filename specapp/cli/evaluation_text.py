"""An evaluation of bids as tables for a terminal, at most 100 columns wide."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from textwrap import wrap

from specapp.cli.summary import WIDTH, cut
from specapp.cli.terminal import printable
from specapp.evaluation.evaluation import FILLED_IN, BidderResult, Evaluation, Ranking
from specapp.evaluation.ranking import share_text

_HANG = 12
_LABEL = 24
_CELL = 15
_ABREAST = (WIDTH - _LABEL) // _CELL
_LINES = {
    "fob": "price fob",
    "taxes": "taxes",
    "freight_insurance": "freight and insurance",
    "inland": "inland carriage",
    "items": "items",
    "late": "late delivery",
    "interest": "advance payment",
}
_OPEN = "open"
_NONE = "-"
_METHODS = {"lowest_evaluated": "lowest evaluated price", "weighted": "weighted score"}


def evaluation_text(evaluation: Evaluation) -> str:
    """Return the evaluation for reading, ending in a line feed."""
    lines = [*_title(evaluation), *_rankings(evaluation), *_prices(evaluation), *_open_points(evaluation)]
    return "".join(f"{cut(printable(line).rstrip(), WIDTH)}\n" for line in lines)


def _title(evaluation: Evaluation) -> Iterator[str]:
    yield f"Evaluation of {len(evaluation.bidders)} offers by {_METHODS[evaluation.method]}"
    yield "═" * WIDTH
    of_whom = "all offers" if evaluation.missing_items_from == "all" else "acceptable offers"
    facts = [f"money in {evaluation.currency}"]
    if evaluation.rates:
        rates = ", ".join(f"1 {code} = {rate:.10g}" for code, rate in evaluation.rates.items())
        facts.append(f"rates of {evaluation.rate_date or 'an unknown day'}: {rates}")
    if evaluation.pass_mark is not None:
        facts.append(f"pass mark {evaluation.pass_mark:g}")
    facts.append(f"missing items loaded from {of_whom}")
    yield from wrap(printable("; ".join(facts)), WIDTH)


def _rankings(evaluation: Evaluation) -> Iterator[str]:
    yield ""
    yield "RANKING, technical/price: place, name, combined score"
    for ranked in evaluation.rankings:
        yield from _ranking(ranked)
    for because in ("below the pass mark", "the evaluated price is open"):
        names = [each.name for each in evaluation.bidders if each.unranked_because == because]
        if names:
            yield from _hanging("not ranked", f"{', '.join(names)}: {because}")
    for flip in evaluation.flips:
        yield from _hanging("turns", flip)


def _ranking(ranked: Ranking) -> Iterator[str]:
    """Return the places of a ranking, as many on a line as fit."""
    label, line = share_text(ranked.weights), ""
    for row in ranked.rows:
        place = f"{row.rank}{'=' if row.tied_with else '.'} {cut(printable(row.name), 40)} {row.combined:.2f}"
        if line and len(line) + len(place) > WIDTH - _HANG:
            yield f"{label:<{_HANG}}{line}"
            label, line = "", ""
        line += f"{place}   "
    yield f"{label:<{_HANG}}{line or 'no offer can be ranked'}"


def _hanging(label: str, text: str) -> Iterator[str]:
    for number, line in enumerate(wrap(printable(text), WIDTH - _HANG)):
        yield f"{label if not number else '':<{_HANG}}{line}"


def _prices(evaluation: Evaluation) -> Iterator[str]:
    for start in range(0, len(evaluation.bidders), _ABREAST):
        group = evaluation.bidders[start : start + _ABREAST]
        yield ""
        yield _row("PRICES", group, lambda each: each.name)
        for name, label in _LINES.items():
            yield _row(label, group, partial(_line, name=name))
            if name == "items":
                yield from _items(group)
        yield _row("evaluated price", group, lambda each: _money(each.evaluated, each))
        yield _row("as read, nothing loaded", group, lambda each: _money(each.as_read, each))
        if any(each.technical is not None for each in group):
            yield _row("technical score", group, _score)
    if any(_is_loaded(each) for each in evaluation.bidders):
        yield "+ loaded because it was not quoted; the reasons stand in the JSON answer"


def _is_loaded(each: BidderResult) -> bool:
    reasons = (*each.reasons.lines.values(), *each.reasons.items.values())
    return any(reason.basis in FILLED_IN for reason in reasons)


def _items(group: Sequence[BidderResult]) -> Iterator[str]:
    """Return the items that somebody did not quote; all others are plain prices of the offers."""
    names = dict.fromkeys(name for each in group for name in each.items)
    for name in names:
        reasons = [each.reasons.items[name] for each in group if name in each.items]
        if any(reason.basis in (*FILLED_IN, "open", "included") for reason in reasons):
            yield _row(f"  {name}", group, partial(_item, name=name))


def _line(each: BidderResult, name: str) -> str:
    if name not in each.lines:
        return _NONE
    mark = "+" if each.reasons.lines[name].basis in FILLED_IN else ""
    return f"{_money(each.lines[name], each)}{mark or ' '}"


def _item(each: BidderResult, name: str) -> str:
    if name not in each.items:
        return _NONE
    basis = each.reasons.items[name].basis
    if basis == "included":
        return "included "
    return f"{_money(each.items[name], each)}{'+' if basis in FILLED_IN else ' '}"


def _money(amount: float | None, each: BidderResult) -> str:
    if amount is None:
        return _OPEN if each.lines else _NONE
    text = f"{amount:,.2f}"
    return text if len(text) <= _CELL - 2 else f"{amount:.6e}"


def _score(each: BidderResult) -> str:
    if each.technical is None:
        return _NONE
    return f"{each.technical:.2f}{'' if each.passes else ' fails'}"


def _row(label: str, group: Sequence[BidderResult], cell: Callable[[BidderResult], str]) -> str:
    cells = [cell(each) for each in group]
    # A figure keeps the column for its mark, so that the figures stand below each other.
    cells = [text if text.endswith(("+", " ")) else f"{cut(text, _CELL - 2)} " for text in cells]
    return f"{cut(label, _LABEL - 1):<{_LABEL}}" + "".join(
        f"{cut(printable(c), _CELL):>{_CELL}}" for c in cells
    )


def _open_points(evaluation: Evaluation) -> Iterator[str]:
    if not evaluation.open_points:
        return
    yield ""
    yield "OPEN POINTS"
    for point in evaluation.open_points:
        for number, line in enumerate(wrap(printable(point.text), WIDTH - 2)):
            yield f"{'-' if not number else ' '} {line}"
