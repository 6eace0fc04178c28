"""The record in words: what was done, and what an entry holds of it."""

import json
from collections.abc import Iterator
from typing import Any

_VERBS = {
    "add": "added",
    "administer": "rights changed",
    "adopt": "adopted",
    "answer": "answered",
    "ask": "asked for",
    "attach": "attached",
    "by_link": "set by a link",
    "cancel": "cancelled",
    "carry": "carried over",
    "change": "changed",
    "close": "closed",
    "confirm": "confirmed",
    "consolidate": "consolidated",
    "create": "made",
    "download": "downloaded",
    "end": "ended",
    "export": "exported",
    "fail": "failed",
    "freeze": "frozen",
    "inherit": "inherited",
    "invite": "invited",
    "issue": "issued",
    "join": "joined",
    "link": "link made",
    "look": "looked at",
    "number": "numbered",
    "put": "put",
    "refreeze": "frozen again",
    "refuse": "refused",
    "register": "registered",
    "release": "released",
    "remove": "removed",
    "reopen": "opened again",
    "reply": "replied to",
    "restore": "restored",
    "revise": "revised",
    "set": "set",
    "sign": "signed",
    "sign_refused": "signature refused",
    "unconfirm": "confirmation taken back",
    "undo": "undone",
    "update": "changed",
    "use": "used",
    "withdraw": "withdrawn",
    "write": "written",
}
_MOST_LINES = 12
_LONGEST = 160


def action_words(action: str) -> str:
    """Return an action as words: "machine.update" is "machine changed"."""
    noun, _, verb = action.rpartition(".")
    words = f"{noun} {_VERBS.get(verb, verb)}" if noun else verb
    return words.replace("_", " ").replace(".", " ")


def data_lines(data: dict[str, Any]) -> list[str]:
    """Return what an entry holds, short: of what was and is, only what differs."""
    lines: list[str] = []
    if isinstance(data.get("was"), dict) and isinstance(data.get("is"), dict):
        lines += _differences(data["was"], data["is"])
        data = {name: value for name, value in data.items() if name not in ("was", "is")}
    lines += [f"{name.replace('_', ' ')}: {_short(value)}" for name, value in data.items()]
    if len(lines) > _MOST_LINES:
        lines = [*lines[:_MOST_LINES], f"and {len(lines) - _MOST_LINES} more"]
    return lines


def data_text(data: dict[str, Any]) -> str:
    """Return the whole of what an entry holds, on one line, for a file."""
    return json.dumps(data, ensure_ascii=False, sort_keys=True) if data else ""


def _differences(was: dict[str, Any], now: dict[str, Any]) -> list[str]:
    before, after = dict(_flat(was)), dict(_flat(now))
    paths = [path for path in {**before, **after} if before.get(path) != after.get(path)]
    return [f"{path}: {_short(before.get(path))} → {_short(after.get(path))}" for path in paths]


def _flat(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict) and value and "value" not in value:
        for name, item in value.items():
            yield from _flat(item, f"{path}.{name}" if path else name)
    elif isinstance(value, list) and value:
        for place, item in enumerate(value):
            yield from _flat(item, f"{path}[{place}]")
    else:
        yield path, value


def _short(value: Any) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if (
        isinstance(value, list)
        and len(value) == 2
        and not any(isinstance(each, dict | list) for each in value)
    ):
        return f"{_short(value[0])} → {_short(value[1])}"
    if isinstance(value, dict) and set(value) >= {"value", "unit"}:
        return f"{value['value']} {value['unit']}"
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= _LONGEST else f"{text[:_LONGEST]} …"
