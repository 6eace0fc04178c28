"""What the check of one kind of criterion found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from specapp.evaluation.replies.offer import Standing

UNCLEAR: Final = "unclear"


@dataclass(frozen=True, slots=True)
class Found:
    """A standing, or unclear where nothing could be read; `reason` is a sentence, unclear ones a phrase."""

    standing: Standing | Literal["unclear"]
    reason: str
    notes: tuple[str, ...] = ()
