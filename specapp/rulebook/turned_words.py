"""What turns, in words: one phrase for all items that turn the same way."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from typing import Any

from specapp.domain.proposal import Record
from specapp.rulebook.check_names import candidate_words, check_words
from specapp.rulebook.kinds import Turned

_NAMED_AT_MOST = 3
# What matters most is said first.
_ORDER = (
    *("conflict", "hold", "point", "check fail", "trip", "alarm", "transducer", "range", "check"),
    *("multiplier", "frequency_group", "further_readings", "chain", "open_point"),
)


class Turn(Record, frozen=True):
    """One way in which items turn: what, which items, of which kind before and after, in words."""

    what: str
    items: tuple[str, ...]
    before: str
    after: str
    text: str


def turns(turned: Turned) -> tuple[Turn, ...]:
    """Return everything that turned, the weightiest first, items that turn alike together."""
    alike: dict[tuple[str, str, Hashable, Hashable], list[str]] = {}
    moved = {item for what, item, _ in turned if what == "point"}
    for (what, item, name), (before, after) in turned.items():
        # A point that comes or goes takes its own fields with it; they are not told again.
        if what not in ("point", "check", "open_point") and item in moved:
            continue
        alike.setdefault((what, name, before, after), []).append(item)
    found = [
        (_rank(what, after), _turn(what, name, before, after, tuple(items)))
        for (what, name, before, after), items in alike.items()
    ]
    return tuple(turn for _, turn in sorted(found, key=lambda ranked: ranked[0]))


def _rank(what: str, after: Hashable) -> int:
    if what == "check" and after == "fail":
        return _ORDER.index("check fail")
    if what in ("alarm", "trip") and isinstance(after, tuple) and after[1] == "hold":
        return _ORDER.index("hold")
    return _ORDER.index(what)


def item_words(items: Iterable[str]) -> str:
    """Return keys as people say them: the groups of one shaft together, a few at most."""
    words = list(dict.fromkeys(_item_word(item) for item in items))
    named = ", ".join(words[:_NAMED_AT_MOST])
    more = len(words) - _NAMED_AT_MOST
    return f"{named} and {more} more" if more > 0 else named


def _item_word(item: str) -> str:
    if item == "machine":
        return "the machine"
    parts = item.split("/")
    if len(parts) == 3 and parts[2] in ("radial", "temperature", "casing"):
        return f"{parts[0]} {parts[2]}"
    return item


def _turn(what: str, name: str, before: Any, after: Any, items: tuple[str, ...]) -> Turn:
    named = item_words(items)
    texts = {
        "point": lambda: f"the point {named} {_comes(after)}",
        "check": lambda: _check_text(name, before, after, named),
        "transducer": lambda: f"{_probe(before)} becomes {_probe(after)} at {named}",
        "range": lambda: f"the range of {named} becomes {_range(after)} instead of {_range(before)}",
        "multiplier": lambda: f"a setpoint multiplier of {named} {_comes(after)}",
        "frequency_group": lambda: f"the oscillator frequency group of {named} changes",
        "further_readings": lambda: f"the further readings of {named} change",
        "chain": lambda: f"the chain of {named} becomes {_word(after)} instead of {_word(before)}",
        "open_point": lambda: f"{_open_points(items)} {'opens' if after else 'closes'}",
        "conflict": lambda: f"rules disagree about {named}",
    }
    text = _setpoint_text(what, before, after, named) if what in ("alarm", "trip") else texts[what]()
    label = name if what == "check" else what
    return Turn(label, items, _plain(what, before), _plain(what, after), text)


def _open_points(keys: tuple[str, ...]) -> str:
    """Return open points by the words of their keys, "safety, full test interval"."""
    told = [key.replace("/", ", ").replace("_", " ") for key in keys[:_NAMED_AT_MOST]]
    more = f" and {len(keys) - len(told)} more" if len(keys) > len(told) else ""
    return f"the open point on {'; '.join(told)}{more}"


def _comes(after: Any) -> str:
    return "appears" if after else "goes"


def _check_text(name: str, before: Any, after: Any, named: str) -> str:
    if before is None or after is None:
        return f"the check of the {check_words(name)} of {named} {_comes(after)}"
    return f"{check_words(name)} of {named} turns from {_word(before)} to {_word(after)}"


def _word(kind: Any) -> str:
    return "none" if kind is None else str(kind).replace("_", " ")


def _setpoint_text(what: str, before: Any, after: Any, named: str) -> str:
    if before is None or after is None:
        return f"the {what} of {named} {_comes(after)}"
    parts = []
    if before[0] != after[0]:
        governs, instead = candidate_words(after[0]), candidate_words(before[0])
        parts.append(f"{governs} governs the {what} of {named} instead of {instead}")
    if before[1] != after[1]:
        held = {"hold": "is held", "proposed": "is proposed", "placeholder": "is a placeholder"}
        parts.append(f"the {what} of {named} {held[after[1]]}, not {before[1]}")
    if before[2] != after[2]:
        parts.append(f"the vote of {named} becomes {after[2]} instead of {before[2]}")
    return " and ".join(parts)


def _probe(kind: Any) -> str:
    if kind is None:
        return "no transducer"
    words = kind[0].replace("_", " ")
    sizes = [f"{kind[1]:g} mm tip"] if kind[1] is not None else []
    sizes += [f"{kind[2]:g} m system"] if kind[2] is not None else []
    return f"{words} ({', '.join(sizes)})" if sizes else str(words)


def _range(kind: Any) -> str:
    return "none" if kind is None else f"{kind[0]:g} to {kind[1]:g} {kind[2]}"


def _plain(what: str, kind: Any) -> str:
    """Return a kind as one short word or number, for a table."""
    if kind is None:
        return "none"
    if what in ("alarm", "trip"):
        return f"{kind[0]}, {kind[1]}"
    if what == "transducer":
        return _probe(kind)
    if what == "range":
        return _range(kind)
    if isinstance(kind, bool):
        return "there" if kind else "none"
    return str(kind) if not isinstance(kind, tuple) else ", ".join(str(each[0]) for each in kind)
