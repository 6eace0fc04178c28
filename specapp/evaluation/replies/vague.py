"""Replies that say nothing a criterion could be held against, and words that narrow an agreement."""

from __future__ import annotations

import re
from typing import Final

# Whole replies that answer nothing; compared without capitals, points and double spaces.
_EMPTY_WORDS: Final = (
    "noted",
    "well noted",
    "noted and understood",
    "understood",
    "agreed in principle",
    "acknowledged",
    "ok",
    "okay",
    "fine",
    "accepted in principle",
    "refer to offer",
    "see offer",
    "refer offer",
    "see attached",
    "as attached",
    "see above",
    "see below",
    "as above",
    "same as above",
    "ditto",
    "as required",
    "as requested",
    "as specified",
    "as per specification",
    "as per spec",
    "as per enquiry",
    "as per data sheet",
    "as per datasheet",
    "see data sheet",
    "see datasheet",
    "see catalogue",
    "as per catalogue",
    "standard",
    "our standard",
    "maker's standard",
    "manufacturer standard",
    "manufacturer's standard",
    "vendor standard",
    "vendor's standard",
    "-",
    "--",
    "n/a",
    "na",
    "x",
    "?",
    "tba",
    "tbd",
    "tbc",
    "later",
    "to follow",
    "will follow",
    "pending",
    "info only",
    "for information",
)
_MAKERS: Final = r"(?:our |the |your |maker'?s? |manufacturer'?s? |vendor'?s? )?"
_JOBS: Final = r"(?:job|project|order|offer|supply|contract)s?"
_LATER: Final = (
    r"advised|agreed|clarified|confirmed|decided|determined|discussed|furnished|informed|provided|submitted"
)
_PHRASES: Final = (
    rf"as per {_MAKERS}(?:latest |applicable |relevant )?standards?\b",
    rf"(?:according to|to|by|per) {_MAKERS}standard (?:practice|design|scope|product)",
    r"\bstandard (?:practice|product|design)\b",
    rf"\bas (?:in |on |for |per |with )?(?:the |our )?(?:earlier|previous|last|similar|other) {_JOBS}\b",
    rf"\bto be (?:{_LATER})\b",
    rf"\bwill be (?:{_LATER})\b",
    r"\b(?:during|at|in) (?:detail(?:ed)?|basic) (?:engineering|design)\b",
    r"\bafter (?:the )?(?:award|order|po|contract)\b",
    r"\b(?:as|when|where|if) (?:applicable|practicable|possible|necessary)\b",
    r"\bbest (?:endeavou?rs?|efforts?)\b",
    r"\bor (?:equal|equivalent|similar)\b",
    r"\bt\.?b\.?[acd]\b",
)
_NARROWING: Final = (
    r"\bsubject to\b",
    r"\bexcept(?:ing|ion)?s?\b",
    r"\bexclud(?:ed?|ing|es)\b",
    r"\bwithout\b",
    r"\bnot included\b",
    r"\bby (?:others|purchaser|customer|client|owner)\b",
    r"\boptional(?:ly)?\b",
    r"\bat (?:extra|additional) cost\b",
    r"\bextra price\b",
    r"\bonly\b",
    r"\bprovided that\b",
    r"\blimited to\b",
    r"\bunless\b",
    r"\bhowever\b",
    r"\btypical(?:ly)?\b",
    r"\btyp\b",
    r"\bapprox(?:imately)?\b",
    r"\babout\b",
    r"\bnominal(?:ly)?\b",
)
_EMPTY: Final = frozenset(_EMPTY_WORDS)
_PHRASE = re.compile("|".join(_PHRASES), re.IGNORECASE)
_NARROW = re.compile("|".join(_NARROWING), re.IGNORECASE)
_PUNCTUATION = re.compile(r"[.,;:!()\"“”]+")


def vague_words(text: str) -> str | None:
    """Return the words that make a reply vague, or None where it says something."""
    plain = " ".join(_PUNCTUATION.sub(" ", text).split()).casefold().replace("’", "'")
    if plain in _EMPTY:
        return text.strip()
    found = _PHRASE.search(text.replace("’", "'"))
    return found[0] if found else None


def narrowing_words(text: str) -> str | None:
    """Return words that take something back of an agreement, or None."""
    found = _NARROW.search(text)
    return found[0] if found else None
