"""What an engineer sets in place of a proposed value: on which item, which field, why, who and when.

An override is kept beside the description, never inside it. It remembers the rule's own value and the
shaft's speed at the time of writing, and where it was written once its pinion was moved or renamed, so that
a later change of any of them asks for it to be confirmed again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.domain.proposal import AppliedOverride, Record

__all__ = ["ALLOWED", "GROUP_FIELDS", "POINT_FIELDS", "AppliedOverride", "Override", "override_of"]

MOST_REASON = 500
VOTES = ("1oo1", "1oo2", "2oo2", "trip_with_alarm", "2oo3")
CHAINS = ("monitor", "transmitter", "direct")

# Field: what it may be. Setpoints and votes belong to a voting group, the rest to one point.
GROUP_FIELDS = ("alarm", "trip", "voting", "delay")
POINT_FIELDS = ("angle", "tip", "chain", "tag", "struck", "added")
ALLOWED: Mapping[str, str] = {
    "alarm": "a number above 0 in the machine's setting units",
    "trip": "a number above 0 in the machine's setting units",
    "voting": ", ".join(VOTES),
    "delay": "0 to 60 seconds",
    "angle": "0 to below 360 degrees clockwise from the top",
    "tip": "8 or 5 (mm)",
    "chain": ", ".join(CHAINS),
    "tag": "1 to 40 letters, digits and - _ . /",
    "struck": "true",
    "added": "true",
}
_LONGEST_DELAY_S = 60.0
_FULL_TURN_DEG = 360.0


class Override(Record, frozen=True):
    """One value in place of a rule's.

    ``item`` is a voting group (alarm, trip, voting, delay) or a point key (angle, tip, chain, tag,
    struck, added). ``at`` is an ISO date and time. ``rule_value`` and ``speed_rpm`` are those in force
    when it was written; None: not remembered. ``moved_from`` is the item it was written for and
    ``moved_from_place`` the place of that pinion, counted from 1, while its pinion stands elsewhere or goes
    by another name; empty where it stands as it was written.
    """

    item: str
    field: str
    value: Any
    reason: str
    author: str
    at: str
    rule_value: Any = None
    speed_rpm: float | None = None
    moved_from: str = ""
    moved_from_place: int | None = None


def override_of(raw: Mapping[str, Any], *, author: str, at: str) -> Override:
    """Return an override from what a form or the interface sent.

    Raises
    ------
    InputErrors
        With every problem: unknown field, value not allowed, no reason.
    """
    problems: list[Problem] = []
    item, field, reason = (str(raw.get(name) or "").strip() for name in ("item", "field", "reason"))
    if not item or len(item) > 200:
        problems.append(
            Problem("item", shown(raw.get("item")) if item else NOTHING, "the key of a point or voting group")
        )
    problems += reason_problems(reason)
    value = None
    if field not in ALLOWED:
        problems.append(Problem("field", shown(field) if field else NOTHING, ", ".join(ALLOWED)))
    else:
        value, fits = _value(field, raw.get("value"))
        if not fits:
            problems.append(Problem("value", shown(raw.get("value")), ALLOWED[field]))
    if problems:
        raise InputErrors(problems)
    return Override(item, field, value, reason, author, at)


def reason_problems(reason: str) -> list[Problem]:
    """Return what is wrong with the reason of an override."""
    if not reason.strip():
        return [Problem("reason", NOTHING, "the reason for the override, in words")]
    if len(reason) > MOST_REASON or any(ord(char) < 32 for char in reason):
        return [Problem("reason", shown(reason), f"one line of at most {MOST_REASON} characters")]
    return []


def _value(field: str, raw: Any) -> tuple[Any, bool]:
    """Return the value of a field in its type and whether it is allowed."""
    if field in ("struck", "added"):
        return True, raw in (True, "true", "on", "1")
    if field == "voting":
        return raw, raw in VOTES
    if field == "chain":
        return raw, raw in CHAINS
    if field == "tag":
        text = str(raw or "").strip()
        usable = bool(text) and len(text) <= 40 and all(char.isalnum() or char in "-_./" for char in text)
        return text, usable and text.isascii()
    number = _number(raw)
    if number is None:
        return None, False
    fits = {
        "alarm": number > 0,
        "trip": number > 0,
        "delay": 0 <= number <= _LONGEST_DELAY_S,
        "angle": 0 <= number < _FULL_TURN_DEG,
        "tip": number in (5.0, 8.0),
    }[field]
    return number, fits and number < 1e6


def _number(raw: Any) -> float | None:
    if isinstance(raw, bool):
        return None
    try:
        number = float(raw)
    except (TypeError, ValueError, OverflowError):
        return None
    return number if number == number and abs(number) != float("inf") else None
