"""From bytes to plain JSON values, refusing what would go wrong later: size, depth, broken text, doubles.

Numbers that no float can hold keep their text, so that the field they stand in can report them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from specapp.domain.problems import DOCUMENT, InputErrors, Problem, path_text, shown
from specapp.domain.scalars import bad_character

LARGEST_BYTES = 1_000_000
DEEPEST = 24
_LONGEST_KEY = 200
_FEW_BRACKETS = 200
_PLAIN = frozenset({str, int, float, bool})

Place = tuple[str | int, ...]

_TOKEN = re.compile(r'"(?:[^"\\]++|\\.)*+(?:"|\Z)|[\[\]{}]', re.DOTALL)


class _TextNumber(float):
    """A number of the document that a float cannot show: its text is kept for the message."""

    text: str

    def __new__(cls, text: str) -> _TextNumber:
        number = super().__new__(cls, text)
        number.text = text
        return number


class _Doubled(dict[str, Any]):
    """An object in which keys stood twice."""

    doubled: tuple[str, ...] = ()


def _float(text: str) -> float:
    number = float(text)
    return _TextNumber(text) if number in (float("inf"), float("-inf")) else number


def _int(text: str) -> int | float:
    return int(text) if len(text) <= 300 else _TextNumber(text)


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    rows = dict(pairs)
    if len(rows) == len(pairs):
        return rows
    seen: set[str] = set()
    doubled = [key for key, _ in pairs if key in seen or seen.add(key)]  # type: ignore[func-returns-value]
    marked = _Doubled(rows)
    marked.doubled = tuple(dict.fromkeys(doubled))
    return marked


_DECODER = json.JSONDecoder(
    object_pairs_hook=_object, parse_float=_float, parse_int=_int, parse_constant=_TextNumber
)


def _refuse(found: str, allowed: str, message: str = "") -> InputErrors:
    return InputErrors([Problem(DOCUMENT, found, allowed, message=message)])


def _too_deep() -> InputErrors:
    return _refuse(f"nesting deeper than {DEEPEST}", f"at most {DEEPEST} levels")


def load_document(
    document: bytes | str | Mapping[str, Any], kind: str
) -> tuple[dict[str, Any], list[tuple[Place, Problem]]]:
    """Return the object a document holds, without its nulls, and problems of its keys by place.

    `kind` is the format the document should have ("machine/1"), for the messages.

    Raises `InputErrors` at `document` where there is no object to speak of: too large, too deep, not
    UTF-8, not JSON, or something else than an object.
    """
    value = (
        _decoded(document, kind) if isinstance(document, bytes | bytearray | memoryview | str) else document
    )
    if not isinstance(value, Mapping):
        raise _refuse(shown(value), f"an object with the fields of {kind}")
    problems: list[tuple[Place, Problem]] = []
    return _rows(value, (), problems), problems


def _decoded(document: bytes | bytearray | memoryview | str, kind: str) -> object:
    size = len(document)
    if size <= LARGEST_BYTES and isinstance(document, str):
        size = len(document.encode("utf-8", "surrogatepass"))
    if size > LARGEST_BYTES:
        raise _refuse(f"{size} bytes", f"at most {LARGEST_BYTES} bytes")
    if isinstance(document, str):
        text = document.removeprefix("\ufeff")
    else:
        try:
            text = bytes(document).decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise _refuse(f"a byte that is not UTF-8 at position {error.start}", "JSON in UTF-8") from None
    # Reading recurses; a text with few brackets cannot nest dangerously, and the walk below measures it.
    if text.count("[") + text.count("{") > _FEW_BRACKETS:
        _refuse_depth(text)
    if not text.strip():
        raise _refuse("nothing", f"an object with the fields of {kind}")
    try:
        return _DECODER.decode(text)
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise _refuse(
            f"text that is not JSON at {place}", "JSON", error.msg[0].lower() + error.msg[1:]
        ) from None


def _refuse_depth(text: str) -> None:
    depth = 0
    for token in _TOKEN.finditer(text):
        char = token[0][0]
        if char in "[{":
            depth += 1
            if depth > DEEPEST:
                raise _too_deep()
        elif char in "]}":
            depth -= 1


def _rows(value: Mapping[Any, Any], place: Place, problems: list[tuple[Place, Problem]]) -> dict[str, Any]:
    rows: dict[str, Any] = {}
    for key, item in value.items():
        if not isinstance(key, str):
            raise _refuse(f"a key of type {type(key).__name__} in {path_text(place)}", "keys that are texts")
        if len(key) > _LONGEST_KEY:
            where = (*place, key)
            allowed = f"keys of at most {_LONGEST_KEY} characters"
            problems.append((where, Problem(path_text(where), f"a key of {len(key)} characters", allowed)))
        elif not key.isascii() and bad_character(key) is not None:
            where = (*place, key)
            problems.append((where, Problem(path_text(where), shown(key), "keys of printable characters")))
        elif type(item) in _PLAIN:
            rows[key] = item
        elif item is not None:
            rows[key] = _without_nulls(item, (*place, key), problems)
    for key in getattr(value, "doubled", ()):
        where = (*place, key)
        problems.append((where, Problem(path_text(where), f"the key {shown(key)} twice", "each key once")))
    return rows


def _without_nulls(value: Any, place: Place, problems: list[tuple[Place, Problem]]) -> Any:
    kind = type(value)
    if kind in _PLAIN or value is None:
        return value
    is_object = kind is dict or isinstance(value, Mapping)
    if not is_object and not isinstance(value, list | tuple):
        return value
    if len(place) >= DEEPEST:
        raise _too_deep()
    if is_object:
        return _rows(value, place, problems)
    return [
        item if type(item) in _PLAIN else _without_nulls(item, (*place, index), problems)
        for index, item in enumerate(value)
    ]
