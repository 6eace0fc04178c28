"""Numbers and ranges of a reply held against the limits of a criterion."""

from __future__ import annotations

from math import isclose

from specapp.evaluation.replies.quantities import Offered, Unreadable, read_offered
from specapp.evaluation.replies.verdicts import UNCLEAR, Found
from specapp.evaluation.requirements.criterion import Criterion, criterion_text, with_unit


def judge_number(criterion: Criterion, text: str) -> Found:
    """Return how a quantity stands against the criterion; at a limit it complies."""
    if not text:
        return Found(UNCLEAR, "no figure is given")
    try:
        offered = read_offered(text, criterion)
    except Unreadable as error:
        return Found(UNCLEAR, f"“{text[:80]}” cannot be read: {error}")
    match criterion.kind:
        case "count":
            return _count(criterion, offered)
        case "at_least":
            return _at_least(criterion, offered)
        case "at_most":
            return _at_most(criterion, offered)
        case "within":
            return _within(criterion, offered)
    return _covers(criterion, offered)


def _not_below(value: float, limit: float) -> bool:
    return value > limit or isclose(value, limit, rel_tol=1e-9, abs_tol=1e-12)


def _told(criterion: Criterion, offered: Offered) -> str:
    """Return “offered 250 µm; asked: covers 0 to 250 µm” with what was read."""
    if offered.bound == "either way":
        value = f"± {with_unit(criterion, offered.high)}"
    elif offered.is_range:
        value = f"{with_unit(criterion, offered.low)} to {with_unit(criterion, offered.high)}"
    else:
        value = with_unit(criterion, offered.high)
        value = f"{offered.bound} {value}" if offered.bound else value
    return f"offered {value}; asked {criterion_text(criterion)}"


def _found(criterion: Criterion, offered: Offered, *, holds: bool) -> Found:
    told = _told(criterion, offered)
    if holds:
        return Found("comply", f"{told[:1].upper()}{told[1:]}.")
    return Found("deviate", f"{told[:1].upper()}{told[1:]}: not reached.")


def _count(criterion: Criterion, offered: Offered) -> Found:
    asked = criterion.low
    assert asked is not None
    if offered.is_range or offered.bound:
        return Found(UNCLEAR, "a range or a bound is no number of pieces")
    told = _told(criterion, offered)
    told = f"{told[:1].upper()}{told[1:]}"
    if offered.high == asked:
        return Found("comply", f"{told}.")
    if offered.high > asked:
        return Found("with comment", f"{told}: {offered.high - asked:g} more than asked.")
    if offered.high > 0:
        return Found("partial", f"{told}: {asked - offered.high:g} fewer than asked.")
    return Found("deviate", f"{told}: none offered.")


def _at_least(criterion: Criterion, offered: Offered) -> Found:
    assert criterion.low is not None
    if offered.bound == "at most":
        return Found(UNCLEAR, "only an upper bound is given where a least value is asked")
    value = offered.high if offered.bound == "either way" else offered.low
    return _found(criterion, offered, holds=_not_below(value, criterion.low))


def _at_most(criterion: Criterion, offered: Offered) -> Found:
    assert criterion.high is not None
    if offered.bound == "at least":
        return Found(UNCLEAR, "only a lower bound is given where a greatest value is asked")
    return _found(criterion, offered, holds=_not_below(criterion.high, offered.high))


def _within(criterion: Criterion, offered: Offered) -> Found:
    assert criterion.low is not None
    assert criterion.high is not None
    if offered.bound in ("at least", "at most"):
        return Found(UNCLEAR, "a bound is given where a value is asked")
    holds = _not_below(offered.low, criterion.low) and _not_below(criterion.high, offered.high)
    return _found(criterion, offered, holds=holds)


def _covers(criterion: Criterion, offered: Offered) -> Found:
    """One upper value covers from zero where the range asked begins there, as full scales are written."""
    low, high = offered.low, offered.high
    notes: tuple[str, ...] = ()
    if not offered.is_range:
        if offered.bound == "at least" or (criterion.low not in (None, 0.0) and criterion.high is not None):
            return Found(UNCLEAR, "one value is given where a range is asked")
        if criterion.low == 0.0:
            low, notes = 0.0, ("One value was taken as a range from zero.",)
    low_holds = criterion.low is None or _not_below(criterion.low, low)
    high_holds = criterion.high is None or _not_below(high, criterion.high)
    told = _told(criterion, offered)
    told = f"{told[:1].upper()}{told[1:]}"
    if low_holds and high_holds:
        return Found("comply", f"{told}.", notes)
    if low_holds or high_holds:
        if low_holds and criterion.trip:
            return _short_of_scale(criterion, told, high, criterion.trip, notes)
        if low_holds and criterion.low == 0.0:
            return Found("deviate", f"{told}: the upper end is not reached.", notes)
        end = "upper" if low_holds else "lower"
        return Found("partial", f"{told}: the {end} end is not reached.", notes)
    return Found("deviate", f"{told}: neither end is reached.", notes)


def _short_of_scale(
    criterion: Criterion, told: str, high: float, trip: float, notes: tuple[str, ...]
) -> Found:
    """A full scale below the one asked, weighed by the highest trip in it; twice the trip is the least."""
    highest = with_unit(criterion, trip)
    if _not_below(high, 2 * trip):
        return Found("partial", f"{told}: smaller, yet at least twice the highest trip of {highest}.", notes)
    word = "below the highest trip itself" if high < trip else "less than twice the highest trip"
    return Found("deviate", f"{told}: {word}, {highest}.", notes)
