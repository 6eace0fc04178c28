"""Reading the marking of explosion-protected equipment.

Strict on purpose: what is not understood is refused, never passed over, because a protection taken for
another can end in an explosion.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace
from typing import Final

from specapp.kernel.area_classes import DIVISION_GROUPS
from specapp.kernel.errors import DomainError

__all__ = ["BEST_LEVELS", "DEFAULT_LEVELS", "Marking", "parse_marking"]

_BY_LEVEL: Final = {
    "Ga": ("ia", "ma", "da", "sa"),
    "Gb": (
        *("ib", "d", "db", "e", "eb", "mb", "px", "pxb", "py", "pyb"),
        *("q", "qb", "o", "ob", "sb"),
    ),
    "Gc": ("ic", "dc", "ec", "mc", "nA", "nC", "nR", "nL", "pz", "pzc", "oc", "sc"),
}
# Protections whose level only the marking itself can tell, and the best level each may claim.
_LEVEL_STATED: Final = {"op is": "Ga", "op pr": "Gb", "op sh": "Gb", "s": "Gb"}

DEFAULT_LEVELS: Final = {each: level for level, group in _BY_LEVEL.items() for each in group}
BEST_LEVELS: Final = {**DEFAULT_LEVELS, **_LEVEL_STATED}

_LONGEST: Final = 300

_CATEGORY: Final = re.compile(
    r"II ?(?:(?P<own>1/2|[123]) ?)?(?:\((?P<other>[123])\) ?)?G (?=\[?A?Ex )", re.ASCII
)
_ZONE: Final = re.compile(r"Class I,? Zone (?P<zone>[012]),? (?=\[?AEx )", re.ASCII)
_DIVISION: Final = re.compile(
    r"Class I,? (?:Division|Div\.?) (?P<division>[12]),? (?:Groups?|Gr\.?) "
    r"(?P<groups>[ABCD](?:(?:, ?| | and |, and )[ABCD]){0,3}),?(?: (?P<class>T[1-6][ABCD]?))?",
    re.ASCII,
)
_NUMBER: Final = r"([+-]?\d{1,3}(?:\.\d)?) ?(?:°? ?C)?"
_AMBIENT: Final = (
    re.compile(rf" ,?(?:Ta|Tamb)[ :=]{{0,3}}{_NUMBER} ?(?:to|\.\.\.|\.\.|-) ?{_NUMBER}$", re.ASCII),
    re.compile(rf" {_NUMBER} ?(?:<=|<) ?(?:Ta|Tamb) ?(?:<=|<) ?{_NUMBER}$", re.ASCII),
)
_GROUP: Final = re.compile(r"I|II|II[ABC](?:\+[A-Za-z0-9,-]{1,30})?", re.ASCII)
_TEMPERATURE: Final = re.compile(r"T[1-6]|T\d{2,3}°C", re.ASCII)
_LEVEL: Final = re.compile(r"G[abc](?:/G[abc])?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Marking:
    """What a marking says.

    `protections` protect the equipment itself; `associated` (in brackets) protect what is wired to it.
    `level` is the level stated ("Gb", "Ga/Gb" for equipment in a boundary wall, "Division 2") or None;
    `category` the equipment category of the European directive ("2", "1/2"); `listed` tells that the marking
    carries AEx, as equipment listed in the United States does. Temperatures are None where not stated.
    """

    protections: tuple[str, ...]
    associated: tuple[str, ...]
    group: str
    temperature_class: str | None
    level: str | None
    category: str | None = None
    zone: int | None = None
    boundary: bool = False
    ambient_minimum_c: float | None = None
    ambient_maximum_c: float | None = None
    special_conditions: bool = False
    component: bool = False
    listed: bool = False


def _refused(text: object, because: str) -> DomainError:
    shown = text[:_LONGEST] if isinstance(text, str) else text
    return DomainError("marking", shown, f"a marking of explosion protection: {because}")


def _tidy(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text).replace("≤", "<=").replace("−", "-").replace("–", "-")
    plain = plain.replace("…", "...").replace("º", "°").replace("[", " [ ").replace("]", " ] ")
    plain = re.sub(r"\s*\+\s*(?=[A-Za-z])", "+", plain)
    plain = re.sub(r"\b(T\d{2,3}) ?°? ?C\b", r"\1°C", plain, flags=re.ASCII)
    return " ".join(plain.split()).replace("[ ", "[").replace(" ]", "]")


def _protection(tokens: list[str], text: str) -> list[str]:
    """Take one protection, or the two of a boundary device joined by a slash, off the front of the tokens."""
    word = tokens.pop(0)
    if word == "op" and tokens:
        word = f"op {tokens.pop(0)}"
    parts = word.split("/")
    for part in parts:
        if part not in BEST_LEVELS:
            raise _refused(text, f"{part!r} is no type of protection known here")
    if len(parts) > 2:
        raise _refused(text, f"{word!r} joins more than two protections")
    return parts


def _associated(tokens: list[str], text: str) -> list[str]:
    """Take what stands between brackets off the front of the tokens."""
    whole = ""
    while tokens and not whole.endswith("]"):
        whole = f"{whole} {tokens.pop(0)}"
    whole = whole.strip()
    if not whole.endswith("]") or whole.count("[") != 1 or whole.count("]") != 1:
        raise _refused(text, "brackets do not pair")
    inside = whole[1:-1].split()
    if inside and inside[0] in ("Ex", "AEx"):
        inside.pop(0)
    found: list[str] = []
    while inside and not _GROUP.fullmatch(inside[0]) and not _LEVEL.fullmatch(inside[0]):
        found += _protection(inside, text)
    if inside and _GROUP.fullmatch(inside[0]):
        inside.pop(0)
    if inside and _LEVEL.fullmatch(inside[0]):
        inside.pop(0)
    if inside or not found:
        raise _refused(text, "a bracket holds a type of protection and its level, nothing else")
    return found


def _ambient(plain: str, text: str) -> tuple[str, float | None, float | None]:
    for pattern in _AMBIENT:
        if found := pattern.search(plain):
            low, high = float(found[1]), float(found[2])
            if low >= high:
                raise _refused(text, f"the ambient range {low:g} to {high:g} degC is empty")
            return plain[: found.start()].rstrip(","), low, high
    return plain, None, None


def _group_name(group: str) -> str:
    head, plus, gas = group.partition("+")
    return f"{head}+H2" if plus and gas.lower() in ("h2", "hydrogen") else group


def _division(plain: str) -> Marking | None:
    """Read a marking of the division system, or return None where it is another one."""
    found = _DIVISION.fullmatch(plain)
    if found is None:
        return None
    letters = [letter for letter in reversed(DIVISION_GROUPS) if letter in found["groups"]]
    level = f"Division {found['division']}"
    return Marking((), (), " ".join(letters), found["class"], level, listed=True)


def _equipment(plain: str, text: str) -> Marking:
    """Read a marking that begins with Ex or AEx, or with a category or a zone before that."""
    category = zone = None
    if (found := _CATEGORY.match(plain)) and (found["own"] or found["other"]):
        category, plain = found["own"], plain[found.end() :]
    elif found := _ZONE.match(plain):
        zone, plain = int(found["zone"]), plain[found.end() :]
    tokens = plain.split()
    begins = tokens[0] if tokens else ""
    if begins in ("Ex", "AEx"):
        tokens.pop(0)
    elif begins not in ("[Ex", "[AEx"):
        raise _refused(text, "it begins with Ex or AEx")
    protections: list[str] = []
    associated: list[str] = []
    boundary = False
    while tokens and not _GROUP.fullmatch(tokens[0]):
        if tokens[0].startswith("["):
            associated += _associated(tokens, text)
        else:
            taken = _protection(tokens, text)
            boundary = boundary or len(taken) == 2
            protections += taken
    if not protections and not associated:
        raise _refused(text, "it names no type of protection")
    if not tokens:
        raise _refused(text, "it names no gas group")
    group = _group_name(tokens.pop(0))
    temperature_class = tokens.pop(0) if tokens and _TEMPERATURE.fullmatch(tokens[0]) else None
    level = tokens.pop(0) if tokens and _LEVEL.fullmatch(tokens[0]) else None
    if tokens:
        raise _refused(text, f"{' '.join(tokens)!r} is not understood")
    return Marking(
        tuple(protections),
        tuple(associated),
        group,
        temperature_class,
        level,
        category=category,
        zone=zone,
        boundary=boundary,
        listed=begins.endswith("AEx"),
    )


def parse_marking(text: str) -> Marking:
    """Read the marking of explosion-protected equipment.

    Parameters
    ----------
    text : str
        Marking of gas explosion protection such as "Ex db eb [ia Ga] IIC T4 Gb", with or without the category
        of the European directive before it, the ambient range, X or U after it; or of the division system,
        such as "Class I, Division 2, Groups B, C, D, T4". Upper and lower case matter.

    Returns
    -------
    Marking
        The parts, as plain text; None where not stated.

    Raises
    ------
    DomainError
        If any part is not understood; nothing is ever guessed or passed over.

    Notes
    -----
    Source: IEC 60079-0:2017, clause 29 (from memory).
    Checked: tests/published/test_ex_training_questions.py.

    Examples
    --------
    >>> found = parse_marking("Ex db eb [ia Ga] IIC T4 Gb")
    >>> found.protections, found.associated, found.group, found.temperature_class, found.level
    (('db', 'eb'), ('ia',), 'IIC', 'T4', 'Gb')
    """
    if not isinstance(text, str) or not text.strip():
        raise _refused(text, "it is empty")
    if len(text) > _LONGEST:
        raise _refused(text, f"longer than {_LONGEST} characters")
    plain = _tidy(text)
    special = component = False
    if plain.endswith(" X"):
        plain, special = plain[:-2], True
    elif plain.endswith(" U"):
        plain, component = plain[:-2], True
    plain, low, high = _ambient(plain, text)
    return replace(
        _division(plain) or _equipment(plain, text),
        ambient_minimum_c=low,
        ambient_maximum_c=high,
        special_conditions=special,
        component=component,
    )
