"""Which types of protection an area admits, as one table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from specapp.kernel.area_classes import LEVELS, level_for_zone
from specapp.kernel.arguments import one_of
from specapp.kernel.markings import BEST_LEVELS

__all__ = ["ConceptOfArea", "concepts_for_division", "concepts_for_level", "concepts_for_zone"]

_NAMES: Final = {
    "i": "intrinsic safety",
    "d": "flameproof enclosure",
    "e": "increased safety",
    "m": "encapsulation",
    "p": "pressurised enclosure",
    "q": "powder filling",
    "o": "liquid immersion",
    "n": "non-sparking and restricted",
    "s": "special protection",
    "op": "optical radiation",
}
_CONDITIONS: Final = {
    "da": "catalytic sensors of gas detectors only",
    "s": "the level must be stated on the marking",
    "op is": "the level must be stated on the marking",
    "op pr": "the level must be stated on the marking",
    "op sh": "the level must be stated on the marking",
}
_DIVISIONS: Final = {
    1: (
        ("explosionproof", "for the gas groups it lists"),
        ("intrinsically safe, Division 1", ""),
        ("purged and pressurised, type X or Y", ""),
        ("AEx ia", "the same gas and temperature class"),
    ),
    2: (
        ("whatever Division 1 admits", "the same gas and temperature class"),
        ("nonincendive", ""),
        ("purged and pressurised, type Z", ""),
        ("listed for zone 0, 1 or 2 (AEx)", "the same gas and temperature class"),
    ),
}


@dataclass(frozen=True, slots=True)
class ConceptOfArea:
    """A type of protection that an area admits.

    `code` is what a marking bears, `level` the best level the code can give (None in the division system),
    `condition` what has to be observed, "" where nothing has.
    """

    code: str
    name: str
    level: str | None
    condition: str


def concepts_for_level(level: str) -> tuple[ConceptOfArea, ...]:
    """Return every type of protection that can give an equipment protection level.

    Parameters
    ----------
    level : str
        "Ga", "Gb" or "Gc", what the area asks.

    Returns
    -------
    tuple of ConceptOfArea
        The most protective first.

    Raises
    ------
    DomainError
        If the level is none of those.

    Notes
    -----
    Two independent means of level Gb may together serve where Ga is asked (IEC 60079-26); that takes a
    certificate and is not listed here.

    Source: IEC 60079-14, tables 1 and 2 (from memory).  Checked: tests/kernel/test_protection_concepts.py.

    Examples
    --------
    >>> [each.code for each in concepts_for_level("Ga")]
    ['ia', 'ma', 'da', 'sa', 'op is']
    """
    one_of("level", level, LEVELS)
    rank = LEVELS.index(level)
    found = [
        ConceptOfArea(code, _name(code), best, _CONDITIONS.get(code, ""))
        for code, best in BEST_LEVELS.items()
        if LEVELS.index(best) <= rank
    ]
    return tuple(sorted(found, key=lambda each: LEVELS.index(each.level or "Gc")))


def _name(code: str) -> str:
    return _NAMES["op" if code.startswith("op ") else code[0]]


def concepts_for_zone(zone: int) -> tuple[ConceptOfArea, ...]:
    """Return every type of protection that a zone admits where the owner has set no other level by risk.

    Parameters
    ----------
    zone : int
        0, 1 or 2.

    Returns
    -------
    tuple of ConceptOfArea
        The most protective first.

    Raises
    ------
    DomainError
        If the zone is none of those.

    Notes
    -----
    Source: IEC 60079-14, tables 1 and 2 (from memory).  Checked: tests/kernel/test_protection_concepts.py.

    Examples
    --------
    >>> "ec" in [each.code for each in concepts_for_zone(1)]
    False
    """
    return concepts_for_level(level_for_zone(zone))


def concepts_for_division(division: int) -> tuple[ConceptOfArea, ...]:
    """Return what a division admits, in the words of the division system.

    Parameters
    ----------
    division : int
        1 or 2.

    Returns
    -------
    tuple of ConceptOfArea
        Without levels: the division system has none.

    Raises
    ------
    DomainError
        If the division is neither.

    Notes
    -----
    Editions differ in the cross-acceptance of zone equipment; the adopted one governs.

    Source: NEC 501.5 and 501.10(B) (from memory).  Checked: tests/kernel/test_protection_concepts.py.

    Examples
    --------
    >>> concepts_for_division(2)[1].code
    'nonincendive'
    """
    one_of("division", division, (1, 2))
    return tuple(ConceptOfArea(code, code, None, condition) for code, condition in _DIVISIONS[division])
