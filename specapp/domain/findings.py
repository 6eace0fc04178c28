"""Collects what is wrong with one description, so that every problem is told once and at its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from specapp.domain.problems import NOTHING, Problem, path_text, shown

Location = tuple[str | int, ...]
PathText = Callable[[Location], str]
NameText = Callable[[Mapping[str, Any], Location], str]


class Findings:
    """The raw document and the problems found in it so far.

    `path` writes a place as users read it, `name` says what they call the item it is in.

    A place that is already wrong gets no second problem, and neither does anything inside it: a check
    between fields must not complain about a value that could not be read.
    """

    def __init__(
        self, raw: Mapping[str, Any], *, path: PathText = path_text, name: NameText | None = None
    ) -> None:
        self.raw = raw
        self._path = path
        self._item_name = name or pinion_name
        self._problems: list[tuple[Location, Problem]] = []
        self._wrong: set[Location] = set()

    def wrong(self, *location: str | int) -> bool:
        """Tell whether a place, or something around it, has a problem."""
        return bool(self._wrong) and any(
            location[:length] in self._wrong for length in range(1, len(location) + 1)
        )

    def has(self, location: Location) -> bool:
        """Tell whether the document gives something at a place."""
        value: Any = self.raw
        for part in location:
            known = part in value if isinstance(value, Mapping) else _is_index(part, value)
            if known:
                value = value[part]
            else:
                return False
        return True

    def texts(self, *location: str | int) -> list[tuple[int, str]]:
        """Return the readable texts of a list with their places in it, though others be unreadable."""
        value: Any = self.raw
        for part in location:
            value = value.get(part) if isinstance(value, Mapping) else None
        if not isinstance(value, list) or self.wrong(*location):
            return []
        readable = [(index, text) for index, text in enumerate(value) if isinstance(text, str)]
        return [(index, text.strip()) for index, text in readable if not self.wrong(*location, index)]

    def found(self, location: Location) -> str:
        """Return what stands at a place of the document, for a message."""
        value: Any = self.raw
        for part in location:
            try:
                value = value[part]
            except (KeyError, IndexError, TypeError):
                return NOTHING
        return shown(value)

    def add(self, location: Iterable[str | int], allowed: str, *, found: str = "", message: str = "") -> None:
        """Record a problem, unless its place is wrong already."""
        place = tuple(location)
        if self.wrong(*place):
            return
        self._wrong.add(place)
        text = found or self.found(place)
        self._problems.append(
            (place, Problem(self._path(place), text, allowed, self._item_name(self.raw, place), message))
        )

    @property
    def located(self) -> list[tuple[Location, Problem]]:
        """Every problem with its place, in the order found."""
        return self._problems


def _is_index(part: str | int, value: object) -> bool:
    return isinstance(part, int) and isinstance(value, list) and part < len(value)


def pinion_name(raw: Mapping[str, Any], place: Location) -> str:
    """Return what people call the pinion a place is in (P2 for `pinions[1].speed`), or an empty text."""
    if len(place) < 3 or place[0] != "pinions" or not isinstance(place[1], int):
        return ""
    try:
        name = raw["pinions"][place[1]]["name"]
    except (KeyError, IndexError, TypeError):
        return f"P{place[1] + 1}"
    return name if isinstance(name, str) and name.isalnum() and len(name) <= 12 else f"P{place[1] + 1}"
