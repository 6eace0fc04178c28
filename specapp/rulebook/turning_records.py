"""What a search for turning points hands back."""

from __future__ import annotations

from specapp.domain.proposal import Record
from specapp.rulebook.turned_words import Turn

# How many of the things that turn are told in a sentence.
TEXT_TURNS = 3
NOT_PASSED = ("fail", "caution")


class TurningPoint(Record, frozen=True):
    """Where the proposal changes in kind when one number is moved away from its value of now.

    Nothing has turned yet at ``same_at``, and it has at ``different_at``; the two are ``resolution`` apart,
    and ``turns_at``, the roundest number there is between them, is one of them. All in ``unit``.
    ``distance`` is how far that is from ``now``, as a share of it. ``assumed``: ``now`` was not told.
    """

    path: str
    fact: str
    now: float
    unit: str
    assumed: bool
    direction: str  # below | above
    turns_at: float
    same_at: float
    different_at: float
    resolution: float
    distance: float
    turns: tuple[Turn, ...]
    text: str


class PassingValue(Record, frozen=True):
    """The nearest value of one number with which a check that fails or cautions would pass.

    Between ``not_yet_at`` and ``passes_at`` the check turns; other things may turn on the way.
    """

    path: str
    fact: str
    now: float
    unit: str
    check: str
    result: str
    subjects: tuple[str, ...]
    direction: str
    value: float
    not_yet_at: float
    passes_at: float
    distance: float
    text: str


class TurningPoints(Record, frozen=True):
    """All that was found, nearest first; how many inputs were moved; what the search may miss."""

    points: tuple[TurningPoint, ...]
    passing: tuple[PassingValue, ...]
    inputs: int
    note: str
